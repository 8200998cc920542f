"""No bound is above any plan that it speaks of, be it found by a search or made at random."""

from __future__ import annotations

from random import Random

import pytest

from scheduler.engine.cpsat.raised_bounds import raised_bounds
from scheduler.engine.solve import Effort, solve
from scheduler.verify.check import check
from tests.support.random_days import mutated, random_day
from tests.support.random_plans import random_plans

SHORT = Effort(rules=2, moves=400, moves_by_size=400, steps=10**6, chains=1, deterministic=0.1, seconds=60)


@pytest.mark.parametrize("seed", [*range(8, 24), 25, 73, 78, 520])
def test_no_bound_is_above_a_plan_of_a_pool(seed: int) -> None:
    rng = Random(f"pool {seed}")
    day = random_day(
        seed,
        tasks=rng.choice((3, 4, 5, 5)),
        days=rng.choice((1, 2, 2, 3)),
        machines=rng.choice((1, 2, 2, 3)),
        operators=rng.choice((1, 2, 2)),
    )
    day = mutated(day, rng)
    pool = random_plans(day, rng, 150)
    for cost, plan in pool.items():
        verdict = check(day, plan)
        assert verdict.passed, verdict.breaks
        assert cost == tuple(verdict.values[level] for level in day.levels)
    result = solve(day, effort=SHORT)
    assert result.schedule is not None
    values = check(day, result.schedule).values
    found = tuple(values[level] for level in day.levels)
    costs = sorted({*pool, found})
    plans = pool | {found: result.schedule}
    for level, at in ((level, at) for at, level in enumerate(result.levels)):
        assert level.bound <= min(c[at] for c in costs if _keeps(c, found, at)), level.name
    for mine in {found, costs[-1]}:
        shown = raised_bounds(day, plans[mine], deterministic_limit=0.15)
        for at, level in enumerate(day.levels):
            assert shown[level] <= min(c[at] for c in costs if _keeps(c, mine, at)), (level, mine)


def _keeps(cost: tuple[int, ...], other: tuple[int, ...], levels: int) -> bool:
    """Whether a cost is no worse than another one at so many levels."""
    return all(a <= b for a, b in zip(cost[:levels], other[:levels], strict=True))
