"""Ways that are too dear: derived by hand, and never one that a plan within the cost uses."""

from __future__ import annotations

import pytest

from scheduler.domain.schedule import Schedule
from scheduler.engine.bounds import latest_ends
from scheduler.engine.cpsat.narrow import affordable
from scheduler.engine.cpsat.solve import improve
from scheduler.engine.cpsat.values import values_of
from tests.engine.cpsat.shops import HEAT, mode, press, shop, task
from tests.engine.cpsat.starts import nothing_done
from tests.support.random_days import random_day


def modes_within(ticks: int, number: int | None = None) -> dict[str, frozenset[str]]:
    # "cool" and "hot" one after the other on m1 cost 6 (heating); m2 is there for "hot" as well.
    cool = task("cool", mode(5, "m1", state=(0,), id="one"))
    hot = task("hot", mode(5, "m1", state=(1,), id="one"), mode(5, "m2", state=(1,), id="two"))
    day = shop(cool, hot, parts=(HEAT,), machines=[press("m1", parts=1), press("m2", parts=1)])
    modes, _ = affordable(day, ticks=ticks, number=number, latest={}, left_over=0, deterministic_limit=2.0)
    return modes


def test_a_way_that_costs_too_much_is_gone_and_one_that_just_fits_stays() -> None:
    assert modes_within(5) == {"cool": {"one"}, "hot": {"two"}}
    assert modes_within(6) == {"cool": {"one"}, "hot": {"one", "two"}}
    assert modes_within(6, 0) == {"cool": {"one"}, "hot": {"two"}}
    assert modes_within(6, 1) == {"cool": {"one"}, "hot": {"one", "two"}}


@pytest.mark.parametrize("seed", range(80, 92))
def test_plans_within_the_cost_use_no_way_that_is_gone(seed: int) -> None:
    day = random_day(seed, tasks=6, days=1 + seed % 2)
    told: list[Schedule] = [nothing_done(day)]
    best, _ = improve(day, told[0], deterministic_limit=1.5, seed=1, on_solution=told.append)
    told.append(best)
    reached = [values_of(day, schedule) for schedule in told]
    for values in reached[-3:]:
        latest = latest_ends(day, values)
        modes, ends = affordable(
            day,
            ticks=values["changeover"],
            number=values["changeovers"],
            latest=latest,
            left_over=values["left_over"],
            deterministic_limit=2.0,
        )
        for other, theirs in zip(told, reached, strict=True):
            if all(theirs[level] <= values[level] for level in day.levels[:4]):
                for run in other.tasks:
                    assert run.mode in modes[run.task]
                    assert run.end <= ends[run.task]
