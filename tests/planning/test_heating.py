"""The stretches of a day in which presses may be hot: by when somebody of the crew is in."""

from __future__ import annotations

from dataclasses import replace
from datetime import datetime, time

import pytest

from scheduler.domain.instance import Day, Shift
from scheduler.planning import build_day
from scheduler.planning.heating import stretches, within
from scheduler.verify import check
from tests.planning.shops import MONDAY, line, order, person, print_, shop
from tests.planning.test_again import solved

TICK_S = 6
DAY = Day(start=4800, end=10800)  # 8:00 to 18:00


def tick(hour: int, minute: int = 0) -> int:
    return 10 * (60 * hour + minute)


def shift(start: int, end: int, overtime_end: int | None = None) -> Shift:
    return Shift(start=start, end=end, overtime_end=end if overtime_end is None else overtime_end)


@pytest.mark.parametrize(
    ("shifts", "cuts"),
    [
        ([], []),
        ([shift(tick(8), tick(18))], []),
        # nobody before the first comes, nor after the last has gone: nothing to cut
        ([shift(tick(10), tick(12))], []),
        ([shift(tick(8), tick(12)), shift(tick(13), tick(18))], [tick(13)]),
        ([shift(tick(13), tick(18)), shift(tick(8), tick(12))], [tick(13)]),
        # as one goes another comes, and up to five minutes later
        ([shift(tick(8), tick(12)), shift(tick(12), tick(18))], []),
        ([shift(tick(8), tick(12)), shift(tick(12, 4), tick(18))], []),
        ([shift(tick(8), tick(12)), shift(tick(12, 5), tick(18))], [tick(12, 5)]),
        # a third person is in meanwhile
        ([shift(tick(8), tick(12)), shift(tick(13), tick(18)), shift(tick(11), tick(14))], []),
        ([shift(tick(8), tick(17)), shift(tick(9), tick(10)), shift(tick(16), tick(18))], []),
        # nobody need stay for overtime
        ([shift(tick(8), tick(12), tick(15)), shift(tick(13), tick(18))], [tick(13)]),
        # who comes back for overtime alone finds the presses off
        ([shift(tick(8), tick(12)), shift(tick(16), tick(16), tick(18))], [tick(16)]),
        ([shift(tick(8), tick(9)), shift(tick(10), tick(11)), shift(tick(12), tick(13))], [6000, 7200]),
        # a long break is as going home, a short one isn't
        ([Shift(start=4800, end=10800, overtime_end=10800, breaks=((7200, 7800),))], [7800]),
        ([Shift(start=4800, end=10800, overtime_end=10800, breaks=((7200, 7799),))], []),
        ([Shift(start=4800, end=7000, overtime_end=10800, breaks=((7200, 7800),))], [7800]),
        # those of other days
        ([shift(tick(8), tick(18)), shift(tick(32), tick(36)), shift(tick(37), tick(42))], []),
    ],
)
def test_a_day_is_cut_where_somebody_comes_after_nobody_was_in(shifts: list[Shift], cuts: list[int]) -> None:
    found = stretches(DAY, shifts, TICK_S)
    assert [one.start for one in found] == [DAY.start, *cuts]
    assert [one.end for one in found] == [*cuts, DAY.end]


def test_a_shift_within_a_stretch() -> None:
    whole = Shift(
        start=tick(8),
        end=tick(12),
        overtime_end=tick(15),
        breaks=((tick(10), tick(11)), (tick(13), tick(14))),
    )
    first, last = Day(start=tick(8), end=tick(10, 30)), Day(start=tick(13, 30), end=tick(18))
    assert within(whole, first) == Shift(
        start=tick(8), end=tick(10, 30), overtime_end=tick(10, 30), breaks=((tick(10), tick(10, 30)),)
    )
    assert within(whole, last) == Shift(
        start=tick(13, 30), end=tick(13, 30), overtime_end=tick(15), breaks=((tick(13, 30), tick(14)),)
    )
    assert within(whole, Day(start=tick(15), end=tick(18))) is None


def test_a_run_is_not_longer_than_the_stretch_that_its_person_has_with_hot_presses() -> None:
    """Bo's two hours begin with the ten minutes of warm-up: what takes longer is split, and all fits."""
    crew = (person(end=time(9)), person("Bo", start=time(13), end=time(15)))
    one = order(
        "1", line(print_("front", artwork="crest"), sizes={"M": 260}), cut_off=datetime(2026, 3, 3, 15)
    )
    problem = build_day(replace(shop(), crew=crew), (one,), MONDAY)
    instance = problem.instance
    assert [day.start for day in instance.heating_days][:2] == [tick(8), tick(13)]
    longest = max(max(work for _, work in mode.operators) for task in instance.tasks for mode in task.modes)
    assert longest <= tick(15) - tick(13, 10)
    result = solved(instance)
    assert check(instance, result.schedule).passed and not result.schedule.left_over


def test_no_run_goes_on_in_overtime_past_the_moment_at_which_presses_are_cold() -> None:
    """Ann may stay until 15:00; Bo comes at 13:00, after nobody had to be in."""
    base = replace(shop(), crew=(person(end=time(12), overtime_end=time(15)), person("Bo", start=time(13))))
    base = replace(
        base,
        hours={0: replace(base.hours[0], overtime_end=time(18)), **{k: base.hours[k] for k in (1, 2, 3, 4)}},
    )
    orders = tuple(
        order(
            str(n),
            line(print_("front", artwork=f"crest {n}"), sizes={"M": 90}),
            cut_off=datetime(2026, 3, 3, 15),
        )
        for n in range(5)
    )
    problem = build_day(base, orders, MONDAY)
    instance = problem.instance
    assert [day.start for day in instance.working_days][:1] == [tick(8)]
    assert instance.heating_days[1].start == tick(13)
    (ann,) = [one for one in instance.operators if one.id == "Ann"]
    assert ann.shifts[0].overtime_end == tick(15)
    schedule = solved(instance).schedule
    assert check(instance, schedule).passed
    assert not any(done.setup_start < tick(13) < done.end for done in schedule.tasks)
