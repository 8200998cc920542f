"""Looking through a workbook of the old kind (xls) without reading its values.

Source: [MS-XLS] Excel Binary File Format, published by its maker as an open specification; the names of
records are its own.
"""

from __future__ import annotations

import struct

from scheduler.intake.files.compound_file import CompoundFile
from scheduler.intake.files.grid import NO_FORMULAS, Area, Unread
from scheduler.intake.files.guard import (
    KINDS,
    Extent,
    Look,
    Sheet,
    damaged,
    links_doubt,
    locked,
    macros_doubt,
    refuse,
)

_BOF, _EOF, _FILEPASS, _BOUNDSHEET, _SUPBOOK = 0x0809, 0x000A, 0x002F, 0x0085, 0x01AE
_ROW, _COLINFO, _MERGECELLS, _FORMULA, _BOOLERR, _MULRK = 0x0208, 0x007D, 0x00E5, 0x0006, 0x0205, 0x00BD
_CELLS = frozenset((_FORMULA, _BOOLERR, _MULRK, 0x00FD, 0x0203, 0x027E, 0x0204, 0x00D6))
"""Records of cells that hold something; blank ones (Blank, MulBlank) don't count."""

_ERRORS = {
    0x00: "#NULL!", 0x07: "#DIV/0!", 0x0F: "#VALUE!", 0x17: "#REF!",
    0x1D: "#NAME?", 0x24: "#NUM!", 0x2A: "#N/A",
}  # fmt: skip
_OWN_BOOK = (0x0401, 0x3A01)
_WORKSHEET = 0
_BIFF8 = 0x0600


def look_through_xls(file: str, data: bytes) -> Look:
    """Look through such a workbook.

    Raises
    ------
    scheduler.intake.files.guard.Refused
        When it is cut off, locked, no workbook at all, or has a cell beyond the limits.
    """
    try:
        container = CompoundFile(data)
        names = {name.casefold() for name in container.names}
        if "encryptedpackage" in names:
            raise locked(file)
        stream = next((name for name in ("workbook", "book") if name in names), None)
        if stream is None:
            found = "a file of the old kind that is no workbook"
            raise refuse(file, "not-a-workbook", found, KINDS, "Save the table as .xlsx or .csv.")
        look = _BookLook(file, container.stream(stream))
        look.globals()
        look.all_sheets()
    except (ValueError, KeyError, IndexError, struct.error):
        raise damaged(file) from None
    doubts = []
    if names & {"_vba_project_cur", "_vba_project", "vba"}:
        doubts.append(macros_doubt(file))
    if look.has_links:
        doubts.append(links_doubt(file))
    return Look(sheets=tuple(look.sheets), data=data, doubts=tuple(doubts), untold=(NO_FORMULAS,))


class _BookLook:
    """Goes through the records of a workbook's stream."""

    def __init__(self, file: str, stream: bytes) -> None:
        self.file = file
        self.stream = stream
        self.extent = Extent(file)
        self.sheets: list[Sheet] = []
        self.places: list[int] = []
        self.has_links = False
        self.is_biff8 = True

    def globals(self) -> None:
        """The records of the workbook itself: its sheets, and whether it is locked."""
        kind, version = struct.unpack_from("<H2xH", self.stream, 0)
        if kind != _BOF:
            raise ValueError("no workbook begins here")
        self.is_biff8 = version == _BIFF8
        for kind, start, length in self._records(0):
            if kind == _FILEPASS:
                raise locked(self.file)
            if kind == _BOUNDSHEET:
                self._bound_sheet(start, length)
            elif kind == _SUPBOOK and length >= 4:
                (own,) = struct.unpack_from("<H", self.stream, start + 2)
                self.has_links |= own not in _OWN_BOOK

    def _bound_sheet(self, start: int, length: int) -> None:
        place, state, kind, letters = struct.unpack_from("<IBBB", self.stream, start)
        if kind != _WORKSHEET:
            return
        wide = self.is_biff8 and self.stream[start + 7] & 1
        begin = start + (8 if self.is_biff8 else 7)
        raw = self.stream[begin : min(begin + letters * (2 if wide else 1), start + length)]
        name = raw.decode("utf-16-le" if wide else "latin-1", "replace")
        self.sheets.append(Sheet(name=name, hidden=state & 3 != 0))
        self.places.append(place)

    def all_sheets(self) -> None:
        """The records of each sheet."""
        if len(set(self.places)) < len(self.places):
            raise ValueError("two sheets at one place")
        for sheet, place in zip(self.sheets, self.places, strict=True):
            self._sheet(sheet, place)

    def _records(self, place: int) -> list[tuple[int, int, int]]:
        """Kind, start and length of the records from a place on, up to the end that belongs to it."""
        found: list[tuple[int, int, int]] = []
        stream, depth, size = self.stream, 0, len(self.stream)
        unpack = struct.Struct("<HH").unpack_from
        while place + 4 <= size:
            kind, length = unpack(stream, place)
            if place + 4 + length > size:
                raise ValueError("a record is cut off")
            if kind == _BOF:
                depth += 1
            elif kind == _EOF:
                depth -= 1
                if depth <= 0:
                    return found
            elif depth == 1:
                found.append((kind, place + 4, length))
            place += 4 + length
        raise ValueError("the end is missing")

    def _sheet(self, sheet: Sheet, place: int) -> None:
        stream, rows, columns = self.stream, 0, 0
        unpack = struct.Struct("<HH").unpack_from
        for kind, start, length in self._records(place):
            if kind in _CELLS:
                row, column = unpack(stream, start)
                if kind == _MULRK:
                    (column,) = struct.unpack_from("<H", stream, start + length - 2)
                if row >= rows or column >= columns:
                    self.extent.within(sheet.name, row, column)
                    rows, columns = max(rows, row + 1), max(columns, column + 1)
                if kind == _FORMULA:
                    if stream[start + 6] == 2 and stream[start + 12 : start + 14] == b"\xff\xff":
                        self.extent.note(sheet, row, column, _error(stream[start + 8]))
                elif kind == _BOOLERR and stream[start + 7]:
                    self.extent.note(sheet, row, column, _error(stream[start + 6]))
            elif kind == _ROW:
                (row,) = struct.unpack_from("<H", stream, start)
                if stream[start + 12] & 0x20:
                    sheet.hidden_rows.add(row)
            elif kind == _COLINFO:
                first, last = unpack(stream, start)
                if stream[start + 8] & 1:
                    sheet.hidden_columns.update(range(first, min(last, 255) + 1))
            elif kind == _MERGECELLS:
                (count,) = struct.unpack_from("<H", stream, start)
                for number in range(min(count, (length - 2) // 8)):
                    top, bottom, left, right = struct.unpack_from("<4H", stream, start + 2 + 8 * number)
                    self.extent.merge(sheet, Area(top, left, bottom, right))
        self.extent.spread(sheet.name, rows, columns)


def _error(code: int) -> Unread:
    return Unread("error", _ERRORS.get(code, "#ERROR"))
