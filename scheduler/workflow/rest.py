"""The rest of a day: searched, checked, printed starts held."""

from __future__ import annotations

from dataclasses import dataclass, replace
from functools import partial
from typing import TYPE_CHECKING

from scheduler.exceptions import NoPlan
from scheduler.workflow.search import passed, values_of_check
from scheduler.workflow.watched import watched

if TYPE_CHECKING:
    from scheduler.domain.plan import Plan
    from scheduler.domain.schedule import LevelValue, Result, Verdict
    from scheduler.planning.rest import Rest
    from scheduler.workflow.owner import Owner


@dataclass(frozen=True, slots=True, kw_only=True)
class RestAnswer:
    """The best rest of the day that was found, checked."""

    rest: Rest
    result: Result
    verdict: Verdict
    whole: Verdict
    as_they_come: tuple[LevelValue, ...]

    def plan(self, version: int) -> Plan:
        """The whole day in trade words."""
        from scheduler.planning.again import plan_again

        return plan_again(
            self.rest, self.result, self.verdict, self.whole, self.as_they_come, version=version
        )


def search_rest(rest: Rest, *, effort: str, seconds: float | None, seed: int, owner: Owner) -> RestAnswer:
    """Look for the best rest of the day, beginning with what is printed, and check it.

    Printed runs that came earlier for nothing are put back to their printed starts.

    Raises
    ------
    NoPlan
        When the search ended without a plan.
    BrokenPlan
        When the independent check refuses the rest.
    """
    from scheduler.engine.baseline import as_they_come
    from scheduler.engine.line import put_down_anew
    from scheduler.engine.paid_hours import solve_day
    from scheduler.planning.again import merged
    from scheduler.planning.held import held
    from scheduler.verify import check

    instance = rest.instance
    with owner.watch(instance, effort=effort, seconds=seconds) as show:
        ask = partial(solve_day, instance, effort=effort, seconds=seconds, seed=seed, near=rest.kept)
        result = watched(ask, show)
    if result.schedule is None:
        raise NoPlan(f"The search ended after {result.runtime_s:.1f} s without a plan; nothing was written.")
    passed(instance, result.schedule, "the rest of the day")
    schedule = held(instance, rest.kept, result.schedule, put_down_anew, check)
    day = rest.problem.instance
    return RestAnswer(
        rest=rest,
        result=replace(result, schedule=schedule),
        verdict=passed(instance, schedule, "the rest of the day, printed starts held"),
        whole=check(day, merged(rest, schedule)),
        as_they_come=values_of_check(day, passed(day, as_they_come(day), "the orders taken as they come")),
    )
