"""Shop and orders from their files to a day's problem, with every fault and doubt on the way."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, timedelta
from typing import TYPE_CHECKING

from scheduler.exceptions import BadInput

if TYPE_CHECKING:
    from collections.abc import Iterable, Sequence
    from pathlib import Path

    from scheduler.domain.faults import Fault
    from scheduler.domain.orders import Order
    from scheduler.domain.plan import DayProblem
    from scheduler.domain.shop import Shop

SHOP_NAME = "shop.xlsx"
LONG_AGO = date(1900, 1, 1)
"""No cut-off is past on this day: used to read orders of which all are past today."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Found:
    """Shop and orders, read and stated as a day's problem, with the doubts met on the way."""

    problem: DayProblem
    doubts: tuple[Fault, ...]


def shop_file(orders: Sequence[Path], shop: Path | None) -> Path:
    """The shop workbook: the one named, or shop.xlsx beside the first orders file."""
    return shop if shop is not None else orders[0].parent / SHOP_NAME


def read(orders: Sequence[Path], shop: Path | None, day: date | None) -> Found:
    """Read shop and orders and state the day.

    Parameters
    ----------
    day
        The day to plan; None: the day that the orders speak of, see `day_of`.

    Raises
    ------
    BadInput
        With every fault and doubt of all files.
    """
    from scheduler.intake import scan_orders, scan_shop

    read_shop, found = scan_shop(shop_file(orders, shop))
    if read_shop is None:
        raise BadInput([*found, *_unopened(orders)])
    read_orders, more = scan_orders(orders, read_shop, day or date.today())
    if day is None and _all_past(read_orders, more):
        day = day_of(scan_orders(orders, read_shop, LONG_AGO)[0], read_shop)
        read_orders, more = scan_orders(orders, read_shop, day)
    found = (*found, *more)
    if has_fault(more):
        raise BadInput(found)
    return Found(
        problem=_stated(read_shop, read_orders, day or day_of(read_orders, read_shop), found), doubts=found
    )


def day_of(orders: Iterable[Order], shop: Shop) -> date:
    """The last working day of the shop that is not after the earliest cut-off.

    Cut-offs in the times of `LONG_AGO` were taken from that day for want of one, and do not count.
    """
    from scheduler.planning.calendar import hours_on

    cut_offs = [order.cut_off.date() for order in orders if order.cut_off.year > LONG_AGO.year + 1]
    earliest = min(cut_offs, default=date.today())
    week = [earliest - timedelta(days=back) for back in range(8)]
    return next((on for on in week if hours_on(shop, on)), earliest)


def has_fault(findings: Iterable[Fault]) -> bool:
    """Whether there is anything in it that keeps the orders from being planned."""
    from scheduler.domain.faults import Severity

    return any(finding.severity is Severity.FAULT for finding in findings)


def _stated(shop: Shop, orders: tuple[Order, ...], day: date, found: tuple[Fault, ...]) -> DayProblem:
    from scheduler.planning import build_day

    try:
        return build_day(shop, orders, day)
    except BadInput as error:
        raise BadInput([*found, *error.faults]) from None


def _all_past(orders: tuple[Order, ...], found: Iterable[Fault]) -> bool:
    return not orders and any(one.code == "cut-off-past" for one in found)


def _unopened(orders: Iterable[Path]) -> list[Fault]:
    """What is wrong with the orders files themselves: their rows can't be read without the shop's words."""
    from scheduler.intake.guard import Refused
    from scheduler.intake.reader import open_book

    faults = []
    for path in orders:
        try:
            open_book(path)
        except Refused as refused:
            faults.append(refused.fault)
    return faults
