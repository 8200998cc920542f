"""Relations between optima that need no stored answer, on random days with all rules on."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from functools import cache

import pytest

from scheduler.domain.instance import Day, Instance, SetupTable, Shift
from scheduler.domain.schedule import LevelValue
from scheduler.engine.solve import solve
from tests.support.random_days import random_day

SEEDS = (0, 1, 2, 4, 5)
UPPER = ("left_over", "lateness", "changeover")


def shop_day(seed: int) -> Instance:
    """Five tasks, one day; only the three levels that CP-SAT proves at once."""
    return replace(random_day(seed, tasks=5, days=1), levels=UPPER)


@cache
def optimum(seed: int) -> tuple[LevelValue, ...]:
    return best(shop_day(seed))


def best(instance: Instance) -> tuple[LevelValue, ...]:
    """Levels of the plan; each of them proven, so that optima are compared and not searches."""
    levels = solve(instance, effort="quick").levels
    assert all(level.proven for level in levels), levels
    return levels


def values(levels: tuple[LevelValue, ...]) -> list[int]:
    return [level.value for level in levels]


def retimed(instance: Instance, change: Callable[[int], int], length: Callable[[int], int]) -> Instance:
    """Every moment through `change`, every duration through `length`."""

    def table(old: SetupTable) -> SetupTable:
        return SetupTable(
            from_none=tuple(map(length, old.from_none)),
            by_target=tuple(map(length, old.by_target)),
            ticks=tuple(tuple(map(length, row)) for row in old.ticks),
        )

    def shift(old: Shift) -> Shift:
        breaks = tuple((change(first), change(last)) for first, last in old.breaks)
        return Shift(
            start=change(old.start), end=change(old.end), overtime_end=change(old.overtime_end), breaks=breaks
        )

    return replace(
        instance,
        horizon=change(instance.horizon),
        days=tuple(Day(start=change(day.start), end=change(day.end)) for day in instance.heating_days),
        setup_parts=tuple(
            replace(part, tables=tuple(map(table, part.tables))) for part in instance.setup_parts
        ),
        operators=tuple(replace(o, shifts=tuple(map(shift, o.shifts))) for o in instance.operators),
        jobs=tuple(
            replace(job, due=None if job.due is None else change(job.due), packing=length(job.packing))
            for job in instance.jobs
        ),
        tasks=tuple(
            replace(
                task,
                release=change(task.release),
                cooling=length(task.cooling),
                modes=tuple(
                    replace(
                        mode,
                        work=length(mode.work),
                        warm_up=length(mode.warm_up),
                        operators=tuple((name, length(work)) for name, work in mode.operators),
                    )
                    for mode in task.modes
                ),
            )
            for task in instance.tasks
        ),
    )


@pytest.mark.parametrize("seed", SEEDS)
def test_all_times_tripled_triple_lateness_and_changeovers(seed):
    tripled = retimed(shop_day(seed), lambda tick: 3 * tick, lambda ticks: 3 * ticks)
    left_over, lateness, changeover = values(optimum(seed))
    assert values(best(tripled)) == [left_over, 3 * lateness, 3 * changeover]


@pytest.mark.parametrize("seed", SEEDS)
def test_a_later_start_of_the_day_for_everything_changes_nothing(seed):
    later = retimed(shop_day(seed), lambda tick: tick + 70, lambda ticks: ticks)
    assert values(best(later)) == values(optimum(seed))


@pytest.mark.parametrize("seed", SEEDS)
def test_weights_times_four_make_lateness_four_times_as_much(seed):
    day = shop_day(seed)
    heavier = replace(day, jobs=tuple(replace(job, weight=4 * job.weight) for job in day.jobs))
    left_over, lateness, changeover = values(optimum(seed))
    assert values(best(heavier)) == [left_over, 4 * lateness, changeover]


@pytest.mark.parametrize("seed", SEEDS)
def test_the_order_in_which_things_are_stated_does_not_matter(seed):
    day = shop_day(seed)
    turned = replace(
        day,
        jobs=day.jobs[::-1],
        tasks=tuple(replace(task, modes=task.modes[::-1]) for task in day.tasks[::-1]),
        machines=day.machines[::-1],
        operators=day.operators[::-1],
        platens=day.platens[::-1],
    )
    assert values(best(turned)) == values(optimum(seed))


@pytest.mark.parametrize("seed", SEEDS)
def test_more_of_anything_never_makes_the_optimum_worse(seed):
    """Later due dates, more platens, longer shifts, earlier boxes, one level at a time from the top."""
    day = shop_day(seed)
    richer = {
        "later due dates": replace(
            day, jobs=tuple(replace(j, due=None if j.due is None else j.due + 25) for j in day.jobs)
        ),
        "more platens": replace(day, platens=tuple(replace(p, count=p.count + 1) for p in day.platens)),
        "boxes at once": replace(day, tasks=tuple(replace(task, release=0) for task in day.tasks)),
        "no breaks": replace(
            day,
            operators=tuple(
                replace(o, shifts=tuple(replace(s, breaks=()) for s in o.shifts)) for o in day.operators
            ),
        ),
    }
    for what, changed in richer.items():
        assert values(best(changed)) <= values(optimum(seed)), what
