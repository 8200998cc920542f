"""One version of the shop on all days: the best plan of each day over its seeds, with the bounds of all."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from scheduler.scenarios.quantities import RESTS_ON, Amount, Quantity

if TYPE_CHECKING:
    from collections.abc import Sequence

    from scheduler.scenarios.quantities import DayFigures


@dataclass(frozen=True, slots=True, kw_only=True)
class Day:
    """A day's plans of one version.

    Attributes
    ----------
    best
        The best plan, by the levels in order and then by work; of equals that of the first seed.
    by_seed
        By seed, in order.
    amounts
        Of the best plan, each with the tightest bound that any of the searches has shown for it.
    problem
        The same number as another version's: both have the same problem that day, so nothing differs.
    """

    best: DayFigures
    by_seed: tuple[DayFigures, ...]
    amounts: dict[Quantity, Amount]
    problem: int

    def spread(self, quantity: Quantity) -> tuple[int, int]:
        """Least and greatest value over the seeds."""
        values = [one.amounts[quantity].value for one in self.by_seed]
        return min(values), max(values)


@dataclass(frozen=True, slots=True, kw_only=True)
class Side:
    """A version of the shop on all days."""

    days: tuple[Day, ...]

    def value(self, quantity: Quantity) -> int:
        """Sum over the days."""
        return sum(day.amounts[quantity].value for day in self.days)

    def bound(self, quantity: Quantity) -> int:
        """Sum over the days of what no plan can be below."""
        return sum(day.amounts[quantity].bound for day in self.days)

    def spread(self, quantity: Quantity) -> tuple[int, int]:
        """Least and greatest of the seeds' sums over the days."""
        sums = [
            sum(one.amounts[quantity].value for one in same_seed)
            for same_seed in zip(*(day.by_seed for day in self.days), strict=True)
        ]
        return min(sums), max(sums)

    def of_seed(self, number: int) -> Side:
        """The same version as if only one of the seeds, counted from 0, had been tried."""
        return Side(days=tuple(day_of([day.by_seed[number]], problem=day.problem) for day in self.days))

    @property
    def seeds(self) -> int:
        return len(self.days[0].by_seed)

    @property
    def stopped_early(self) -> bool:
        return any(one.stopped_early for day in self.days for one in day.by_seed)


def day_of(by_seed: Sequence[DayFigures], *, problem: int, taken: DayFigures | None = None) -> Day:
    """A day's plans, from the first seed on.

    A bound that a search has shown holds among plans that reach the levels it rests on at least as well as
    that search's own plan. It holds beside the best plan too when that one does.

    Parameters
    ----------
    taken
        A better plan than those of the seeds, taken over from another version.
    """
    every = [*by_seed, taken] if taken is not None else list(by_seed)
    best = min(every, key=lambda one: one.key)
    amounts = {}
    for quantity, amount in best.amounts.items():
        valid = [one.amounts[quantity].bound for one in every if keeps(best, one, quantity)]
        amounts[quantity] = Amount(value=amount.value, bound=max(valid))
    return Day(best=best, by_seed=tuple(by_seed), amounts=amounts, problem=problem)


def keeps(plan: DayFigures, other: DayFigures, quantity: Quantity) -> bool:
    """Whether a plan reaches all that another plan's bound rests on, so that the bound holds for it."""
    return all(plan.level(level) <= other.level(level) for level in RESTS_ON[quantity])
