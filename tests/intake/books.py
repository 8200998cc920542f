"""Help for the tests of intake: sheets made on the spot, and objects without their sources."""

from __future__ import annotations

import tempfile
from collections.abc import Callable, Iterable, Mapping
from dataclasses import fields, is_dataclass, replace
from datetime import date
from functools import cache
from pathlib import Path
from typing import Any

from openpyxl import Workbook

from scheduler.domain.faults import Fault
from scheduler.domain.orders import Order
from scheduler.domain.shop import NOWHERE, Shop
from scheduler.intake import ShopWords, default_shop, look_at_orders, write_shop
from scheduler.intake.files.grid import Book, Grid, address
from scheduler.intake.files.reader import open_book
from scheduler.intake.orders.opened import OpenedOrders

HEADING_ROW = 2
"""Row of the headings in a written sheet, counted from 0."""

Rows = dict[str, list[list[Any]]]
"""The rows of each sheet."""

Change = Callable[[Rows], None]


def bare(thing: Any) -> Any:
    """The same thing with no sources in it, at any depth."""
    if isinstance(thing, tuple):
        return tuple(bare(part) for part in thing)
    if is_dataclass(thing) and not isinstance(thing, type):
        kept = {
            one.name: NOWHERE if one.name == "source" else bare(getattr(thing, one.name))
            for one in fields(thing)
        }
        return replace(thing, **kept)
    return thing


@cache
def _default_book() -> Book:
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "shop.xlsx"
        write_shop(default_shop(), path)
        return open_book(path)


def default_rows() -> Rows:
    """The sheets of the default shop's workbook, to be changed."""
    return {grid.sheet: [list(row) for row in grid.rows] for grid in _default_book().grids if not grid.hidden}


def book_of(rows: Mapping[str, list[list[Any]]], file: str = "shop.xlsx") -> Book:
    """Sheets as if read from a file."""
    grids = (Grid(file=file, sheet=name, rows=tuple(tuple(row) for row in one)) for name, one in rows.items())
    return Book(file=file, grids=tuple(grids))


def changed(*changes: Change) -> Book:
    """The default shop's workbook after some changes."""
    rows = default_rows()
    for change in changes:
        change(rows)
    return book_of(rows)


def cell_of(rows: Rows, sheet: str, name: str, heading: str) -> tuple[int, int]:
    """Row and column, from 0, of the cell in the first row of that name, under a heading."""
    there = rows[sheet]
    column = there[HEADING_ROW].index(heading)
    row = next(index for index, one in enumerate(there) if index > HEADING_ROW and one and one[0] == name)
    return row, column


def where(sheet: str, name: str, heading: str) -> str:
    """The address of such a cell in the default shop's workbook, such as "Presses!F4"."""
    return f"{sheet}!{address(*cell_of(default_rows(), sheet, name, heading))}"


def put(sheet: str, name: str, heading: str, value: Any) -> Change:
    """A change: one cell, found by its row's name and its column's heading."""

    def change(rows: Rows) -> None:
        row, column = cell_of(rows, sheet, name, heading)
        line = rows[sheet][row]
        line.extend([None] * (column + 1 - len(line)))
        line[column] = value

    return change


def add(sheet: str, *values: Any) -> Change:
    """A change: one more row."""
    return lambda rows: rows[sheet].append(list(values))


def drop(sheet: str, name: str | None = None) -> Change:
    """A change: a row less, or without a name all rows, or a whole sheet if it has no headings left."""

    def change(rows: Rows) -> None:
        keep = rows[sheet][: HEADING_ROW + 1]
        if name is not None:
            keep += [row for row in rows[sheet][HEADING_ROW + 1 :] if not row or row[0] != name]
        rows[sheet] = keep

    return change


def drop_sheet(sheet: str, rename: str = "") -> Change:
    """A change: a sheet less, or under another name."""

    def change(rows: Rows) -> None:
        gone = rows.pop(sheet)
        if rename:
            rows[rename] = gone

    return change


def head(sheet: str, heading: str, to: str | None) -> Change:
    """A change: another heading in place of one."""

    def change(rows: Rows) -> None:
        line = rows[sheet][HEADING_ROW]
        line[line.index(heading)] = to

    return change


def sheets_book(path: Path, sheets: Mapping[str, list[list[Any]]]) -> Path:
    """A workbook file with the given rows."""
    book = Workbook()
    del book["Sheet"]
    for name, rows in sheets.items():
        sheet = book.create_sheet(name)
        for row in rows:
            sheet.append(row)
    book.save(path)
    return path


def scan_order_books(
    books: Iterable[Book], shop: Shop, day: date
) -> tuple[tuple[Order, ...], tuple[Fault, ...]]:
    """Orders and findings of files that are read already."""
    read = look_at_orders(OpenedOrders(files=tuple(books)), ShopWords.of(shop).on(day))
    return read.orders, read.found


def codes(faults: tuple[Fault, ...]) -> list[str]:
    """The codes of faults, in order."""
    return [fault.code for fault in faults]
