"""The packing list: orders by when they are complete, and the time that is left to their cut-off."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, datetime

from scheduler.domain.plan import Plan, PlannedOrder
from scheduler.sheets.follow import done_at

TIGHT_MIN = 15
"""Orders with less than this to spare are listed for the owner."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Packed:
    """An order to pack.

    Attributes
    ----------
    complete
        When its last piece is off the press and cool.
    """

    order: PlannedOrder
    complete: datetime

    @property
    def day(self) -> date:
        """The date on whose list it stands."""
        return self.complete.date()


def packing(plan: Plan) -> list[Packed]:
    """Every order with a run, by when it is complete."""
    ends: dict[str, datetime] = {}
    for run in plan.runs:
        key = run.content.order
        ends[key] = max(ends.get(key, done_at(run)), done_at(run))
    found = [Packed(order=order, complete=ends[order.id]) for order in plan.orders if order.id in ends]
    return sorted(found, key=lambda one: (one.complete, one.order.id))


def spare_minutes(order: PlannedOrder) -> int | None:
    """Whole minutes between packed and cut-off, below 0 when late; None when it is not done whole."""
    if order.finished is None:
        return None
    return int((order.cut_off - order.finished).total_seconds() // 60)


def tight_orders(plan: Plan) -> list[PlannedOrder]:
    """Orders on time with little to spare, the tightest first."""
    found = [
        (spare, order)
        for order in plan.orders
        if (spare := spare_minutes(order)) is not None and 0 <= spare < TIGHT_MIN and not order.late_minutes
    ]
    return [order for _, order in sorted(found, key=lambda pair: (pair[0], pair[1].id))]
