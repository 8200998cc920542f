"""From the problems of all versions to what is to be planned, and from the outcomes back to the versions."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

from scheduler.scenarios.exchange import Offer
from scheduler.scenarios.plan_day import Outcome, Task
from scheduler.scenarios.side import Side, day_of

if TYPE_CHECKING:
    from collections.abc import Sequence

    from scheduler.domain.day_problem import DayProblem
    from scheduler.scenarios.quantities import DayFigures


@dataclass(frozen=True, slots=True, kw_only=True)
class Asked:
    """What is planned.

    Attributes
    ----------
    problems
        By version, today's first: the problem of each day.
    seeds
        The same for every version and day; at least one.
    seconds
        Safety stop of each search by wall clock; None: that of the effort.
    """

    problems: tuple[tuple[DayProblem, ...], ...]
    seeds: tuple[int, ...]
    effort: str
    seconds: float | None = None

    def tasks(self) -> tuple[Task, ...]:
        """One for each version, day and seed, in this order: what ends early has the first versions whole."""
        return tuple(
            Task(
                version=version,
                day=day,
                seed=seed,
                problem=problem,
                effort=self.effort,
                seconds=self.seconds,
            )
            for version, days in enumerate(self.problems)
            for day, problem in enumerate(days)
            for seed in self.seeds
        )

    def offers(self, outcomes: Sequence[Outcome | None]) -> tuple[Offer, ...]:
        """What each version is offered of the others' plans, day by day.

        Parameters
        ----------
        outcomes
            Of `tasks`, in their order.
        """
        made = [one for one in outcomes if one is not None and one.figures is not None]
        offers = []
        for version, days in enumerate(self.problems):
            for day, problem in enumerate(days):
                own = [one for one in made if (one.version, one.day) == (version, day)]
                mine = {one.schedule for one in own}
                plans = dict.fromkeys(one.schedule for one in made if one.day == day)
                offered = tuple(plan for plan in plans if plan is not None and plan not in mine)
                keys = [one.figures.key for one in own if one.figures is not None]
                if keys and offered:
                    offers.append(
                        Offer(version=version, day=day, problem=problem, plans=offered, best=min(keys))
                    )
        return tuple(offers)

    def sides(
        self, outcomes: Sequence[Outcome | None], taken: Sequence[Outcome | None] = ()
    ) -> tuple[Side | str | None, ...]:
        """By version: its plans; or what went wrong; or None when not all of it was reached.

        Parameters
        ----------
        outcomes
            Of `tasks`, in their order.
        taken
            What the versions took of each other's plans.
        """
        there = {(one.version, one.day, one.seed): one for one in outcomes if one is not None}
        further = {(one.version, one.day): one.figures for one in taken if one is not None}
        return tuple(self._side(version, there, further) for version in range(len(self.problems)))

    def _side(
        self,
        version: int,
        there: dict[tuple[int, int, int], Outcome],
        further: dict[tuple[int, int], DayFigures | None],
    ) -> Side | str | None:
        days = []
        for day, problem in enumerate(self.problems[version]):
            own = [there.get((version, day, seed)) for seed in self.seeds]
            for one in own:
                if one is not None and one.figures is None:
                    return one.trouble
            figures = [one.figures for one in own if one is not None and one.figures is not None]
            if len(figures) < len(own):
                return None
            alike = self._first_alike(day, problem)
            days.append(day_of(figures, problem=alike, taken=further.get((version, day))))
        return Side(days=tuple(days))

    def _first_alike(self, day: int, problem: DayProblem) -> int:
        """The first version that has the same problem on that day."""
        alike = (number for number, days in enumerate(self.problems) if same_problem(days[day], problem))
        return next(alike)


def same_problem(one: DayProblem, other: DayProblem) -> bool:
    """Whether two problems ask the same of the search, whatever the shop is called."""
    return (
        one.day == other.day
        and one.orders == other.orders
        and replace(one.instance, name="") == replace(other.instance, name="")
    )
