"""What the decoder makes obeys every rule, and its cost is the check's."""

from __future__ import annotations

from dataclasses import replace

import pytest

from scheduler.engine.backend import plain
from scheduler.engine.baseline import as_they_come
from scheduler.engine.dispatching import first_lines
from scheduler.engine.flat import flatten, to_schedule
from scheduler.engine.line import line_cost, line_of
from scheduler.engine.local_search import Chain
from scheduler.verify.check import check
from tests.engine.cpsat.shops import crew, mode, press, shift, shop, task
from tests.support.random_days import random_day, side_by_side

SEEDS = range(40)


def day(seed: int):
    made = random_day(seed, tasks=4 + seed % 9)
    return side_by_side(made) if seed % 3 == 0 else made


@pytest.mark.parametrize("seed", SEEDS)
def test_searched_days_pass_the_check_with_the_same_cost(seed):
    instance = day(seed)
    flattened = flatten(instance)
    chain = Chain(flattened, first_lines(flattened, plain(), limit=2)[0], seed=seed, backend=plain())
    start = chain.cost
    chain.run(400)
    schedule = to_schedule(flattened, chain.best.tasks, chain.best.options)
    verdict = check(instance, schedule)
    assert verdict.breaks == ()
    assert tuple(verdict.values[level] for level in instance.levels) == chain.cost <= start


@pytest.mark.parametrize("seed", SEEDS)
def test_a_schedule_decodes_again_to_one_as_good(seed):
    instance = day(seed)
    flattened = flatten(instance)
    line = first_lines(flattened, plain(), limit=1)[0]
    schedule = to_schedule(flattened, line.tasks, line.options)
    again = line_of(flattened, schedule)
    assert line_cost(flattened, again)[:1] == line_cost(flattened, line)[:1]
    assert check(instance, to_schedule(flattened, again.tasks, again.options)).passed


@pytest.mark.parametrize("seed", SEEDS)
def test_orders_as_they_come_pass_the_check(seed):
    instance = day(seed)
    schedule = as_they_come(instance)
    assert check(instance, schedule).breaks == ()
    started = {run.task: run.setup_start for run in schedule.tasks}
    assert set(started) | set(schedule.left_over) <= {task.id for task in instance.tasks}


def test_a_step_stands_for_every_rule_of_the_check():
    import pkgutil

    import scheduler.verify.rules as rules
    from scheduler.engine.kernel import calendar, steps

    names = {module.name for module in pkgutil.iter_modules(rules.__path__)}
    found = {*vars(steps), *vars(calendar)}
    assert {name.removeprefix("step_") for name in found if name.startswith("step_")} == names


@pytest.mark.parametrize("mate", [None, "m2"])
@pytest.mark.parametrize("by", ["", "ann"])
@pytest.mark.parametrize(("release", "start"), [(99, 99), (100, 120), (200, None)])
def test_a_run_of_no_length_does_not_begin_as_a_day_ends(mate, by, release, start):
    way = replace(mode(0, by=by), mate=mate)
    instance = shop(
        task("a", way, release=release),
        machines=[press(), press("m2")],
        operators=crew(ann=[shift(0, 100), shift(120, 200)]),
        days=[(0, 100), (120, 200)],
    )
    schedule = as_they_come(instance)
    assert [run.setup_start for run in schedule.tasks] == ([] if start is None else [start])
    assert check(instance, schedule).passed
