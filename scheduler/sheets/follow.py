"""Around a run: what its garments wait for, and where they go when it is done."""

from __future__ import annotations

from datetime import datetime, timedelta

from scheduler.domain.clock import moment_words
from scheduler.domain.day_problem import RunContent
from scheduler.domain.disruptions import PartKind
from scheduler.domain.figures import counted
from scheduler.domain.plan import Plan, PlannedRun
from scheduler.sheets.dayview import place
from scheduler.sheets.under_way import part_of

WORTH_SAYING = timedelta(hours=2)
"""What came in longer ago than this before a run no longer matters to its operator."""


def done_at(run: PlannedRun) -> datetime:
    """When the last garment of a run may be packed or pressed again: off the press and cooled."""
    return run.end + timedelta(seconds=run.content.recipe.cooling_s)


def waits_for(content: RunContent, what: str) -> bool:
    """Whether a run waits for its "garments" or its "transfers"; both when the plan doesn't say which."""
    return content.ready is not None and (what in content.waits_for or not content.waits_for)


def have_by(run: PlannedRun, what: str) -> datetime:
    """When garments or transfers must lie at the press: never before they are in the house."""
    ready = run.content.ready
    if ready is None or ready >= run.end or not waits_for(run.content, what):
        return run.start
    return max(run.start, ready)


def arrival_words(plan: Plan, run: PlannedRun) -> str:
    """What comes in shortly before a run, and when; empty where it doesn't matter."""
    content = run.content
    if content.ready is None or content.ready.date() < plan.day:
        return ""
    if content.ready >= run.end:
        # Said of the order later: what was begun by then had its garments.
        return ""
    if run.pressing_start - content.ready > WORTH_SAYING:
        return ""
    what = content.waits_for or "garments or transfers"
    return f"{what[:1].upper()}{what[1:]} come in at {moment_words(content.ready, run.start.date())}."


def then_words(plan: Plan, run: PlannedRun) -> str:
    """Where the pieces of a run go: to the next run of the same garments, or to packing."""
    following, rest = _following(plan, run)
    if following:
        day = run.start.date()
        several = len(following) > 1 or rest
        told = [
            f"run {other.number} at {place(other)}, {moment_words(other.pressing_start, day)}"
            + (f" ({counted(pieces, 'piece')})" if pieces else _shared_sizes(run, other) if several else "")
            for other, pieces in following
        ]
        return "; ".join(told) + ("; the rest to packing" if rest else "")
    order = next((one for one in plan.orders if one.id == run.content.order), None)
    if order is None:
        return f"aside, order {run.content.order} is cancelled"
    left_over = any(left.order == order.id for left in plan.left_over)
    if left_over or (order.finished is None and not order.missing):
        return "to packing; a part of this order is left over"
    own = [other for other in plan.runs if other.content.order == run.content.order]
    if max(own, key=lambda other: (done_at(other), other.number)) is not run:
        return "to packing, other runs of this order follow"
    if order.missing:
        return f"to packing; order {order.id} is not whole: {order.lacks}"
    gone = moment_words(order.cut_off, run.start.date())
    late = f"cut-off {gone}, late" if order.late_minutes > 0 else f"gone by {gone}"
    return f"order {order.id} is complete after this run: to packing, {late}"


def _following(plan: Plan, run: PlannedRun) -> tuple[list[tuple[PlannedRun, int]], bool]:
    """The next run of each part of the garments, and whether another part has none.

    What is pressed again, and the rest of a run that was stopped, takes only so many of them: its pieces
    stand beside it, and the others go to the run after it. Beside a run that takes all stands 0.
    """
    bundles = {task.id: task.bundles for task in plan.instance.tasks}
    later = sorted(
        (
            other
            for other in plan.runs
            if other.content.order == run.content.order
            # Not by the changeovers: one may begin early and its pieces come last.
            and (other.pressing_start, other.number) > (run.pressing_start, run.number)
        ),
        key=lambda other: (other.pressing_start, other.number),
    )
    found: dict[str, tuple[PlannedRun, int]] = {}
    rest = False
    for bundle in bundles.get(run.id, ()):
        left = run.content.quantity
        for other in later:
            pieces = other.content.quantity
            if left <= 0 or not pieces or bundle not in bundles.get(other.id, ()):
                continue
            if _other_pieces(plan, run, other):
                continue
            some = part_of(plan, other) is not None and pieces < run.content.quantity
            found[other.id] = (other, pieces if some else 0)
            left -= pieces if some else left
        rest = rest or left > 0
    return sorted(found.values(), key=lambda one: one[0].number), rest


def _other_pieces(plan: Plan, one: PlannedRun, other: PlannedRun) -> bool:
    """Whether two runs press other pieces of the same run again."""
    mine, theirs = part_of(plan, one), part_of(plan, other)
    if mine is None or theirs is None:
        return False
    return mine[0].name is theirs[0].name is PartKind.AGAIN and mine[0].run == theirs[0].run


def _shared_sizes(run: PlannedRun, other: PlannedRun) -> str:
    """The sizes that go from one run to another, in the order of the first."""
    theirs = {(one.garment, one.colour, one.size) for one in other.content.pieces}
    shared = [one for one in run.content.pieces if (one.garment, one.colour, one.size) in theirs]
    return f" ({', '.join(dict.fromkeys(one.size for one in shared))})" if shared else ""
