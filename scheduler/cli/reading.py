"""Shop and orders from their files to a day's problem, with every fault and doubt on the way."""

from __future__ import annotations

from dataclasses import dataclass, replace
from datetime import date, timedelta
from typing import TYPE_CHECKING

from scheduler.cli.keeping import keep
from scheduler.cli.now import this_day
from scheduler.exceptions import BadInput

if TYPE_CHECKING:
    from collections.abc import Iterable, Sequence
    from pathlib import Path

    from scheduler.domain.faults import Fault
    from scheduler.domain.orders import Order
    from scheduler.domain.plan import DayProblem, NotPlanned
    from scheduler.domain.shop import Shop
    from scheduler.intake import KeptBack, Kind, OrdersRead

SHOP_NAME = "shop.xlsx"
LONG_AGO = date(1900, 1, 1)
"""No cut-off is past on this day: used to find out which dates the orders speak of."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Found:
    """Shop and orders, read and stated as a day's problem, with the doubts met on the way."""

    problem: DayProblem
    doubts: tuple[Fault, ...]
    not_planned: tuple[KeptBack, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class Look:
    """What was read, faults or not.

    Attributes
    ----------
    read
        The orders files; its orders are those that can be planned.
    found
        All faults and doubts, those of the shop among them.
    problem
        The sound orders stated as the day's problem; None when it wasn't asked for, and without a shop or a
        sound order.
    not_planned
        Orders that have a fault, one of their own or one that planning found.
    shop
        None: there is no shop workbook, or it can't be planned with.
    """

    day: date
    read: OrdersRead
    found: tuple[Fault, ...]
    problem: DayProblem | None
    not_planned: tuple[KeptBack, ...]
    shop: Shop | None = None


def shop_file(orders: Sequence[Path], shop: Path | None) -> Path:
    """The shop workbook: the one named, or shop.xlsx beside the first orders file."""
    return shop if shop is not None else orders[0].parent / SHOP_NAME


def read(
    orders: Sequence[Path], shop: Path | None, day: date | None, *, accept_partial: bool = False
) -> Found:
    """Read shop and orders and state the day.

    Parameters
    ----------
    day
        The day to plan; None: the day that the orders speak of, see `day_of`.
    accept_partial
        Leave the orders that have a fault out of the problem.

    Raises
    ------
    BadInput
        With every fault and doubt of all files, those of the sound orders' placements that nothing
        can press among them.
    """
    looked = look(orders, shop, day, stated=True)
    if looked.problem is None or (has_fault(looked.found) and not accept_partial):
        raise BadInput(looked.found)
    problem = replace(looked.problem, not_planned=_left_aside(looked))
    return Found(problem=problem, doubts=looked.found, not_planned=looked.not_planned)


def _left_aside(looked: Look) -> tuple[NotPlanned, ...]:
    """Orders and rows that were handed in and are not in the problem, for the plan's own record."""
    from scheduler.domain.plan import NotPlanned

    doubts = {one.source: one for one in looked.read.found if one.code == "row-left-out"}
    orders = [
        NotPlanned(order=one.order, customer=one.customer, source=one.source, whole=True, reasons=one.reasons)
        for one in looked.not_planned
    ]
    rows = [
        NotPlanned(
            order=one.order,
            source=one.source,
            whole=False,
            reasons=(doubts[one.source],) if one.source in doubts else (),
        )
        for one in looked.read.left_out
    ]
    return (*orders, *rows)


def look(
    orders: Sequence[Path],
    shop: Path | None,
    day: date | None,
    *,
    today: date | None = None,
    shop_needed: bool = True,
    said: Kind | None = None,
    stated: bool = False,
) -> Look:
    """Read shop and orders and state the day, whatever is wrong with them.

    Parameters
    ----------
    day
        The day to plan; None: the day that the orders speak of, see `day_of`.
    today
        What day names and dates without a year are read against, and before which a cut-off is past.
        None: the planned day, or the clock's where it isn't given either.
    shop_needed
        Without a shop workbook that is a fault; else the usual words of the trade serve and nothing that
        depends on a shop is checked.
    said
        What the owner has just said about the files; kept beside the shop workbook, so that files of the
        same headings are read like that from now on.
    stated
        Also state the day's problem; without, the same faults are found, sooner.

    Raises
    ------
    BadInput
        When a day is named in a year in which no shop works: nothing can be read against it.
    """
    from scheduler.intake import (
        KEPT_NAME,
        ShopWords,
        look_at_orders,
        open_orders,
        read_kept,
        scan_shop_words,
        written_cut_offs,
    )
    from scheduler.intake.cells.date_readings import out_of_range

    named = ((day, "--day"), (today, "--today"))
    absurd = [fault for on, option in named if on and (fault := out_of_range(on, option))]
    if absurd:
        raise BadInput(absurd)
    file = shop_file(orders, shop)
    found: tuple[Fault, ...]
    if shop is None and not shop_needed and not file.exists():
        words, found = ShopWords.of_the_trade(), (_no_shop(orders),)
    else:
        words, found = scan_shop_words(file)
    kept_file = file.parent / KEPT_NAME
    kept, wrong = read_kept(kept_file, words.sizes)
    found = (*found, *wrong)
    if said is not None:
        kept = replace(kept, said=said)
    opened = open_orders(orders, kept)
    now = today or day or this_day()
    if words.shop is None and not words.usual:
        plan_day = day or LONG_AGO
        read = look_at_orders(opened, words.on(plan_day, today=now), kept)
        more = (*read.found, _only_names_checked(orders))
        return Look(day=plan_day, read=read, found=(*found, *more), problem=None, not_planned=read.kept_back)
    if day is None:
        dates = written_cut_offs(opened, words.on(LONG_AGO, today=now), kept)
        plan_day = day_of(dates, words.shop, now)
        past_before = today or plan_day
    else:
        plan_day, past_before = day, max(day, today or day)
    read = look_at_orders(opened, words.on(plan_day, today=now, past_before=past_before), kept)
    if said is not None and not wrong:
        keep(kept_file, kept, read, said)
    if words.shop is None:
        return Look(
            day=plan_day, read=read, found=(*found, *read.found), problem=None, not_planned=read.kept_back
        )
    problem, beyond, dropped = stated_day(words.shop, read.orders, plan_day, whole=stated)
    if has_fault(read.found):
        # faulty orders are missing from those that were stated: that there are none is no fault
        beyond = tuple(one for one in beyond if one.code != "no-orders")
    sound = tuple(order for order in read.orders if order.id not in {one.order for one in dropped})
    return Look(
        day=plan_day,
        read=replace(read, orders=sound),
        found=(*found, *read.found, *beyond),
        problem=problem,
        not_planned=(*read.kept_back, *dropped),
        shop=None if any(one.code == "element-missing" for one in beyond) else words.shop,
    )


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


def has_fault(findings: Iterable[Fault]) -> bool:
    """Whether there is anything in it that keeps the orders from being planned."""
    from scheduler.domain.faults import Severity

    return any(finding.severity is Severity.FAULT for finding in findings)


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


def _no_shop(orders: Sequence[Path]) -> Fault:
    """Say what was not checked for want of a shop workbook."""
    from scheduler.domain.faults import Fault, Severity, Source

    return Fault(
        code="no-shop",
        source=Source(file=", ".join(path.name for path in orders)),
        found="no shop workbook",
        expected=f"{SHOP_NAME} beside the orders, or one named with --shop",
        mend="The usual words of the trade were taken; recipes, presses, hours and couriers were not "
        "checked, and a cut-off without a time is the end of its day.",
        severity=Severity.DOUBT,
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
