"""What is compared between plans, each with a bound and with what that bound rests on."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum

from scheduler.domain.instance import Level


class Quantity(StrEnum):
    """What a plan is compared by; all are better when smaller. Times are in ticks."""

    LEFT_OVER = "left_over"
    LATENESS = "lateness"
    LATE_ORDERS = "late_orders"
    CHANGEOVER = "changeover"
    CHANGEOVERS = "changeovers"
    OVERTIME = "overtime"
    FINISH = "finish"
    WORK = "work"
    NOT_THAT_DAY = "not_that_day"


LEVELS: tuple[Level, ...] = ("left_over", "lateness", "changeover", "changeovers", "overtime", "finish")
"""The levels of a plan in order of importance: each of them is a quantity too."""

RESTS_ON: dict[Quantity, tuple[Level, ...]] = {
    **{Quantity(level): LEVELS[:number] for number, level in enumerate(LEVELS)},
    Quantity.LATE_ORDERS: ("left_over",),
    Quantity.WORK: ("left_over", "lateness"),
    Quantity.NOT_THAT_DAY: ("left_over",),
}
"""By quantity: its bound holds among plans that reach these levels as well as the plan beside it."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Amount:
    """What a plan reaches of a quantity, and what no plan can be below."""

    value: int
    bound: int


@dataclass(frozen=True, slots=True, kw_only=True)
class DayFigures:
    """A checked plan of one day in figures.

    Attributes
    ----------
    amounts
        By quantity. `WORK` is ticks that people set up and press, on all days; `NOT_THAT_DAY` garments of
        orders that are not packed on the planned day.
    orders, garments
        Of the day.
    paid
        Ticks that the crew is paid for on the planned day: shifts without breaks and without overtime.
    tick_s
        Length of a tick.
    fingerprint
        The plan's short code.
    """

    amounts: dict[Quantity, Amount]
    orders: int
    garments: int
    paid: int
    tick_s: int
    fingerprint: str
    stopped_early: bool

    def level(self, level: Level) -> int:
        """What the plan reaches at a level."""
        return self.amounts[Quantity(level)].value

    @property
    def key(self) -> tuple[int, ...]:
        """Plans in order of how good they are, the best first; of equally good ones that with less work."""
        return *(self.level(level) for level in LEVELS), self.amounts[Quantity.WORK].value
