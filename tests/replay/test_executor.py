"""Plans carried out in a simulation: every run comes to its end, and at the printed time."""

from __future__ import annotations

from dataclasses import replace

import pytest

from scheduler.domain.plan import Plan
from scheduler.engine.effort import EFFORTS
from scheduler.engine.solve import solve
from scheduler.verify import check
from tests.published.changeovers import CHANGEOVERS
from tests.replay.events import sequence
from tests.replay.executor import carry_out
from tests.support.eventful import morning
from tests.support.random_days import random_day, side_by_side

LITTLE = replace(EFFORTS["quick"], moves=2_000, chains=1, deterministic=0.1)
"""Enough for four runs."""


@pytest.fixture(scope="module")
def printed() -> Plan:
    return morning()


def test_the_published_example_is_carried_out_without_any_printed_time() -> None:
    """M. Pinedo, example of the ATCS rule, from memory; 98 by enumeration. Nothing idles in it."""
    instance = next(case.instance for case in CHANGEOVERS if case.name.startswith("S11"))
    schedule = solve(instance, effort=LITTLE).schedule
    assert schedule is not None
    ended = carry_out(instance, schedule, early=True)
    assert sorted(ended.values()) == [10, 20, 34, 48]
    jobs = {job.id: job for job in instance.jobs}
    of = {task.id: jobs[task.job] for task in instance.tasks}
    assert sum(of[task].weight * max(0, end - (of[task].due or 0)) for task, end in ended.items()) == 98


@pytest.mark.parametrize("seed", range(60))
def test_a_random_day_is_carried_out_as_planned(seed: int) -> None:
    instance = random_day(seed, tasks=6 + seed % 10, machines=2 + seed % 2)
    if seed % 3 == 0:
        instance = side_by_side(instance)
    schedule = solve(instance, effort="quick", stop=lambda: True).schedule
    assert schedule is not None and check(instance, schedule).passed
    assert carry_out(instance, schedule) == {run.task: run.end for run in schedule.tasks}


def test_the_day_of_the_example_is_carried_out_as_planned(printed: Plan) -> None:
    ends = {run.task: run.end for run in printed.schedule.tasks}
    assert carry_out(printed.instance, printed.schedule) == ends


@pytest.mark.parametrize("what", ["operator", "platen", "warm-up"])
def test_a_plan_that_lacks_something_is_not_carried_out_as_printed(printed: Plan, what: str) -> None:
    instance, schedule = printed.instance, printed.schedule
    if what == "operator":
        crew = tuple(replace(one, shifts=()) for one in instance.operators)
        instance = replace(instance, operators=crew)
    elif what == "platen":
        schedule = replace(schedule, tasks=tuple(replace(one, mounts_platen=False) for one in schedule.tasks))
    else:
        schedule = replace(schedule, warm_ups=())
    assert carry_out(instance, schedule) != {run.task: run.end for run in schedule.tasks}


@pytest.mark.parametrize("seed", [1, 2])
def test_a_day_planned_again_is_carried_out_as_planned(printed: Plan, seed: int) -> None:
    found = sequence(printed, seed, steps=2)
    assert found.plans == 2 and not found.faults
