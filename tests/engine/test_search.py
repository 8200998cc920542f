"""The search: the same again, however it is cut into pieces and on whichever kernel."""

from __future__ import annotations

from dataclasses import replace

import pytest

from scheduler.domain.instance import LEVELS, Instance, Job, Machine, Mode, Task
from scheduler.domain.schedule import Status
from scheduler.engine import backend as backends
from scheduler.engine import pace as pacing
from scheduler.engine.backend import plain
from scheduler.engine.baseline import as_they_come_line
from scheduler.engine.bounds import level_values
from scheduler.engine.clock import Clock
from scheduler.engine.cpsat.raised_bounds import raised_bounds
from scheduler.engine.dispatching import first_lines
from scheduler.engine.effort import BRIEF
from scheduler.engine.flat import flatten
from scheduler.engine.kernel import layout
from scheduler.engine.kernel.search import first_temperature
from scheduler.engine.line import line_cost
from scheduler.engine.local_search import FIRST_CYCLE, Chain, cycle_length, cycles_of, first_cycles
from scheduler.engine.memory import new_work
from scheduler.engine.solve import EFFORTS, Progress, solve
from scheduler.verify.check import check
from tests.benchmarks.catalogue import chosen, entries
from tests.support.kernels import compiled_copy
from tests.support.random_days import random_day


def chain_of(instance, backend, seed=3):
    flattened = flatten(instance)
    return Chain(flattened, first_lines(flattened, plain(), limit=1)[0], seed=seed, backend=backend)


def test_pieces_of_any_size_give_the_same_course():
    instance = random_day(5, tasks=10)
    whole, pieces = chain_of(instance, plain()), chain_of(instance, plain())
    whole.run(900)
    for size in (1, 299, 50, 550):
        pieces.run(size)
    assert whole.best == pieces.best
    assert whole.moves == pieces.moves == 900


def test_compiled_and_plain_kernel_give_the_same_course():
    compiled = compiled_copy()
    for seed in (1, 8):
        instance = random_day(seed, tasks=12)
        slow, fast, changed = (chain_of(instance, copy) for copy in (plain(), compiled, plain()))
        slow.run(1500)
        fast.run(1500)
        changed.run(700)
        changed.switch(compiled)
        changed.run(800)
        assert slow.best == fast.best == changed.best
        assert slow.cost == fast.cost
        flattened = flatten(instance)
        assert as_they_come_line(flattened, compiled) == as_they_come_line(flattened, plain())


def test_a_large_day_says_its_bounds_once_the_search_is_under_way(monkeypatch):
    """Same plan and same bounds at the end as a day that is taken for a small one."""
    instance = random_day(8, tasks=12)
    effort = replace(BRIEF, moves=3_000)
    told: dict[bool, list[Progress]] = {True: [], False: []}
    results = {}
    for large, options in ((True, 0), (False, 10**9)):
        monkeypatch.setattr("scheduler.engine.solve.LARGE", options)
        results[large] = solve(instance, effort=effort, progress=told[large].append)
    assert results[True].schedule == results[False].schedule
    assert results[True].levels == results[False].levels
    first = {large: next(state for state in told[large] if state.note == "first plan") for large in told}
    assert not first[True].bounds and first[False].bounds
    assert told[True][-1].bounds == told[False][-1].bounds != {}


@pytest.mark.parametrize(
    ("moves", "cycles"), [(1, 1), (13_499, 1), (13_501, 2), (62_499, 2), (62_501, 3), (4_000_003, 10)]
)
def test_cycles_are_alike_and_end_with_the_moves(moves, cycles):
    """Of ten runs: 4,000 moves make one cycle, 32,000 two of 16,000, 108,000 three of 36,000."""
    length = cycle_length(moves, 10)
    assert -(-moves // length) == cycles
    assert moves <= cycles * length < moves + cycles


@pytest.mark.parametrize("budget", [1, 3_999, 60_000, 600_001, 8_000_000])
@pytest.mark.parametrize("runs", [8, 82, 1_242])
def test_cycles_double_and_end_with_the_budget(budget, runs):
    first, longest = first_cycles(budget, runs)
    assert first >= min(budget, FIRST_CYCLE) or first == longest
    assert first < 3 * FIRST_CYCLE
    at, length, whole = 0, first, 0
    while at < budget:
        at += length
        whole += length == longest
        length = min(2 * length, longest)
    assert whole == cycles_of(budget, runs)
    # Rounding the first cycle up leaves the last one a little short of its end.
    assert at - budget <= at // first


def test_what_is_left_is_divided_into_cycles_like_those_before():
    """Ten runs, 108,000 moves in all: three cycles of 36,000, whenever that is found out."""
    chain = chain_of(random_day(5, tasks=10), plain())
    chain._size = 10
    chain.run(6_000)
    chain.aim(102_000)
    work = chain._memory[1]
    best = chain.cost
    chain.run(1)
    # The first time from the best plan, and divided like 102,000 moves.
    assert (work[layout.CYCLE_START], work[layout.CYCLE_LENGTH]) == (6_001, 34_000)
    assert chain.cost == best
    for moves, begun, length in ((6_000, 0, 36_000), (36_000, 36_000, 36_000), (105_000, 72_000, 36_000)):
        work[layout.MOVE], work[layout.CYCLE_START] = moves, begun
        chain.aim(108_000 - moves)
        assert work[layout.CYCLE_LENGTH] == length
    # A machine that turns out faster: 120,000 in all.
    chain.aim(15_000)
    assert work[layout.CYCLE_LENGTH] == 48_000


def test_moves_that_change_nothing_are_not_tried():
    """One machine, no people, no choices: only the order can change."""
    mode = (Mode(id="m", machine="m", work=1),)
    alone = Instance(
        name="alone",
        horizon=100,
        machines=(Machine(id="m"),),
        jobs=(Job(id="j", due=1),),
        tasks=tuple(Task(id=str(k), job="j", modes=mode) for k in range(3)),
    )
    kinds = {}
    for name, instance in (("alone", alone), ("day", random_day(1, tasks=12))):
        flattened = flatten(instance)
        line = first_lines(flattened, plain(), limit=1)[0]
        work = new_work(flattened, line.tasks, line.options, 1)
        at = work[layout.W_MIX]
        kinds[name] = set(work[at : at + layout.MIX])
    assert kinds["alone"] == {layout.JOIN, layout.SHIFT, layout.NEAR, layout.SWAP}
    assert kinds["day"] > kinds["alone"] | {layout.MOVE_TO, layout.PERSON}


@pytest.mark.parametrize("seed", [2, 3, 9])
def test_what_a_chain_says_of_its_best_plan_is_what_it_costs(seed):
    """Also after the sequence was put into order of time, and where candidates were given up early."""
    instance = random_day(seed, tasks=20)
    chain = chain_of(instance, plain(), seed=seed)
    chain.run(1_700)
    assert line_cost(chain.flattened, chain.best) == chain.cost


def test_which_of_two_equal_plans_is_kept_does_not_depend_on_the_pieces(monkeypatch):
    """Two chains that end with the same finish, as they often do on a job shop."""
    instance = chosen(entries("fjsp"), ["brandimarte_mk01"])[0].read()
    monkeypatch.setenv(backends.SWITCH, "now")
    monkeypatch.setitem(EFFORTS, "quick", replace(EFFORTS["quick"], deterministic=0))
    found = []
    for share in (1, pacing.COMPILED_SHARE):
        monkeypatch.setattr(pacing, "COMPILED_SHARE", share)
        result = solve(instance, effort="quick", seed=2)
        assert not result.stopped_early
        found.append(result.schedule)
    assert found[0] == found[1]


def test_solve_gives_the_same_plan_again_and_another_seed_may_not():
    instance = random_day(11, tasks=12)
    first, second = (solve(instance, effort="quick", seed=4) for _ in range(2))
    assert first.schedule == second.schedule
    assert first.levels == second.levels
    assert not first.stopped_early
    quick, size = EFFORTS["quick"], len(instance.tasks)
    most = min(quick.moves, quick.moves_by_size * size**2, quick.steps // size)
    assert first.moves == most * EFFORTS["quick"].chains


def test_progress_never_gets_worse_and_ends_at_the_result():
    instance = random_day(2, tasks=10)
    heard = []
    result = solve(instance, effort="quick", progress=heard.append)
    costs = [tuple(step.values[level] for level in instance.levels) for step in heard]
    assert costs == sorted(costs, reverse=True)
    assert tuple(level.value for level in result.levels) == costs[-1]
    assert heard[-1].bounds == {level.name: level.bound for level in result.levels}
    assert heard[0].note == "first plan"


def test_a_stop_keeps_the_best_so_far_and_says_so():
    instance = random_day(7, tasks=12)
    result = solve(instance, effort="thorough", stop=lambda: True)
    assert result.stopped_early
    assert result.time_limit_s is None
    assert result.schedule is not None
    assert check(instance, result.schedule).passed
    by_time = solve(instance, effort="thorough", seconds=0.0)
    assert (by_time.stopped_early, by_time.time_limit_s) == (True, 0.0)


def test_an_unknown_effort_is_refused_by_name():
    with pytest.raises(ValueError, match="effort 'heroic': one of quick, normal, thorough"):
        solve(random_day(1, tasks=3), effort="heroic")


def test_nothing_to_do_is_a_proven_plan():
    empty = Instance(name="empty", horizon=10, machines=(Machine(id="m"),), jobs=(), tasks=())
    result = solve(empty, effort="quick")
    assert result.status is Status.PROVEN
    assert [level.value for level in result.levels] == [0] * len(LEVELS)


def test_what_fits_nowhere_is_left_over_and_the_rest_is_done():
    """Horizon 10, one machine: 6 + 6 ticks of work; leaving the smaller one over costs 1 pressing of 3."""
    modes = (Mode(id="m", machine="m", work=6),)
    instance = Instance(
        name="short",
        horizon=10,
        machines=(Machine(id="m"),),
        jobs=(Job(id="j", due=6),),
        tasks=(
            Task(id="small", job="j", pressings=1, modes=modes),
            Task(id="large", job="j", pressings=3, modes=modes),
        ),
    )
    result = solve(instance, effort="quick")
    assert result.schedule is not None
    assert result.schedule.left_over == ("small",)
    assert result.levels[0].value == result.levels[0].bound == 1


def test_a_bound_above_a_plan_shows_nothing_from_there_down(engine_errors):
    instance = Instance(name="empty", horizon=10, machines=(Machine(id="m"),), jobs=(), tasks=())
    values = dict.fromkeys(LEVELS, 7)
    shown = {"left_over": 7, "lateness": 7, "changeover": 8, "changeovers": 7, "overtime": 0, "finish": 3}
    levels = level_values(instance, values, shown)
    assert [level.bound for level in levels] == [7, 7, 0, 0, 0, 0]
    assert [level.proven for level in levels] == [True, True, False, False, False, False]
    assert engine_errors == ["bound 8 of level changeover is above the plan's 7"]
    engine_errors.clear()
    just = level_values(instance, values, shown | {"changeover": 7})
    assert [level.bound for level in just] == [7, 7, 7, 7, 0, 3]
    assert [level.proven for level in just] == [True, True, True, True, False, False]


def test_bounds_never_pass_values_on_random_days():
    for seed in range(6):
        instance = random_day(seed, tasks=6)
        result = solve(instance, effort="quick")
        # Those of the result are cut off where they are wrong.
        shown = raised_bounds(instance, result.schedule, deterministic_limit=1.0)
        assert all(shown[level.name] <= level.value for level in result.levels)
        proven = [level.proven for level in result.levels]
        assert proven == sorted(proven, reverse=True)


@pytest.mark.parametrize(
    ("budget", "gone", "aimed"), [(3_000, 0.4, False), (3_200, 0.4, True), (3_200, 0.02, False)]
)
def test_a_cycle_that_the_seconds_will_break_off_ends_with_them(monkeypatch, budget, gone, aimed):
    """1,000 moves in 2 s, 3 s left: 1,500 more to come; four fifths of the moves count as all of them.

    What the very first rounds show is not believed.
    """
    instance = random_day(5, tasks=10)
    clock = Clock(60, None, 0.8)
    monkeypatch.setattr(clock, "search_left_s", lambda: 3.0)
    monkeypatch.setattr(clock, "gone", lambda: gone)
    chain = chain_of(instance, plain())
    chain.run(1_000)
    work = chain._memory[1]
    before = work[layout.CYCLE_LENGTH]
    chain._size = 1_000  # so that all is one cycle
    pacing.Pace(budget, len(instance.tasks), clock).aim([chain], [0], 2.0)
    assert work[layout.CYCLE_LENGTH] == (int(1.03 * 1_500) if aimed else before)
    assert clock.stopped is aimed


def test_long_cycles_begin_hotter_than_short_ones():
    """Of four changeovers: a quarter for short ones, all for long ones, by the root of the length between."""
    chain = chain_of(random_day(5, tasks=10), plain())
    work = chain._memory[1]
    work[layout.HEAT], work[layout.SQUARE] = 1600, 100
    shares = {}
    for moves in (1, 2_500, 3_906, 3_907, 39_999, 40_000, 10**7):
        work[layout.CYCLE_LENGTH] = moves
        shares[moves] = first_temperature(work) / 1600
    assert shares == {
        1: 1 / 4,
        2_500: 1 / 4,
        3_906: 1 / 4,
        3_907: 5 / 16,
        39_999: 15 / 16,
        40_000: 1,
        10**7: 1,
    }
    work[layout.SQUARE] = 0
    assert first_temperature(work) == 1600


def test_small_days_have_more_and_shorter_chains() -> None:
    effort = EFFORTS["thorough"]
    assert effort.chains_and_moves(39, 10) == (8, 1_000_000)
    assert effort.chains_and_moves(39, 11) == (effort.chains, effort.moves_by_size * 39**2)
    assert EFFORTS["quick"].chains_and_moves(39, 8) == (2, 250_000)
