"""Orders from workbooks and text tables, with everything that is wrong with them by cell."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, field
from datetime import date
from pathlib import Path

from scheduler.domain.faults import Fault, Source
from scheduler.domain.orders import Order
from scheduler.domain.shop import Shop
from scheduler.exceptions import BadInput
from scheduler.intake.columns import ColumnRead
from scheduler.intake.date_readings import settled_order
from scheduler.intake.dates import Dates
from scheduler.intake.findings import Findings, shown
from scheduler.intake.grid import Book, Grid, position
from scheduler.intake.heading_rows import find_order_headings
from scheduler.intake.heading_words import HeadingWords
from scheduler.intake.kept_columns import Kept, Kind
from scheduler.intake.order_join import join_order
from scheduler.intake.order_names import NameRow, names_headings, read_names, tie_names
from scheduler.intake.order_repeats import doubt_alike, is_repeated, is_same_order
from scheduler.intake.order_rows import Entry, Facts, doubt_samples, is_sample, read_row
from scheduler.intake.order_status import LeftOut, doubt_sheet_name, left_out
from scheduler.intake.order_tables import read_tables
from scheduler.intake.order_words import ShopWords
from scheduler.intake.orders_layout import orders_table
from scheduler.intake.orders_read import KeptBack, OpenedOrders, OrdersRead, open_orders
from scheduler.intake.rows import LOOK_IN_ROWS, Row
from scheduler.intake.values import text
from scheduler.intake.words import heading_key, name_key, words


def read_orders(paths: Iterable[Path | str], shop: Shop, day: date) -> tuple[Order, ...]:
    """Read all orders.

    Parameters
    ----------
    paths
        Workbooks or text tables with orders.
    shop
        The shop whose words the orders use.
    day
        The day that is planned: cut-offs before it are past, times without a date are on it.

    Raises
    ------
    scheduler.exceptions.BadInput
        With every fault and doubt found, by cell, when there is at least one fault.
    """
    orders, found = scan_orders(paths, shop, day)
    if any(fault.severity == "fault" for fault in found):
        raise BadInput(found)
    return orders


def scan_orders(
    paths: Iterable[Path | str], shop: Shop | ShopWords, day: date
) -> tuple[tuple[Order, ...], tuple[Fault, ...]]:
    """Read orders: those without a fault, in the order in which they appear, and all faults and doubts.

    With the words of a shop whose own workbook has a fault there are no orders, only findings.

    See Also
    --------
    read_orders : the same, raising when there is a fault.
    """
    read = look_at_orders(open_orders(paths), _words(shop).on(day))
    return read.orders, read.found


def look_at_orders(opened: OpenedOrders, shop: ShopWords, kept: Kept | None = None) -> OrdersRead:
    """Read opened orders by the words of a shop on a planned day; see `OrdersRead`."""
    findings = Findings()
    findings.extend(opened.found)
    reading = _Reading(shop, findings, kept or Kept())
    for file in opened.files:
        if isinstance(file, Book):
            reading.read(file)
        else:
            findings.extend([file])
    return reading.result()


def written_cut_offs(opened: OpenedOrders, shop: ShopWords, kept: Kept | None = None) -> tuple[date, ...]:
    """The cut-off dates that rows to be pressed speak of, without reading anything else of them."""
    found: dict[date, None] = {}
    for file in opened.files:
        for grid in file.grids if isinstance(file, Book) else ():
            if grid.hidden or names_headings(grid) is not None:
                continue
            kind = (kept or Kept()).of(grid)
            sheet = read_tables(
                grid, HeadingWords(shop.sizes, kind.meanings(shop.sizes), shop.placements), Findings()
            )
            dates = _dates(sheet.rows if sheet else [], kind, shop)
            for row in sheet.rows if sheet else ():
                if row.has("cut_off_date") and left_out(row) is None:
                    said = row.take("cut_off_date", dates.day_and_time)
                    if said is not None:
                        found.setdefault(said[0])
    return tuple(found)


def _dates(rows: list[Row], kind: Kind, shop: ShopWords) -> Dates:
    """How the dates of a sheet are read: as the owner has said, or as they settle themselves."""
    return Dates(today=shop.today, order=kind.dates or settled_order(rows), weekdays=kind.weekdays)


def scan_order_books(
    books: Iterable[Book], shop: Shop | ShopWords, day: date
) -> tuple[tuple[Order, ...], tuple[Fault, ...]]:
    """The same as `scan_orders` for files that are read already."""
    read = look_at_orders(OpenedOrders(files=tuple(books)), _words(shop).on(day))
    return read.orders, read.found


def _words(shop: Shop | ShopWords) -> ShopWords:
    return shop if isinstance(shop, ShopWords) else ShopWords.of(shop)


@dataclass(slots=True)
class _Rows:
    """The rows of one order on one sheet so far."""

    book: Book
    sheet: str
    facts: list[Facts] = field(default_factory=list)
    entries: list[Entry] = field(default_factory=list)


def _together(parts: list[_Rows]) -> list[_Rows]:
    """The same with an order's sheets in one file as one part, where none of them repeats another."""
    found: list[_Rows] = []
    for part in parts:
        for one in found:
            if one.book is part.book and not is_repeated(one.entries, part.entries):
                one.facts.extend(part.facts)
                one.entries.extend(part.entries)
                break
        else:
            found.append(_Rows(part.book, part.sheet, [*part.facts], [*part.entries]))
    return found


class _Reading:
    def __init__(self, shop: ShopWords, findings: Findings, kept: Kept) -> None:
        self.shop = shop
        self.kept = kept
        self.kinds: list[Kind] = []
        self.names: list[NameRow] = []
        self.unnamed: set[str] = set()
        self.numberless: list[Row] = []
        self.findings = findings
        self.by_order: dict[str, list[_Rows]] = {}
        self.columns: list[ColumnRead] = []
        self.left_out: list[LeftOut] = []

    def read(self, book: Book) -> None:
        """Take over the rows of a file."""
        self.findings.extend(book.doubts)
        found = has_names = False
        told = self.findings.fault_count
        rows = 0
        for grid in book.grids:
            if not any(value is not None for row in grid.rows for value in row):
                continue
            lists = None if grid.hidden else names_headings(grid)
            if lists is not None:
                names = read_names(grid, lists, self.shop, self.findings)
                self.columns.extend(names.columns)
                self.names.extend(names.rows)
                self.unnamed |= names.unsound
                has_names = True
                continue
            kind = self.kept.of(grid)
            known = HeadingWords(self.shop.sizes, kind.meanings(self.shop.sizes), self.shop.placements)
            sheet = None if grid.hidden else read_tables(grid, known, self.findings)
            if sheet is None:
                self._say_not_read(grid, known, alone=len(book.grids) == 1)
                continue
            found = True
            self.columns.extend(sheet.columns)
            self.kinds.append(kind.under(sheet.headings, (one.heading for one in sheet.columns)))
            dates = _dates(sheet.rows, kind, self.shop)
            rows += len(sheet.rows)
            if sheet.rows:
                doubt_sheet_name(grid, self.findings)
            self._take_all(sheet.rows, book, dates)
        if self.findings.fault_count > told:
            return
        source = Source(file=book.file)
        if not found and not has_names:
            needed = ", ".join(column.label for column in orders_table(()).columns if column.needed)
            mend = "Add a row of headings; a new shop folder shows how it looks."
            self.findings.fault(
                "headings-missing",
                source,
                "no sheet with orders",
                f"headings in the first {LOOK_IN_ROWS} rows: {needed}",
                mend,
            )
        elif not rows and not has_names:
            self.findings.fault(
                "no-orders", source, "no order under the headings", "orders", "Fill in a row."
            )

    def _say_not_read(self, grid: Grid, known: HeadingWords, *, alone: bool) -> None:
        """Say that a sheet is not read, unless it is one of those that never are."""
        table = words().sheets.get(heading_key(grid.sheet))
        unheard = grid.hidden and find_order_headings(grid, known) is None
        if table in ("read_me", "lists") or unheard or alone:
            return
        what = "a hidden sheet" if grid.hidden else "a sheet without the headings of orders"
        mend = "It is not read; give it the headings of orders if it holds some."
        if grid.hidden:
            mend = "It is not read; show it if it holds orders that are meant."
        source = Source(file=grid.file, sheet=grid.sheet)
        self.findings.doubt("sheet-not-read", source, what, "sheets with orders", mend)

    def _take_all(self, rows: list[Row], book: Book, dates: Dates) -> None:
        samples: list[Row] = []
        for row in rows:
            out = left_out(row)
            if out is not None:
                self.left_out.append(out)
                continue
            self._take(row, book, dates)
            if is_sample(row):
                samples.append(row)
        doubt_samples(samples)

    def _take(self, row: Row, book: Book, dates: Dates) -> None:
        facts, entry = read_row(row, self.shop, dates)
        if facts is None:
            self.numberless.append(row)
            return
        parts = self.by_order.setdefault(name_key(facts.order), [])
        if not parts or parts[-1].book is not book or parts[-1].sheet != row.grid.sheet:
            parts.append(_Rows(book, row.grid.sheet))
        rows = parts[-1]
        rows.facts.append(facts)
        if entry is not None and row.sound:
            rows.entries.append(entry)

    def result(self) -> OrdersRead:
        """Everything that was read, the orders whose rows are all sound and agree among it."""
        orders, kept_back = [], []
        names = self._names_by_order()
        for key, parts in self.by_order.items():
            order = self._joined(parts)
            if order is not None and key in names:
                order = tie_names(order, names[key])
            if key in self.unnamed:
                order = None
            if order is None:
                kept_back.append([one for rows in parts for one in rows.facts])
            else:
                orders.append(order)
        doubt_alike([parts[0].facts[0] for parts in self.by_order.values()])
        return OrdersRead(
            orders=tuple(orders),
            found=self.findings.all,
            columns=tuple(self.columns),
            left_out=tuple(self.left_out),
            kinds=tuple(self.kinds),
            kept_back=self._kept_back(kept_back),
        )

    def _names_by_order(self) -> dict[str, list[NameRow]]:
        """The rows of lists of names by the key of their order; an order that isn't there is a fault."""
        found: dict[str, list[NameRow]] = {}
        left_out = {name_key(one.order) for one in self.left_out}
        bare = {key.lstrip("0"): key for key in self.by_order}
        for one in self.names:
            key = name_key(one.order)
            if key not in self.by_order and key.lstrip("0") in bare and key.isdigit():
                key = bare[key.lstrip("0")]
                mend = (
                    f"Taken as order {shown(self.by_order[key][0].facts[0].order)}; write its number alike."
                )
                what = f"order {shown(one.order)}"
                one.row.doubt("order-numbers-alike", "order", what, "one number for each order", mend)
            if key in self.by_order:
                found.setdefault(key, []).append(one)
            elif key not in left_out:
                mend = "Correct the number, or hand in the file with that order too."
                what = f"a name for order {shown(one.order)}, which is in no sheet"
                one.row.fault("names-without-order", "order", what, "an order's number", mend)
        return found

    def _joined(self, parts: list[_Rows]) -> Order | None:
        """One order, which may stand on several sheets or in several files if it is the same there."""
        parts = _together(parts)
        orders = [join_order(rows.facts, rows.entries, self.shop, self.findings) for rows in parts]
        first = orders[0]
        for rows, order in zip(parts[1:], orders[1:], strict=True):
            if first is None or order is None:
                return None
            row = rows.facts[0].row
            if rows.book is parts[0].book:
                place, once, where = f"on sheet {shown(parts[0].sheet)}", "on one sheet", "sheets"
            else:
                place, once, where = f"in {parts[0].book.file}", "in one file", "files"
            found, expected = f"order {shown(order.id)}, which is {place} too", f"each order {once}"
            if is_same_order(first, order):
                mend = "It is the same there, so it is planned once."
                row.doubt("order-repeated", "order", found, expected, mend)
            else:
                mend = f"They differ: take it out of one of the {where}, or give it another number."
                row.fault(f"order-in-two-{where}", "order", found, expected, mend)
                first = None
        return first

    def _kept_back(self, orders: list[list[Facts]]) -> tuple[KeptBack, ...]:
        """The orders that have a fault, with those of their rows."""
        by_row: dict[tuple[str, str, int], list[Fault]] = {}
        for fault in self.findings.faults:
            if fault.source.cell:
                place = (fault.source.file, fault.source.sheet, position(fault.source.cell)[0])
                by_row.setdefault(place, []).append(fault)
        by_number = [
            KeptBack(
                order=facts[0].order,
                customer=next((one.customer for one in facts if one.customer), ""),
                source=facts[0].row.source("order"),
                reasons=tuple(
                    fault
                    for one in facts
                    for fault in by_row.get((one.row.grid.file, one.row.grid.sheet, one.row.index), ())
                ),
            )
            for facts in orders
        ]
        # a row that belongs to no order can't be planned either, and isn't to be forgotten
        rows = [
            KeptBack(
                order=f"row {row.index + 1}",
                customer=text(row.value("customer")) if isinstance(row.value("customer"), str) else "",
                source=row.source("order"),
                reasons=tuple(by_row.get((row.grid.file, row.grid.sheet, row.index), ())),
            )
            for row in self.numberless
        ]
        return (*by_number, *rows)


__all__ = [
    "KeptBack",
    "OpenedOrders",
    "OrdersRead",
    "look_at_orders",
    "open_orders",
    "read_orders",
    "scan_order_books",
    "scan_orders",
    "written_cut_offs",
]
