"""Runs under way that stop, in words: who must hear it, and what lies where.

Which runs these are stands in `scheduler/domain/stopping.py`.
"""

from __future__ import annotations

from scheduler.domain.clock import clock, moment_words
from scheduler.domain.disruptions import RunPart
from scheduler.domain.figures import counted
from scheduler.domain.idle import down_now
from scheduler.domain.plan import Plan, PlannedRun
from scheduler.domain.stopping import cancelled_rest, cut_off, why_cut
from scheduler.sheets.dayview import place


def why_words(plan: Plan, run: PlannedRun) -> str:
    """Why a run stops at the moment of the plan."""
    if cancelled_rest(plan, run) is not None:
        return f"order {run.content.order} ({run.content.customer}) is cancelled"
    return why_cut(plan, run)


def done_words(plan: Plan, run: PlannedRun) -> str:
    """How many pieces of a run are pressed that stopped: "about 39 of 128 pieces are pressed"."""
    part = _part(plan, run)
    assert part is not None
    whole, about = part.done + part.pieces, "about " if part.assumed else ""
    if not part.done:
        return f"none of its {counted(whole, 'piece')} is pressed"
    verb = "is" if part.done == 1 else "are"
    return f"{about}{part.done} of {counted(whole, 'piece')} {verb} pressed"


def _part(plan: Plan, run: PlannedRun) -> RunPart | None:
    return cancelled_rest(plan, run) or cut_off(plan, run)


def count_words(plan: Plan, run: PlannedRun) -> str:
    """The call to count what a run pressed that stopped; empty when somebody did."""
    part = _part(plan, run)
    if part is None or not part.assumed or run.pressing_start >= run.end:
        return ""  # counted, or only being set up
    return f"count them and enter pressday done {run.number} --pieces N --at {clock(run.end)}"


def stop_words(plan: Plan, run: PlannedRun, *, on_paper: bool = False) -> str:
    """What is said at a run that stops: large on the sheets, first on the screen.

    Parameters
    ----------
    on_paper
        For somebody with a pen and no computer: the count is written down and handed in.
    """
    count = count_words(plan, run)
    if count and on_paper:
        count = "count them, write the number here: ______, and tell it to whoever enters the counts"
    pace = f" by the planned pace: {count}" if count else ""
    what = "finish the piece in hand and press no other"
    if any(press in down_now(plan) for press in run.presses):
        what = "press no other"
    if run.pressing_start >= run.end:
        what = "nothing of it is pressed: it was being set up"
    return " ".join(
        [
            f"STOP, run {run.number}: {why_words(plan, run)}.",
            f"At {place(run)}, {what}.",
            f"By {clock(run.end)} {done_words(plan, run)}{pace}.",
            f"Put pressed garments and blank ones aside, apart, with the transfers: {_where(plan, run)}.",
        ]
    )


def _where(plan: Plan, run: PlannedRun) -> str:
    """Where what is left of a run that stopped lies, and which run goes on with it."""
    part = cut_off(plan, run)
    rest = next((one for one in plan.runs if part is not None and one.id == part.task), None)
    if rest is None:
        return f"all lie at {place(run)}"
    assert plan.at is not None
    when = moment_words(rest.pressing_start, plan.at.date())
    return f"run {rest.number} goes on with them at {place(rest)}, {rest.operator}, {when}"


def aside_words(plan: Plan, run: PlannedRun) -> str:
    """What a sheet says of a run that stopped so, wherever it is printed whole; empty: it did not."""
    if cancelled_rest(plan, run) is None:
        return ""
    return (
        f"STOPPED at {clock(run.end)}: order {run.content.order} is cancelled, {done_words(plan, run)}. "
        "Press no other."
    )


__all__ = [
    "aside_words",
    "count_words",
    "done_words",
    "stop_words",
    "why_words",
]
