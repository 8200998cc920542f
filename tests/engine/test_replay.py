"""Leaving out what stands where it stood: the same course as placing every task anew."""

from __future__ import annotations

import pytest

from scheduler.engine.backend import plain
from scheduler.engine.dispatching import first_lines
from scheduler.engine.flat import flatten
from scheduler.engine.kernel import layout, replay
from scheduler.engine.local_search import Chain
from tests.support.random_days import random_day, side_by_side


def course(seed: int):
    day = random_day(seed, tasks=8 + seed)
    flattened = flatten(side_by_side(day) if seed % 4 == 0 else day)
    chain = Chain(flattened, first_lines(flattened, plain(), limit=1)[0], seed=seed, backend=plain())
    chain.run(600)
    work = chain._memory[1]
    return chain.best, chain.cost, work[layout.ACCEPTED], work[layout.RANDOM]


@pytest.mark.parametrize("seed", range(16))
def test_tasks_left_where_they_stood_stand_where_they_would_be_placed(seed, monkeypatch):
    left = []
    unchanged = replay.unchanged

    def counted(*things) -> bool:
        left.append(unchanged(*things))
        return left[-1]

    monkeypatch.setattr(replay, "unchanged", counted)
    by_what_changes = course(seed)
    assert any(left)
    monkeypatch.setattr(replay, "unchanged", lambda *_: False)
    assert course(seed) == by_what_changes
