"""Plans exchanged: what was found for one version and can be carried out in another counts there as well.

Without it a version could come out better only because its search was luckier. With it a press that nobody
needs makes no difference at all: the best plan of either shop is one of the other too.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from scheduler.domain.day_problem import DayProblem
from scheduler.domain.schedule import Schedule
from scheduler.engine.effort import Effort
from scheduler.scenarios.plan_day import Outcome, figures_of
from scheduler.scenarios.quantities import LEVELS

if TYPE_CHECKING:
    from scheduler.domain.instance import Instance
    from scheduler.scenarios.quantities import DayFigures

NO_SEARCH = Effort(
    rules=0,
    moves=0,
    moves_by_size=0,
    steps=0,
    chains=1,
    deterministic=0.0,
    seconds=60,
)
"""Only the times are worked out anew: no move is tried."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Offer:
    """Plans of other versions, offered to one.

    Attributes
    ----------
    plans
        Without those that the version has itself.
    best
        How good the version's own best plan is, see `DayFigures.key`.
    """

    version: int
    day: int
    problem: DayProblem
    plans: tuple[Schedule, ...]
    best: tuple[int, ...]


def take_offer(offer: Offer) -> Outcome:
    """The best of the offered plans as it comes out in the version, checked; without figures when none helps.

    Only plans that can be carried out just so are looked at: the same ways at the same presses by the same
    people, in the same order. How long that takes is the version's own.
    """
    from scheduler.engine.flat import flatten
    from scheduler.engine.line import line_cost, line_of

    instance = offer.problem.instance
    flattened = flatten(instance)
    at = [instance.levels.index(level) for level in LEVELS]
    costs: dict[tuple[int, ...], list[Schedule]] = {}
    for plan in offer.plans:
        if can_carry_out(instance, plan):
            cost = line_cost(flattened, line_of(flattened, plan))
            costs.setdefault(tuple(cost[level] for level in at), []).append(plan)
    best: DayFigures | None = None
    if costs and min(costs) <= offer.best[: len(LEVELS)]:
        found = [_carried_out(offer.problem, plan) for plan in costs[min(costs)]]
        best = min((one for one in found if one.key < offer.best), key=lambda one: one.key, default=None)
    return Outcome(version=offer.version, day=offer.day, seed=0, figures=best)


def _carried_out(problem: DayProblem, plan: Schedule) -> DayFigures:
    """The figures of another version's plan with the times of this one, checked."""
    from scheduler.engine.solve import solve
    from scheduler.planning.assemble import assemble_plan
    from scheduler.verify import check

    result = solve(problem.instance, effort=NO_SEARCH, near=plan)
    assert result.schedule is not None  # it begins with the plan
    verdict = check(problem.instance, result.schedule)
    # Refuses what did not pass the check.
    return figures_of(problem, result, verdict, assemble_plan(problem, result, verdict, ()))


def can_carry_out(instance: Instance, plan: Schedule) -> bool:
    """Whether a schedule of another instance says all of this one: every task in a way that it has."""
    nobody: set[str | None] = {None}
    ways = {
        (task.id, mode.id): {name for name, _ in mode.operators} or nobody
        for task in instance.tasks
        for mode in task.modes
    }
    done = {one.task for one in plan.tasks}
    if plan.left_over or any(one.operator not in ways.get((one.task, one.mode), ()) for one in plan.tasks):
        return False
    chosen: set[str] = set()
    free = {task.id for task in instance.tasks}
    for choice in instance.choices:
        every = {task for option in choice.options for task in option}
        free -= every
        used = [option for option in choice.options if set(option) == done & every]
        if len(used) != 1:
            return False
        chosen |= set(used[0])
    return done == free | chosen
