"""No idle time that nobody needs: runs are pulled forward where no level is the worse for it."""

from __future__ import annotations

from dataclasses import replace
from random import Random

import pytest

from scheduler.domain.instance import (
    LEVELS,
    Day,
    Instance,
    Job,
    Machine,
    Mode,
    Operator,
    SetupPart,
    SetupTable,
    Shift,
    Task,
)
from scheduler.domain.schedule import Schedule, ScheduledTask
from scheduler.engine.early import as_early
from scheduler.engine.line import put_down_anew
from scheduler.verify.check import check
from tests.support.random_days import random_day
from tests.support.random_plans import random_plans


def two_days(*, heats_at_night: bool) -> Instance:
    """Two runs at one temperature on the first day, one at another that may be done on either.

    From one temperature to the other it takes 30 ticks, unless the press has been cold in between.
    """
    days = (Day(start=0, end=100), Day(start=200, end=300))
    table = SetupTable(from_none=(0, 0), ticks=((0, 30), (30, 0)))
    part = SetupPart(name="temperature", hands_off=True, ends_when_cold=heats_at_night, tables=(table,))

    def task(name: str, temperature: int) -> Task:
        mode = Mode(id="m", machine="press", state=(temperature,), operators=(("person", 20),))
        return Task(id=name, job=name, modes=(mode,))

    return Instance(
        name="two days",
        horizon=300,
        days=days,
        setup_parts=(part,),
        machines=(Machine(id="press", tables=(0,), initial=(0,)),),
        operators=(
            Operator(
                id="person",
                shifts=tuple(Shift(start=day.start, end=day.end, overtime_end=day.end) for day in days),
            ),
        ),
        jobs=tuple(Job(id=name, due=300) for name in "abc"),
        tasks=(task("a", 0), task("b", 0), task("c", 1)),
        levels=LEVELS,
    )


def done(task: str, start: int) -> ScheduledTask:
    return ScheduledTask(
        task=task, mode="m", operator="person", setup_start=start, start=start, end=start + 20
    )


WITH_A_GAP = Schedule(tasks=(done("a", 0), done("b", 60), done("c", 250)))


def test_a_gap_is_closed_and_what_saves_a_changeover_by_waiting_stays_on_its_day():
    instance = two_days(heats_at_night=True)
    found = as_early(instance, WITH_A_GAP)
    assert [(run.task, run.start) for run in found.tasks] == [("a", 0), ("b", 20), ("c", 200)]
    assert not check(instance, found).breaks


def test_a_run_comes_a_day_earlier_where_that_costs_nothing():
    instance = two_days(heats_at_night=False)
    later = Schedule(tasks=(done("a", 0), done("b", 60), replace(done("c", 250), setup_start=220)))
    found = as_early(instance, later)
    assert [(run.task, run.start) for run in found.tasks] == [("a", 0), ("b", 20), ("c", 70)]
    assert not check(instance, found).breaks


@pytest.mark.parametrize("seed", range(40))
def test_plans_that_dawdle_are_no_worse_and_no_later_afterwards(seed: int) -> None:
    rng = Random(seed)
    instance = random_day(seed, tasks=8)
    late = [
        replace(task, release=task.release + rng.randrange(instance.horizon // 8)) for task in instance.tasks
    ]
    (made,) = random_plans(instance, rng, 1).values()
    slow = put_down_anew(replace(instance, tasks=tuple(late)), made)
    before = check(instance, slow)
    found = as_early(instance, slow)
    after = check(instance, found)
    assert not before.breaks and not after.breaks
    worth = [[verdict.values[level] for level in instance.levels] for verdict in (before, after)]
    assert worth[1] <= worth[0]
    if set(found.left_over) == set(slow.left_over) and worth[0] == worth[1]:
        assert sum(run.end for run in found.tasks) <= sum(run.end for run in slow.tasks)
