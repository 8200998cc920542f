"""What is said of orders that the day book has as pressed on another day."""

from __future__ import annotations

from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from collections.abc import Iterable
    from datetime import date
    from pathlib import Path

    from scheduler.daybook.elsewhere import Pressed
    from scheduler.daybook.opening import Waiting
    from scheduler.domain.faults import Fault
    from scheduler.domain.orders import Order


def pressed_doubts(out: Path, day: date, orders: Iterable[Order], *, tell: Waiting) -> tuple[Fault, ...]:
    """Doubts about orders of which something was entered as pressed on another day; makes nothing.

    Parameters
    ----------
    out
        The folder of plans; without a day book in it there is nothing to doubt.
    tell
        Says a line to the owner, such as that another command must end first.
    """
    from scheduler.daybook.elsewhere import pressed_elsewhere
    from scheduler.daybook.opening import NAME
    from scheduler.plans.book import opened

    if not (out / NAME).exists():
        return ()
    known = {order.id: order for order in orders}
    with opened(out, tell=tell) as book:
        return tuple(_doubt(known[one.order], one) for one in pressed_elsewhere(book, day, known.values()))


def _doubt(order: Order, one: Pressed) -> Fault:
    from scheduler.domain.clock import long_date
    from scheduler.domain.faults import Fault, Severity
    from scheduler.domain.figures import counted

    placements = {each.placement for line in order.lines for each in line.prints}
    counts = set(one.pieces.values())
    if len(counts) == 1 and placements <= set(one.pieces):
        pieces = f"{counted(counts.pop(), 'piece')} of {order.quantity}"
    else:
        each = ", ".join(f"{placement} {count}" for placement, count in one.pieces.items())
        pieces = f"{each} pieces"
    return Fault(
        code="pressed-on-another-day",
        source=order.source,
        found=f"order {order.id}: the day book has {pieces} as pressed on {long_date(one.day)}",
        expected="an order of which nothing is pressed yet",
        mend="It is planned whole, as if nothing had been pressed. To leave out what is done, write the word "
        "done under Status, or only the pieces that are left, and plan again.",
        severity=Severity.DOUBT,
    )
