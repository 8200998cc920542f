"""What a version saves a day in money, planned and proven, and when its price has paid for itself.

Of a day's plan these cost money, at the owner's rates:

    wage x hours of setting up and pressing  +  (overtime wage - wage) x hours of overtime
    + what a late order costs x late orders

Saved is today's sum less the version's. Hours not needed at the presses count at the wage, as in
`scheduler/savings`: they are used for other work. Hours that a version adds to what the crew is paid for are
taken off in full; where it cuts more paid hours than work, the cut counts. Running costs are taken off last.

What is proven is counted with today's bounds in place of today's plan: no plan of today's shop that keeps
what today's plan reaches costs less.
"""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction
from typing import TYPE_CHECKING

from scheduler.savings.worth import SECONDS_AN_HOUR, Figure, fraction
from scheduler.scenarios.quantities import Quantity
from scheduler.scenarios.side import keeps

if TYPE_CHECKING:
    from scheduler.scenarios.quantities import DayFigures
    from scheduler.scenarios.side import Day, Side


@dataclass(frozen=True, slots=True, kw_only=True)
class Rates:
    """What things cost the shop, in its own money.

    Attributes
    ----------
    wage
        An hour of work.
    overtime_wage
        An hour of overtime, at least the wage.
    late_order
        An order that is late; 0: not counted in money.
    """

    wage: Figure
    overtime_wage: Figure
    late_order: Figure = 0

    def __post_init__(self) -> None:
        if min(fraction(self.wage), fraction(self.late_order)) < 0:
            raise ValueError("a wage and what a late order costs are 0 or more")
        if fraction(self.overtime_wage) < fraction(self.wage):
            raise ValueError("an hour of overtime costs no less than an hour of work")


@dataclass(frozen=True, slots=True, kw_only=True)
class Saved:
    """Money a day; negative where a version costs more.

    Attributes
    ----------
    planned
        Between the two plans.
    least, most
        Between which the saving of the best possible plans lies; `least` is what is proven.
    besides
        What would be proven with nobody paid for fewer hours: the rest of `least` are wages.
    by_seed
        Between the plans of each seed; plans that were taken over from other versions don't count there.
    """

    planned: Fraction
    least: Fraction
    most: Fraction
    besides: Fraction
    by_seed: tuple[Fraction, ...]

    @property
    def wages_alone(self) -> bool:
        """Whether something is proven, but only that fewer hours are paid: nothing of the work itself."""
        return self.least > 0 >= self.besides

    @property
    def in_seeds(self) -> bool:
        """Whether the saving by the plans lies between those of the seeds."""
        return min(self.by_seed) <= self.planned <= max(self.by_seed)


def saved_a_day(today: Side, then: Side, rates: Rates, cost_a_day: Figure = 0) -> Saved | None:
    """What a version saves on a day, on average; None where some plan leaves something over.

    Pieces that are left over have no price, and their work is missing in the hours.
    """
    if any(one.level("left_over") for side in (today, then) for day in side.days for one in day.by_seed):
        return None
    running = fraction(cost_a_day)

    def mean(
        one: Side, other: Side, bound_before: bool = False, bound_after: bool = False, cut: bool = True
    ) -> Fraction:
        both = list(zip(one.days, other.days, strict=True))
        sums = (_saved(before, after, rates, bound_before, bound_after, cut) for before, after in both)
        return sum(sums, Fraction(0)) / len(both) - running

    return Saved(
        planned=mean(today, then),
        least=mean(today, then, bound_before=True),
        most=mean(today, then, bound_after=True),
        besides=mean(today, then, bound_before=True, cut=False),
        by_seed=tuple(mean(today.of_seed(seed), then.of_seed(seed)) for seed in range(today.seeds)),
    )


def _saved(
    before: Day, after: Day, rates: Rates, bound_before: bool, bound_after: bool, cut: bool
) -> Fraction:
    """Saved on one day, from the plans or from their bounds, with or without the paid hours that are cut."""
    if before.problem == after.problem:
        return Fraction(0)
    tick_h = Fraction(before.best.tick_s, SECONDS_AN_HOUR)
    wage = fraction(rates.wage)

    def less(quantity: Quantity) -> int:
        return _amount(before, after.best, quantity, bound_before) - _amount(
            after, before.best, quantity, bound_after
        )

    added = after.best.paid - before.best.paid
    return (
        wage * tick_h * _hours_less(less(Quantity.WORK), added if cut else max(0, added))
        + (fraction(rates.overtime_wage) - wage) * tick_h * less(Quantity.OVERTIME)
        + fraction(rates.late_order) * less(Quantity.LATE_ORDERS)
    )


def _amount(day: Day, other: DayFigures, quantity: Quantity, bound: bool) -> int:
    """What the plan reaches; or its bound, 0 where that doesn't hold beside the other plan."""
    amount = day.amounts[quantity]
    if not bound:
        return amount.value
    return amount.bound if keeps(other, day.best, quantity) else 0


def _hours_less(work: int, paid_added: int) -> int:
    """Ticks of people that count as saved."""
    return work - paid_added if paid_added >= 0 else max(work, -paid_added)
