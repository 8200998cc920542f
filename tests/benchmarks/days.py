"""Seeded days of an invented shop, from 8 to 1,000 runs, with every rule of the model in them.

A name says runs, load in percent and seed: "days-60-085-1". The orders go through
`scheduler.planning.build_day`, so that what is measured is what users plan. The same name is the same
instance on every machine and version of Python.
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction
from functools import lru_cache
from random import Random

from scheduler.domain.day_problem import DayProblem
from scheduler.domain.instance import Instance, Task
from scheduler.domain.orders import Order
from scheduler.domain.shop import Shop
from scheduler.planning import build_day
from scheduler.planning.cycle import fixed_ticks
from tests.benchmarks.day_orders import Wish, wishes
from tests.benchmarks.day_shop import DAY, SIZES, shop_of

LOADS = (70, 85, 100, 115)
SEEDS = (1, 2, 3)
"""Seeds of the named days; any other number from 1 on is as good."""

CLOSE = Fraction(1, 100)
"""Near enough to the load."""

MOST_TRIES = 6
STEPS = 500
"""Steps of the scale in which quantities are tried."""

RUNS_AN_ORDER = Fraction(7, 5)
"""Fewest runs that orders have on average: enough of them are drawn."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Name:
    """What a name says."""

    runs: int
    load: int
    seed: int

    def __str__(self) -> str:
        return f"days-{self.runs}-{self.load:03d}-{self.seed}"


def names(sizes: Sequence[int] = tuple(SIZES), seeds: Sequence[int] = SEEDS) -> tuple[str, ...]:
    """Names of the days of these sizes: every load, the seeds one after the other."""
    return tuple(
        str(Name(runs=runs, load=load, seed=seed)) for runs in sizes for load in LOADS for seed in seeds
    )


def parse(name: str) -> Name:
    """What a name says.

    Raises
    ------
    ValueError
        When there is no such day.
    """
    found = re.fullmatch(r"days-(\d+)-(\d{3})-([1-9]\d*)", name)
    if found is None:
        raise ValueError(f"{name!r} is no day; days are named like days-60-085-1")
    runs, load, seed = (int(part) for part in found.groups())
    if runs not in SIZES or load not in LOADS:
        sizes, loads = (", ".join(map(str, known)) for known in (SIZES, LOADS))
        raise ValueError(f"{name!r} is no day; runs are {sizes}; loads are {loads}")
    return Name(runs=runs, load=load, seed=seed)


def read_day(name: str) -> Instance:
    """The instance of a named day."""
    return problem_of(name).instance


@lru_cache(maxsize=4)
def problem_of(name: str) -> DayProblem:
    """A named day with what its ids mean."""
    return make_day(parse(name))


def make_day(wanted: Name, *, presses: int | None = None, people: int | None = None) -> DayProblem:
    """A day of any number of runs and any load, in a shop of the usual or another size.

    Parameters
    ----------
    wanted
        Its runs are among `SIZES`, or `presses` and `people` are given.
    """
    random = Random(1000 * wanted.runs + wanted.seed)
    usual = SIZES.get(wanted.runs, (0, 0))
    shop = shop_of(presses or usual[0], people or usual[1], random)
    drawn = wishes(shop, int(wanted.runs / RUNS_AN_ORDER) + 5, random)
    return _calibrated(shop, drawn, wanted)


def runs_of(instance: Instance) -> int:
    """Tasks carried out when each choice takes its way with the fewest."""
    return sum(_runs_by_job(instance).values())


def load_of(instance: Instance) -> Fraction:
    """Least work of all runs, over the paid working time of the first day.

    The work of a run is pressing with its fixed part, no changeover: the mean over its modes of the mean
    over the mode's operators. Of a choice the way with the least work counts. Paid are all shifts that
    begin on the first day, overtime and breaks left out.
    """
    return sum(_work_by_job(instance).values(), Fraction(0)) / _paid(instance)


def _ways(instance: Instance) -> tuple[tuple[tuple[tuple[Task, ...], ...], ...], tuple[Task, ...]]:
    """The ways of every choice, and the tasks of no choice."""
    tasks = {task.id: task for task in instance.tasks}
    chosen = tuple(
        tuple(tuple(tasks[name] for name in way) for way in choice.options) for choice in instance.choices
    )
    for choice in instance.choices:
        for name in (name for way in choice.options for name in way):
            tasks.pop(name, None)
    return chosen, tuple(tasks.values())


def _runs_by_job(instance: Instance) -> dict[str, int]:
    chosen, alone = _ways(instance)
    runs = {job.id: 0 for job in instance.jobs}
    for task in alone:
        runs[task.job] += 1
    for ways in chosen:
        runs[ways[0][0].job] += min(map(len, ways))
    return runs


def _work_by_job(instance: Instance) -> dict[str, Fraction]:
    chosen, alone = _ways(instance)
    work = {job.id: Fraction(0) for job in instance.jobs}
    for task in alone:
        work[task.job] += _mean_work(task)
    for ways in chosen:
        work[ways[0][0].job] += min(sum(map(_mean_work, way), Fraction(0)) for way in ways)
    return work


def _mean_work(task: Task) -> Fraction:
    means = [Fraction(sum(work for _, work in mode.operators), len(mode.operators)) for mode in task.modes]
    return sum(means, Fraction(0)) / len(means)


def _paid(instance: Instance) -> int:
    first = instance.heating_days[0]
    return sum(
        shift.end - shift.start - sum(min(last, shift.end) - begin for begin, last in shift.breaks)
        for person in instance.operators
        for shift in person.shifts
        if first.start <= shift.start < first.end
    )


def _calibrated(shop: Shop, drawn: tuple[Wish, ...], wanted: Name) -> DayProblem:
    """As many of the orders as make the runs, with quantities scaled to make the load."""
    target = Fraction(wanted.load, 100)
    # With fewer minutes a run the first guess is nearer; what counts is that it is always the same.
    scale = Fraction(600, 400 + wanted.runs)
    problem = _build(shop, [wish.scaled(scale) for wish in drawn])
    taken = _enough(problem.instance, wanted.runs)
    drawn = tuple(wish for wish in drawn if wish.order.id in taken)
    found: list[tuple[Fraction, int, DayProblem]] = []
    for attempt in range(MOST_TRIES):
        scale = _scale_for(problem, drawn, target)
        problem = _build(shop, [wish.scaled(scale) for wish in drawn])
        off = abs(load_of(problem.instance) - target)
        found.append((off, attempt, problem))
        if off <= CLOSE:
            break
    return min(found, key=lambda entry: entry[:2])[2]


def _scale_for(problem: DayProblem, drawn: tuple[Wish, ...], target: Fraction) -> Fraction:
    """The scale at which the orders make the load when each piece takes as long as in a day built before."""
    fixed = fixed_ticks(problem.shop, problem.instance.tick_s)
    work = _work_by_job(problem.instance)
    runs = _runs_by_job(problem.instance)
    room = target * _paid(problem.instance) - sum(fixed * runs[wish.order.id] for wish in drawn)
    each = {order.id: (work[order.id] - fixed * runs[order.id]) / order.quantity for order in problem.orders}
    low, high = 0, 20 * STEPS
    while high - low > 1:
        middle = (low + high) // 2
        orders = [wish.scaled(Fraction(middle, STEPS)) for wish in drawn]
        if sum((each[order.id] * order.quantity for order in orders), Fraction(0)) <= room:
            low = middle
        else:
            high = middle
    return Fraction(max(1, low), STEPS)


def _build(shop: Shop, orders: Sequence[Order]) -> DayProblem:
    return build_day(shop, tuple(orders), DAY)


def _enough(instance: Instance, runs: int) -> frozenset[str]:
    """The orders taken: each in turn that still fits into so many runs."""
    left, taken = runs, []
    for order, count in _runs_by_job(instance).items():
        if count <= left:
            left -= count
            taken.append(order)
    return frozenset(taken)
