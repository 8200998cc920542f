"""Versions planned and held against each other, on a day whose best plans can be worked out by hand.

A garment takes 10 + 4 + 2 + 12 + 2 + 3 + 5 = 38 s, so 60 of them 38 minutes, with fetching the box and the
first piece 40. The press is hot at 8:10, packing takes 5 min + 60 x 10 s = 15 min. So one order is packed at
9:05 at the earliest, and of two at one press the other one at 9:45.
"""

from __future__ import annotations

from dataclasses import replace
from datetime import datetime, time, timedelta

import pytest

from scheduler.domain.instance import Level
from scheduler.domain.shop import Shop
from scheduler.planning import build_day
from scheduler.scenarios import plan_day, run
from scheduler.scenarios.changes import Compared, Version, compare
from scheduler.scenarios.comparison import Asked, same_problem
from scheduler.scenarios.differences import Verdict
from scheduler.scenarios.exchange import Offer, can_carry_out, take_offer
from scheduler.scenarios.plan_day import Outcome, Task, further_bounds
from scheduler.scenarios.quantities import Quantity
from scheduler.scenarios.run import run_offers, run_tasks
from scheduler.scenarios.side import Side
from tests.planning.shops import (
    MONDAY,
    line,
    order,
    person,
    platen,
    press,
    shop,
    with_allowances,
    with_platen,
)

TICKS_A_MINUTE = 10


@pytest.fixture(autouse=True)
def _plain_search(monkeypatch: pytest.MonkeyPatch) -> None:
    """Days of a few runs need no compiled search."""
    monkeypatch.setenv("PRESSDAY_COMPILE", "0")


def one_press() -> Shop:
    """Two people at one press; changing over takes no time."""
    base = with_allowances(shop(), line_up_min=0, pressure_min=0)
    return replace(base, crew=(person("Ann"), person("Bob")))


def two_presses() -> Shop:
    base = with_platen(one_press(), "big", count=2)
    return replace(base, presses=(*base.presses, press("Second")))


def unrelated_press() -> Shop:
    """A further press that only takes a platen on which nothing of these orders can be pressed."""
    base = one_press()
    further = press("Tags", platens=("tag",), mounted=None)
    return replace(
        base,
        presses=(*base.presses, further),
        platens=(*base.platens, platen("tag", width_mm=60, height_mm=60, placements=("front",))),
    )


def asked(*shops: Shop, seeds: tuple[int, ...] = (1,), days: int = 1) -> Asked:
    """Two orders of sixty fronts on each of some days, both due at 9:05."""
    problems = []
    for one in shops:
        own = []
        for number in range(days):
            day = MONDAY + timedelta(days=number)
            due = datetime.combine(day, datetime.min.time()) + timedelta(hours=9, minutes=5)
            orders = tuple(order(name, line(sizes={"M": 60}), cut_off=due) for name in ("A", "B"))
            own.append(build_day(one, orders, day))
        problems.append(tuple(own))
    return Asked(problems=tuple(problems), seeds=seeds, effort="quick")


def planned(which: Asked) -> tuple[Side, ...]:
    sides = which.sides(run_tasks(which.tasks(), workers=1))
    assert all(isinstance(side, Side) for side in sides), sides
    return tuple(side for side in sides if isinstance(side, Side))


def beside(*shops: Shop) -> Compared:
    today, then = planned(asked(*shops))
    return compare(Version(name="then"), today, then, None)


def test_a_second_press_proves_a_saving_of_forty_minutes() -> None:
    found = beside(one_press(), two_presses())
    late = found.differences[Quantity.LATENESS]
    assert (late.planned, late.most) == (-40 * TICKS_A_MINUTE, -40 * TICKS_A_MINUTE)
    assert late.verdict is Verdict.BETTER
    # Both don't fit into the hours of one press until 8:50, so one of them is late in any plan.
    orders = found.differences[Quantity.LATE_ORDERS]
    assert (orders.planned, orders.most, orders.verdict) == (-1, -1, Verdict.BETTER)


def test_selling_the_second_press_again_proves_a_loss() -> None:
    late = beside(two_presses(), one_press()).differences[Quantity.LATENESS]
    assert (late.planned, late.least, late.verdict) == (400, 400, Verdict.WORSE)


def test_a_press_that_can_do_nothing_of_it_proves_nothing() -> None:
    found = beside(one_press(), unrelated_press())
    assert found.proven_better == ()
    late = found.differences[Quantity.LATENESS]
    assert (late.planned, late.verdict) == (0, Verdict.SAME)


def test_the_same_shop_makes_exactly_no_difference_and_is_planned_once() -> None:
    which = asked(one_press(), replace(one_press(), name="Another name"), seeds=(1, 2), days=2)
    assert same_problem(which.problems[0][0], which.problems[1][0])
    told: list[tuple[int, int]] = []
    outcomes = run_tasks(which.tasks(), workers=1, done=lambda made, of: told.append((made, of)))
    assert told[-1] == (4, 4)
    today, then = which.sides(outcomes)
    assert isinstance(today, Side)
    assert isinstance(then, Side)
    found = compare(Version(name="then"), today, then, None)
    assert {(one.planned, one.least, one.most) for one in found.differences.values()} == {(0, 0, 0)}


def test_the_answer_does_not_depend_on_the_number_of_workers() -> None:
    tasks = asked(one_press(), two_presses(), seeds=(1, 2)).tasks()
    assert run_tasks(tasks, workers=1) == run_tasks(tasks, workers=2)


def test_a_joblib_back_end_in_force_makes_the_plans(monkeypatch: pytest.MonkeyPatch) -> None:
    from joblib import parallel_config

    tasks = asked(one_press(), two_presses()).tasks()
    here = run_tasks(tasks, workers=1)
    monkeypatch.delattr(run, "made_apart")
    with parallel_config(backend="threading", n_jobs=2):
        assert run_tasks(tasks) == here


def test_a_dask_cluster_gives_the_same_answer() -> None:
    distributed = pytest.importorskip("distributed")
    from joblib import parallel_config

    tasks = asked(one_press(), two_presses()).tasks()
    with (
        distributed.LocalCluster(
            n_workers=1, threads_per_worker=2, processes=False, dashboard_address=None
        ) as cluster,
        distributed.Client(cluster),
        parallel_config(backend="dask"),
    ):
        there = run_tasks(tasks)
    assert there == run_tasks(tasks, workers=1)


def test_one_plan_in_trouble_does_not_stop_the_others(monkeypatch: pytest.MonkeyPatch) -> None:
    real = plan_day.planned

    def sometimes(task: Task) -> object:
        if task.version == 1:
            raise ZeroDivisionError("made up")
        return real(task)

    monkeypatch.setattr(plan_day, "planned", sometimes)
    which = asked(one_press(), two_presses(), unrelated_press())
    today, second, third = which.sides(run_tasks(which.tasks(), workers=1))
    assert isinstance(today, Side)
    assert isinstance(third, Side)
    assert second == "a defect of Pressday: ZeroDivisionError: made up"


def test_an_interrupt_keeps_what_is_finished(monkeypatch: pytest.MonkeyPatch) -> None:
    real = run.plan_task

    def stopped_at_the_second(task: Task) -> Outcome:
        if task.version == 1:
            raise KeyboardInterrupt
        return real(task)

    monkeypatch.setattr(run, "plan_task", stopped_at_the_second)
    which = asked(one_press(), two_presses(), unrelated_press())
    today, second, third = which.sides(run_tasks(which.tasks(), workers=1))
    assert isinstance(today, Side)
    assert (second, third) == (None, None)


def test_a_plan_that_another_shop_can_carry_out_counts_there_as_well() -> None:
    """So a press that nobody needs makes no difference, whichever search was luckier."""
    which = asked(one_press(), unrelated_press(), two_presses())
    outcomes = run_tasks(which.tasks(), workers=1)
    plans = [one.schedule for one in outcomes if one is not None and one.schedule is not None]
    problem = which.problems[0][0]
    unlucky = Offer(version=0, day=0, problem=problem, plans=tuple(plans), best=(0, 1_000, 0, 0, 0, 0))
    taken = take_offer(unlucky)
    assert taken.figures is not None
    assert taken.figures.level("lateness") == 40 * TICKS_A_MINUTE
    # What is no better is not taken, and the plan of two presses can't be carried out at one.
    assert take_offer(replace(unlucky, best=taken.figures.key)).figures is None
    assert take_offer(replace(unlucky, plans=tuple(plans[2:]))).figures is None
    assert can_carry_out(which.problems[2][0].instance, plans[0])
    (today, other, _) = which.sides(outcomes, run_offers(which.offers(outcomes), workers=1))
    assert isinstance(today, Side)
    assert isinstance(other, Side)
    found = compare(Version(name="unrelated"), today, other, None)
    assert {one.planned for one in found.differences.values()} == {0}


ON_TIME: dict[Level, int] = {"left_over": 0, "lateness": 0}
FORTY_LATE: dict[Level, int] = {"left_over": 0, "lateness": 40 * TICKS_A_MINUTE}


def test_bounds_of_what_the_search_has_no_level_for() -> None:
    """Two runs of 40 minutes can't take fewer than 80 of people; alone, each order is packed by 9:05."""
    (problem,) = asked(one_press()).problems[0]
    bounds = further_bounds(problem, FORTY_LATE)
    assert (bounds[Quantity.LATE_ORDERS], bounds[Quantity.NOT_THAT_DAY]) == (1, 0)
    assert bounds[Quantity.WORK] == 80 * TICKS_A_MINUTE
    # The press has 50 minutes until 8:50, and 80 are needed: until 9:20, and 15 for packing.
    assert 25 * TICKS_A_MINUTE <= bounds[Quantity.LATENESS] <= 30 * TICKS_A_MINUTE
    (two,) = asked(two_presses()).problems[0]
    bounds = further_bounds(two, ON_TIME)
    assert (bounds[Quantity.LATE_ORDERS], bounds[Quantity.LATENESS]) == (0, 0)
    soon = replace(problem.orders[0], cut_off=datetime(2026, 3, 2, 9, 4))
    quicker = replace(two_presses(), crew=(person("Ann"), person("Bob", pace=2.0)))
    bounds = further_bounds(build_day(quicker, (soon, problem.orders[1]), MONDAY), ON_TIME)
    # Bob presses 60 in 19 minutes, so alone even the order that is due at 9:04 is in time.
    assert bounds[Quantity.LATE_ORDERS] == 0
    assert bounds[Quantity.WORK] == 2 * 21 * TICKS_A_MINUTE
    alone = build_day(two_presses(), (soon, problem.orders[1]), MONDAY)
    assert further_bounds(alone, FORTY_LATE)[Quantity.LATE_ORDERS] == 1


def test_hours_of_the_quickest_are_not_used_twice() -> None:
    """Bob, twice as quick, is there for 31 minutes: one run is his (21), the other Ann's (40)."""
    crew = (person("Ann"), person("Bob", pace=2.0, end=time(8, 31)))
    (problem,) = asked(replace(one_press(), crew=crew)).problems[0]
    bound = further_bounds(problem, FORTY_LATE)[Quantity.WORK]
    # With parts of runs: 31 minutes of Bob do 31/21 runs, the rest of 11/21 takes Ann 21 minutes.
    assert 50 * TICKS_A_MINUTE <= bound <= 52 * TICKS_A_MINUTE
    (found,) = (one for one in run_tasks(asked(replace(one_press(), crew=crew)).tasks(), workers=1) if one)
    assert found.figures is not None
    assert found.figures.amounts[Quantity.WORK].value == 61 * TICKS_A_MINUTE


def test_a_day_can_not_pack_more_than_the_crews_hours_hold() -> None:
    """An order of sixty takes 40 minutes; a person there from 8 to 16 has 480, so twelve at most."""
    one_person = replace(one_press(), crew=(person("Ann"),))
    due = datetime(2026, 3, 3, 15)
    orders = tuple(order(f"{number:02}", line(sizes={"M": 60}), cut_off=due) for number in range(13))
    problem = build_day(one_person, orders, MONDAY)
    assert further_bounds(problem, ON_TIME)[Quantity.NOT_THAT_DAY] == 60
    assert further_bounds(build_day(one_person, orders[:12], MONDAY), ON_TIME)[Quantity.NOT_THAT_DAY] == 0
