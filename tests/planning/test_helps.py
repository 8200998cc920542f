"""Help for a day that is too full: the same day with a little more, under the same rules."""

from __future__ import annotations

from dataclasses import replace
from datetime import datetime, time, timedelta

import pytest

from scheduler.domain.disruptions import Disruptions, PersonAway
from scheduler.domain.instance import Instance
from scheduler.domain.schedule import Schedule, ScheduledTask, WarmUp
from scheduler.engine.effort import BRIEF
from scheduler.engine.solve import solve
from scheduler.planning.build import build_day
from scheduler.planning.calendar import clock
from scheduler.planning.helps import (
    HELPER,
    OVERTIME_MIN,
    TryOut,
    beyond,
    can_stay_longer,
    helper_hours,
    with_helper,
    with_overtime,
    with_platen,
)
from scheduler.verify import check
from tests.planning.shops import MONDAY, line, order, person, press, print_, shop


def tried(*, skill: str | None = None, quantity: int = 400) -> TryOut:
    """One press and one person, who has more to do than the day holds."""
    place = replace(shop(), presses=(press("Press 1", skill=skill),))
    place = replace(place, crew=(replace(person("Ana"), skills=(skill,) if skill else ()),))
    given = (order("A", line(print_("front"), sizes={"M": quantity})),)
    problem = build_day(place, given, MONDAY)
    return TryOut(problem=problem, instance=problem.instance, kept=Schedule(tasks=()))


def solved(instance: Instance) -> Schedule:
    result = solve(instance, effort=BRIEF)
    assert result.schedule is not None
    assert check(instance, result.schedule).passed
    return result.schedule


def test_overtime_lengthens_the_first_day_only_and_only_for_whom_it_is_asked() -> None:
    before = tried()
    after = with_overtime(before, ["Ana"])
    more = OVERTIME_MIN * 60 // before.instance.tick_s
    (old,), (new,) = before.instance.operators, after.instance.operators
    assert new.shifts[0].overtime_end == old.shifts[0].overtime_end + more
    assert new.shifts[0].end == old.shifts[0].end
    assert new.shifts[1:] == old.shifts[1:]
    assert after.instance.heating_days[0].end >= new.shifts[0].overtime_end
    assert with_overtime(before, []).instance.operators == before.instance.operators


def test_who_works_beyond_what_was_agreed_is_told() -> None:
    before = tried()
    assert beyond(before, solved(before.instance)) == ()
    after = with_overtime(before, ["Ana"])
    plan = solved(before.instance)
    longest = max(plan.tasks, key=lambda done: done.end)
    shift = after.instance.operators[0].shifts[0]
    late = replace(longest, end=shift.overtime_end, setup_start=shift.start, start=shift.start)
    assert beyond(before, Schedule(tasks=(late,))) == ("Ana",)


def test_one_more_person_works_until_closing_at_presses_without_a_skill() -> None:
    before = tried()
    after = with_helper(before)
    named = {name for task in after.instance.tasks for mode in task.modes for name, _ in mode.operators}
    assert named == {"Ana", HELPER}
    schedule = solved(after.instance)
    hours = helper_hours(schedule, after.instance)
    mine = [done for done in schedule.tasks if done.operator == HELPER]
    assert (hours is None) == (not mine)
    if hours is not None:
        assert hours[:2] == (min(one.setup_start for one in mine), max(one.end for one in mine))
        assert hours[2] == ("Press 1",)


def on_call(start: time, end: time, *, warm: time | None = None, before: time | None = None) -> str:
    """From when one more person is needed who presses from `start` to `end`, two minutes of set-up before.

    The crew is in from 8 to 12 and from 14 on; the press takes 15 minutes to heat. It is switched on at
    `warm` and was last used until `before`, by the crew.
    """
    place = replace(shop(), presses=(press("Press 1", warm_up_min=15.0),))
    place = replace(place, crew=(person("Ana", end=time(12)), person("Bo", start=time(14))))
    lines = [line(print_("front"), sizes={"M": 10}), line(print_("back"), sizes={"M": 10}, garment="bag")]
    problem = build_day(place, [order("A", lines[0]), order("B", lines[1])], MONDAY)
    tick_s = problem.instance.tick_s
    helped = with_helper(TryOut(problem=problem, instance=problem.instance, kept=Schedule(tasks=())))

    def tick(at: time) -> int:
        return (at.hour * 60 + at.minute) * 60 // tick_s

    first, second = helped.instance.tasks
    mode = second.modes[0]
    assert mode.warm_up == tick(time(0, 15))
    run = ScheduledTask(
        task=second.id,
        mode=mode.id,
        operator=HELPER,
        setup_start=tick(start) - tick(time(0, 2)),
        start=tick(start),
        end=tick(end),
    )
    earlier = replace(
        run, task=first.id, mode=first.modes[0].id, operator="Ana", setup_start=tick(time(8, 30))
    )
    tasks = () if before is None else (replace(earlier, start=earlier.setup_start, end=tick(before)),)
    warmed = (
        () if warm is None else (WarmUp(machine="Press 1", start=tick(warm), end=tick(warm) + mode.warm_up),)
    )
    hours = helper_hours(Schedule(tasks=(*tasks, run), warm_ups=warmed), helped.instance)
    assert hours is not None and hours[1:] == (tick(end), ("Press 1",))
    return f"{clock(MONDAY, hours[0], tick_s):%H:%M}"


@pytest.mark.parametrize(
    ("start", "warm", "before", "needed"),
    [
        (time(13, 14), time(12, 50), None, "12:50"),  # cold, and nobody is in to switch it on
        (time(10), time(9, 40), None, "09:58"),  # Ana is
        (time(13, 14), time(8), time(9), "12:59"),  # hot in the schedule, off since Ana left at 12
        (time(12, 10), time(8), time(9), "12:00"),  # before Ana leaves it need not go off
        (time(12, 6), time(8), time(9), "12:04"),  # it stays on for a few minutes
        (time(13, 14), time(11, 55), None, "12:59"),  # switched on by Ana, off again when she left
        (time(15), time(14), time(14, 30), "14:58"),  # Bo is in
    ],
)
def test_one_more_person_is_needed_from_when_the_press_is_switched_on(
    start: time, warm: time, before: time | None, needed: str
) -> None:
    end = start.replace(minute=start.minute + 10)
    assert on_call(start, end, warm=warm, before=before) == needed


def test_one_more_person_has_no_skill() -> None:
    after = with_helper(tried(skill="caps"))
    named = {name for task in after.instance.tasks for mode in task.modes for name, _ in mode.operators}
    assert named == {"Ana"}


def test_somebody_who_leaves_in_between_is_not_asked_to_stay() -> None:
    before = tried()
    assert can_stay_longer(before) == ("Ana",)
    away = PersonAway(person="Ana", start=datetime.combine(MONDAY, datetime.min.time()) + timedelta(hours=12))
    gone = replace(before, problem=replace(before.problem, between=Disruptions(away=(away,))))
    assert can_stay_longer(gone) == ()


def test_one_more_platen_counts_one_more() -> None:
    before = tried()
    kind = before.instance.platens[0].id
    after = with_platen(before, kind)
    for old, new in zip(before.instance.platens, after.instance.platens, strict=True):
        assert new.count == old.count + (new.id == kind)


@pytest.mark.parametrize(("split", "lots"), [(frozenset(), {1}), (frozenset({"A"}), {1, 2, 3})])
def test_an_order_may_be_offered_in_lots_however_short(split: frozenset[str], lots: set[int]) -> None:
    place = shop()
    given = (
        order("A", line(print_("front"), sizes={"M": 9})),
        order("B", line(print_("front"), sizes={"M": 9})),
    )
    problem = build_day(place, given, MONDAY, split=split)
    assert {content.lots for content in problem.contents.values() if content.order == "A"} <= lots
    assert {content.lots for content in problem.contents.values() if content.order == "B"} == {1}
    assert (len([c for c in problem.contents.values() if c.order == "A"]) > 1) == bool(split)
