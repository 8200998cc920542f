"""The model accepts a schedule exactly when the independent check passes it."""

from __future__ import annotations

import pkgutil
from random import Random

import pytest

from scheduler.engine.cpsat import rules
from scheduler.engine.cpsat.build import RULES
from scheduler.engine.cpsat.solve import accepts, improve
from scheduler.engine.cpsat.values import values_of
from scheduler.verify.check import all_rules, check
from tests.engine.cpsat.starts import disturbed, nothing_done
from tests.support.random_days import random_day, side_by_side


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


def _agreed(seed: int) -> tuple[int, int]:
    """Schedules that both passed and both refused, near the best of a random day."""
    rng = Random(seed)
    day = random_day(seed, tasks=6, days=2 if seed % 3 == 0 else 1)
    if seed % 2:
        day = side_by_side(day)
    good = [improve(day, nothing_done(day), deterministic_limit=0.2, seed=1)[0]]
    passed = refused = 0
    for _ in range(15):
        schedule = disturbed(day, rng.choice(good), rng)
        verdict = check(day, schedule)
        assert accepts(day, schedule) == verdict.passed, verdict.breaks
        passed += verdict.passed
        refused += not verdict.passed
        if verdict.passed:
            assert values_of(day, schedule) == verdict.values
            good.append(schedule)
    return passed, refused
