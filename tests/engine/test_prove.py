"""What is searched whole, and what stands at the end of every search."""

from __future__ import annotations

from dataclasses import replace
from random import Random

import pytest

from scheduler.domain.instance import LEVELS, Instance
from scheduler.domain.schedule import LevelValue, Schedule, Status
from scheduler.engine import solve as solving
from scheduler.engine.bounds import level_values
from scheduler.engine.cpsat.build import RULES, build
from scheduler.engine.cpsat.solve import improve
from scheduler.engine.cpsat.solver import StoppedError
from scheduler.engine.cpsat.values import values_of
from scheduler.engine.prove import MOST_LINKS, WHOLE, prove, small
from scheduler.engine.solve import Effort, solve
from tests.benchmarks.days import read_day
from tests.engine.cpsat.shops import ARTWORK, mode, shop, task
from tests.engine.cpsat.starts import nothing_done
from tests.support.random_days import random_day
from tests.support.random_plans import random_plans

SHORT = Effort(rules=2, moves=200, moves_by_size=200, steps=10**6, chains=1, deterministic=0, seconds=60)


def test_what_is_left_over_counts_as_large_as_what_is_done() -> None:
    for count, whole in ((WHOLE, True), (WHOLE + 1, False)):
        day = shop(*(task(f"t{at}", mode(5, state=(0,))) for at in range(count)), parts=(ARTWORK,))
        assert small(day, nothing_done(day)) is whole


def test_choices_count_once_and_a_day_of_eight_runs_with_all_its_lots_is_small() -> None:
    day = read_day("days-8-115-1")
    assert len(day.tasks) == 45
    assert len(nothing_done(day).left_over) <= WHOLE
    assert small(day, nothing_done(day))


@pytest.mark.parametrize(("lots", "whole"), [(199, True), (200, False)])
def test_a_model_of_very_many_ways_is_not_small_for_a_plan_that_takes_one(lots: int, whole: bool) -> None:
    names = [f"t{at}" for at in range(lots)]
    day = shop(
        *(task(name, mode(5, state=(0,)), job="j") for name in ("all", *names)),
        parts=(ARTWORK,),
        choices=[(("all",), tuple(names))],
    )
    assert MOST_LINKS == 200**2
    assert small(day, Schedule(tasks=(), left_over=("all",))) is whole


def test_a_model_that_is_to_stop_is_not_built_to_the_end() -> None:
    day = random_day(3, tasks=8)
    asked = []

    def at_last() -> bool:
        asked.append(None)
        return len(asked) > len(RULES)

    with pytest.raises(StoppedError):
        build(day, stop=at_last)
    assert build(day, stop=lambda: False).instance is day
    start = nothing_done(day)
    assert improve(day, start, deterministic_limit=1.0, seed=1, stop=lambda: True)[0] is start


def test_what_the_check_refuses_is_not_handed_out(
    monkeypatch: pytest.MonkeyPatch, engine_errors: list[str]
) -> None:
    day = random_day(2, tasks=6)
    right = solve(day, effort=SHORT)
    assert right.schedule is not None

    def wrong(
        instance: Instance, schedule: Schedule, *_: object, **__: object
    ) -> tuple[Schedule, tuple[LevelValue, ...]]:
        first = schedule.tasks[0]
        early = replace(first, start=first.start - 1, end=first.end - 1)
        levels = tuple(replace(level, bound=level.value, proven=True) for level in right.levels)
        return replace(schedule, tasks=(early, *schedule.tasks[1:])), levels

    monkeypatch.setattr(solving, "prove", wrong)
    found = solve(day, effort=SHORT)
    assert found.status is Status.FEASIBLE
    assert found.schedule == right.schedule
    assert [(level.value, level.bound, level.proven) for level in found.levels] == [
        (level.value, 0, False) for level in right.levels
    ]
    assert len(engine_errors) == 1
    assert engine_errors[0].startswith(
        "the check refuses the plan, and that of the search is kept: changeover:"
    )
    engine_errors.clear()


def test_what_costs_more_than_is_said_is_not_handed_out(
    monkeypatch: pytest.MonkeyPatch, engine_errors: list[str]
) -> None:
    day = random_day(2, tasks=6)

    def wrong(
        instance: Instance, schedule: Schedule, *_: object, **__: object
    ) -> tuple[Schedule, tuple[LevelValue, ...]]:
        levels = level_values(instance, values_of(instance, schedule), dict.fromkeys(LEVELS, 0))
        return schedule, (*levels[:-1], replace(levels[-1], value=levels[-1].value - 1))

    monkeypatch.setattr(solving, "prove", wrong)
    found = solve(day, effort=SHORT)
    finish = found.levels[-1].value
    assert engine_errors == [
        f"the check refuses the plan, and that of the search is kept: finish is {finish} and not {finish - 1}"
    ]
    engine_errors.clear()


def test_what_was_shown_of_a_plan_is_not_said_of_a_better_one_that_costs_more_at_a_later_level() -> None:
    # The late one changes over little and finishes at 86, as early as such plans can; the best one by 64.
    day = random_day(101, tasks=4)
    plans = random_plans(day, Random(101), 30).values()
    late = min(plans, key=lambda plan: values_of(day, plan)["changeover"])
    before = values_of(day, late)
    best, levels = prove(day, late, 4.0, 1, lambda: False, states=100_000)
    after = values_of(day, best)
    assert after["lateness"] < before["lateness"] and after["changeover"] > before["changeover"]
    assert all(level.bound <= level.value for level in levels)
    assert next(level for level in levels if level.name == "finish").proven
