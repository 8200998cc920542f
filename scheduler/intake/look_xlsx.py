"""Looking through a workbook of the xlsx kind without reading its values.

A cell far away from the others can make a reader ask for more memory than there is, so every sheet is
streamed first and the place of every cell that holds something is looked at. On the way what a reader of
values doesn't tell is noted: errors, formulas without a result, merged cells, hidden rows and columns.
"""

from __future__ import annotations

import posixpath

from scheduler.intake.grid import Area, Unread, position
from scheduler.intake.guard import Extent, Look, Sheet, links_doubt, macros_doubt, refuse
from scheduler.intake.zip_parts import Collector, Parts, Plain, packed

_BOOK = "xl/workbook.xml"
_RELATIONS = "xl/_rels/workbook.xml.rels"
_DIGITS = "0123456789"
_OFF = ("", "0", "false")


def is_xlsx(parts: Parts) -> bool:
    """Whether a zip file is a workbook of this kind."""
    return _BOOK in parts


def look_through_xlsx(parts: Parts) -> Look:
    """Look through such a workbook.

    Raises
    ------
    scheduler.intake.guard.Refused
        When it holds tricks, or a cell beyond the limits.
    """
    file = parts.file
    relations = Collector(file, "Relationship")
    listed = Collector(file, "sheet")
    kept = {_RELATIONS: relations.stream(parts, _RELATIONS), _BOOK: listed.stream(parts, _BOOK)}
    targets = {
        one.get("Id", ""): posixpath.normpath(posixpath.join("/xl", one.get("Target", ""))).lstrip("/")
        for one in relations.found
    }
    extent = Extent(file)
    sheets = []
    for one in listed.found:
        sheet = Sheet(name=one.get("name", ""), hidden=one.get("state", "") in ("hidden", "veryHidden"))
        sheets.append(sheet)
        part = targets.get(one.get("id", ""), "")
        if part in kept:
            mend = "Save it again in the spreadsheet program."
            raise refuse(file, "file-with-tricks", "two sheets of one content", "each sheet once", mend)
        if part in parts:
            kept[part] = _SheetLook(file, sheet, extent).look(parts, part)
    for part in ("xl/sharedStrings.xml", "xl/styles.xml", "[Content_Types].xml", "_rels/.rels"):
        if part in parts:
            kept[part] = Plain(file).stream(parts, part)
    doubts = []
    if any(posixpath.basename(name) == "vbaproject.bin" for name in parts.names):
        doubts.append(macros_doubt(file))
    if any(name.startswith("xl/externallinks/") for name in parts.names):
        doubts.append(links_doubt(file))
    return Look(sheets=tuple(sheets), data=packed(kept.items()), doubts=tuple(doubts))


class _SheetLook(Plain):
    """Streams a sheet; see the module."""

    def __init__(self, file: str, sheet: Sheet, extent: Extent) -> None:
        super().__init__(file)
        self.sheet = sheet
        self.extent = extent
        self.parser.StartElementHandler = self._start
        self.parser.EndElementHandler = self._end
        self.parser.CharacterDataHandler = None
        self.row = -1
        self.column = -1
        self.rows = 0
        self.columns = 0
        self.columns_of: dict[str, int] = {}
        self.type = ""
        self.holds = False
        self.has_formula = False
        self.formula: list[str] = []
        self.result: list[str] = []
        self.into: list[str] = []

    def look(self, parts: Parts, name: str) -> bytes:
        """Go through the sheet; its content."""
        content = self.stream(parts, name)
        self.extent.spread(self.sheet.name, self.rows, self.columns)
        return content

    def _start(self, name: str, attributes: dict[str, str]) -> None:
        local = name.rpartition(":")[2] if ":" in name else name
        if local == "c":
            self._place(attributes.get("r", ""))
            self.type = attributes.get("t", "")
            self.holds = self.has_formula = False
            self.result = []
        elif local == "v" or local == "is":
            self.holds = True
            if self.has_formula or self.type == "e":
                self.result = self._collect()
        elif local == "f":
            self.holds = self.has_formula = True
            self.formula = self._collect()
        elif local == "row":
            number = attributes.get("r", "")
            self.row = int(number) - 1 if number.isdigit() else self.row + 1
            self.column = -1
            if attributes.get("hidden", "") not in _OFF:
                self.sheet.hidden_rows.add(self.row)
        elif local == "col":
            self._columns(attributes)
        elif local == "mergeCell":
            self._merged(attributes.get("ref", ""))

    def _collect(self) -> list[str]:
        self.into = []
        self.parser.CharacterDataHandler = self.into.append
        return self.into

    def _place(self, cell: str) -> None:
        if not cell:
            self.column += 1
            return
        letters = cell.rstrip(_DIGITS)
        column = self.columns_of.get(letters)
        if column is None:
            column = self.columns_of[letters] = position(f"{letters.upper()}1")[1]
        self.row, self.column = int(cell[len(letters) :]) - 1, column
        if self.row < 0:
            raise ValueError(f"{cell!r} is no cell address")

    def _columns(self, attributes: dict[str, str]) -> None:
        if attributes.get("hidden", "") in _OFF:
            return
        first, last = int(attributes.get("min", "1")), int(attributes.get("max", "1"))
        # hidden to the sheet's very end is common: only columns that can hold something matter
        self.sheet.hidden_columns.update(range(max(first, 1) - 1, min(last, 1000)))

    def _merged(self, area: str) -> None:
        first, _, last = area.upper().partition(":")
        top, left = position(first)
        bottom, right = position(last or first)
        self.sheet.merged.append(Area(min(top, bottom), min(left, right), max(top, bottom), max(left, right)))

    def _end(self, name: str) -> None:
        local = name.rpartition(":")[2] if ":" in name else name
        if local == "f" or local == "v":
            self.parser.CharacterDataHandler = None
        elif local == "c" and self.holds:
            row, column = self.row, self.column
            if row >= self.rows or column >= self.columns:
                self.extent.within(self.sheet.name, row, column)
                self.rows = max(self.rows, row + 1)
                self.columns = max(self.columns, column + 1)
            if self.type == "e":
                self.sheet.instead[row, column] = Unread("error", "".join(self.result) or "#ERROR")
            elif self.has_formula and self.type != "str" and not "".join(self.result):
                self.sheet.instead[row, column] = Unread("formula", f"={''.join(self.formula)}")
