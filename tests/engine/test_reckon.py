"""What a move costs in changeovers, reckoned before it is carried out: the same as the decoder finds."""

from __future__ import annotations

from collections import Counter
from dataclasses import replace

import pytest

from scheduler.domain.instance import Instance
from scheduler.engine.backend import plain
from scheduler.engine.dispatching import first_lines
from scheduler.engine.flat import flatten
from scheduler.engine.kernel import layout, reckon, search
from scheduler.engine.kernel.decode import decode
from scheduler.engine.kernel.edits import build
from scheduler.engine.kernel.moves import propose
from scheduler.engine.local_search import Chain
from tests.benchmarks.days import read_day
from tests.support.random_days import random_day, side_by_side

NO_LIMIT = 1 << 60
SEEDS = range(12)


def roomy(day: Instance) -> Instance:
    """The same with a platen of each kind for every machine, and never two machines under one run."""
    return replace(
        day,
        platens=tuple(replace(platen, count=len(day.machines)) for platen in day.platens),
        tasks=tuple(
            replace(task, modes=tuple(mode for mode in task.modes if mode.mate is None)) for task in day.tasks
        ),
    )


def chain_on(day: Instance, seed: int) -> Chain:
    flattened = flatten(day)
    chain = Chain(flattened, first_lines(flattened, plain(), limit=1)[0], seed=seed, backend=plain())
    chain.run(150)
    return chain


def reckoned(chain: Chain, moves: int) -> Counter[str]:
    """How often what is reckoned is what the decoder finds, by whether something is left over."""
    flat, work, state, snapshots = chain._memory
    found: Counter[str] = Counter()
    now, cost = work[layout.W_COST], flat[layout.AT_COST]
    for _ in range(moves):
        first = -1
        if propose(flat, work):
            reckon.reckon(flat, work, snapshots)
            first = build(flat, work)
        if first >= 0:
            decode(flat, state, work, snapshots, first, NO_LIMIT)
            left = state[cost + layout.LEFT_OVER] or work[now + layout.LEFT_OVER]
            rises = [
                state[cost + slot] - work[now + slot] for slot in (layout.CHANGEOVER, layout.CHANGEOVERS)
            ]
            same = rises == [work[layout.RISE], work[layout.RISE_COUNT]]
            found["left over" if left else "same" if same else "other"] += 1
        search.undo(flat, work)
    return found


@pytest.mark.parametrize("seed", SEEDS)
def test_changeovers_of_a_move_are_reckoned_as_they_are_decoded(seed):
    found = reckoned(chain_on(roomy(random_day(seed, tasks=8 + seed, days=1)), seed), 150)
    assert found["other"] == 0
    assert found["same"] + found["left over"] > 50


def test_most_of_what_was_compared_left_nothing_over():
    found = Counter[str]()
    for seed in SEEDS:
        found += reckoned(chain_on(roomy(random_day(seed, tasks=8 + seed, days=1)), seed), 50)
    assert found["same"] > found["left over"]


def test_scarce_platens_and_nights_make_few_changeovers_other_than_reckoned():
    found = Counter[str]()
    for seed in SEEDS:
        found += reckoned(chain_on(random_day(seed, tasks=8 + seed), seed), 100)
    assert 0 < found["other"] < found["same"] / 7


def judged(chain: Chain, moves: int, monkeypatch) -> Counter[str]:
    """Of moves of a search: how many are refused unseen, and how many of those would have been taken."""
    found: Counter[str] = Counter()
    _, _, state, snapshots = chain._memory
    too_dear = reckon.too_dear

    def watched(flat, work, start, limit, energy) -> bool:
        refused = too_dear(flat, work, start, limit, energy)
        found["moves"] += 1
        found["refused"] += refused
        if refused:
            outs = [work[work[layout.W_OUTS] + k] for k in range(work[layout.OUTS])]
            first = build(flat, work)
            if first >= 0 and decode(flat, state, work, snapshots, first, limit):
                found["would have been taken"] += 1
            for position in outs:
                work[work[layout.W_OUT] + work[work[layout.W_TASKS] + position]] = 1
        return refused

    monkeypatch.setattr(search, "too_dear", watched)
    chain.run(moves)
    return found


@pytest.mark.parametrize("day", ["days-30-070-1", "days-30-070-2"])
def test_hardly_a_move_is_refused_that_would_have_been_taken(day, monkeypatch):
    found = judged(chain_on(read_day(day), 1), 1200, monkeypatch)
    assert found["refused"] > found["moves"] / 4
    assert found["would have been taken"] < found["refused"] / 40


def test_days_with_two_machines_under_one_run_are_not_reckoned(monkeypatch):
    day = side_by_side(random_day(4, tasks=12))
    assert any(mode.mate for task in day.tasks for mode in task.modes)
    found = judged(chain_on(day, 4), 200, monkeypatch)
    assert found["moves"] > 0
    assert found["refused"] == 0


def test_where_nothing_is_changed_over_nothing_is_refused(monkeypatch):
    day = random_day(5, tasks=12)
    levels = tuple(level for level in day.levels if level not in ("changeover", "changeovers"))
    found = judged(chain_on(replace(day, levels=levels), 5), 200, monkeypatch)
    assert found["moves"] > 0
    assert found["refused"] == 0
