"""On how many of the year's working days a version of the crew is another one than today's."""

from __future__ import annotations

from datetime import date, timedelta
from fractions import Fraction
from typing import TYPE_CHECKING

from scheduler.planning.calendar import shift_on, working_ticks

if TYPE_CHECKING:
    from collections.abc import Sequence

    from scheduler.domain.day_problem import DayProblem
    from scheduler.domain.shop import Shop

TICK_S = 60
LOOK_AHEAD_WEEKS = 8
"""A weekday of which so many in a row are closed is none that is worked on."""


def share_of_days(today: Sequence[DayProblem], then: Sequence[DayProblem]) -> Fraction:
    """By how much what is saved on the compared days is saved more rarely, or more often, in a year.

    Where a version changes the hours of people who are there on some weekdays only, it saves nothing of that
    on the others: days like the compared ones are that share of the working days. 1 where the crew stays as
    it is, where it changes on each working day, and where the compared days hold them in their proportion.

    Parameters
    ----------
    today, then
        The days that are compared, in today's shop and in the version.
    """
    days = [one.day for one in today]
    week = {weekday: _other(today[0].shop, then[0].shop, days[0], weekday) for weekday in range(7)}
    worked = [other for other in week.values() if other is not None]
    compared = sum(bool(week[day.weekday()]) for day in days)
    if not compared:
        return Fraction(1)
    return Fraction(sum(worked), len(worked)) / Fraction(compared, len(days))


def _other(one: Shop, other: Shop, day: date, weekday: int) -> bool | None:
    """Whether the paid hours of a weekday differ between two shops; None: nobody works then in either."""
    first = day + timedelta(days=(weekday - day.weekday()) % 7)
    for weeks in range(LOOK_AHEAD_WEEKS):
        paid = [_paid(shop, first + timedelta(weeks=weeks)) for shop in (one, other)]
        if any(paid):
            return paid[0] != paid[1]
    return None


def _paid(shop: Shop, on: date) -> int:
    shifts = (shift_on(shop, person, on, on, TICK_S) for person in shop.crew)
    return sum(working_ticks(shift, shift.start, shift.end) for shift in shifts if shift is not None)
