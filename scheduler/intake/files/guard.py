"""Looking at a file before it is read: what kind it is, and the limits that every kind is held to."""

from __future__ import annotations

from dataclasses import dataclass, field
from enum import StrEnum

from scheduler.domain.faults import Fault, Severity, Source
from scheduler.intake.files.grid import Area, Value, column_letters

MOST_BYTES = 20 * 2**20
MOST_UNPACKED = 64 * 2**20
MOST_PARTS = 2000
MOST_ROWS = 50_000
MOST_COLUMNS = 200
MOST_AREA = 2_000_000
"""Most rows times columns of all sheets together, and most cells of a sheet: a reader makes room for blank
cells too."""
MOST_MERGED = 20_000
MOST_UNREAD = 500_000
"""Most cells of which a reader of values tells nothing or something else."""

KINDS = "a workbook (.xlsx, .xlsm, .xls, .ods) or a text table (.csv, .tsv)"
"""What is read, in the words of faults."""

_OLE = b"\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1"
_MARKS = (b"\xef\xbb\xbf", b"\xff\xfe", b"\xfe\xff")
_MARKUP = (b"<!doctype", b"<html", b"<?xml", b"<table", b"<head", b"<body", b"<meta", b"<!--", b"<style")
_NO_TABLE = (b"%PDF", b"\x89PNG", b"\xff\xd8\xff", b"GIF8", b"{\\rtf", b"Rar!", b"7z\xbc\xaf", b"\x1f\x8b")


class Refused(Exception):  # noqa: N818 - a verdict on a file, turned into a fault at once
    """Raised when a file is not to be read; carries the one fault that says why."""

    def __init__(self, fault: Fault) -> None:
        super().__init__(str(fault))
        self.fault = fault


class Kind(StrEnum):
    """Kinds of file that are read, as far as their first bytes tell."""

    ZIP = "zip"
    OLE = "ole"
    TEXT = "text"


@dataclass(slots=True)
class Sheet:
    """What the guard saw of one sheet of a workbook; rows and columns are counted from 0.

    Attributes
    ----------
    instead
        By row and column: cells of which a reader gives no value, or another one than what stands there.
    row_styles
        By row, while it is looked through: the styles of its cells that hold something, and their columns.
    row_marks
        By row: the colour that it is filled with, or that it is struck through.
    struck
        Cells that are struck through, whole or in part, in rows that are not.
    digits
        Cells whose format shows zeros in front, and how many digits it shows.
    comments
        Comments on cells: row, column and text.
    """

    name: str
    hidden: bool = False
    instead: dict[tuple[int, int], Value] = field(default_factory=dict)
    merged: list[Area] = field(default_factory=list)
    hidden_rows: set[int] = field(default_factory=set)
    hidden_columns: set[int] = field(default_factory=set)
    row_styles: dict[int, tuple[tuple[str, ...], tuple[int, ...]]] = field(default_factory=dict)
    row_marks: dict[int, str] = field(default_factory=dict)
    struck: list[tuple[int, int]] = field(default_factory=list)
    digits: dict[tuple[int, int], int] = field(default_factory=dict)
    comments: list[tuple[int, int, str]] = field(default_factory=list)


@dataclass(frozen=True, slots=True, kw_only=True)
class Look:
    """What the guard saw of a workbook.

    Attributes
    ----------
    data
        The bytes to be read: nothing but what was looked at.
    doubts
        What is in the workbook and not used, such as macros.
    untold
        What can't be told from this kind of file.
    """

    sheets: tuple[Sheet, ...]
    data: bytes
    doubts: tuple[Fault, ...] = ()
    untold: tuple[str, ...] = ()


def refuse(
    file: str, code: str, found: str, expected: str, mend: str, *, sheet: str = "", cell: str = ""
) -> Refused:
    """The refusal of a file, with its one fault."""
    source = Source(file=file, sheet=sheet, cell=cell)
    return Refused(Fault(code=code, source=source, found=found, expected=expected, mend=mend))


def damaged(file: str, what: str = "the workbook is cut off or damaged") -> Refused:
    """The refusal of a file that is not whole."""
    mend = "Save it again in the spreadsheet program; if it was sent or copied, fetch it anew."
    return refuse(file, "file-damaged", what, "a whole workbook", mend)


def locked(file: str) -> Refused:
    """The refusal of a file with a password."""
    found = "the workbook is locked with a password"
    return refuse(file, "file-encrypted", found, "an open workbook", "Save a copy without a password.")


def too_large(file: str, size: int) -> Refused:
    """The refusal of a file with too many bytes."""
    found = f"the file has {size / 2**20:.0f} MB"
    mend = "Take out pictures and old sheets, or split the file."
    return refuse(file, "file-too-large", found, f"at most {MOST_BYTES // 2**20} MB", mend)


def macros_doubt(file: str) -> Fault:
    """Say that a workbook has macros, which nobody runs here."""
    return Fault(
        code="macros-not-run",
        source=Source(file=file),
        found="the workbook holds macros",
        expected="cells with their values",
        mend="They are never run: the values that were saved are read.",
        severity=Severity.DOUBT,
    )


def links_doubt(file: str) -> Fault:
    """Say that a workbook takes values from other files, which are not opened."""
    return Fault(
        code="links-not-followed",
        source=Source(file=file),
        found="cells that take their values from other files",
        expected="a workbook that stands alone",
        mend="The values that were saved last are read; update the links and save again if they are old.",
        severity=Severity.DOUBT,
    )


class Extent:
    """How far the cells of a workbook reach, held to the limits."""

    def __init__(self, file: str) -> None:
        self.file = file
        self.area = MOST_AREA

    def within(self, sheet: str, row: int, column: int) -> None:
        """Refuse the file when a cell that holds something is too far away."""
        if row < MOST_ROWS and column < MOST_COLUMNS:
            return
        raise refuse(
            self.file,
            "cell-too-far",
            "a cell far away from the table",
            f"cells up to row {MOST_ROWS:,} and column {column_letters(MOST_COLUMNS - 1)}",
            "Delete the rows and columns behind the table, then save.",
            sheet=sheet,
            cell=f"{column_letters(column)}{row + 1}",
        )

    def note(self, sheet: Sheet, row: int, column: int, value: Value) -> None:
        """Note what stands in a cell of which a reader tells something else."""
        sheet.instead[row, column] = value
        if len(sheet.instead) > MOST_UNREAD:
            found = f"more than {MOST_UNREAD:,} cells with errors or without results"
            raise self._too_much(sheet.name, found, "cells with values")

    def merge(self, sheet: Sheet, area: Area) -> None:
        """Note merged cells, as far as cells may hold anything."""
        if area.top >= MOST_ROWS or area.left >= MOST_COLUMNS:
            return
        bottom, right = min(area.bottom, MOST_ROWS - 1), min(area.right, MOST_COLUMNS - 1)
        sheet.merged.append(Area(area.top, area.left, bottom, right))
        if len(sheet.merged) > MOST_MERGED:
            found = f"more than {MOST_MERGED:,} merged cells"
            raise self._too_much(sheet.name, found, "a table with few merged cells")

    def crowd(self, sheet: str, cells: int) -> None:
        """Refuse a sheet with too many cells, blank ones counted."""
        if cells > MOST_AREA:
            raise self._too_much(sheet, f"more than {MOST_AREA:,} cells", "fewer, blank ones counted")

    def _too_much(self, sheet: str, found: str, expected: str) -> Refused:
        mend = "Copy the orders alone into a new workbook."
        return refuse(self.file, "table-too-large", found, expected, mend, sheet=sheet)

    def spread(self, sheet: str, rows: int, columns: int) -> None:
        """Take a sheet's rows times columns from what is left for all sheets."""
        self.area -= rows * columns
        if self.area < 0:
            mend = "Delete the blank rows and columns behind the table, or split the file."
            found = f"a table of {rows:,} rows and {columns} columns"
            expected = f"at most {MOST_AREA:,} cells in all sheets, blank ones counted"
            raise refuse(self.file, "table-too-large", found, expected, mend, sheet=sheet)


def kind_of(file: str, data: bytes) -> Kind:
    """What a file is by its first bytes, whatever its name says.

    Raises
    ------
    Refused
        When it is too large, empty or nothing that is read.
    """
    if len(data) > MOST_BYTES:
        raise too_large(file, len(data))
    if not data.strip(b"\x00\t\r\n \xef\xbb\xbf\xff\xfe"):
        raise refuse(file, "file-empty", "the file is empty", KINDS, "Save it again with its content.")
    if data.startswith(b"PK"):
        return Kind.ZIP
    if data.startswith(_OLE):
        return Kind.OLE
    start = data[:512].lstrip(b"\xef\xbb\xbf \t\r\n").lower()
    wide = data[:1024].replace(b"\x00", b"").lstrip(b"\xff\xfe \t\r\n").lower()
    if start.startswith(_MARKUP) or wide.startswith(_MARKUP):
        mend = "Open it in a spreadsheet program and save it as .xlsx."
        found = "a web page or XML text, whatever its name says"
        raise refuse(file, "not-a-workbook", found, KINDS, mend)
    if data.startswith(_NO_TABLE):
        raise refuse(file, "not-a-workbook", "not a table", KINDS, "Save the table as .xlsx or .csv.")
    if not data.startswith(_MARKS) and _is_binary(data[:4096]):
        mend = "Save it as .xlsx or .csv."
        raise refuse(file, "not-a-workbook", "not a text and not a workbook", KINDS, mend)
    return Kind.TEXT


def _is_binary(start: bytes) -> bool:
    """True for bytes that are no text; texts of two bytes a letter have their zeros in one half only."""
    zeros = start[::2].count(0), start[1::2].count(0)
    return any(zeros) and not (min(zeros) == 0 and max(zeros) * 3 > len(start) // 2)
