"""A plan that comes out worse than the one that is there: which of them counts."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

from scheduler.domain.shop import NOWHERE

if TYPE_CHECKING:
    from scheduler.domain.orders import Order
    from scheduler.domain.plan import Plan


@dataclass(frozen=True, slots=True, kw_only=True)
class Worse:
    """A plan, and the one before it of the same day, which was better.

    Attributes
    ----------
    found
        The plan that the search gave.
    same_input
        Both were made from the same orders, shop and times.
    stays
        The plan before stays the newest one of the day; the one found was written nowhere.
    """

    found: Plan
    before: Plan
    same_input: bool
    stays: bool


def worse(found: Plan, before: Plan, *, counts: bool) -> Worse | None:
    """That a plan is worse than the one before; None when it isn't, or when they can't be held side by side.

    Parameters
    ----------
    counts
        The plan found counts all the same, since more was asked for than the best.
    """
    if found.at is not None or before.at is not None or not _side_by_side(found, before):
        return None
    if [one.value for one in found.levels] <= [one.value for one in before.levels]:
        return None
    same = _same_input(found, before)
    return Worse(found=found, before=before, same_input=same, stays=same and not counts)


def _side_by_side(one: Plan, other: Plan) -> bool:
    names = [[level.name for level in plan.levels] for plan in (one, other)]
    return names[0] == names[1] and one.instance.tick_s == other.instance.tick_s


def _same_input(one: Plan, other: Plan) -> bool:
    """Whether two plans were made from the same orders, shop and times, in whatever cells they stood."""
    return (
        one.instance == other.instance
        and one.shop == other.shop
        and _anywhere(one) == _anywhere(other)
        and _left_out(one) == _left_out(other)
    )


def _anywhere(plan: Plan) -> list[Order]:
    return [
        replace(
            order,
            source=NOWHERE,
            lines=tuple(
                replace(
                    line, source=NOWHERE, prints=tuple(replace(one, source=NOWHERE) for one in line.prints)
                )
                for line in order.lines
            ),
        )
        for order in plan.given
    ]


def _left_out(plan: Plan) -> set[tuple[str, bool]]:
    return {(one.order, one.whole) for one in plan.not_planned}
