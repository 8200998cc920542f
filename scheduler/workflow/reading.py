"""Shop and orders from their files to a day's problem, with every fault and doubt on the way."""

from __future__ import annotations

from dataclasses import dataclass, replace
from datetime import date
from typing import TYPE_CHECKING

from scheduler.exceptions import BadInput
from scheduler.now import this_day
from scheduler.workflow.kept_columns import keep
from scheduler.workflow.stated_day import LONG_AGO, day_of, stated_day

if TYPE_CHECKING:
    from collections.abc import Iterable, Sequence
    from pathlib import Path

    from scheduler.domain.day_problem import DayProblem, NotPlanned
    from scheduler.domain.faults import Fault
    from scheduler.domain.shop import Shop
    from scheduler.intake import KeptBack, Kind, OrdersRead

SHOP_NAME = "shop.xlsx"


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
    from scheduler.domain.day_problem import NotPlanned

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
        NOBODY_THEN,
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
    found = tuple(one for one in (*found, *wrong) if not (stated and one.code == NOBODY_THEN))
    if said is not None:
        kept = replace(kept, said=said)
    opened = open_orders(orders, kept)
    now = today or day or this_day()
    if words.shop is None and not words.usual:
        plan_day = day or LONG_AGO
        read = look_at_orders(opened, words.on(plan_day, today=now), kept)
        # Of a file without any order, such as one that isn't there, nothing was checked at all.
        names_only = _only_names_checked(orders, there=file.exists())
        more = (*read.found, *([names_only] if read.orders or read.kept_back else []))
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


def has_fault(findings: Iterable[Fault]) -> bool:
    """Whether there is anything in it that keeps the orders from being planned."""
    from scheduler.domain.faults import Severity

    return any(finding.severity is Severity.FAULT for finding in findings)


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


def _only_names_checked(orders: Sequence[Path], *, there: bool) -> Fault:
    """Say what was not checked because the shop's own workbook is not there, or has a fault."""
    from scheduler.domain.faults import Fault, Severity, Source

    what, first = ("a shop workbook with faults", "Mend") if there else ("no shop workbook", "See to")
    return Fault(
        code="shop-first",
        source=Source(file=", ".join(path.name for path in orders)),
        found=f"{what}, so that only what stands in the orders themselves was checked",
        expected="a sound shop workbook" if there else "a shop workbook",
        mend=f"{first} that first; recipes, presses, hours and couriers are held against the orders then.",
        severity=Severity.DOUBT,
    )
