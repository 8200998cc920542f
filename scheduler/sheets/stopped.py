"""Runs under way that stop because their order is cancelled: who must hear it, and what lies where."""

from __future__ import annotations

from scheduler.domain.clock import clock
from scheduler.domain.disruptions import PartKind, RunPart, cancelled_of
from scheduler.domain.figures import counted
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


def stops_now(plan: Plan, run: PlannedRun) -> bool:
    """Whether a run is under way at the moment of the plan, and must stop: somebody has to hear it."""
    return plan.at is not None and run.start <= plan.at <= run.end and cancelled_rest(plan, run) is not None


def stops(plan: Plan) -> list[PlannedRun]:
    """The runs that stop at the moment of the plan, in time order."""
    return [run for run in in_time(plan) if stops_now(plan, run)]


def done_words(plan: Plan, run: PlannedRun) -> str:
    """How many pieces of a run are pressed whose order is cancelled: "about 39 of 128 pieces are pressed"."""
    part = cancelled_rest(plan, run)
    assert part is not None
    whole, about = part.done + part.pieces, "about " if part.assumed else ""
    if not part.done:
        return f"none of its {counted(whole, 'piece')} is pressed"
    verb = "is" if part.done == 1 else "are"
    return f"{about}{part.done} of {counted(whole, 'piece')} {verb} pressed"


def count_words(plan: Plan, run: PlannedRun) -> str:
    """The call to count what a run pressed whose order is cancelled; empty when somebody did."""
    part = cancelled_rest(plan, run)
    if part is None or not part.assumed or run.pressing_start >= run.end:
        return ""  # counted, or only being set up
    return f"count them and enter pressday done {run.number} --pieces N --at {clock(run.end)}"


def stop_words(plan: Plan, run: PlannedRun, *, on_paper: bool = False) -> str:
    """What is said at a run when its order is cancelled: large on the sheets, first on the screen.

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
    if run.pressing_start >= run.end:
        what = "nothing of it is pressed: it was being set up"
    return " ".join(
        [
            f"STOP, run {run.number}: order {run.content.order} ({run.content.customer}) is cancelled.",
            f"At {place(run)}, {what}.",
            f"By {clock(run.end)} {done_words(plan, run)}{pace}.",
            f"Put pressed garments and blank ones aside, apart, with the transfers: all lie at {place(run)}.",
        ]
    )


def aside_words(plan: Plan, run: PlannedRun) -> str:
    """What a sheet says of a run that stopped so, wherever it is printed whole; empty: it did not."""
    if cancelled_rest(plan, run) is None:
        return ""
    return (
        f"STOPPED at {clock(run.end)}: order {run.content.order} is cancelled, {done_words(plan, run)}. "
        "Press no other."
    )


__all__ = ["aside_words", "cancelled_rest", "count_words", "done_words", "stop_words", "stops", "stops_now"]
