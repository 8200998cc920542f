"""The search for machines that share nothing: its reckoning, its courses, its optima."""

from __future__ import annotations

import random
from dataclasses import replace
from itertools import permutations, product

import pytest

from scheduler.domain.instance import Instance, Job, Machine, Mode, Precedence, SetupPart, SetupTable, Task
from scheduler.engine.apart import Apart, ApartChain, apart, share_nothing
from scheduler.engine.backend import plain
from scheduler.engine.dispatching import first_lines
from scheduler.engine.flat import flatten, to_schedule
from scheduler.engine.kernel import apart_layout as layout
from scheduler.engine.line import line_cost
from scheduler.engine.local_search import Line
from scheduler.engine.solve import solve
from scheduler.verify.check import check
from tests.benchmarks.catalogue import entries
from tests.support.kernels import compiled_copy
from tests.support.random_days import random_day

LEVELS = [
    ("left_over", "lateness"),
    ("left_over", "finish"),
    ("left_over", "lateness", "changeover", "changeovers", "overtime", "finish"),
    ("left_over", "changeover", "lateness"),
]


def shop_of(seed: int, *, tasks: int, machines: int) -> Instance:
    """Machines with setups and speeds of their own, releases, cut-offs, cooling; not every task on each."""
    dice = random.Random(seed)
    kinds = 4
    tables = tuple(
        SetupTable(
            from_none=tuple(dice.randint(0, 3) for _ in range(kinds)),
            ticks=tuple(
                tuple(0 if a == b else dice.randint(1, 9) for b in range(kinds)) for a in range(kinds)
            ),
        )
        for _ in range(2)
    )
    names = [f"m{k}" for k in range(machines)]
    jobs, done = [], []
    for k in range(tasks):
        able = dice.sample(names, dice.randint(1, machines))
        kind = dice.randrange(kinds)
        jobs.append(
            Job(id=f"j{k}", due=dice.randint(5, 60), weight=dice.randint(1, 5), packing=dice.randint(0, 2))
        )
        done.append(
            Task(
                id=f"t{k}",
                job=f"j{k}",
                release=dice.choice((0, 0, dice.randint(1, 40))),
                cooling=dice.randint(0, 2),
                modes=tuple(
                    Mode(id=name, machine=name, work=dice.randint(1, 12), state=(kind,))
                    for name in sorted(able)
                ),
            )
        )
    return Instance(
        name=f"shop {seed}",
        horizon=1_000,
        setup_parts=(SetupPart(name="kind", tables=tables),),
        machines=tuple(
            Machine(
                id=name,
                tables=(dice.randrange(2),),
                initial=(dice.choice((None, 1)),),
                free_from=dice.choice((0, 7)),
            )
            for name in names
        ),
        jobs=tuple(jobs),
        tasks=tuple(done),
        levels=dice.choice(LEVELS),
    )


def chain_of(instance: Instance, backend=None, seed: int = 3) -> ApartChain:
    flattened = flatten(instance)
    machines = apart(flattened)
    assert isinstance(machines, Apart)
    start = first_lines(flattened, plain(), limit=1)[0]
    return ApartChain(machines, start, seed=seed, backend=backend or plain())


@pytest.mark.parametrize("seed", range(12))
def test_what_is_reckoned_step_by_step_is_what_the_plan_costs(seed):
    instance = shop_of(seed, tasks=14, machines=1 + seed % 3)
    chain = chain_of(instance)
    shop = chain._apart
    for _ in range(12):
        chain.run(120)
        work = chain._memory[1]
        size, machines = shop.shop[layout.TASKS], shop.shop[layout.MACHINES]
        counts, rows = work[layout.COUNT], work[layout.LINE]
        line = shop.line(work[counts : counts + machines], work[rows : rows + machines * size])
        assert sorted(line.tasks) == list(range(size))
        schedule = to_schedule(shop.flattened, line.tasks, line.options)
        verdict = check(instance, schedule)
        assert verdict.passed, verdict.breaks
        used = {mode.id: mode.machine for task in instance.tasks for mode in task.modes}
        ends = {machine.id: machine.free_from for machine in instance.machines}
        for task in schedule.tasks:
            ends[used[task.mode]] = max(ends[used[task.mode]], task.end)
        levels = sum(
            shop.weights[level] * value for level, value in verdict.values.items() if level in shop.weights
        )
        assert work[layout.TOTAL] == levels + sum(ends.values())
    assert line_cost(shop.flattened, chain.best) == chain.cost


@pytest.mark.parametrize("seed", range(8))
def test_small_shops_come_out_at_the_best_of_all_sequences(seed):
    """Every sequence on every machine tried in turn (itertools)."""
    instance = shop_of(100 + seed, tasks=5, machines=1 + seed % 2)
    flattened = flatten(instance)
    begin = flattened.columns["option_from"]
    ways = product(*(range(begin[k], begin[k + 1]) for k in range(5)))
    best = min(
        line_cost(flattened, Line(order, tuple(options[task] for task in order)))
        for options in ways
        for order in permutations(range(5))
    )
    chain = chain_of(instance)
    chain.run(400)
    assert chain.cost == best


def test_pieces_of_any_size_and_either_kernel_give_the_same_course():
    instance = shop_of(5, tasks=12, machines=2)
    compiled = compiled_copy()
    whole, pieces, fast = (chain_of(instance, copy) for copy in (plain(), plain(), compiled))
    whole.run(700)
    fast.run(700)
    for size in (1, 299, 50):
        pieces.run(size)
    pieces.switch(compiled)
    pieces.run(350)
    assert whole.best == pieces.best == fast.best
    assert whole.moves == pieces.moves == 700
    assert whole._memory[1][layout.RANDOM] == fast._memory[1][layout.RANDOM]


def test_only_machines_that_share_nothing_are_taken_apart():
    alone = shop_of(1, tasks=6, machines=2)
    assert share_nothing(alone)
    assert not share_nothing(random_day(1, tasks=8))
    after = replace(alone, precedences=(Precedence(before="t0", after="t1"),))
    assert not share_nothing(after)
    one_job = replace(alone, tasks=(alone.tasks[0], replace(alone.tasks[1], job=alone.tasks[0].job)))
    assert not share_nothing(one_job)
    stack = tuple(replace(task, bundles=("stack",)) for task in alone.tasks)
    assert not share_nothing(replace(alone, tasks=stack))


@pytest.mark.parametrize(("overdue", "taken"), [(0, True), (10**6, True), (10**8, False)])
def test_orders_overdue_by_more_than_64_bits_hold_are_left_to_the_other_search(overdue, taken):
    alone = replace(shop_of(1, tasks=6, machines=2), levels=LEVELS[2])
    late = replace(alone, jobs=tuple(replace(job, due=job.due - overdue) for job in alone.jobs))
    machines = apart(flatten(late))
    assert (machines is not None) is taken
    if machines is not None:
        most = sum(job.weight * (late.horizon - job.due) for job in late.jobs)
        assert machines.weights["lateness"] * most < 1 << 62


def test_a_horizon_that_not_all_fits_into_is_kept():
    """Then the search for all instances, which leaves tasks over, has to do it."""
    tight = replace(shop_of(2, tasks=10, machines=1), horizon=40)
    result = solve(tight, effort="quick")
    assert check(tight, result.schedule).passed
    assert result.schedule.left_over


@pytest.mark.parametrize("entry", entries("wt"), ids=lambda entry: entry.name)
def test_published_weighted_tardiness_is_met(entry):
    """Set wt40 of the OR-Library (Beasley 1990), with the optima that come with it."""
    chain = chain_of(entry.read(), compiled_copy(), seed=1)
    chain.run(500_000)
    assert chain.cost[1] == entry.best
