"""From a day's problem to a checked plan: search, check, assemble."""

from __future__ import annotations

from dataclasses import dataclass
from functools import partial
from typing import TYPE_CHECKING

from scheduler.exceptions import BrokenPlan, NoPlan
from scheduler.workflow.watched import watched

if TYPE_CHECKING:
    from scheduler.domain.day_problem import DayProblem
    from scheduler.domain.instance import Instance
    from scheduler.domain.plan import Plan
    from scheduler.domain.schedule import LevelValue, Result, Schedule, Verdict
    from scheduler.workflow.owner import Owner


@dataclass(frozen=True, slots=True, kw_only=True)
class Answer:
    """A search's result that passed the check, and the same orders taken as they come."""

    result: Result
    verdict: Verdict
    as_they_come: tuple[LevelValue, ...]


def search(problem: DayProblem, *, effort: str, seconds: float | None, seed: int, owner: Owner) -> Answer:
    """Look for the best plan while the owner watches, and check what comes out.

    Raises
    ------
    NoPlan
        When the search ended without a plan.
    BrokenPlan
        When the independent check refuses the plan, or the orders taken as they come.
    """
    from scheduler.engine.baseline import as_they_come
    from scheduler.engine.paid_hours import solve_day

    instance = problem.instance
    with owner.watch(instance, effort=effort, seconds=seconds) as show:
        result = watched(partial(solve_day, instance, effort=effort, seconds=seconds, seed=seed), show)
    if result.schedule is None:
        raise NoPlan(f"The search ended after {result.runtime_s:.1f} s without a plan; nothing was written.")
    return Answer(
        result=result,
        verdict=passed(instance, result.schedule, "the plan"),
        as_they_come=values_of_check(
            instance, passed(instance, as_they_come(instance), "the orders taken as they come")
        ),
    )


def passed(instance: Instance, schedule: Schedule, what: str) -> Verdict:
    """The independent check's verdict on a schedule that passes it.

    Raises
    ------
    BrokenPlan
        When it does not pass, with every break.
    """
    from scheduler.verify import check

    verdict = check(instance, schedule)
    if not verdict.passed:
        raise BrokenPlan("\n".join(f"{what}: {one.rule}: {one.message}" for one in verdict.breaks))
    return verdict


def values_of_check(instance: Instance, verdict: Verdict) -> tuple[LevelValue, ...]:
    """The levels of an instance as the check counts them."""
    from scheduler.domain.schedule import LevelValue

    return tuple(LevelValue(name=name, value=verdict.values[name]) for name in instance.levels)


def plan_of(problem: DayProblem, answer: Answer, *, version: int) -> Plan:
    """The checked plan in trade words."""
    from scheduler.planning import assemble_plan

    return assemble_plan(problem, answer.result, answer.verdict, answer.as_they_come, version=version)
