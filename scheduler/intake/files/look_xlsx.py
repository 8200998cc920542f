"""Looking through a workbook of the xlsx kind without reading its values.

A cell far away from the others can make a reader ask for more memory than there is, so every sheet is
streamed first and the place of every cell that holds something is looked at. On the way what a reader of
values doesn't tell is noted: errors, formulas without a result, merged cells, hidden rows and columns.
"""

from __future__ import annotations

import posixpath
import re
from functools import lru_cache

from scheduler.intake.files import guard
from scheduler.intake.files.grid import Area, Unread, position
from scheduler.intake.files.guard import Extent, Look, Sheet, links_doubt, macros_doubt, refuse
from scheduler.intake.files.look_comments import note_comments
from scheduler.intake.files.look_marks import note_marks
from scheduler.intake.files.look_struck import struck_texts
from scheduler.intake.files.zip_parts import Collector, Parts, Plain, packed

_BOOK = "xl/workbook.xml"
_TEXTS = "xl/sharedStrings.xml"
_RELATIONS = "xl/_rels/workbook.xml.rels"
_DIGITS = "0123456789"
_OFF = ("", "0", "false")
_HOLDS = re.compile(rb"<(?:\w+:)?(?:v|is|f)[\s/>]")
_CLOSE = re.compile(rb"</(?:\w+:)?sheetData\s*>")
_ADDRESS = re.compile(rb'\sr="([A-Z]+[0-9]+)"')
_Looks = tuple[tuple[str, ...], tuple[int, ...]]
_TAIL = 64
"""Bytes that are looked at twice, so that no tag is missed that lies across two chunks."""


def is_xlsx(parts: Parts) -> bool:
    """Whether a zip file is a workbook of this kind."""
    return _BOOK in parts


def look_through_xlsx(parts: Parts) -> Look:
    """Look through such a workbook.

    Raises
    ------
    scheduler.intake.files.guard.Refused
        When it holds tricks, or a cell beyond the limits.
    """
    file = parts.file
    listed, kept = listed_sheets(parts)
    extent = Extent(file)
    if _TEXTS in parts:
        kept[_TEXTS] = Plain(file).stream(parts, _TEXTS)
    struck = struck_texts(file, kept.get(_TEXTS, b""))
    for sheet, part in listed:
        if part in kept:
            mend = "Save it again in the spreadsheet program."
            raise refuse(file, "file-with-tricks", "two sheets of one content", "each sheet once", mend)
        if part in parts:
            kept[part] = _SheetLook(file, sheet, extent, struck).look(parts, part)
            note_comments(sheet, parts, part)
    for part in ("xl/styles.xml", "[Content_Types].xml", "_rels/.rels"):
        if part in parts and part != "xl/styles.xml":
            kept[part] = Plain(file).stream(parts, part)
        elif part in parts:
            kept[part] = note_marks([sheet for sheet, _ in listed], parts, part)
    doubts = []
    if any(posixpath.basename(name) == "vbaproject.bin" for name in parts.names):
        doubts.append(macros_doubt(file))
    if any(name.startswith("xl/externallinks/") for name in parts.names):
        doubts.append(links_doubt(file))
    return Look(sheets=tuple(sheet for sheet, _ in listed), data=packed(kept.items()), doubts=tuple(doubts))


def listed_sheets(parts: Parts) -> tuple[list[tuple[Sheet, str]], dict[str, bytes]]:
    """The sheets that a workbook lists, each with the name of its part; and the content of the lists."""
    relations = Collector(parts.file, "Relationship")
    listed = Collector(parts.file, "sheet")
    content = {_RELATIONS: relations.stream(parts, _RELATIONS), _BOOK: listed.stream(parts, _BOOK)}
    targets = {
        one.get("Id", ""): posixpath.normpath(posixpath.join("/xl", one.get("Target", ""))).lstrip("/")
        for one in relations.found
    }
    sheets = [
        (
            Sheet(name=one.get("name", ""), hidden=one.get("state", "") in ("hidden", "veryHidden")),
            targets.get(one.get("id", ""), ""),
        )
        for one in listed.found
    ]
    return sheets, content


class _SheetLook(Plain):
    """Streams a sheet; see the module."""

    def __init__(self, file: str, sheet: Sheet, extent: Extent, struck: frozenset[str]) -> None:
        super().__init__(file)
        self.sheet = sheet
        self.extent = extent
        self.struck = struck
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
        self.has_struck = False
        self.formula: list[str] = []
        self.result: list[str] = []
        self.into: list[str] = []
        self.cells = 0
        self.style = ""
        self.styles: list[str] = []
        self.styled: list[int] = []
        self.alike: dict[_Looks, _Looks] = {}
        self.far_from: int | None = None
        self.close_at: int | None = None

    def look(self, parts: Parts, name: str) -> bytes:
        """Go through the sheet; its content, without the blank rows below the last that may hold anything."""
        pieces: list[bytes] = []
        tail, size = b"", 0
        for chunk in parts.chunks(name):
            pieces.append(chunk)
            if self.far_from is None or self.close_at is not None or self.holds or b"\x00" in pieces[0]:
                self.parser.Parse(chunk, False)
            else:
                self._pass_over(tail, chunk, size)
            size += len(chunk)
            tail = chunk[-_TAIL:]
        self.parser.Parse(b"", True)
        self.extent.spread(self.sheet.name, self.rows, self.columns)
        content = b"".join(pieces)
        if self.far_from is None or self.close_at is None:
            return content
        return content[: self.far_from] + content[self.close_at :]

    def _pass_over(self, tail: bytes, chunk: bytes, size: int) -> None:
        """Go through rows too far down quickly: there are often a million blank ones, and none may hold more.

        Parameters
        ----------
        tail
            What went before the chunk.
        size
            Bytes of the part up to the chunk.
        """
        looked = tail + chunk
        close = _CLOSE.search(looked)
        rows = looked[: close.start()] if close else looked
        held = _HOLDS.search(rows)
        if held:
            cells = _ADDRESS.findall(rows, 0, held.start())
            row, column = position(cells[-1].decode()) if cells else (guard.MOST_ROWS, 0)
            self.extent.within(self.sheet.name, max(row, guard.MOST_ROWS), column)
        self.parser.StartElementHandler = self.parser.EndElementHandler = None
        at = len(chunk) if close is None else max(0, close.start() - len(tail))
        self.parser.Parse(chunk[:at], False)
        if close:
            self.close_at = size + close.start() - len(tail)
            self.parser.StartElementHandler, self.parser.EndElementHandler = self._start, self._end
            self.parser.Parse(chunk[at:], False)

    def _start(self, name: str, attributes: dict[str, str]) -> None:
        local = name.rpartition(":")[2] if ":" in name else name
        if local == "c":
            self._place(attributes.get("r", ""))
            self.type = attributes.get("t", "")
            self.style = attributes.get("s", "0")
            self.cells += 1
            self.holds = self.has_formula = self.has_struck = False
            self.result = []
        elif local == "v" or local == "is":
            self.holds = True
            if self.has_formula or self.type == "e" or (self.struck and self.type == "s"):
                self.result = self._collect()
        elif local == "f":
            self.holds = self.has_formula = True
            self.formula = self._collect()
        elif local == "strike" and attributes.get("val", "1") not in _OFF:
            self.has_struck = True
        elif local == "row":
            number = attributes.get("r", "")
            self.row = int(number) - 1 if number.isdigit() else self.row + 1
            self.column = -1
            self.extent.crowd(self.sheet.name, self.cells)
            if self.row >= guard.MOST_ROWS:
                if self.far_from is None:
                    self.far_from = self.parser.CurrentByteIndex
            elif attributes.get("hidden", "") not in _OFF:
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

    def _merged(self, written: str) -> None:
        first, _, last = written.upper().partition(":")
        top, left = position(first)
        bottom, right = position(last or first)
        area = Area(min(top, bottom), min(left, right), max(top, bottom), max(left, right))
        self.extent.merge(self.sheet, area)

    def _end(self, name: str) -> None:
        local = name.rpartition(":")[2] if ":" in name else name
        if local == "f" or local == "v":
            self.parser.CharacterDataHandler = None
        elif local == "row" and self.styles:
            if any(style != "0" for style in self.styles):
                cells = tuple(self.styles), tuple(self.styled)
                # most rows of a sheet are alike
                self.sheet.row_styles[self.row] = self.alike.setdefault(cells, cells)
            self.styles, self.styled = [], []
        elif local == "c" and self.holds:
            row, column = self.row, self.column
            self.styles.append(self.style)
            self.styled.append(column)
            if row >= self.rows or column >= self.columns:
                self.extent.within(self.sheet.name, row, column)
                self.rows = max(self.rows, row + 1)
                self.columns = max(self.columns, column + 1)
            if self.type == "e":
                unread = _unread("error", "".join(self.result) or "#ERROR")
                self.extent.note(self.sheet, row, column, unread)
            elif self.has_formula and self.type != "str" and not "".join(self.result):
                unread = _unread("formula", f"={''.join(self.formula)}")
                self.extent.note(self.sheet, row, column, unread)
            elif self.has_struck or (self.type == "s" and "".join(self.result).strip() in self.struck):
                self.sheet.struck.append((row, column))
            self.holds = False


@lru_cache(maxsize=10_000)
def _unread(kind: str, text: str) -> Unread:
    """One object for all cells that say the same."""
    return Unread(kind, text)
