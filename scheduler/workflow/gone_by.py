"""What is said when a day is planned that is past, or that has begun already."""

from __future__ import annotations

from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from datetime import datetime

    from scheduler.domain.day_problem import DayProblem
    from scheduler.domain.faults import Fault


def gone_by_doubts(problem: DayProblem, now: datetime) -> tuple[Fault, ...]:
    """A doubt when the planned day is past or the first shift has begun; the plan begins in the morning.

    Parameters
    ----------
    now
        The present moment, without a zone.
    """
    from scheduler.domain.clock import long_date
    from scheduler.domain.faults import Fault, Severity, Source
    from scheduler.planning.calendar import clock

    instance = problem.instance
    first = min(
        (shift.start for person in instance.operators for shift in person.shifts),
        default=instance.heating_days[0].start,
    )
    begins = clock(problem.day, first, instance.tick_s)
    if now <= begins:
        return ()
    if problem.day < now.date():
        return (
            Fault(
                code="day-past",
                source=Source(file="--day"),
                found=f"{long_date(problem.day)}, which is past: today is {long_date(now.date())}",
                expected="today or a later day",
                mend="It is planned all the same. Name another day if this one was not meant.",
                severity=Severity.DOUBT,
            ),
        )
    return (
        Fault(
            code="day-begun",
            source=Source(file="--day"),
            found=f"{long_date(problem.day)}, which has begun: it is {now:%H:%M}, and the first shift begins "
            f"at {begins:%H:%M}",
            expected="a day that is still to come",
            mend="It is planned from its morning, as if nothing had been pressed, so its first times are "
            "past. To plan from now on, let shifts and opening in the shop workbook begin later for once.",
            severity=Severity.DOUBT,
        ),
    )
