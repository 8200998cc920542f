"""Rule: a press does one run at a time."""

from __future__ import annotations

from scheduler.domain.schedule import Break
from scheduler.verify.overlap import overlaps
from scheduler.verify.view import View


def check_press(view: View) -> list[Break]:
    """Check that on each machine every run's setting up begins when those before it have ended."""
    return [
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
