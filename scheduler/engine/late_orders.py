"""Lateness of orders whose work fits into the hours only so fast, over all sequences that they may have.

Source: M. Held and R. M. Karp, "A dynamic programming approach to sequencing problems", *SIAM Journal* 10(1),
1962, over sets of orders.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from collections.abc import Callable, Iterable, Sequence

MOST_ORDERS = 12
"""Orders whose every sequence is looked at; of more, some that are due together are taken as one."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Due:
    """An order, or some, as far as lateness goes.

    Attributes
    ----------
    cost
        What its work weighs at least.
    due, ready
        When its pressing must and can end: packing left out.
    """

    cost: int
    weight: int
    due: int
    ready: int


def fewer(orders: Iterable[Due]) -> list[Due]:
    """No more orders than can be looked at in every sequence: the lightest neighbours by due date become one.

    Such a pair is late no less than the last of it is, by the smaller weight, after the later date.
    """
    found = sorted(orders, key=lambda one: (one.due, one.cost))
    while len(found) > MOST_ORDERS:
        at = min(range(len(found) - 1), key=lambda at: found[at].cost + found[at + 1].cost)
        first, second = found[at : at + 2]
        found[at : at + 2] = [
            Due(
                cost=first.cost + second.cost,
                weight=min(first.weight, second.weight),
                due=max(first.due, second.due),
                ready=max(first.ready, second.ready),
            )
        ]
    return found


def last_late(orders: Sequence[Due], fits: Callable[[int], int]) -> int:
    """Weighted lateness of the last of some orders alone, whichever it is."""
    if not orders:
        return 0
    done = fits(sum(one.cost for one in orders))
    return min(one.weight for one in orders) * max(0, done - max(one.due for one in orders))


def least_late(orders: Sequence[Due], fits: Callable[[int], int]) -> int:
    """Weighted lateness of the best sequence, each order done when all work up to it fits."""
    size = 1 << len(orders)
    least, work = [0] * size, [0] * size
    for some in range(1, size):
        low = (some & -some).bit_length() - 1
        work[some] = work[some & (some - 1)] + orders[low].cost
        done = fits(work[some])
        best = -1
        for at, last in enumerate(orders):
            if some >> at & 1:
                late = least[some ^ 1 << at] + last.weight * max(0, max(done, last.ready) - last.due)
                if best < 0 or late < best:
                    best = late
        least[some] = best
    return least[-1]
