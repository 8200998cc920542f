"""Later days and overtime only for what paid hours can't hold in time."""

from __future__ import annotations

from dataclasses import replace

import pytest

from scheduler.domain.instance import Day, Instance, Job, Machine, Operator, Printed, Shift
from scheduler.domain.schedule import Result
from scheduler.engine.paid_hours import in_paid_hours, solve_day
from scheduler.engine.solve import Progress, solve
from scheduler.verify import check
from tests.benchmarks.days import read_day
from tests.support.random_days import random_day
from tests.support.tiny import at, instance, part, plan, task, way

DAYS = (Day(start=0, end=60), Day(start=100, end=160))
PERSON = Operator(
    id="Ann",
    shifts=(Shift(start=0, end=50, overtime_end=60), Shift(start=100, end=150, overtime_end=160)),
)
HEAT = part("temperature", 2, 6, hands_off=True, ends_when_cold=True)


def two_temperatures(*, due: int | None = None, work: int = 20) -> Instance:
    """Two runs at one press, for each its own temperature: six ticks to change over, nothing overnight."""
    by = (("Ann", work),)
    return instance(
        task("cool", way(state=(0,), operators=by), job="K"),
        task("hot", way(state=(1,), operators=by), job="L"),
        machines=(Machine(id="A", tables=(0,), initial=(0,)),),
        jobs=(Job(id="K", due=due), Job(id="L", due=due)),
        days=DAYS,
        operators=(PERSON,),
        setup_parts=(HEAT,),
        horizon=160,
    )


def values(result: Result) -> dict[str, int]:
    return {level.name: level.value for level in result.levels}


def test_nothing_is_put_off_to_save_a_changeover():
    """The levels alone wait for the night, in which the press cools down anyway; a shop would not."""
    day = two_temperatures()
    assert values(solve(day, effort="quick"))["changeover"] == 0
    found = values(solve_day(day, effort="quick"))
    assert found["changeover"] == 6
    assert found["finish"] == 46


def test_no_overtime_to_save_a_changeover():
    """Paid hours hold 50 ticks a day; what they don't hold goes on the next morning."""
    day = two_temperatures(work=22)
    # In the first day's paid hours there is room for both with their changeover: 22 + 6 + 22 = 50.
    found = solve_day(day, effort="quick")
    assert values(found)["overtime"] == 0
    assert values(found)["finish"] == 50
    # A tick more, and it goes on the next morning, not in overtime.
    longer = values(solve_day(two_temperatures(work=23), effort="quick"))
    assert longer["overtime"] == 0
    assert longer["finish"] == 123


def test_overtime_and_later_days_still_avoid_lateness():
    """Both are due on the first evening: one of them in overtime, since paid hours hold one and no more."""
    day = two_temperatures(due=60, work=25)
    found = values(solve_day(day, effort="quick"))
    assert found["lateness"] == values(solve(day, effort="quick"))["lateness"] == 0
    assert found["overtime"] == 6


def busy(*, last: int) -> Instance:
    """Two runs due at 20 that take 20 each, so one is late in any plan; a third is due any time."""
    by = (("Ann", 20),)
    return replace(
        two_temperatures(),
        jobs=(Job(id="K", due=20), Job(id="L", due=20), Job(id="M")),
        tasks=(
            task("first", way(state=(0,), operators=by), job="K"),
            task("second", way(state=(0,), operators=by), job="L"),
            task("hot", way(state=(1,), operators=(("Ann", last),)), job="M"),
        ),
    )


def test_on_a_late_day_nothing_is_put_off_for_a_changeover_either():
    """Order chains know of no lateness, so no trial shows that paid hours do; the plan itself tells."""
    day = busy(last=4)
    free = values(solve(day, effort="quick"))
    assert (free["lateness"], free["changeover"], free["finish"]) == (20, 0, 104)
    found = solve_day(day, effort="quick")
    told = values(found)
    assert (told["lateness"], told["changeover"], told["overtime"], told["finish"]) == (20, 6, 0, 50)
    assert found.schedule is not None
    assert check(day, found.schedule).passed


def test_on_a_late_day_no_overtime_is_worked_to_put_less_off():
    """A tick more of work would need a tick of overtime: that waits for the morning."""
    told = values(solve_day(busy(last=5), effort="quick"))
    assert (told["overtime"], told["finish"]) == (0, 105)


def test_the_rest_of_a_day_is_not_put_off_either():
    """What is printed first stays; the other run moves as many points on this day as on the next."""
    day = two_temperatures()
    sheets = (
        Printed(task="cool", machine="A", operator="Ann", before=None, start=0),
        Printed(task="hot", machine="A", operator="Ann", before="cool", start=26),
    )
    levels = ("left_over", "lateness", "moved", "changeover", "changeovers", "overtime", "finish")
    begun = replace(day, printed=sheets, levels=levels)
    late = replace(begun, tasks=(begun.tasks[0], replace(begun.tasks[1], release=30)))
    kept = plan(at("cool", 0, 20, by="Ann"))
    free = values(solve(late, effort="quick", near=kept))
    found = values(solve_day(late, effort="quick", near=kept))
    assert found["moved"] == free["moved"]
    assert found["finish"] == 50
    assert found["overtime"] == 0


def test_what_no_plan_can_avoid_is_no_reason_to_wait():
    """Late in every plan by the same ticks: paid hours still do."""
    day = two_temperatures(due=10)
    late = values(solve(day, effort="quick"))["lateness"]
    found = values(solve_day(day, effort="quick"))
    assert found["lateness"] == late


@pytest.mark.parametrize("seed", range(24))
def test_the_plan_obeys_the_whole_day_and_is_no_later(seed: int):
    """The independent check of the whole instance passes it, with the values that are stated."""
    day = random_day(seed, tasks=5, days=2)
    found, free = solve_day(day, effort="quick"), solve(day, effort="quick")
    assert found.schedule is not None
    verdict = check(day, found.schedule)
    assert verdict.passed, verdict.breaks
    assert {level: verdict.values[level] for level in day.levels} == values(found)
    first = ("left_over", "lateness")
    assert [values(found)[level] for level in first] <= [values(free)[level] for level in first]


def test_a_shops_day_that_fits_is_done_on_the_day():
    """A generated day of 30 runs at 70 % of the hours, which by its levels alone may end a day later."""
    day = read_day("days-30-070-1")
    assert len(day.heating_days) > 1
    found = solve_day(day, effort="quick")
    assert found.schedule is not None
    assert max(done.end for done in found.schedule.tasks) <= max(
        person.shifts[0].end for person in day.operators
    )
    assert values(found)["overtime"] == values(found)["lateness"] == values(found)["left_over"] == 0


def test_the_same_plan_again():
    day = read_day("days-8-085-2")
    assert solve_day(day, effort="quick").schedule == solve_day(day, effort="quick").schedule


def test_a_stop_leaves_a_plan():
    """Stopped before anything is tried, there is still the first plan of the whole day."""
    day = two_temperatures()
    found = solve_day(day, effort="normal", stop=lambda: True)
    assert found.schedule is not None
    assert check(day, found.schedule).passed


def test_time_goes_on_behind_the_trial():
    """Who watches sees one search: seconds never go back, and the result counts them all."""
    seen: list[Progress] = []
    found = solve_day(read_day("days-30-070-1"), effort="quick", progress=seen.append)
    times = [state.elapsed_s for state in seen]
    assert times == sorted(times)
    assert found.runtime_s >= times[-1]
    assert found.moves >= seen[-1].moves


def test_hours_are_cut():
    """Breaks end with the shift, shifts of later days go, and the first days stay."""
    shifts = (
        Shift(start=0, end=50, overtime_end=70, breaks=((20, 25), (45, 55), (60, 62))),
        Shift(start=100, end=150, overtime_end=150),
    )
    day = replace(two_temperatures(), operators=(Operator(id="Ann", shifts=shifts),))
    cut = in_paid_hours(day, 1)
    assert cut.days == DAYS[:1]
    assert cut.horizon == 60
    assert cut.operators[0].shifts == (Shift(start=0, end=50, overtime_end=50, breaks=((20, 25), (45, 50))),)
    assert in_paid_hours(day, 2).operators[0].shifts[1] == shifts[1]


def test_what_ended_the_search_is_told():
    """The seconds that were given, whichever search they ended; nothing where nothing was ended."""
    day = read_day("days-30-070-1")
    short = solve_day(day, effort="thorough", seconds=0.5)
    assert short.stopped_early
    assert short.time_limit_s == 0.5
    whole = solve_day(two_temperatures(), effort="quick")
    assert not whole.stopped_early
    assert whole.time_limit_s is None
