"""What is said of orders that the day book has as pressed on another day."""

from __future__ import annotations

from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from collections.abc import Iterable, Sequence
    from datetime import date
    from pathlib import Path

    from scheduler.daybook.elsewhere import Pressed
    from scheduler.daybook.opening import Waiting
    from scheduler.domain.faults import Fault
    from scheduler.domain.orders import Order


def pressed_doubts(out: Path, day: date, orders: Iterable[Order], *, tell: Waiting) -> tuple[Fault, ...]:
    """Doubts about orders of which something was entered as pressed on another day; makes nothing.

    An order with only those pieces that are left by the day book is no doubt: that is told in a line.

    Parameters
    ----------
    out
        The folder of plans; without a day book in it there is nothing to doubt.
    tell
        Says a line to the owner.
    """
    from scheduler.daybook.elsewhere import by_placement, pressed_elsewhere
    from scheduler.daybook.opening import NAME
    from scheduler.plans.book import opened

    if not (out / NAME).exists():
        return ()
    known = {order.id: order for order in orders}
    found: dict[str, list[Pressed]] = {}
    with opened(out, tell=tell) as book:
        for one in pressed_elsewhere(book, day, known.values()):
            found.setdefault(one.order, []).append(one)
    doubts: list[Fault] = []
    for name, days in found.items():
        open_ = _not_taken_over(days)
        if open_[-1].leaves(by_placement(known[name])):
            tell(_agrees(known[name], open_[-1]))
        else:
            doubts += [_doubt(known[name], one) for one in open_]
    return tuple(doubts)


def _not_taken_over(days: Sequence[Pressed]) -> list[Pressed]:
    """The days, without those after which an order was planned with what they had left of it."""
    left: list[Pressed] = []
    for one in days:
        if left and left[-1].leaves(one.whole):
            left.pop()
        left.append(one)
    return left


def _agrees(order: Order, one: Pressed) -> str:
    from scheduler.domain.clock import long_date

    left = f"{order.quantity} left of {one.quantity}"
    return f"Order {order.id}: {left}, which agrees with the day book of {long_date(one.day)}."


def _doubt(order: Order, one: Pressed) -> Fault:
    from scheduler.daybook.elsewhere import by_placement
    from scheduler.domain.clock import long_date
    from scheduler.domain.faults import Fault, Severity
    from scheduler.domain.figures import counted

    counts = {one.pieces.get(placement, 0) for placement in one.whole}
    wholes = set(one.whole.values())
    if len(counts) == len(wholes) == 1:
        pieces = f"{counted(max(counts), 'piece')} of {max(wholes)}"
    else:
        each = ", ".join(
            f"{placement} {count} of {one.whole.get(placement, count)}"
            for placement, count in one.pieces.items()
        )
        pieces = f"{each} pieces"
    found = f"order {order.id}: the day book has {pieces} as pressed on {long_date(one.day)}"
    left = max(one.left.values())
    expected = "an order of which nothing is pressed yet"
    mend = (
        "It is planned whole, as if nothing had been pressed. To leave out what is done, write the word "
        "done under Status, or only the pieces that are left, and plan again."
    )
    if by_placement(order) != one.whole:
        mend = "It is planned as it stands here. Correct the quantity, or what was entered, and plan again."
        if left:
            are = "is" if left == 1 else "are"
            found += f", so {left} {are} left; here it has {order.quantity}"
            expected = f"the {counted(left, 'piece')} that {are} left"
    return Fault(
        code="pressed-on-another-day",
        source=order.source,
        found=found,
        expected=expected,
        mend=mend,
        severity=Severity.DOUBT,
    )
