"""The model accepts a schedule exactly when the independent check passes it."""

from __future__ import annotations

import pkgutil
from collections.abc import Sequence
from random import Random

import pytest

from scheduler.domain.instance import Instance
from scheduler.domain.schedule import Schedule
from scheduler.engine.cpsat import rules
from scheduler.engine.cpsat.build import RULES
from scheduler.engine.cpsat.solve import accepts, improve
from scheduler.engine.cpsat.values import values_of
from scheduler.verify.check import all_rules, check
from tests.engine.cpsat.starts import disturbed, nothing_done
from tests.support.random_days import mutated, random_day, side_by_side
from tests.support.random_plans import random_plans


def test_every_rule_has_a_constraint_and_a_check() -> None:
    modules = {module.name for module in pkgutil.iter_modules(rules.__path__)}
    assert [rule.__module__.split(".")[-1] for rule in RULES] == [
        rule.__name__.removeprefix("add_") for rule in RULES
    ]
    assert {rule.__name__.removeprefix("add_") for rule in RULES} == modules == set(all_rules())


@pytest.mark.parametrize("seeds", [range(first, first + 4) for first in (0, 4, 8)])
def test_disturbed_schedules(seeds: range) -> None:
    passed, refused = (sum(counts) for counts in zip(*map(_agreed, seeds), strict=True))
    assert passed > 5
    assert refused > 10


@pytest.mark.parametrize("seeds", [(*range(5), 126), (*range(5, 10), 545), (*range(10, 15), 1374)])
def test_disturbed_schedules_of_days_that_are_begun_or_odd(seeds: Sequence[int]) -> None:
    # On the last of each, runs of no length on the same garments start at the same tick.
    passed = refused = 0
    for seed in seeds:
        rng = Random(f"odd {seed}")
        day = mutated(random_day(seed, tasks=4 + seed % 3, days=1 + seed % 2, machines=3), rng)
        plans = list(random_plans(day, rng, 5).values())
        for plan in plans:
            verdict = check(day, plan)
            assert verdict.passed, verdict.breaks
            assert accepts(day, plan)
            assert values_of(day, plan) == verdict.values
        counts = _agreed_from(day, plans, rng, 12)
        passed, refused = passed + counts[0], refused + counts[1]
    assert passed > 5
    assert refused > 10


def _agreed(seed: int) -> tuple[int, int]:
    """Schedules that both passed and both refused, near the best of a random day."""
    day = random_day(seed, tasks=6, days=2 if seed % 3 == 0 else 1)
    if seed % 2:
        day = side_by_side(day)
    good = [improve(day, nothing_done(day), deterministic_limit=0.2, seed=1)[0]]
    return _agreed_from(day, good, Random(seed), 15)


def _agreed_from(day: Instance, good: list[Schedule], rng: Random, count: int) -> tuple[int, int]:
    """Of schedules near to some that obey the rules: how many both passed and both refused."""
    passed = refused = 0
    for _ in range(count):
        schedule = disturbed(day, rng.choice(good), rng)
        verdict = check(day, schedule)
        assert accepts(day, schedule) == verdict.passed, verdict.breaks
        passed += verdict.passed
        refused += not verdict.passed
        if verdict.passed:
            assert values_of(day, schedule) == verdict.values
            good.append(schedule)
    return passed, refused
