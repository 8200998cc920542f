"""The search: the same again, however it is cut into pieces and on whichever kernel."""

from __future__ import annotations

import pytest

from scheduler.domain.instance import LEVELS, Instance, Job, Machine, Mode, Task
from scheduler.domain.schedule import Status
from scheduler.engine import backend as backends
from scheduler.engine.backend import plain
from scheduler.engine.flat import flatten
from scheduler.engine.local_search import Chain, first_lines
from scheduler.engine.solve import EFFORTS, MOVES_BY_SIZE, solve
from scheduler.verify.check import check
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
    """Compiles once a machine, half a minute; later runs find the machine code on disk."""
    try:
        compiled = backends.compiled()
    except Exception as why:  # a platform without numba
        pytest.skip(f"no compiled kernel here: {why}")
    backends.warm()
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


def test_solve_gives_the_same_plan_again_and_another_seed_may_not():
    instance = random_day(11, tasks=12)
    first, second = (solve(instance, effort="quick", seed=4) for _ in range(2))
    assert first.schedule == second.schedule
    assert first.levels == second.levels
    assert not first.stopped_early
    most = min(EFFORTS["quick"].moves, MOVES_BY_SIZE * len(instance.tasks) ** 2)
    assert first.moves == most * EFFORTS["quick"].chains


def test_progress_never_gets_worse_and_ends_at_the_result():
    instance = random_day(2, tasks=10)
    heard = []
    result = solve(instance, effort="quick", progress=heard.append)
    costs = [tuple(step.values[level] for level in instance.levels) for step in heard]
    assert costs == sorted(costs, reverse=True)
    assert tuple(level.value for level in result.levels) <= costs[-1]
    assert heard[0].note == "first plan"


def test_a_stop_keeps_the_best_so_far_and_says_so():
    instance = random_day(7, tasks=12)
    result = solve(instance, effort="thorough", stop=lambda: True)
    assert result.stopped_early
    assert result.schedule is not None
    assert check(instance, result.schedule).passed
    assert solve(instance, effort="thorough", seconds=0.0).stopped_early


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


def test_bounds_never_pass_values_on_random_days():
    for seed in range(6):
        instance = random_day(seed, tasks=6)
        result = solve(instance, effort="quick")
        assert all(level.bound <= level.value for level in result.levels)
        proven = [level.proven for level in result.levels]
        assert proven == sorted(proven, reverse=True)
