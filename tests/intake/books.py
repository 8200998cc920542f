"""Help for the tests of intake: workbooks made on the spot, and objects without their sources."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import fields, is_dataclass, replace
from pathlib import Path
from typing import Any

from openpyxl import Workbook, load_workbook

from scheduler.domain.faults import Fault
from scheduler.domain.shop import NOWHERE
from scheduler.intake import default_shop, write_shop


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


def column_of(sheet: Any, heading: str, row: int = 3) -> int:
    """Column (from 1) of a heading in a written sheet."""
    for cell in sheet[row]:
        if cell.value == heading:
            return int(cell.column)
    raise AssertionError(f"no heading {heading!r} on sheet {sheet.title}")


def row_of(sheet: Any, name: str, column: int = 1) -> int:
    """Row of the cell that holds a name, in a column."""
    for row in range(1, sheet.max_row + 1):
        if sheet.cell(row=row, column=column).value == name:
            return row
    raise AssertionError(f"no {name!r} on sheet {sheet.title}")


def changed_shop(path: Path, change: Callable[[Workbook], None]) -> Path:
    """The default shop's workbook after a change."""
    write_shop(default_shop(), path)
    book = load_workbook(path)
    change(book)
    book.save(path)
    return path


def set_cell(sheet: str, name: str, heading: str, value: Any) -> Callable[[Workbook], None]:
    """A change: one cell, found by its row's name and its column's heading."""

    def change(book: Workbook) -> None:
        where = book[sheet]
        where.cell(row=row_of(where, name), column=column_of(where, heading)).value = value

    return change


def sheets_book(path: Path, sheets: Mapping[str, list[list[Any]]]) -> Path:
    """A workbook with the given rows."""
    book = Workbook()
    del book["Sheet"]
    for name, rows in sheets.items():
        sheet = book.create_sheet(name)
        for row in rows:
            sheet.append(row)
    book.save(path)
    return path


def codes(faults: tuple[Fault, ...]) -> list[str]:
    """The codes of faults, in order."""
    return [fault.code for fault in faults]
