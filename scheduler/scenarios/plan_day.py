"""One day planned for one version of the shop with one seed: search, independent check, figures."""

from __future__ import annotations

from dataclasses import dataclass, replace
from datetime import timedelta
from typing import TYPE_CHECKING

from scheduler.domain.day_problem import DayProblem
from scheduler.domain.plan import Plan
from scheduler.domain.schedule import Result, Schedule, Verdict
from scheduler.engine.bounds import latest_ends
from scheduler.engine.chains import OrderChains
from scheduler.engine.crew_hours import CrewHours
from scheduler.exceptions import PressdayError
from scheduler.planning.assemble import assemble_plan
from scheduler.scenarios.quantities import LEVELS, Amount, DayFigures, Quantity
from scheduler.verify import check

if TYPE_CHECKING:
    from scheduler.domain.instance import Level


@dataclass(frozen=True, slots=True, kw_only=True)
class Task:
    """A day to be planned.

    Attributes
    ----------
    version, day
        Their numbers in the comparison.
    seconds
        Safety stop by wall clock; None: that of the effort.
    """

    version: int
    day: int
    seed: int
    problem: DayProblem
    effort: str
    seconds: float | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Outcome:
    """What came out of a task: figures of a checked plan, or what went wrong.

    Attributes
    ----------
    schedule
        The plan; None where nobody else could use it.
    """

    version: int
    day: int
    seed: int
    figures: DayFigures | None = None
    schedule: Schedule | None = None
    trouble: str = ""


def plan_task(task: Task) -> Outcome:
    """Plan one day and measure the checked plan; what goes wrong is said in the outcome."""
    try:
        return planned(task)
    except PressdayError as error:
        trouble = str(error)
    except Exception as error:
        # One plan's defect must not lose hours of others: it is handed on in words.
        trouble = f"a defect of Pressday: {type(error).__name__}: {error}"
    return Outcome(version=task.version, day=task.day, seed=task.seed, trouble=trouble)


def planned(task: Task) -> Outcome:
    """The best plan that the task's effort finds, in figures.

    Raises
    ------
    scheduler.exceptions.NoPlan
        When the search ended without a plan.
    scheduler.exceptions.BrokenPlan
        When the independent check refuses it or counts its cost differently.
    """
    from scheduler.engine.paid_hours import solve_day
    from scheduler.exceptions import NoPlan

    instance = task.problem.instance
    result = solve_day(instance, effort=task.effort, seconds=task.seconds, seed=task.seed)
    if result.schedule is None:
        raise NoPlan(f"the search ended after {result.runtime_s:.1f} s without a plan")
    verdict = check(instance, result.schedule)
    # Refuses what did not pass the check.
    plan = assemble_plan(task.problem, result, verdict, ())
    return Outcome(
        version=task.version,
        day=task.day,
        seed=task.seed,
        figures=figures_of(task.problem, result, verdict, plan),
        schedule=result.schedule,
    )


def figures_of(problem: DayProblem, result: Result, verdict: Verdict, plan: Plan) -> DayFigures:
    """A checked plan in figures, with a bound for each."""
    instance = problem.instance
    amounts = {Quantity(one.name): Amount(value=one.value, bound=one.bound) for one in result.levels}
    for level in LEVELS:
        amounts.setdefault(Quantity(level), Amount(value=verdict.values[level], bound=0))
    whole = not result.schedule.left_over if result.schedule is not None else False
    bounds = further_bounds(problem, verdict.values) if whole else {}
    tick_s = instance.tick_s
    values = {
        Quantity.LATE_ORDERS: sum(ticks > 0 for ticks in verdict.late_ticks.values()),
        Quantity.WORK: _worked(plan, tick_s),
        Quantity.NOT_THAT_DAY: sum(
            one.quantity for one in plan.orders if one.finished is None or one.finished.date() != plan.day
        ),
    }
    for quantity, value in values.items():
        amounts[quantity] = Amount(value=value, bound=bounds.get(quantity, 0))
    late = amounts[Quantity.LATENESS]
    amounts[Quantity.LATENESS] = replace(late, bound=max(late.bound, bounds.get(Quantity.LATENESS, 0)))
    return DayFigures(
        amounts=amounts,
        orders=len(plan.orders),
        garments=sum(one.quantity for one in plan.orders),
        paid=sum(round(load.available * 60 / tick_s) for load in plan.crew_loads),
        tick_s=tick_s,
        fingerprint=plan.fingerprint,
        stopped_early=result.stopped_early,
    )


def _worked(plan: Plan, tick_s: int) -> int:
    """Ticks that people set up and press in all, their breaks left out."""
    total = timedelta()
    for run in plan.runs:
        total += run.end - run.start - sum((end - begin for begin, end in run.pauses), timedelta())
    return round(total.total_seconds()) // tick_s


def further_bounds(problem: DayProblem, values: dict[Level, int]) -> dict[Quantity, int]:
    """Bounds that the search has no level for, and one for lateness on days that are too full.

    They hold for plans that are no later and leave nothing over. An order that is late even when it is the
    only one is late in every plan, and one that can't be packed on the day even then isn't packed on it. What
    people's and presses' hours don't allow: `CrewHours`.

    Parameters
    ----------
    values
        What the plan reaches, nothing left over.
    """
    instance = problem.instance
    chains = OrderChains(instance)
    hours = CrewHours(instance, chains.windows.least_setup)
    midnight = round(timedelta(days=1).total_seconds()) // instance.tick_s
    latest = latest_ends(instance, values, chains)
    garments = {order.id: order.quantity for order in problem.orders}
    late = 0
    alone: dict[str, int] = {}
    possible = {}
    for job in instance.jobs:
        way = chains.finish(job)
        if way is None:
            continue
        alone[job.id] = way.finish
        late += job.due is not None and way.finish > job.due
        if way.finish < midnight:
            possible[job.id] = garments[job.id]
    return {
        Quantity.LATENESS: hours.lateness(alone),
        Quantity.LATE_ORDERS: max(late, hours.late_orders()),
        Quantity.WORK: hours.least_work(max(latest.values(), default=0)),
        Quantity.NOT_THAT_DAY: sum(garments.values()) - hours.most_packed(possible, midnight),
    }
