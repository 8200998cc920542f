"""Clock times and ticks, days, shifts, and how many days a plan reaches."""

from __future__ import annotations

from dataclasses import replace
from datetime import date, datetime, time

import pytest

from scheduler.domain.instance import Shift
from scheduler.domain.shop import OpenHours, Operator, Shop
from scheduler.planning.calendar import (
    Demand,
    capacities,
    clock,
    days_needed,
    heating_day,
    hours_on,
    shift_on,
    tick_at_or_after,
    tick_at_or_before,
    working_dates,
    working_ticks,
)
from tests.planning.shops import MONDAY, person, shop

HOUR = 600
"""Ticks of an hour."""


def with_hours(overtime: time | None = None, **of_day: time) -> Shop:
    hours = OpenHours(
        open=of_day.get("open", time(8)), close=of_day.get("close", time(17)), overtime_end=overtime
    )
    return replace(shop(), hours=dict.fromkeys(range(5), hours))


def shift(base: Shop, who: Operator) -> Shift | None:
    return shift_on(base, who, MONDAY, MONDAY, 6)


def test_ticks_and_clock() -> None:
    moment = datetime(2026, 3, 2, 9, 30)
    assert tick_at_or_after(MONDAY, moment, 6) == tick_at_or_before(MONDAY, moment, 6) == 5700
    assert clock(MONDAY, 5700, 6) == moment
    odd = datetime(2026, 3, 2, 9, 30, 1)
    assert (tick_at_or_before(MONDAY, odd, 6), tick_at_or_after(MONDAY, odd, 6)) == (5700, 5701)
    assert tick_at_or_after(MONDAY, datetime(2026, 3, 3), 6) == 14400


def test_before_the_planned_day() -> None:
    """What came in yesterday is there; what was due yesterday is due at a negative tick."""
    yesterday = datetime(2026, 3, 1, 23)
    assert tick_at_or_after(MONDAY, yesterday, 6) == 0
    assert tick_at_or_before(MONDAY, yesterday, 6) == -HOUR


def test_open_days() -> None:
    assert hours_on(shop(), MONDAY) is not None
    assert hours_on(shop(), date(2026, 3, 1)) is None
    assert hours_on(replace(shop(), closed_days=(MONDAY,)), MONDAY) is None
    assert hours_on(with_hours(open=time(17), close=time(17)), MONDAY) is None


def test_heating_day_lasts_to_the_end_of_overtime() -> None:
    day = heating_day(with_hours(), MONDAY, MONDAY, 6)
    assert (day.start, day.end) == (8 * HOUR, 17 * HOUR)
    assert heating_day(with_hours(time(19)), MONDAY, MONDAY, 6).end == 19 * HOUR
    assert heating_day(with_hours(time(16)), MONDAY, MONDAY, 6).end == 17 * HOUR
    assert heating_day(shop(), MONDAY, date(2026, 3, 4), 6).start == (48 + 8) * HOUR
    with pytest.raises(ValueError, match="2026-03-01 is not a working day of Test shop"):
        heating_day(shop(), MONDAY, date(2026, 3, 1), 6)


def test_shift_is_cut_to_open_hours() -> None:
    assert shift(shop(), person(start=time(6), end=time(20))) == Shift(
        start=8 * HOUR, end=17 * HOUR, overtime_end=17 * HOUR
    )
    assert shift(shop(), person(start=time(18), end=time(20))) is None
    assert shift(shop(), person(end=time(8))) is None
    assert shift(shop(), person(weekdays=(1, 2))) is None
    other = person("Bo", start=time(10), end=time(12)).hours[0]
    both = replace(person(), hours={**person().hours, MONDAY.weekday(): other})
    assert shift(shop(), both) == shift(shop(), person(start=time(10), end=time(12)))


# Overtime needs the shop's hours and the person's consent; the earlier of the two ends it.
@pytest.mark.parametrize(
    ("of_shop", "of_person", "until"),
    [
        (None, None, 16),
        (None, time(18), 16),
        (time(19), None, 16),
        (time(19), time(18), 18),
        (time(18), time(19), 18),
        (time(19), time(15), 16),
    ],
)
def test_overtime(of_shop: time | None, of_person: time | None, until: int) -> None:
    found = shift(with_hours(of_shop), person(overtime_end=of_person))
    assert found is not None
    assert (found.end, found.overtime_end) == (16 * HOUR, until * HOUR)


def test_breaks_are_cut_sorted_and_merged() -> None:
    breaks = (
        (time(12), time(12, 30)),
        (time(7), time(8, 30)),
        (time(12, 15), time(13)),
        (time(6), time(7)),
        (time(15, 30), time(17)),
        (time(18), time(19)),
    )
    found = shift(shop(), person(breaks=breaks))
    assert found is not None
    assert found.breaks == ((4800, 5100), (7200, 7800), (9300, 9600))


def test_working_ticks() -> None:
    day = Shift(start=0, end=100, overtime_end=120, breaks=((20, 30), (60, 70)))
    assert working_ticks(day, 0, 120) == 100
    assert working_ticks(day, -50, 25) == 20
    assert working_ticks(day, 20, 30) == 0
    assert working_ticks(day, 25, 65) == 30
    assert working_ticks(day, 90, 80) == 0


def test_working_dates_skip_closed_days_and_days_without_anybody() -> None:
    assert working_dates(shop(), MONDAY, 6)[-1] == date(2026, 3, 9)
    shut = replace(shop(), closed_days=(date(2026, 3, 3),))
    assert working_dates(shut, MONDAY, 2) == (MONDAY, date(2026, 3, 4))
    rare = replace(shop(), crew=(person(weekdays=(0, 3)),))
    assert working_dates(rare, MONDAY, 3) == (MONDAY, date(2026, 3, 5), date(2026, 3, 9))
    assert working_dates(replace(shop(), hours={}), MONDAY, 3) == ()


def days(demands: list[Demand], base: Shop | None = None, most: int = 10, **owned: int) -> int:
    base = base or shop()
    offers = capacities(base, MONDAY, working_dates(base, MONDAY, most), 6)
    return days_needed(tuple(demands), offers, {"big": 1, "sleeve": 1} | owned)


def demand(ticks: int, release: int = 0, **which: tuple[str, ...]) -> Demand:
    return Demand(
        ticks=ticks,
        presses=which.get("presses", ("Main",)),
        platens=which.get("platens", ("big",)),
        people=which.get("people", ("Ann",)),
        release=release,
    )


def test_one_spare_day() -> None:
    assert days([demand(100)]) == 2
    assert days([demand(100)], most=1) == 1


def test_a_fifth_is_kept_in_reserve() -> None:
    """A shift has 4800 ticks: 4000 with a fifth on top fill it."""
    assert days([demand(4000)]) == 2
    assert days([demand(4001)]) == 3
    assert days([demand(2000), demand(2001)]) == 3


def test_most_days() -> None:
    assert days([demand(10**6)]) == 10
    assert days([demand(10**6)], most=4) == 4


def test_presses_platens_and_people_apart() -> None:
    two = replace(shop(), crew=(person(), person("Bo")))
    both = [demand(3000, people=("Ann", "Bo")), demand(3000, people=("Ann", "Bo"))]
    # Two people have the hours, one press has 5400 ticks a day and so takes 4500.
    assert days(both, two) == 3
    apart = [replace(both[0], presses=("Main",)), replace(both[1], presses=("Side",), platens=("sleeve",))]
    assert days(apart, two) == 2
    # Both are confined to one platen, although they have a press each.
    shared = [replace(both[0], presses=("Main",)), replace(both[1], presses=("Side",))]
    assert days(shared, two) == 3
    assert days(shared, two, big=2) == 2
    # Only one of the two may do them.
    able = [replace(one, people=("Bo",)) for one in apart]
    assert days(able, two) == 3


def test_everything_must_be_in() -> None:
    wednesday = (48 + 9) * HOUR
    assert days([demand(100, release=wednesday)]) == 4
    late = (48 + 17) * HOUR - 50
    assert days([demand(100, release=late)]) == 5


def test_somebody_able_must_have_been_there() -> None:
    base = replace(shop(), crew=(person(), person("Bo", weekdays=(3,))))
    assert days([demand(100)], base) == 2
    assert days([demand(100, people=("Bo",))], base) == 5
