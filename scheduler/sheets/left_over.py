"""What fits nowhere in the planned days, by order: a large order has hundreds of such runs."""

from __future__ import annotations

from collections import Counter
from dataclasses import dataclass

from scheduler.domain.figures import counted
from scheduler.domain.plan import LeftOver, Plan

MOST_ORDERS = 12
"""Orders named with what is left over of them; the others are counted."""


@dataclass(frozen=True, slots=True, kw_only=True)
class LeftOfOrder:
    """What is left over of one order.

    Attributes
    ----------
    runs
        How many of its runs are.
    pieces
        Placements pressed together, and pieces of them.
    reason
        Why: the reason that most of its runs have, the first of them among several.
    """

    order: str
    runs: int
    pieces: tuple[tuple[tuple[str, ...], int], ...]
    reason: str

    def what(self, joint: str, before_pieces: str) -> str:
        """Placements with their pieces, and in how many runs.

        Parameters
        ----------
        joint
            Stands between what is pressed together.
        before_pieces
            Stands before each number of pieces.
        """
        parts = [
            f"{joint.join(placements)}{before_pieces}{counted(count, 'piece')}"
            for placements, count in self.pieces
        ]
        runs = f" in {self.runs} runs" if self.runs > len(self.pieces) else ""
        return "; ".join(parts) + runs


def left_by_order(plan: Plan) -> tuple[LeftOfOrder, ...]:
    """What is left over, in the order in which it stands in the plan."""
    by_order: dict[str, list[LeftOver]] = {}
    for one in plan.left_over:
        by_order.setdefault(one.order, []).append(one)
    return tuple(_left(order, own) for order, own in by_order.items())


def _left(order: str, own: list[LeftOver]) -> LeftOfOrder:
    pieces: Counter[tuple[str, ...]] = Counter()
    for one in own:
        pieces[one.placements] += one.quantity
    return LeftOfOrder(
        order=order,
        runs=len(own),
        pieces=tuple(pieces.items()),
        reason=Counter(one.reason for one in own).most_common(1)[0][0],
    )


def others_left(found: tuple[LeftOfOrder, ...]) -> str:
    """In words how many orders are not named, and where they stand; empty when all are."""
    more = found[MOST_ORDERS:]
    if not more:
        return ""
    runs = sum(one.runs for one in more)
    return (
        f"and {counted(len(more), 'more order')} with {counted(runs, 'run')}: in the workbook and on the page"
    )
