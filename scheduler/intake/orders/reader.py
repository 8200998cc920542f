"""Orders from workbooks and text tables, with everything that is wrong with them by cell."""

from __future__ import annotations

from collections.abc import Iterable
from datetime import date
from pathlib import Path

from scheduler.domain.faults import Fault, Source
from scheduler.domain.orders import Order
from scheduler.domain.shop import Shop
from scheduler.exceptions import BadInput
from scheduler.intake.cells.date_readings import settled_order
from scheduler.intake.cells.dates import Dates
from scheduler.intake.cells.findings import Findings, shown
from scheduler.intake.cells.rows import LOOK_IN_ROWS, Row
from scheduler.intake.files.grid import Book, Grid
from scheduler.intake.orders.headings.columns import ColumnRead
from scheduler.intake.orders.headings.kept import Kept, Kind
from scheduler.intake.orders.headings.rows import find_order_headings
from scheduler.intake.orders.headings.words import HeadingWords
from scheduler.intake.orders.kept_back import kept_back
from scheduler.intake.orders.layout import orders_table
from scheduler.intake.orders.names import NameRow, names_headings, read_names, tie_names
from scheduler.intake.orders.opened import KeptBack, OpenedOrders, OrdersRead, open_orders
from scheduler.intake.orders.parts import RowsOnSheet, join_parts
from scheduler.intake.orders.repeats import doubt_alike
from scheduler.intake.orders.rows import Facts, doubt_samples, is_sample, read_row
from scheduler.intake.orders.tables.reader import may_belong, read_tables
from scheduler.intake.orders.tables.status import LeftOut, doubt_sheet_name, left_out
from scheduler.intake.shop.words import ShopWords
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


def _words(shop: Shop | ShopWords) -> ShopWords:
    return shop if isinstance(shop, ShopWords) else ShopWords.of(shop)


class _Reading:
    def __init__(self, shop: ShopWords, findings: Findings, kept: Kept) -> None:
        self.shop = shop
        self.kept = kept
        self.kinds: list[Kind] = []
        self.names: list[NameRow] = []
        self.unnamed: set[str] = set()
        self.numberless: list[Row] = []
        self.unsure: dict[str, list[Row]] = {}
        self.findings = findings
        self.by_order: dict[str, list[RowsOnSheet]] = {}
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
        above: Facts | None = None
        for row in rows:
            out = left_out(row)
            if out is not None:
                self.left_out.append(out)
                above = None
                continue
            above = self._take(row, book, dates, above)
            if is_sample(row):
                samples.append(row)
        doubt_samples(samples)

    def _take(self, row: Row, book: Book, dates: Dates, above: Facts | None) -> Facts | None:
        """Take over a row; what is said of the order that a row without a number below it may be of."""
        facts, entry = read_row(row, self.shop, dates)
        if facts is None:
            self.numberless.append(row)
            if above is None or not may_belong(row, above.row):
                return None
            self.unsure.setdefault(name_key(above.order), []).append(row)
            return above
        parts = self.by_order.setdefault(name_key(facts.order), [])
        if not parts or parts[-1].book is not book or parts[-1].sheet != row.grid.sheet:
            parts.append(RowsOnSheet(book, row.grid.sheet))
        rows = parts[-1]
        rows.facts.append(facts)
        if entry is not None and row.sound:
            rows.entries.append(entry)
        return facts

    def result(self) -> OrdersRead:
        """Everything that was read, the orders whose rows are all sound and agree among it."""
        orders, unsound = [], []
        names = self._names_by_order()
        for key, parts in self.by_order.items():
            order = join_parts(parts, self.shop, self.findings)
            if order is not None and key in names:
                order = tie_names(order, names[key])
            if key in self.unnamed or key in self.unsure:
                order = None
            if order is None:
                unsound.append([one for rows in parts for one in rows.facts])
            else:
                orders.append(order)
        doubt_alike([parts[0].facts[0] for parts in self.by_order.values()])
        return OrdersRead(
            orders=tuple(orders),
            found=self.findings.all,
            columns=tuple(self.columns),
            left_out=tuple(self.left_out),
            kinds=tuple(self.kinds),
            kept_back=kept_back(unsound, self.unsure, self.numberless, self.findings.faults),
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


__all__ = [
    "KeptBack",
    "OpenedOrders",
    "OrdersRead",
    "look_at_orders",
    "open_orders",
    "read_orders",
    "scan_orders",
    "written_cut_offs",
]
