"""Which day orders are meant for, and that day's problem with what is wrong about it."""

from __future__ import annotations

from dataclasses import replace
from datetime import date, timedelta
from typing import TYPE_CHECKING

from scheduler.exceptions import BadInput

if TYPE_CHECKING:
    from collections.abc import Iterable

    from scheduler.domain.day_problem import DayProblem
    from scheduler.domain.faults import Fault
    from scheduler.domain.orders import Order
    from scheduler.domain.shop import Shop
    from scheduler.intake import KeptBack


LONG_AGO = date(1900, 1, 1)
"""No cut-off is past on this day: used to find out which dates the orders speak of."""


def day_of(dates: Iterable[date], shop: Shop | None, today: date) -> date:
    """The day that orders are most likely meant to be planned for.

    That of the earliest written cut-off date from today on, or of the earliest of all when all are past;
    the last working day up to it, when the shop is closed then. Without any date: the next working day
    after today. Without a shop every day is one.

    Parameters
    ----------
    dates
        The cut-off dates that stand in the orders.
    """
    from scheduler.planning.calendar import working_dates

    dates = list(dates)
    coming = [on for on in dates if on >= today]
    if shop is None:
        return min(coming or dates or [today])
    if not dates:
        return next(iter(working_dates(shop, today + timedelta(days=1), 1)), today)
    earliest = min(coming or dates)
    week = [earliest - timedelta(days=back) for back in range(8)]
    fit = [on for on in week if working_dates(shop, on, 1) == (on,) and (on >= today or not coming)]
    return fit[0] if fit else next(iter(working_dates(shop, earliest, 1)), earliest)


def stated_day(
    shop: Shop, orders: tuple[Order, ...], day: date, *, whole: bool
) -> tuple[DayProblem | None, tuple[Fault, ...], tuple[KeptBack, ...]]:
    """The day's problem of the orders that can be stated, what is wrong, and with which orders.

    Parameters
    ----------
    whole
        State the problem; else there is none, and the faults are found without it.
    """
    from scheduler.intake import KeptBack
    from scheduler.planning import build_day, day_faults

    try:
        if whole:
            return build_day(shop, orders, day), (), ()
        found = day_faults(shop, orders, day)
    except BadInput as error:
        found = error.faults
    faults = _naming_usual_sizes(found, orders)
    reasons = {
        order.id: tuple(
            fault
            for fault in faults
            if any(one.source == fault.source for line in order.lines for one in line.prints)
        )
        for order in orders
    }
    dropped = tuple(
        KeptBack(order=order.id, customer=order.customer, source=order.source, reasons=reasons[order.id])
        for order in orders
        if reasons[order.id]
    )
    sound = tuple(order for order in orders if not reasons[order.id])
    if not whole or not dropped or not sound:
        return None, faults, dropped
    try:
        return build_day(shop, sound, day), faults, dropped
    except BadInput:
        return None, faults, dropped


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
