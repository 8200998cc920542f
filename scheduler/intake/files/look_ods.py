"""Looking through a workbook of the ods kind (OpenDocument) without reading its values.

Such a file states runs of equal cells and rows by a count, so a few bytes can stand for a million rows: what
counts here is how far the cells that hold something reach.
"""

from __future__ import annotations

import re
from datetime import time, timedelta

from scheduler.intake.files import guard
from scheduler.intake.files.grid import Area, Unread, Value
from scheduler.intake.files.guard import Extent, Look, Sheet, links_doubt, locked, macros_doubt
from scheduler.intake.files.zip_parts import Collector, Parts, Plain, packed

_CONTENT = "content.xml"
_MIMETYPE = "mimetype"
_MANIFEST = "META-INF/manifest.xml"
_KIND = b"application/vnd.oasis.opendocument.spreadsheet"
_DURATION = re.compile(r"PT(\d+)H(\d+)M(\d+)(?:[.,]\d+)?S\Z")
_MOST_HIDDEN_COLUMNS = 1000
_UNSEEN = ("collapse", "filter")


def is_ods(parts: Parts) -> bool:
    """Whether a zip file is a workbook of this kind."""
    return (
        _CONTENT in parts
        and _MIMETYPE in parts
        and parts.content(_MIMETYPE).strip() in (_KIND, _KIND + b"-template")
    )


def look_through_ods(parts: Parts) -> Look:
    """Look through such a workbook.

    Raises
    ------
    scheduler.intake.files.guard.Refused
        When it is locked, holds tricks, or a cell beyond the limits.
    """
    file = parts.file
    manifest = Collector(file, "encryption-data")
    kept = {_MIMETYPE: _KIND}
    if _MANIFEST in parts:
        kept[_MANIFEST] = manifest.stream(parts, _MANIFEST)
    if manifest.found:
        raise locked(file)
    look = _ContentLook(file)
    kept[_CONTENT] = look.stream(parts, _CONTENT)
    doubts = []
    if any(name.startswith(("basic/", "scripts/")) and not name.endswith("/") for name in parts.names):
        doubts.append(macros_doubt(file))
    if look.has_links:
        doubts.append(links_doubt(file))
    return Look(sheets=tuple(look.sheets), data=packed(kept.items()), doubts=tuple(doubts))


class _ContentLook(Plain):
    """Streams the content of all sheets."""

    def __init__(self, file: str) -> None:
        super().__init__(file)
        self.extent = Extent(file)
        self.parser.StartElementHandler = self._start
        self.parser.EndElementHandler = self._end
        self.parser.CharacterDataHandler = self._text
        self.sheets: list[Sheet] = []
        self.hidden_styles: set[str] = set()
        self.style = ""
        self.sheet: Sheet | None = None
        self.tables = 0
        self.row = self.column = 0
        self.row_repeat = self.column_repeat = 1
        self.row_column = 0
        self.cells = 0
        self.rows = self.columns = 0
        self.cell: dict[str, str] | None = None
        self.words: list[str] = []
        self.in_note = False
        self.has_links = False

    def _start(self, name: str, attributes: dict[str, str]) -> None:
        if name == "style:style":
            self.style = attributes.get("style:name", "")
        elif name == "style:table-properties" and attributes.get("table:display") == "false":
            self.hidden_styles.add(self.style)
        elif name == "table:table":
            self.tables += 1
            if self.tables == 1:
                self._begin(attributes)
        elif self.sheet is None or self.tables != 1:
            return
        elif name == "table:table-cell" or name == "table:covered-table-cell":
            self.column_repeat = _count(attributes, "table:number-columns-repeated")
            self.cells += 1
            self.cell = attributes
            self.words = []
        elif name == "table:table-row":
            self.row_repeat = _count(attributes, "table:number-rows-repeated")
            self.row_column = 0
            self.extent.crowd(self.sheet.name, self.cells)
            if attributes.get("table:visibility") in _UNSEEN:
                self._hide_rows()
        elif name == "table:table-column":
            count = _count(attributes, "table:number-columns-repeated")
            last = min(self.column + count, _MOST_HIDDEN_COLUMNS)
            if attributes.get("table:visibility") in _UNSEEN:
                self.sheet.hidden_columns.update(range(self.column, last))
            self.column = last
        elif name == "office:annotation":
            self.in_note = True

    def _begin(self, attributes: dict[str, str]) -> None:
        hidden = attributes.get("table:style-name", "") in self.hidden_styles
        self.sheet = Sheet(name=attributes.get("table:name", ""), hidden=hidden)
        self.sheets.append(self.sheet)
        self.row = self.column = self.rows = self.columns = 0

    def _hide_rows(self) -> None:
        assert self.sheet is not None
        # rows behind the last one that holds anything are hidden in great numbers, and nobody asks
        self.sheet.hidden_rows.update(range(self.row, min(self.row + self.row_repeat, guard.MOST_ROWS)))

    def _text(self, data: str) -> None:
        if self.cell is not None and not self.in_note and len(self.words) < 20:
            self.words.append(data)

    def _end(self, name: str) -> None:
        if name == "table:table":
            self.tables -= 1
            if self.tables == 0 and self.sheet is not None:
                self.extent.spread(self.sheet.name, self.rows, self.columns)
                self.sheet = None
        elif self.sheet is None or self.tables != 1:
            return
        elif name == "table:table-cell" or name == "table:covered-table-cell":
            if self.cell is not None:
                self._place(self.sheet, self.cell)
            self.row_column += self.column_repeat
            self.cell = None
        elif name == "table:table-row":
            self.row += self.row_repeat
        elif name == "office:annotation":
            self.in_note = False

    def _place(self, sheet: Sheet, cell: dict[str, str]) -> None:
        formula = cell.get("table:formula", "")
        kind = cell.get("office:value-type", "")
        self._merge(sheet, cell)
        if "'file:" in formula.casefold():
            self.has_links = True
        if not kind and not formula:
            return
        row, column = self.row, self.row_column
        last_row, last_column = row + self.row_repeat - 1, column + self.column_repeat - 1
        self.extent.within(sheet.name, last_row, last_column)
        self.rows, self.columns = max(self.rows, last_row + 1), max(self.columns, last_column + 1)
        instead = self._instead(cell, kind, formula)
        if instead is not None:
            for one in range(row, last_row + 1):
                for other in range(column, last_column + 1):
                    self.extent.note(sheet, one, other, instead)

    def _instead(self, cell: dict[str, str], kind: str, formula: str) -> Value:
        """What a reader of values would get wrong of this cell; None when there is nothing."""
        shown = "".join(self.words).strip()
        if cell.get("calcext:value-type") == "error" or (formula and shown.startswith(("#", "Err:"))):
            return Unread("error", shown or "#ERROR")
        if formula and not kind:
            return Unread("formula", formula.partition(":")[2] or formula)
        if kind == "boolean":
            return cell.get("office:boolean-value") == "true"
        if kind == "time":
            match = _DURATION.match(cell.get("office:time-value", ""))
            if match:
                hours, minutes, seconds = (int(part) for part in match.groups())
                if hours < 24 and minutes < 60 and seconds < 60:
                    return time(hours, minutes, seconds)
                return timedelta(hours=hours, minutes=minutes, seconds=seconds)
        return None

    def _merge(self, sheet: Sheet, cell: dict[str, str]) -> None:
        down = _count(cell, "table:number-rows-spanned")
        across = _count(cell, "table:number-columns-spanned")
        if down > 1 or across > 1:
            row, column = self.row, self.row_column
            self.extent.merge(sheet, Area(row, column, row + down - 1, column + across - 1))


def _count(attributes: dict[str, str], name: str) -> int:
    written = attributes.get(name)
    return 1 if written is None else max(1, int(written))
