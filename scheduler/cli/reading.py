"""Shop and orders from their files to a day's problem, with every fault and doubt on the way."""

from __future__ import annotations

from dataclasses import dataclass, replace
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
"""No cut-off is past on this day: used to find out which dates the orders speak of."""


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
        With every fault and doubt of all files, those of the sound orders' placements that nothing
        can press among them.
    """
    from scheduler.intake import scan_orders, scan_shop_words

    words, found = scan_shop_words(shop_file(orders, shop))
    read_shop = words.shop
    if read_shop is None:
        _, more = scan_orders(orders, words, day or LONG_AGO)
        raise BadInput([*found, *more, _only_names_checked(orders)])
    if day is None:
        day = day_of(scan_orders(orders, read_shop, LONG_AGO)[0], read_shop, date.today())
    read_orders, more = scan_orders(orders, read_shop, day)
    found = (*found, *more)
    problem, beyond = _stated(read_shop, read_orders, day)
    if has_fault(more):
        # faulty orders are missing from those that were stated: that there are none is no fault
        raise BadInput([*found, *(one for one in beyond if one.code != "no-orders")])
    if problem is None:
        raise BadInput([*found, *beyond])
    return Found(problem=problem, doubts=found)


def day_of(orders: Iterable[Order], shop: Shop, today: date) -> date:
    """The day that orders are most likely meant to be planned for.

    That of the earliest written cut-off date from today on, or of the earliest of all when all are past;
    the last working day up to it, when the shop is closed then. Without any date: the next working day
    after today.

    Parameters
    ----------
    orders
        As read for `LONG_AGO`: cut-offs of that time were taken from that day for want of a date.
    """
    from scheduler.planning.calendar import working_dates

    dates = [order.cut_off.date() for order in orders if order.cut_off.year > LONG_AGO.year + 1]
    coming = [on for on in dates if on >= today]
    if not dates:
        return next(iter(working_dates(shop, today + timedelta(days=1), 1)), today)
    earliest = min(coming or dates)
    week = [earliest - timedelta(days=back) for back in range(8)]
    fit = [on for on in week if working_dates(shop, on, 1) == (on,) and (on >= today or not coming)]
    return fit[0] if fit else next(iter(working_dates(shop, earliest, 1)), earliest)


def has_fault(findings: Iterable[Fault]) -> bool:
    """Whether there is anything in it that keeps the orders from being planned."""
    from scheduler.domain.faults import Severity

    return any(finding.severity is Severity.FAULT for finding in findings)


def _stated(shop: Shop, orders: tuple[Order, ...], day: date) -> tuple[DayProblem | None, tuple[Fault, ...]]:
    """The day's problem, or what planning finds wrong with it."""
    from scheduler.planning import build_day

    try:
        return build_day(shop, orders, day), ()
    except BadInput as error:
        return None, _naming_usual_sizes(error.faults, orders)


def _naming_usual_sizes(faults: Iterable[Fault], orders: Iterable[Order]) -> tuple[Fault, ...]:
    """Say of prints that nothing can press whose size nobody typed where it comes from."""
    usual = {
        one.source: " and ".join(one.usual)
        for order in orders
        for line in order.lines
        for one in line.prints
        if one.usual
    }
    return tuple(
        replace(fault, found=f"{fault.found} ({usual[fault.source]} not given: the placement's usual)")
        if fault.code == "nothing-can-press" and fault.source in usual
        else fault
        for fault in faults
    )


def _only_names_checked(orders: Sequence[Path]) -> Fault:
    """Say what was not checked because the shop's own workbook has a fault."""
    from scheduler.domain.faults import Fault, Severity, Source

    return Fault(
        code="shop-first",
        source=Source(file=", ".join(path.name for path in orders)),
        found="a shop workbook with faults, so that only what stands in the orders themselves was checked",
        expected="a sound shop workbook",
        mend="Mend that first; recipes, presses, hours and couriers are held against the orders then.",
        severity=Severity.DOUBT,
    )
