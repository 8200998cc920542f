"""Rule: a press is set up for each run, by hand and without."""

from __future__ import annotations

from scheduler.domain.schedule import Break
from scheduler.verify.view import Run, View


def check_changeover(view: View) -> list[Break]:
    """Check `h_j = on(j)`, and `s_j >= e_i + off(j)` behind a predecessor or what was begun before."""
    breaks = []
    for run in view.runs:
        given = run.start - run.setup_start
        if given != run.hands_on:
            message = (
                f"{run.id} is set up on {run.machine.id} for {given} ticks from {run.setup_start}, "
                f"but the changeover takes {run.hands_on} by hand"
            )
            breaks.append(_break(run, run.setup_start, abs(given - run.hands_on), message))
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
