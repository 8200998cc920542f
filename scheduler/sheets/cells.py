"""Writing values into a workbook: dates as dates, numbers as numbers, text never as a formula."""

from __future__ import annotations

import io
import re
import zipfile
from collections.abc import Iterable, Sequence
from datetime import date, datetime, time
from functools import lru_cache
from typing import TYPE_CHECKING

from scheduler import safe_text

if TYPE_CHECKING:
    from openpyxl.cell.cell import Cell, MergedCell
    from openpyxl.styles import Alignment, Font
    from openpyxl.worksheet.worksheet import Worksheet

Value = str | int | float | datetime | date | time | None

_WIDEST = 44
_NARROW = 24
"""The widest column of a sheet with many."""

_LINE_PT, _TALLEST_PT = 15.0, 400.0
"""Heights of rows."""


def block(sheet: Worksheet, row: int, head: Sequence[str], rows: Iterable[Sequence[Value]]) -> int:
    """A heading row and rows below it, from `row` on; gives the row after the last."""
    for column, label in enumerate(head, start=1):
        put(sheet.cell(row, column), label, bold=True)
    for values in rows:
        row += 1
        for column, value in enumerate(values, start=1):
            cell = sheet.cell(row, column)
            put(cell, value)
            if head[column - 1] == "Full":
                cell.number_format = "0%"
    return row + 1


def table(
    sheet: Worksheet, head: Sequence[str], rows: Iterable[Sequence[Value]], *, printed: int = 0
) -> None:
    """A sheet with one heading row that stays in sight, and filters.

    Parameters
    ----------
    printed
        For a wide sheet: print only so many columns, on two pages beside each other, texts wrapped;
        0: all columns on one page's width.
    """
    from openpyxl.utils import get_column_letter

    last = block(sheet, 1, head, rows) - 1
    sheet.freeze_panes = "B2"
    sheet.auto_filter.ref = f"A1:{get_column_letter(len(head))}{last}"
    sheet.print_title_rows = "1:1"
    fit(sheet, widest=_NARROW if printed else _WIDEST)
    if printed:
        sheet.print_area = f"A1:{get_column_letter(printed)}{last}"
        sheet.print_title_cols = "A:A"
        sheet.page_setup.fitToWidth = 2
        sheet.page_margins.left = sheet.page_margins.right = 0.4


def put(cell: Cell | MergedCell, value: Value, *, bold: bool = False) -> None:
    """Write one value; text stays text whatever it starts with."""
    from openpyxl.cell.cell import MergedCell

    plain, wrapped, heavy = _styles()
    if isinstance(cell, MergedCell):
        raise TypeError(f"{cell.coordinate} is inside a merged cell")
    safe_text.put(cell, value)
    if isinstance(value, datetime):
        cell.number_format = "yyyy-mm-dd hh:mm"
    elif isinstance(value, date):
        cell.number_format = "yyyy-mm-dd"
    elif isinstance(value, float):
        cell.number_format = "0.0"
    cell.alignment = wrapped if isinstance(value, str) and len(value) > _WIDEST else plain
    if bold:
        cell.font = heavy


@lru_cache(maxsize=1)
def _styles() -> tuple[Alignment, Alignment, Font]:
    """Plain and wrapped alignment and the bold font, made once: making them is slow."""
    from openpyxl.styles import Alignment, Font

    return (
        Alignment(vertical="top"),
        Alignment(vertical="top", wrap_text=True),
        Font(name="Calibri", size=11, bold=True),
    )


def fit(sheet: Worksheet, *, skip: int = 0, widest: int = _WIDEST) -> None:
    """Columns as wide as their texts, up to a limit; the last `skip` rows run on to the right."""
    from openpyxl.utils import get_column_letter
    from openpyxl.worksheet.properties import PageSetupProperties

    sheet.page_setup.orientation = "landscape"
    sheet.page_setup.fitToHeight = 0
    sheet.sheet_properties.pageSetUpPr = PageSetupProperties(fitToPage=True)

    columns = sheet.iter_cols(max_row=max(1, sheet.max_row - skip))
    for index, column in enumerate(columns, start=1):
        needed = max(
            16 if isinstance(cell.value, datetime) else len(str(cell.value or "")) for cell in column
        )
        sheet.column_dimensions[get_column_letter(index)].width = min(widest, needed + 2)
        for cell in column if widest < _WIDEST else ():
            if isinstance(cell.value, str) and len(cell.value) > widest:
                cell.alignment = _styles()[1]
                # Not every program grows a row by itself; a wrapped line may hold a word less.
                lines = -(-len(cell.value) // (widest - 6))
                height = sheet.row_dimensions[cell.row].height or _LINE_PT
                sheet.row_dimensions[cell.row].height = min(_TALLEST_PT, max(height, lines * _LINE_PT))


def steady(made: bytes, stamp: datetime) -> bytes:
    """The same file with every date of its making set to the plan's day."""
    when = (stamp.year, stamp.month, stamp.day, 0, 0, 0)
    saved = rf"\g<1>{stamp:%Y-%m-%dT%H:%M:%SZ}\g<2>".encode()
    out = io.BytesIO()
    with zipfile.ZipFile(io.BytesIO(made)) as old, zipfile.ZipFile(out, "w", zipfile.ZIP_DEFLATED) as new:
        for name in old.namelist():
            content = old.read(name)
            if name == "docProps/core.xml":
                content = re.sub(rb"(<dcterms:modified[^>]*>)[^<]*(</dcterms:modified>)", saved, content)
            entry = zipfile.ZipInfo(name, date_time=when)
            entry.compress_type = zipfile.ZIP_DEFLATED
            new.writestr(entry, content)
    return out.getvalue()
