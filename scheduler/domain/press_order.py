"""The runs of a plan at a press, one behind the other."""

from __future__ import annotations

from scheduler.domain.plan import Plan, PlannedRun


def press_before(plan: Plan, run: PlannedRun, press: str) -> PlannedRun | None:
    """The last run at one of a run's presses before it, of whatever day."""
    earlier = [other for other in plan.runs if press in other.presses and other.start < run.start]
    return max(earlier, key=lambda other: other.start, default=None)


def press_after(plan: Plan, run: PlannedRun, press: str) -> PlannedRun | None:
    """The next run at one of a run's presses on the same date."""
    later = [
        other
        for other in plan.runs
        if press in other.presses and other.start > run.start and other.start.date() == run.start.date()
    ]
    return min(later, key=lambda other: other.start, default=None)
