"""Writing sheets in the layout of the two workbooks: headings, explanations, drop-downs, formats."""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping, Sequence
from datetime import date, datetime, time
from pathlib import Path
from typing import TYPE_CHECKING

from scheduler.aside import written_aside
from scheduler.intake.files.grid import column_letters
from scheduler.intake.layout import DEFAULT, OURS, Column, Table
from scheduler.safe_text import put

if TYPE_CHECKING:
    from openpyxl import Workbook
    from openpyxl.worksheet.worksheet import Worksheet

Written = str | int | float | date | datetime | time | None
"""What a cell is filled with."""

HEADING_ROW = 3
"""Row of the headings: above it stand the sheet's title and a line of explanation for each column."""

LISTS = "Lists"
_LAST_ROW = 1000
_FONT = "Calibri"
_LINE_PT = 15
_WRAP_FROM = 26
"""Columns so wide or wider break their text over lines."""

_FORMATS = {"share": "0.0%", "time": "hh:mm", "date": "yyyy-mm-dd", "moment": "yyyy-mm-dd hh:mm"}


def new_workbook() -> Workbook:
    """A workbook without any sheet."""
    from openpyxl import Workbook

    book = Workbook()
    for name in list(book.sheetnames):
        del book[name]
    return book


def write_table(
    book: Workbook, table: Table, rows: Iterable[Mapping[str, Written]], *, lists: Mapping[str, str]
) -> Worksheet:
    """Add a sheet with a table.

    Parameters
    ----------
    rows
        By column key; a key without a column is an error of the program.
    lists
        Name of a column's choices to the defined name of its drop-down list.

    Raises
    ------
    KeyError
        When a row has a key that is no column of the table.
    """
    from openpyxl.styles import Alignment, Border, Font, PatternFill, Side
    from openpyxl.utils import get_column_letter
    from openpyxl.worksheet.properties import PageSetupProperties

    sheet: Worksheet = book.create_sheet(table.sheet)
    put(sheet["A1"], table.explain)
    sheet["A1"].font = Font(name=_FONT, bold=True, size=13)
    line = Side(style="thin", color="FF7F7F7F")
    places = {column.key: number for number, column in enumerate(table.columns, start=1)}
    for column in table.columns:
        number = places[column.key]
        explain = sheet.cell(row=HEADING_ROW - 1, column=number)
        put(explain, column.explain)
        explain.font = Font(name=_FONT, italic=True, size=9, color="FF404040")
        explain.alignment = Alignment(wrap_text=True, vertical="bottom")
        heading = sheet.cell(row=HEADING_ROW, column=number)
        put(heading, column.label)
        heading.font = Font(name=_FONT, bold=True)
        heading.fill = PatternFill("solid", fgColor="FFD9D9D9")
        heading.border = Border(bottom=line)
        heading.alignment = Alignment(wrap_text=True, vertical="center")
        sheet.column_dimensions[get_column_letter(number)].width = column.width
    sheet.row_dimensions[HEADING_ROW - 1].height = 4 * _LINE_PT
    sheet.row_dimensions[HEADING_ROW].height = 2 * _LINE_PT + 2
    last = HEADING_ROW
    for last, row in enumerate(rows, start=HEADING_ROW + 1):
        for key, value in row.items():
            put(sheet.cell(row=last, column=places[key]), value)
        lines = max(_lines(row.get(column.key), column.width) for column in table.columns)
        if lines > 1:
            sheet.row_dimensions[last].height = lines * _LINE_PT
    _format(sheet, table.columns, max(last, HEADING_ROW + 30))
    sheet.freeze_panes = f"{column_letters(table.frozen)}{HEADING_ROW + 1}"
    for column in table.columns:
        _check_typing(sheet, column, places[column.key], lists)
    if "figures" in places:
        _mark_defaults(sheet, places["figures"])
    sheet.page_setup.orientation = "landscape"
    sheet.page_setup.fitToHeight = 0
    sheet.sheet_properties.pageSetUpPr = PageSetupProperties(fitToPage=True)
    sheet.print_title_rows = f"{HEADING_ROW}:{HEADING_ROW}"
    return sheet


def _lines(value: Written, width: int) -> int:
    """Lines that a text takes in a column; spreadsheet programs don't all make rows higher by themselves."""
    return max(1, math.ceil(len(value) / width)) if isinstance(value, str) and width >= _WRAP_FROM else 1


def _format(sheet: Worksheet, columns: Sequence[Column], last: int) -> None:
    from openpyxl.styles import Alignment

    for number, column in enumerate(columns, start=1):
        code = _FORMATS.get(column.kind)
        for row in range(HEADING_ROW + 1, last + 1):
            cell = sheet.cell(row=row, column=number)
            if code:
                cell.number_format = code
            cell.alignment = Alignment(wrap_text=column.width >= _WRAP_FROM, vertical="top")


def _check_typing(sheet: Worksheet, column: Column, number: int, lists: Mapping[str, str]) -> None:
    """Check what is typed into a column: drop-down lists, whole numbers, dates, times."""
    from openpyxl.worksheet.datavalidation import DataValidation

    if column.choices:
        check = DataValidation(type="list", formula1=lists[column.choices], allow_blank=True)
        check.error = f"{column.label}: take a value from the list."
        check.errorStyle = "stop" if column.strict else "warning"
    elif column.kind == "whole":
        check = DataValidation(type="whole", operator="greaterThanOrEqual", formula1="0", allow_blank=True)
        check.error = f"{column.label}: a whole number, 0 or more."
    elif column.kind == "date":
        check = DataValidation(type="date", operator="greaterThan", formula1="36526", allow_blank=True)
        check.error = f"{column.label}: a date such as 2026-03-31."
    elif column.kind == "time":
        check = DataValidation(
            type="time", operator="between", formula1="0", formula2="0.999999", allow_blank=True
        )
        check.error = f"{column.label}: a time of day such as 16:30."
    else:
        return
    check.showErrorMessage = True
    check.errorTitle = "Pressday"
    letters = column_letters(number - 1)
    check.add(f"{letters}{HEADING_ROW + 1}:{letters}{_LAST_ROW}")
    sheet.add_data_validation(check)


def _mark_defaults(sheet: Worksheet, number: int) -> None:
    """Shade rows whose figures are still defaults; the shade goes with the mark."""
    from openpyxl.formatting.rule import FormulaRule
    from openpyxl.styles import PatternFill

    letters = column_letters(number - 1)
    first = HEADING_ROW + 1
    fill = PatternFill("solid", bgColor="FFFFF2CC")
    rule = FormulaRule(  # type: ignore[no-untyped-call]
        formula=[f'${letters}{first}="{DEFAULT}"'], fill=fill
    )
    sheet.conditional_formatting.add(f"A{first}:{letters}{_LAST_ROW}", rule)


def add_lists(book: Workbook, lists: Mapping[str, Sequence[str]]) -> dict[str, str]:
    """Add the hidden sheet of fixed lists; answers the defined name of each."""
    from openpyxl.workbook.defined_name import DefinedName

    sheet = book.create_sheet(LISTS)
    sheet.sheet_state = "hidden"
    names = {}
    for number, (key, values) in enumerate(lists.items(), start=1):
        put(sheet.cell(row=1, column=number), key)
        for row, value in enumerate(values, start=2):
            put(sheet.cell(row=row, column=number), value)
        letters = column_letters(number - 1)
        name = f"list_{key}"
        last = max(2, len(values) + 1)
        book.defined_names[name] = DefinedName(name, attr_text=f"{LISTS}!${letters}$2:${letters}${last}")
        names[key] = name
    return names


def add_growing_list(book: Workbook, key: str, sheet: str, column: str = "A") -> str:
    """Add a list of the names in a visible column, growing with it; answers its defined name."""
    from openpyxl.workbook.defined_name import DefinedName

    first = HEADING_ROW + 1
    cells = f"'{sheet}'!${column}${first}:${column}${_LAST_ROW}"
    name = f"list_{key}"
    text = f"OFFSET('{sheet}'!${column}${first},0,0,MAX(1,COUNTA({cells})),1)"
    book.defined_names[name] = DefinedName(name, attr_text=text)
    return name


def add_read_me(book: Workbook, lines: Sequence[str]) -> None:
    """Add the sheet of explanations in front; it is for people and is not read."""
    from openpyxl.styles import Alignment, Font

    sheet = book.create_sheet("Read me", 0)
    sheet.column_dimensions["A"].width = 110
    for row, line in enumerate(lines, start=1):
        cell = sheet.cell(row=row, column=1)
        put(cell, line)
        cell.alignment = Alignment(wrap_text=True, vertical="top")
        if row == 1:
            cell.font = Font(name=_FONT, bold=True, size=15)


def whose(sheet: str, defaults: Sequence[str]) -> str:
    """What stands in the column of figures: whether they are still defaults."""
    return DEFAULT if sheet in defaults else OURS


def save(book: Workbook, path: Path, *, overwrite: bool = True) -> None:
    """Save a workbook aside and move it in place, so that no half-written file is ever seen there.

    Raises
    ------
    scheduler.exceptions.BadInput
        When it can't be written, or there is a file that is to stay; nothing is left behind then.
    """
    with written_aside(path, overwrite=overwrite) as part:
        book.save(part)
