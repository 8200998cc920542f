"""Rule: an operator is at one press at a time."""

from __future__ import annotations

from scheduler.domain.schedule import Break
from scheduler.verify.overlap import overlaps
from scheduler.verify.view import View


def check_operators(view: View) -> list[Break]:
    """Check that each operator begins setting up a run when those before it have ended."""
    return [
        Break(
            rule="operators",
            tasks=(earlier.id, later.id),
            machine=later.machine.id,
            at=later.setup_start,
            amount=earlier.end - later.setup_start,
            message=f"{person} begins {later.id} on {later.machine.id} at tick {later.setup_start}, "
            f"{earlier.end - later.setup_start} ticks before the end of {earlier.id} "
            f"on {earlier.machine.id} at {earlier.end}",
        )
        for person, runs in view.by_operator.items()
        for earlier, later in overlaps(runs)
    ]
