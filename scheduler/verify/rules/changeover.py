"""Rule: a press is set up for each run, by hand and without."""

from __future__ import annotations

from scheduler.domain.schedule import Break
from scheduler.verify.view import Run, View


def check_changeover(view: View) -> list[Break]:
    """Check `h_j = on(j)`, and `s_j >= e_i + off(j)` behind a predecessor or what was begun before.

    With a mate, `on(j)` is the sum over both machines: the operator sets one up after the other.
    """
    breaks = []
    for run in view.runs:
        given = run.start - run.setup_start
        stands = (run, view.mates[run]) if run in view.mates else (run,)
        hands_on = sum(stand.hands_on for stand in stands)
        if given != hands_on:
            where = " and ".join(stand.machine.id for stand in stands)
            message = (
                f"{run.id} is set up on {where} for {given} ticks from {run.setup_start}, "
                f"but the changeover takes {hands_on} by hand"
            )
            breaks.append(_break(run, run.setup_start, abs(given - hands_on), message))
        for stand in stands:
            breaks += _hands_off(stand)
    return breaks


def _hands_off(run: Run) -> list[Break]:
    breaks = []
    before = run.predecessor
    if before is None and run.machine.hot and run.start < run.machine.free_from + run.hands_off:
        short = run.machine.free_from + run.hands_off - run.start
        message = (
            f"{run.id} starts on {run.machine.id} at tick {run.start}, {short} ticks before it is ready, "
            f"{run.hands_off} without hands after what was under way till {run.machine.free_from}"
        )
        breaks.append(_break(run, run.start, short, message))
    # Without a hands-off part this says no more than that the press is free, which is its own rule.
    if before is not None and run.hands_off > 0 and run.start < before.end + run.hands_off:
        short = before.end + run.hands_off - run.start
        message = (
            f"{run.id} starts on {run.machine.id} at tick {run.start}, {short} ticks before "
            f"it is ready, {run.hands_off} without hands after the end of {before.id} at {before.end}"
        )
        breaks.append(_break(run, run.start, short, message))
    return breaks


def _break(run: Run, at: int, amount: int, message: str) -> Break:
    before = () if run.predecessor is None else (run.predecessor.id,)
    return Break(
        rule="changeover",
        tasks=(*before, run.id),
        machine=run.machine.id,
        at=at,
        amount=amount,
        message=message,
    )
