"""Runs under way that stop: their order is cancelled, their press is down, or their person leaves.

Who must hear it, and what lies where.
"""

from __future__ import annotations

from datetime import timedelta

from scheduler.domain.clock import clock, moment_words
from scheduler.domain.disruptions import PartKind, RunPart, cancelled_of
from scheduler.domain.figures import counted
from scheduler.domain.idle import down_now, leaves_now
from scheduler.domain.plan import Plan, PlannedRun
from scheduler.sheets.dayview import in_time, place


def cancelled_rest(plan: Plan, run: PlannedRun) -> RunPart | None:
    """What is not pressed any more of a run that was begun, since its order is cancelled; None: nothing."""
    if run.content.order not in cancelled_of(plan.given, plan.between):
        return None
    there = {one.id for one in plan.runs}
    return next(
        (
            part
            for part in plan.parts
            if part.run == run.id and part.name is PartKind.REST and part.task not in there
        ),
        None,
    )


def cut_off(plan: Plan, run: PlannedRun) -> RunPart | None:
    """What another run presses of one that can't go on from the moment of the plan on; None: it goes on.

    Its press is down then, or its person leaves.
    """
    if plan.at is None or not run.start <= plan.at <= run.end or _why_cut(plan, run) == "":
        return None
    # Times are in ticks; whoever leaves later than now presses until then.
    if run.end - plan.at >= timedelta(seconds=plan.instance.tick_s):
        return None
    parts = (part for part in plan.parts if part.run == run.id and part.name is PartKind.REST)
    return next(parts, None) if cancelled_rest(plan, run) is None else None


def _why_cut(plan: Plan, run: PlannedRun) -> str:
    """Why a run can't go on at the moment of the plan; empty: it can."""
    down = [press for press in run.presses if press in down_now(plan)]
    if down:
        return f"{down[0]} is down"
    return f"{run.operator} leaves" if leaves_now(plan, run.operator) else ""


def stopping(plan: Plan, run: PlannedRun) -> RunPart | None:
    """What is left of a run that stops at the moment of the plan; None: it doesn't stop."""
    under_way = plan.at is not None and run.start <= plan.at <= run.end
    return (cancelled_rest(plan, run) or cut_off(plan, run)) if under_way else None


def stops_now(plan: Plan, run: PlannedRun) -> bool:
    """Whether a run is under way at the moment of the plan, and must stop: somebody has to hear it."""
    return stopping(plan, run) is not None


def stops(plan: Plan) -> list[PlannedRun]:
    """The runs that stop at the moment of the plan, in time order."""
    return [run for run in in_time(plan) if stops_now(plan, run)]


def why_words(plan: Plan, run: PlannedRun) -> str:
    """Why a run stops at the moment of the plan."""
    if cancelled_rest(plan, run) is not None:
        return f"order {run.content.order} ({run.content.customer}) is cancelled"
    return _why_cut(plan, run)


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
    "cancelled_rest",
    "count_words",
    "cut_off",
    "done_words",
    "stop_words",
    "stopping",
    "stops",
    "stops_now",
    "why_words",
]
