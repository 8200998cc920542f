"""A dirtied sheet as bytes: xlsx, ods or text table; and the address of every cell in it."""

from __future__ import annotations

import io
import random
from datetime import date, time
from typing import Any

from openpyxl import Workbook

from scheduler.intake.grid import Unread, address
from tests.intake.dirty.sheet import Cell, Dirty
from tests.intake.made_files import ods_of, ods_sheet

KINDS = ("xlsx", "ods", "csv")


def addresses(dirty: Dirty) -> dict[int, str]:
    """Address by identity of the cell."""
    return {
        id(cell): address(row, column)
        for row, line in enumerate(dirty.all_lines())
        for column, cell in enumerate(line.cells)
    }


def as_bytes(dirty: Dirty, kind: str, dice: random.Random) -> bytes:
    """The file."""
    if kind == "xlsx":
        return _xlsx(dirty)
    rows = [[_plain(cell.value) for cell in line.cells] for line in dirty.all_lines()]
    if kind == "ods":
        hidden = [number for number, line in enumerate(dirty.all_lines()) if line.hidden]
        return ods_of(ods_sheet("Orders", rows, hidden_rows=hidden))
    return _csv(rows, dice)


def _plain(value: Any) -> Any:
    return value.text if isinstance(value, Unread) else value


def _xlsx(dirty: Dirty) -> bytes:
    book = Workbook()
    sheet = book.active
    assert sheet is not None
    sheet.title = "Orders"
    place: dict[int, Any] = {}
    for row, line in enumerate(dirty.all_lines(), start=1):
        sheet.row_dimensions[row].hidden = line.hidden
        for column, one in enumerate(line.cells, start=1):
            cell = sheet.cell(row, column)
            place[id(one)] = cell
            if isinstance(one.value, Unread):
                cell.value = one.value.text
                cell.data_type = "e" if one.value.kind == "error" else "f"
            elif one.value is not None:
                cell.value = one.value
                if isinstance(one.value, str):
                    cell.data_type = "s"
    for first, last in dirty.merged:
        sheet.merge_cells(f"{place[id(first)].coordinate}:{place[id(last)].coordinate}")
    out = io.BytesIO()
    book.save(out)
    return out.getvalue()


def _csv(rows: list[list[Any]], dice: random.Random) -> bytes:
    delimiter = dice.choice(",;\t|")
    encoding = dice.choice(["utf-8", "utf-8-sig", "utf-16"])
    end = dice.choice(["\n", "\r\n"])

    def field(value: Any) -> str:
        if value is None:
            return ""
        if isinstance(value, time):
            return f"{value:%H:%M}"
        text = value.isoformat() if isinstance(value, date) else str(value)
        if any(mark in text for mark in (delimiter, '"', "\n", "\r")):
            return '"' + text.replace('"', '""') + '"'
        return text

    return "".join(delimiter.join(map(field, row)) + end for row in rows).encode(encoding)


def cell_names(dirty: Dirty, cells: list[Cell]) -> set[str]:
    """Addresses of some cells."""
    there = addresses(dirty)
    return {there[id(cell)] for cell in cells if id(cell) in there}
