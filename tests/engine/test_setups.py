"""Changeovers looked up in pairs, part by part, or some of each: the same plans."""

from __future__ import annotations

import pytest

from scheduler.engine import setups
from scheduler.engine.backend import plain
from scheduler.engine.dispatching import first_lines
from scheduler.engine.flat import flatten
from scheduler.engine.local_search import Chain
from tests.support.random_days import random_day


def searched(instance):
    flattened = flatten(instance)
    chain = Chain(flattened, first_lines(flattened, plain(), limit=1)[0], seed=2, backend=plain())
    chain.run(300)
    return flattened.columns["loose_part"], chain.best, chain.cost


@pytest.mark.parametrize("seed", range(8))
def test_pairs_and_loose_parts_give_the_same_plans(seed, monkeypatch):
    instance = random_day(seed, tasks=9)
    parts = len(instance.setup_parts)
    loose, best, cost = searched(instance)
    assert loose == []
    for most in (200, 0):
        monkeypatch.setattr(setups, "MOST_PAIRS", most)
        fewer, again, same_cost = searched(instance)
        assert (again, same_cost) == (best, cost)
        assert len(fewer) == parts if most == 0 else len(fewer) <= parts
