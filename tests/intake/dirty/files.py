"""A dirtied sheet as bytes: xlsx, ods or text table; and the address of every cell in it."""

from __future__ import annotations

import io
import random
from datetime import date, time
from typing import Any

from openpyxl import Workbook

from scheduler.intake.files.grid import Unread, address
from tests.intake.dirty.sheet import ASKED, Cell, Dirty, Mark
from tests.intake.files.made_files import ods_of, ods_sheet

KINDS = ("xlsx", "ods", "csv")
LEGACY = ("cp1252", "cp1250", "mac-roman", "cp850")


def addresses(dirty: Dirty) -> dict[int, str]:
    """Address by identity of the cell, on the sheet of orders and on that of names."""
    return {
        id(cell): address(row, column)
        for first, lines in ((dirty.shift, dirty.all_lines()), (0, dirty.names))
        for row, line in enumerate(lines, start=first)
        for column, cell in enumerate(line.cells)
    }


def as_bytes(dirty: Dirty, kind: str, dice: random.Random) -> bytes:
    """The file."""
    if kind == "xlsx":
        return _xlsx(dirty)
    rows = [[_plain(cell.value) for cell in line.cells] for line in dirty.all_lines()]
    if kind == "ods":
        hidden = [number for number, line in enumerate(dirty.all_lines()) if line.hidden]
        sheets = ods_sheet("Orders", rows, hidden_rows=hidden)
        if dirty.names:
            sheets += ods_sheet("Names", [[cell.value for cell in line.cells] for line in dirty.names])
        return ods_of(sheets)
    return _csv(dirty, rows, dice)


def names_file(dirty: Dirty) -> bytes:
    """The list of names as a text table."""
    rows = ((cell.value for cell in line.cells) for line in dirty.names)
    return "".join(
        ";".join("" if value is None else str(value) for value in row) + "\n" for row in rows
    ).encode()


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
    if dirty.names:
        names = book.create_sheet("Names")
        for line in dirty.names:
            names.append([one.value for one in line.cells])
            for cell in names[names.max_row]:
                cell.data_type = "s"
    out = io.BytesIO()
    book.save(out)
    return out.getvalue()


def _csv(dirty: Dirty, rows: list[list[Any]], dice: random.Random) -> bytes:
    delimiter = dice.choice(",;\t|")
    encoding = dice.choice(["utf-8", "utf-8-sig", "utf-16", "utf-16-le", "utf-16-be", *LEGACY])
    end = dice.choice(["\n", "\r\n"])
    dirty.shift = int(dice.random() < 0.15)

    def field(value: Any) -> str:
        if value is None:
            return ""
        if isinstance(value, time):
            return f"{value:%H:%M}"
        text = value.isoformat() if isinstance(value, date) else str(value)
        if any(mark in text for mark in (delimiter, '"', "\n", "\r")):
            return '"' + text.replace('"', '""') + '"'
        return text

    first = f"sep={delimiter}{end}" if dirty.shift else ""
    text = first + "".join(delimiter.join(map(field, row)) + end for row in rows)
    try:
        data = text.encode(encoding)
    except UnicodeEncodeError:
        return text.encode()
    if encoding in LEGACY and not text.isascii():
        # what was judged by looks is said once, at the first cell with such letters
        cells = [cell for line in dirty.all_lines() for cell in line.cells]
        odd = [cell for cell in cells if not str(_plain(cell.value) or "").isascii()]
        dirty.marks.append(Mark("old-letters", ASKED, frozenset(dirty.truth), odd))
    return data


def cell_names(dirty: Dirty, cells: list[Cell]) -> set[str]:
    """Addresses of some cells."""
    there = addresses(dirty)
    return {there[id(cell)] for cell in cells if id(cell) in there}
