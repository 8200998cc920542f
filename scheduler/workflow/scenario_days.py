"""Every version of the shop read, and each day's orders stated as its problem."""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction
from itertools import combinations
from string import ascii_uppercase
from typing import TYPE_CHECKING

from scheduler.exceptions import BadInput
from scheduler.workflow.reading import has_fault, look, shop_file
from scheduler.workflow.stated_day import stated_day

if TYPE_CHECKING:
    from collections.abc import Iterable, Sequence
    from datetime import date
    from pathlib import Path

    from scheduler.domain.day_problem import DayProblem
    from scheduler.domain.faults import Fault
    from scheduler.domain.shop_changes import ShopChange
    from scheduler.intake import Kept, ShopWords
    from scheduler.intake.orders.opened import OpenedOrders
    from scheduler.scenarios.changes import Version

MOST_ROWS = 6
"""Rows without a change that are named one by one."""

TODAY = "today"
"""Name of the shop as it is."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Other:
    """A second shop workbook, and what it costs to get there."""

    file: Path
    price: Fraction | None


@dataclass(frozen=True, slots=True, kw_only=True)
class RealDay:
    """A day of real orders: the files that they are in."""

    files: tuple[Path, ...]
    day: date
    opened: OpenedOrders

    @property
    def label(self) -> str:
        from scheduler.intake.files.labels import printable

        return ", ".join(printable(path.name) for path in self.files)


@dataclass(frozen=True, slots=True, kw_only=True)
class Scenarios:
    """What is to be compared.

    Attributes
    ----------
    versions
        Those that can be planned, today's first.
    problems
        By version: the problem of each day.
    doubts
        About today's shop, the orders and the list of changes.
    failed
        By name, what can't be planned: the faults for which it can't.
    """

    days: tuple[RealDay, ...]
    versions: tuple[Version, ...]
    problems: tuple[tuple[DayProblem, ...], ...]
    doubts: tuple[Fault, ...]
    failed: dict[str, tuple[Fault, ...]]


def read_scenarios(
    orders: Sequence[Path],
    shop: Path | None,
    days: Sequence[date],
    *,
    others: Sequence[Other],
    changes: Path | None,
    pairs: bool,
) -> Scenarios:
    """Read today's shop and the other versions, and state all days for each of them.

    Parameters
    ----------
    days
        One day for all orders files together; or one for each file; none: each file is a day of its own,
        the one that its orders speak of.
    others
        Whole second workbooks.
    changes
        A list of changes to today's workbook, tried one by one; with `pairs` also in twos.

    Raises
    ------
    BadInput
        When today's shop or its orders have a fault, or no other version is left; with all faults found.
    """
    from scheduler.intake import scan_changes
    from scheduler.scenarios.changes import Version

    file = shop_file(orders, shop)
    listed, wrong = scan_changes(changes) if changes is not None else ((), ())
    real_days, kept, today, doubts = _today(orders, file, days, wrong)
    versions, stated = [Version(name=TODAY)], [today]
    in_rows = {fault for change in listed for fault in change.faults}
    beside = tuple(fault for fault in wrong if has_fault([fault]) and fault not in in_rows)
    failed = {_rows_of(beside, changes.name): beside} if changes is not None and beside else {}
    for version, words, faults in (*_workbooks(others), *_changed(file, listed, pairs)):
        problems: tuple[DayProblem, ...] = ()
        if words is not None and words.shop is not None and not has_fault(faults):
            problems, faults = _stated(words, real_days, kept)
        if has_fault(faults):
            failed[version.name] = faults
            continue
        versions.append(version)
        stated.append(problems)
    if len(stated) == 1:
        every = (*wrong, *(fault for faults in failed.values() for fault in faults))
        raise BadInput(dict.fromkeys(every))
    return Scenarios(
        days=real_days,
        versions=tuple(versions),
        problems=_equally_long(stated),
        doubts=(*doubts, *(fault for fault in wrong if not has_fault([fault]))),
        failed=failed,
    )


def _rows_of(faults: Iterable[Fault], file: str) -> str:
    """What is left out of a list of changes for faults that are no change's own: its rows, where known."""
    cells = [fault.source.cell for fault in faults if has_fault([fault])]
    rows = sorted({int(row) for cell in cells if (row := cell.lstrip(ascii_uppercase)).isdecimal()})
    if not rows or not all(cells):
        return file
    if len(rows) == 1:
        return f"row {rows[0]} of {file}"
    if len(rows) > MOST_ROWS:
        return f"{len(rows)} rows of {file}"
    return f"rows {', '.join(map(str, rows[:-1]))} and {rows[-1]} of {file}"


def _today(
    orders: Sequence[Path], file: Path, days: Sequence[date], more: Sequence[Fault]
) -> tuple[tuple[RealDay, ...], Kept, tuple[DayProblem, ...], tuple[Fault, ...]]:
    """Today's shop with every day's orders: the days, what is kept of their files, problems, doubts."""
    from scheduler.intake import KEPT_NAME, ShopWords, open_orders, read_kept

    groups = [tuple(orders)] if len(days) == 1 else [(path,) for path in orders]
    wanted: list[date | None] = [*days] if days else [None] * len(groups)
    looked = [look(group, file, day, stated=True) for group, day in zip(groups, wanted, strict=True)]
    found = tuple(dict.fromkeys(fault for one in looked for fault in one.found))
    problems = tuple(one.problem for one in looked if one.problem is not None)
    if has_fault(found) or len(problems) < len(looked):
        raise BadInput((*found, *more))
    kept, _ = read_kept(file.parent / KEPT_NAME, ShopWords.of(problems[0].shop).sizes)
    real = tuple(
        RealDay(files=group, day=one.day, opened=open_orders(group, kept))
        for group, one in zip(groups, looked, strict=True)
    )
    return real, kept, problems, found


def _workbooks(others: Iterable[Other]) -> list[tuple[Version, ShopWords | None, tuple[Fault, ...]]]:
    """Whole second workbooks."""
    from scheduler.intake import scan_shop_words
    from scheduler.intake.files.labels import printable
    from scheduler.scenarios.changes import Version

    return [
        (Version(name=printable(other.file.stem), price=other.price), *scan_shop_words(other.file))
        for other in others
    ]


def _changed(
    file: Path, changes: Sequence[ShopChange], pairs: bool
) -> list[tuple[Version, ShopWords | None, tuple[Fault, ...]]]:
    """Today's workbook with each change, and with each two of them.

    Of a change with faults in the list it is also said what the shop can't take of it.
    """
    from scheduler.intake import open_book, scan_changed_shop
    from scheduler.scenarios.changes import Version

    groups: list[tuple[ShopChange, ...]] = [(change,) for change in changes]
    groups += list(combinations(changes, 2)) if pairs else []
    book = open_book(file) if groups else None
    read = []
    for group in groups:
        prices = [change.price for change in group if change.price is not None]
        version = Version(
            name=" + ".join(change.name for change in group),
            price=sum(prices, Fraction(0)) if len(prices) == len(group) else None,
            cost_a_day=sum((change.cost_a_day or Fraction(0) for change in group), Fraction(0)),
            parts=tuple(change.name for change in group),
        )
        assert book is not None
        words, found = scan_changed_shop(book, file.stem, group)
        in_list = (fault for change in group for fault in change.faults)
        read.append((version, words, (*in_list, *found)))
    return read


def _stated(
    words: ShopWords, days: Iterable[RealDay], kept: Kept
) -> tuple[tuple[DayProblem, ...], tuple[Fault, ...]]:
    """Every day's problem in a sound shop; or all faults of orders that don't fit it."""
    from scheduler.intake import look_at_orders

    assert words.shop is not None
    problems, faults = [], []
    for one in days:
        read = look_at_orders(one.opened, words.on(one.day), kept)
        problem, beyond, _ = stated_day(words.shop, read.orders, one.day, whole=True)
        found = [*read.found, *beyond]
        if has_fault(found) or problem is None:
            faults += found
        else:
            problems.append(problem)
    return tuple(problems), tuple(dict.fromkeys(faults))


def _equally_long(stated: Sequence[tuple[DayProblem, ...]]) -> tuple[tuple[DayProblem, ...], ...]:
    """The same problems, each of a day with as many working days as the version that needs most of them."""
    from scheduler.planning import build_day

    longest = [max(len(problem.dates) for problem in day) for day in zip(*stated, strict=True)]
    return tuple(
        tuple(
            problem
            if len(problem.dates) == dates
            else build_day(problem.shop, problem.orders, problem.day, least_days=dates)
            for problem, dates in zip(problems, longest, strict=True)
        )
        for problems in stated
    )
