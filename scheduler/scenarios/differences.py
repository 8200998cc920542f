"""What of the difference between two versions is proven, and what may be the search's doing.

A version's best possible amount lies between its bound and what its plan reaches. So the difference "then
minus today" of the best possible amounts lies between

    least = then's bound - today's plan        most = then's plan - today's bound

and nothing but that is known. A difference is proven only where one version's plan is better than the other's
bound. Bounds below the first level rest on the levels before it: the one side of the interval is
known only when then's plan keeps what today's plan reaches there, the other only the other way round.
"""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum
from typing import TYPE_CHECKING

from scheduler.scenarios.side import keeps

if TYPE_CHECKING:
    from scheduler.scenarios.quantities import Quantity
    from scheduler.scenarios.side import Day, Side


class Verdict(StrEnum):
    """What is known of a difference; smaller amounts are better."""

    BETTER = "better"
    WORSE = "worse"
    SAME = "the same"
    NOT_PROVEN = "not proven"


@dataclass(frozen=True, slots=True, kw_only=True)
class Difference:
    """Then minus today, in a quantity's own unit.

    Attributes
    ----------
    planned
        Between the two plans.
    least, most
        Between which the difference of the best possible amounts lies; None: not known on that side.
    """

    planned: int
    least: int | None
    most: int | None

    @property
    def verdict(self) -> Verdict:
        if self.most is not None and self.most < 0:
            return Verdict.BETTER
        if self.least is not None and self.least > 0:
            return Verdict.WORSE
        if self.least == self.most == 0:
            return Verdict.SAME
        return Verdict.NOT_PROVEN


def day_difference(today: Day, then: Day, quantity: Quantity) -> Difference:
    """The difference on one day."""
    if today.problem == then.problem:
        return Difference(planned=0, least=0, most=0)
    before, after = today.amounts[quantity], then.amounts[quantity]
    least: int | None = after.bound - before.value
    most: int | None = after.value - before.bound
    # Where a bound doesn't hold there is still this: nothing is below 0.
    if not keeps(today.best, then.best, quantity):
        least = 0 if before.value == 0 else None
    if not keeps(then.best, today.best, quantity):
        most = 0 if after.value == 0 else None
    return Difference(planned=after.value - before.value, least=least, most=most)


def difference(today: Side, then: Side, quantity: Quantity) -> Difference:
    """The difference over all days; a side of the interval is known when it is on every day."""
    days = [day_difference(*both, quantity) for both in zip(today.days, then.days, strict=True)]
    least = [day.least for day in days if day.least is not None]
    most = [day.most for day in days if day.most is not None]
    return Difference(
        planned=sum(day.planned for day in days),
        least=sum(least) if len(least) == len(days) else None,
        most=sum(most) if len(most) == len(days) else None,
    )
