"""Parallel tempering: the same again, however it is cut into pieces and on whichever kernel."""

from __future__ import annotations

from dataclasses import replace

import pytest

from scheduler.engine import tempering
from scheduler.engine.backend import plain
from scheduler.engine.dispatching import first_lines
from scheduler.engine.effort import BRIEF
from scheduler.engine.flat import flatten
from scheduler.engine.kernel import layout
from scheduler.engine.line import line_cost
from scheduler.engine.memory import COLDEST, cooling_path, trades_lateness
from scheduler.engine.solve import solve
from scheduler.engine.tempering import TemperedChain, worth_tempering
from scheduler.verify.check import check
from tests.support.kernels import compiled_copy
from tests.support.random_days import random_day

BUDGET = 4_000


@pytest.fixture(autouse=True)
def short_turns(monkeypatch):
    """So that a few moves see exchanges and coolings."""
    monkeypatch.setattr(tempering, "TURN", 20)


def chain_of(instance, backend, seed=3, budget=BUDGET):
    flattened = flatten(instance)
    starts = first_lines(flattened, plain(), limit=3)
    return TemperedChain(flattened, starts, seed=seed, backend=backend, budget=budget)


def random_day_with_cut_offs(seed, tasks):
    """A random day on which lateness is set against changeovers."""
    instance = random_day(seed, tasks=tasks)
    assert trades_lateness(flatten(instance))
    return instance


def test_pieces_of_any_size_give_the_same_course():
    instance = random_day_with_cut_offs(5, 10)
    whole, pieces = chain_of(instance, plain()), chain_of(instance, plain())
    whole.run(2_000)
    for size in (1, 299, 50, 1_650):
        pieces.run(size)
    assert whole.best == pieces.best
    assert whole.cost == pieces.cost
    assert whole.moves == pieces.moves == 2_000
    assert [chain.energy_parts for chain in whole._replicas] == [
        chain.energy_parts for chain in pieces._replicas
    ]


def test_compiled_and_plain_kernel_give_the_same_course():
    compiled = compiled_copy()
    instance = random_day_with_cut_offs(8, 12)
    slow, fast, changed = (chain_of(instance, copy) for copy in (plain(), compiled, plain()))
    slow.run(BUDGET)
    fast.run(BUDGET)
    changed.run(1_701)  # in the middle of a turn
    changed.switch(compiled)
    changed.run(BUDGET - 1_701)
    assert slow.best == fast.best == changed.best
    assert slow.cost == fast.cost == changed.cost


def test_what_it_says_is_the_best_of_all_that_was_found():
    instance = random_day_with_cut_offs(5, 10)
    flattened = flatten(instance)
    chain = chain_of(instance, plain())
    before = chain.cost
    for _ in range(20):
        chain.run(BUDGET // 20)
        assert chain.cost <= before
        assert line_cost(flattened, chain.best) == chain.cost
        before = chain.cost


def test_replicas_exchange_temperatures_and_keep_the_ladder():
    chain = chain_of(random_day_with_cut_offs(5, 10), plain())
    order = list(chain._replicas)
    chain.run(1_000)
    assert chain._replicas != order
    assert {id(one) for one in chain._replicas} == {id(one) for one in order}
    for one, (heat, pressure) in zip(chain._replicas, chain._levels, strict=True):
        work = one._memory[1]
        assert one.heat == heat
        assert work[work[layout.W_PRESSURE]] == pressure
    heats = [heat for heat, _ in chain._levels]
    pressures = [pressure for _, pressure in chain._levels]
    assert heats == sorted(heats, reverse=True)
    assert pressures == sorted(pressures)


def test_what_is_surely_better_at_both_temperatures_is_exchanged_and_what_is_surely_worse_is_not():
    chain = chain_of(random_day_with_cut_offs(5, 10), plain())
    chain.run(320)
    by_cost = sorted(chain._replicas, key=lambda one: one.energy_parts[0] + one.energy_parts[1])
    best, worst = by_cost[0], by_cost[-1]
    assert best.energy_parts != worst.energy_parts
    others = [one for one in chain._replicas if one not in (best, worst)]
    chain._levels = [(1_000_000, 16), (1, 16)] * (len(chain._replicas) // 2)
    chain._replicas = [best, worst, *others]
    chain._odd = 0
    chain._exchange()
    assert chain._replicas[:2] == [worst, best]
    chain._odd = 0
    chain._exchange()
    assert chain._replicas[:2] == [worst, best]


def test_stages_end_with_a_cooling_and_the_last_with_the_budget():
    chain = chain_of(random_day_with_cut_offs(5, 10), plain())
    ends, cooling = [], False
    for move in range(1, BUDGET + 1):
        chain.run(1)
        if cooling and not chain._cooled:
            ends.append(move)
        cooling = bool(chain._cooled)
    assert [round(end * 8 / BUDGET) for end in ends] == [1, 2, 4, 8]
    assert ends[-1] == BUDGET


def test_a_search_that_the_seconds_end_cools_down_first():
    """Whenever it is told, and told again: it ends with what was foreseen."""
    chain = chain_of(random_day_with_cut_offs(5, 10), plain(), budget=100 * BUDGET)
    chain.run(500)
    chain.aim(2_000)
    assert not chain._cooled
    chain.run(1_000)
    chain.aim(1_000)
    chain.run(900)
    assert chain._cooled
    chain.run(100)
    assert not chain._cooled
    assert chain.moves == 2_500


def test_it_is_for_long_searches_that_set_lateness_against_changeovers():
    instance = random_day_with_cut_offs(5, 10)
    flattened = flatten(instance)
    least = tempering.MOVES_SQUARE * 10**2
    assert worth_tempering(flattened, least, 10)
    assert not worth_tempering(flattened, least - 1, 10)
    finish_first = replace(instance, levels=("left_over", "finish"))
    assert not worth_tempering(flatten(finish_first), least, 10)


def test_a_part_of_a_cooling_is_as_the_whole_there():
    flattened = flatten(random_day_with_cut_offs(5, 10))
    whole, part = cooling_path(flattened), cooling_path(flattened, 0.0, 0.5)
    assert (whole.heats[0], whole.heats[-1]) == (4096, round(4096 * COLDEST))
    assert part.heats[::2] == pytest.approx(whole.heats[:128], abs=1)
    assert part.pressures[::2] == pytest.approx(whole.pressures[:128], abs=1)


def test_the_engine_tempers_where_it_is_worth_it(monkeypatch):
    instance = random_day_with_cut_offs(8, 12)
    used = []
    whole = TemperedChain.run
    monkeypatch.setattr(TemperedChain, "run", lambda self, moves: (used.append(moves), whole(self, moves)))
    results = []
    for square in (10**9, 1):
        monkeypatch.setattr(tempering, "MOVES_SQUARE", square)
        results.append(solve(instance, effort=replace(BRIEF, moves=3_000)))
        assert bool(used) == (square == 1)
        assert check(instance, results[-1].schedule).passed
    again = solve(instance, effort=replace(BRIEF, moves=3_000))
    assert again.schedule == results[-1].schedule
