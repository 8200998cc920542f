"""A sheet as read: values with their cells, whatever file they came from.

Every reader (workbook, text table) ends in `Grid`; what stands behind it never asks for the kind of file.
"""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import date, datetime, time, timedelta

from scheduler.domain.faults import Fault, Source

_A1 = re.compile(r"([A-Z]{1,7})([1-9][0-9]{0,9})\Z")
"""Damaged files name cells beyond the last one that a spreadsheet can have."""


@dataclass(frozen=True, slots=True)
class Unread:
    """A cell that holds something, but no value that can be used.

    Attributes
    ----------
    kind
        "error" (such as #N/A) or "formula" (a formula whose result was never stored).
    text
        The error, or the formula with its equals sign.
    """

    kind: str
    text: str


Value = str | int | float | bool | datetime | date | time | timedelta | Unread | None
"""What a cell holds; None is blank. Text is never empty."""


def column_letters(column: int) -> str:
    """Letters of a column counted from 0: 0 is A, 26 is AA."""
    letters = ""
    column += 1
    while column:
        column, rest = divmod(column - 1, 26)
        letters = chr(ord("A") + rest) + letters
    return letters


def address(row: int, column: int) -> str:
    """Cell address of a row and column counted from 0: (13, 5) is F14."""
    return f"{column_letters(column)}{row + 1}"


def position(cell: str) -> tuple[int, int]:
    """Row and column, counted from 0, of a cell address such as F14.

    Raises
    ------
    ValueError
        When it is no cell address.
    """
    match = _A1.match(cell)
    if not match:
        raise ValueError(f"{cell!r} is no cell address")
    column = 0
    for letter in match[1]:
        column = column * 26 + ord(letter) - ord("A") + 1
    return int(match[2]) - 1, column - 1


@dataclass(frozen=True, slots=True)
class Area:
    """Cells that are merged into one, from the top left to the bottom right one, all counted from 0.

    Only the top left cell of an area holds a value.
    """

    top: int
    left: int
    bottom: int
    right: int


NO_MERGED = "merged cells"
NO_HIDDEN = "hidden rows and columns"
NO_FORMULAS = "formulas whose result was never stored"
NO_ERRORS = "cells with errors"


@dataclass(frozen=True, slots=True, kw_only=True)
class TextForm:
    """How a text table is written.

    Attributes
    ----------
    encoding
        Python's name of the encoding of its letters; empty: judged.
    delimiter
        The mark between cells; empty: judged.
    decimal
        The mark before decimals, a point or a comma; empty: not to be told from its figures.
    """

    encoding: str = ""
    delimiter: str = ""
    decimal: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Grid:
    """One sheet.

    Attributes
    ----------
    file, sheet
        File name without its folders, and sheet name; a text table has no sheet name.
    rows
        Rows from the sheet's first, each from column A; rows may differ in length.
    hidden
        The sheet is hidden in its workbook.
    merged
        Its merged cells, from top to bottom.
    hidden_rows, hidden_columns
        Rows and columns, counted from 0, that the owner doesn't see: hidden, filtered out or folded away.
    row_marks
        By row, counted from 0: the colour that it is filled with, or that it is struck through.
    struck
        Cells, by row and column counted from 0, struck through, whole or in part, in rows that are not.
    comments
        Comments on cells: row, column and text.
    decimal
        The mark before decimals in a text table, as far as its own figures settle it; else empty.
    untold
        What can't be told from this kind of file, such as "merged cells".
    """

    file: str
    sheet: str
    rows: tuple[tuple[Value, ...], ...]
    hidden: bool = False
    merged: tuple[Area, ...] = ()
    hidden_rows: frozenset[int] = frozenset()
    hidden_columns: frozenset[int] = frozenset()
    row_marks: Mapping[int, str] = field(default_factory=dict)
    struck: tuple[tuple[int, int], ...] = ()
    comments: tuple[tuple[int, int, str], ...] = ()
    decimal: str = ""
    untold: tuple[str, ...] = ()

    def value(self, row: int, column: int) -> Value:
        """What stands at a row and column counted from 0; None outside of what was read."""
        if 0 <= row < len(self.rows) and 0 <= column < len(self.rows[row]):
            return self.rows[row][column]
        return None

    def source(self, row: int, column: int) -> Source:
        """The cell's place, for faults."""
        return Source(file=self.file, sheet=self.sheet, cell=address(row, column))

    def is_blank(self, row: int) -> bool:
        """True when a row holds nothing."""
        return all(value is None for value in self.rows[row])


@dataclass(frozen=True, slots=True, kw_only=True)
class Book:
    """A file as read: its sheets in order, and doubts about how; a text table is one sheet without a name.

    Attributes
    ----------
    text_form
        How a text table was read; None for a workbook.
    """

    file: str
    grids: tuple[Grid, ...]
    doubts: tuple[Fault, ...] = ()
    text_form: TextForm | None = None
