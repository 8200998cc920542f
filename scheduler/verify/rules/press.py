"""Rule: a press does one run at a time."""

from __future__ import annotations

from scheduler.domain.schedule import Break
from scheduler.verify.overlap import overlaps
from scheduler.verify.view import View


def check_press(view: View) -> list[Break]:
    """Check that on each machine every run's setting up begins when those before it have ended.

    What was begun before the instance holds the machine until `free_from`.
    """
    begun = [
        Break(
            rule="press",
            tasks=(run.id,),
            machine=machine,
            at=run.setup_start,
            amount=run.machine.free_from - run.setup_start,
            message=f"{machine} is set up for {run.id} at tick {run.setup_start}, "
            f"{run.machine.free_from - run.setup_start} ticks before it is free at {run.machine.free_from}",
        )
        for machine, runs in view.by_machine.items()
        for run in runs
        if run.machine.free_from > 0 and run.setup_start < run.machine.free_from
    ]
    return begun + [
        Break(
            rule="press",
            tasks=(earlier.id, later.id),
            machine=machine,
            at=later.setup_start,
            amount=earlier.end - later.setup_start,
            message=f"{machine} is set up for {later.id} at tick {later.setup_start}, "
            f"{earlier.end - later.setup_start} ticks before {earlier.id} ends there at {earlier.end}",
        )
        for machine, runs in view.by_machine.items()
        for earlier, later in overlaps(runs)
    ]
