"""Slack: longer work, how much of it, and bounds that hold for the plan that it gives."""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction
from itertools import permutations

import pytest

from scheduler.chance.chances import Replays
from scheduler.chance.slack import LEAST, MOST, all_sure, honest_levels, longer, score, share_for
from scheduler.chance.spread import NO_SPREAD, Spread
from scheduler.domain.plan import Plan
from scheduler.domain.schedule import LevelValue
from scheduler.engine.solve import solve
from scheduler.verify import check
from tests.published.changeovers import CHANGEOVERS
from tests.support.enumerator import in_sequence, values
from tests.support.eventful import morning
from tests.support.random_days import random_day


@pytest.fixture(scope="module")
def printed() -> Plan:
    return morning()


def test_all_pressing_is_longer_and_nothing_else() -> None:
    day = random_day(3)
    slow = longer(day, Fraction(10, 100))
    for before, after in zip(day.tasks, slow.tasks, strict=True):
        for mode, slower in zip(before.modes, after.modes, strict=True):
            assert slower.work == -(-mode.work * 11 // 10)
            assert [ticks for _, ticks in slower.operators] == [
                -(-ticks * 11 // 10) for _, ticks in mode.operators
            ]
            assert replace(slower, work=mode.work, operators=mode.operators) == mode
    assert replace(slow, tasks=day.tasks) == day


@pytest.mark.parametrize("seed", range(20))
def test_a_plan_for_longer_work_holds_for_the_true_times_and_is_no_later(seed: int) -> None:
    day = random_day(seed, tasks=6 + seed % 10)
    slow = longer(day, Fraction(20, 100))
    planned = solve(slow, effort="quick", stop=lambda: True).schedule
    assert planned is not None
    true = solve(day, effort="quick", near=planned, stop=lambda: True).schedule
    assert true is not None
    found = check(day, true)
    assert found.passed
    for name in ("left_over", "lateness"):
        assert found.values[name] <= check(slow, planned).values[name]


def test_bounds_hold_among_plans_that_keep_the_levels_before() -> None:
    """All 24 sequences of the ATCS example (M. Pinedo; from memory); 98 late at best, by enumeration."""
    day = next(case.instance for case in CHANGEOVERS if case.name.startswith("S11"))
    every = [
        values(day, in_sequence(day, [(task.id, task.modes[0].id) for task in order]))
        for order in permutations(day.tasks)
    ]
    best = min(every)
    known = [
        LevelValue(name=name, value=value, bound=value, proven=True)
        for name, value in zip(day.levels, best, strict=True)
    ]
    assert dict(zip(day.levels, best, strict=True))["lateness"] == 98
    for cost in every:
        told = honest_levels(day.levels, dict(zip(day.levels, cost, strict=True)), known)
        assert [level.value for level in told] == list(cost)
        for at, level in enumerate(told):
            kept = [other[at] for other in every if all(other[i] <= cost[i] for i in range(at))]
            assert level.bound <= min(kept) and level.bound <= level.value
            assert level.proven == (level.value == level.bound)
    assert all(
        level.proven for level in honest_levels(day.levels, dict(zip(day.levels, best, strict=True)), known)
    )


def test_more_is_asked_for_where_more_is_wanted(printed: Plan) -> None:
    replays = Replays(printed, Spread(), replays=300)
    shares = [share_for(replays, target) for target in (0.5, 0.8, 0.95)]
    assert LEAST <= shares[0] < shares[1] < shares[2] <= MOST
    assert share_for(Replays(printed, NO_SPREAD, replays=2), 0.9) == LEAST
    with pytest.raises(ValueError, match="more than 0 and less than 1"):
        share_for(replays, 1.0)


def test_what_goes_beyond_the_chance_asked_for_does_not_count(printed: Plan) -> None:
    still = Replays(printed, NO_SPREAD, replays=2).outcome
    on_time = still.on_time[0]
    assert score(still, 0.9) == pytest.approx(0.9 * float(still.weights[on_time].sum()))
    assert not all_sure(still, 0.9)  # the first plan of the example has late orders
    assert all_sure(still, 0.9) == bool(on_time.all())
