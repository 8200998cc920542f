"""Rule: nothing is pressed before garments and transfers are in."""

from __future__ import annotations

from scheduler.domain.schedule import Break
from scheduler.verify.view import View


def check_release(view: View) -> list[Break]:
    """Check `s_j >= release_j`; setting up may be earlier."""
    return [
        Break(
            rule="release",
            tasks=(run.id,),
            machine=run.machine.id,
            at=run.start,
            amount=run.task.release - run.start,
            message=f"{run.id} starts on {run.machine.id} at tick {run.start}, "
            f"{run.task.release - run.start} ticks before its release at {run.task.release}",
        )
        for run in view.runs
        if run.start < run.task.release
    ]
