"""A shop workbook as it would be with some changes: the cells put in, then read like any shop workbook.

Whatever the shop's reader finds wrong with a cell that a change put in is said at the change's own row.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace
from typing import TYPE_CHECKING

from scheduler.domain.faults import Fault
from scheduler.intake.cells.findings import Findings, propose, shown
from scheduler.intake.cells.rows import Headings
from scheduler.intake.cells.values import text
from scheduler.intake.files.grid import Book, Grid, Unread, Value, position
from scheduler.intake.shop import layout
from scheduler.intake.shop.book import ShopSheets
from scheduler.intake.shop.changes_layout import GONE, LIKE
from scheduler.intake.shop.crew import USUAL_DAYS, with_weekdays
from scheduler.intake.shop.reader import scan_shop_book
from scheduler.intake.words import heading_key, name_key, words

if TYPE_CHECKING:
    from scheduler.domain.faults import Source
    from scheduler.domain.shop_changes import ShopChange, ShopEdit
    from scheduler.intake.layout import Table
    from scheduler.intake.shop.words import ShopWords

NOT_COPIED = ("mounted",)
"""Columns that a new row doesn't take over: nothing was mounted on a press that isn't there yet."""


def scan_changed_shop(
    book: Book, name: str, changes: Iterable[ShopChange]
) -> tuple[ShopWords | None, tuple[Fault, ...]]:
    """Read a shop as it would be with changes made.

    Parameters
    ----------
    book
        Today's shop workbook.
    name
        The shop's when the workbook gives none.

    Returns
    -------
    words
        As `scan_shop_book` gives them; None when a change can't be put in.
    faults
        Faults and doubts, those in cells of a change with the place in the list of changes.
    """
    findings = Findings()
    putting = _Putting(book, findings)
    for change in changes:
        putting.put(change)
    if findings.faults:
        return None, findings.all
    words_, found = scan_shop_book(putting.book(), name)
    return words_, tuple(putting.at_home(fault) for fault in found)


class _Putting:
    """The sheets of a shop workbook while changes are put in."""

    def __init__(self, book: Book, findings: Findings) -> None:
        self._book = book
        self._sheets = ShopSheets(book, Findings()).found
        self._rows = {key: [list(row) for row in grid.rows] for key, (grid, _) in self._sheets.items()}
        self._places: dict[tuple[str, int, int], tuple[ShopEdit, ShopChange]] = {}
        self._whole: dict[tuple[str, int], tuple[ShopEdit, ShopChange]] = {}
        self._added: list[Grid] = []
        self._findings = findings

    def book(self) -> Book:
        """The workbook with all changes."""
        changed = {id(grid): key for key, (grid, _) in self._sheets.items()}

        def grid_of(grid: Grid) -> Grid:
            key = changed.get(id(grid))
            return grid if key is None else replace(grid, rows=tuple(map(tuple, self._rows[key])))

        grids = [grid_of(grid) for grid in self._book.grids]
        return replace(self._book, grids=(*grids, *(grid_of(grid) for grid in self._added)))

    def at_home(self, fault: Fault) -> Fault:
        """A fault of the changed workbook, at the change that put its cell in."""
        source = fault.source
        if source.file != self._book.file or not source.cell:
            return fault
        key = words().sheets.get(heading_key(source.sheet), "")
        row, column = position(source.cell)
        by = self._places.get((key, row, column)) or self._whole.get((key, row))
        return fault if by is None else replace(fault, source=by[0].source)

    def put(self, change: ShopChange) -> None:
        """Put in the cells of a change; new rows first, since its other cells may lie in them."""
        first = [edit for edit in change.edits if _same(edit.column, LIKE)]
        for edit in (*first, *(edit for edit in change.edits if edit not in first)):
            table = self._table(edit)
            if table is None:
                continue
            if _same(edit.column, LIKE):
                self._add(table, edit, change)
            elif _same(edit.column, GONE):
                self._take_out(table, edit, change)
            else:
                self._set(table, edit, change)

    def _table(self, edit: ShopEdit) -> Table | None:
        key = words().sheets.get(heading_key(edit.sheet))
        for table in layout.SHOP_TABLES:
            if table.key == key and key not in self._sheets and not table.needed:
                self._new_sheet(table)
            if table.key == key and key in self._sheets:
                return table
        there = [table.sheet for table in layout.SHOP_TABLES]
        found = f"sheet {shown(edit.sheet)}"
        self._fault(edit.sheet_source, "no-such-sheet", found, propose(edit.sheet, there))
        return None

    def _new_sheet(self, table: Table) -> None:
        """A sheet that a shop may do without, and today's does: its headings and no row."""
        labels = tuple(column.label for column in table.columns)
        grid = Grid(file=self._book.file, sheet=table.sheet, rows=(labels,))
        columns = {column.key: number for number, column in enumerate(table.columns)}
        self._added.append(grid)
        self._sheets[table.key] = grid, Headings(row=0, columns=columns)
        self._rows[table.key] = [list(labels)]

    def _add(self, table: Table, edit: ShopEdit, change: ShopChange) -> None:
        """A new row: like another one, or with nothing in it but its name."""
        _, headings = self._sheets[table.key]
        there = self._find(table, edit.row)
        if there and (table.key, there[0]) in self._whole:
            self._clash(edit, change, self._whole[table.key, there[0]][1])
            return
        if there:
            mend = "Give it another name, or change the cells of that row."
            if table is layout.CREW:
                mend += ' Other hours on some weekdays are a row called as in "Ines, Sat".'
            found = f"row {shown(edit.row)}, which is there already"
            self._fault(edit.row_source, "row-present", found, mend)
            return
        cells: dict[str, Value] = {table.columns[0].key: edit.row}
        on_days = with_weekdays(text(edit.row)) if table is layout.CREW else None
        if on_days is not None:
            cells = {"name": on_days[0], "weekdays": on_days[1]}
            if "weekdays" not in headings.columns:
                self._fault(edit.row_source, "no-such-column", 'no column "Weekdays"', "Add it to the sheet.")
                return
        models: list[int] = []
        if edit.value is not None:
            whole = table is layout.CREW and on_days is None
            models = self._some(table, edit.value, edit.source, whole=whole)
            if not models:
                return
        rows = self._rows[table.key]
        for model in [list(rows[number]) for number in models] or [[]]:
            row = model + [None] * (1 + max(headings.columns.values()) - len(model))
            for key, value in (*((key, None) for key in NOT_COPIED), *cells.items()):
                if key in headings.columns or key == table.columns[0].key:
                    row[headings.columns.get(key, 0)] = value
            rows.append(row)
            self._whole[table.key, len(rows) - 1] = edit, change

    def _take_out(self, table: Table, edit: ShopEdit, change: ShopChange) -> None:
        numbers = self._some(table, edit.row, edit.row_source, whole=table is layout.CREW)
        if not numbers:
            return
        if not text(edit.value if edit.value is not None else "yes").casefold().startswith("y"):
            mend = 'Write "yes", or take it out.'
            self._fault(edit.source, "gone-or-not", f"{GONE}: {shown(edit.value)}", mend)
            return
        for (key, row, _), (_, other) in self._places.items():
            if key == table.key and row in numbers:
                self._clash(edit, change, other)
                return
        for number in numbers:
            self._rows[table.key][number] = []
            self._whole[table.key, number] = edit, change

    def _set(self, table: Table, edit: ShopEdit, change: ShopChange) -> None:
        number = self._one(table, edit.row, edit.row_source)
        column = self._column(table, edit)
        if number is None or column is None:
            return
        whole = self._whole.get((table.key, number))
        before = self._places.get((table.key, number, column))
        if (whole is not None and whole[1] is not change) or (before and before[0].value != edit.value):
            self._clash(edit, change, (before or whole or (edit, change))[1])
            return
        row = self._rows[table.key][number]
        row.extend([None] * (column + 1 - len(row)))
        row[column] = edit.value
        self._places[table.key, number, column] = edit, change

    def _one(self, table: Table, name: Value, source: Source) -> int | None:
        """The row of that name; None, and a fault where it is named, when there is none or more than one."""
        found = self._some(table, name, source, whole=False)
        return found[0] if found else None

    def _some(self, table: Table, name: Value, source: Source, *, whole: bool) -> list[int]:
        """The row of that name; with `whole` all its rows, which are one person's. None: told as a fault."""
        found = self._find(table, name)
        if len(found) == 1 or (found and whole):
            return found
        if found:
            keys = ", ".join(f'"{self._key(table, row)}"' for row in found[:4])
            cells = "name and weekdays" if table is layout.CREW else "the first two cells"
            mend = f"Write {cells}, as in {keys}."
            times = f"row {shown(name)}, which is there {len(found)} times"
            self._fault(source, "row-unclear", times, mend)
            return []
        first = [self._key(table, row, 1) for row in self._numbers(table)]
        mend = f"{propose(text(name), first)} A new row begins with column {LIKE}."
        self._fault(source, "no-such-row", f"no row {shown(name)} in sheet {table.sheet}", mend)
        return []

    def _find(self, table: Table, name: Value) -> list[int]:
        wanted = _row_key(text(name))
        numbers = list(self._numbers(table))
        for cells in (1, 2):
            found = [row for row in numbers if _row_key(self._key(table, row, cells)) == wanted]
            if found:
                return found
        on_days = with_weekdays(text(name)) if table is layout.CREW else None
        if on_days is None:
            return []
        wanted = name_key(on_days[0])
        return [
            row
            for row in numbers
            if _row_key(self._key(table, row, 1)) == wanted and self._weekdays(row) == on_days[2]
        ]

    def _weekdays(self, row: int) -> tuple[int, ...] | None:
        """Those of a row of the crew; None when they can't be read."""
        written = self._key(layout.CREW, row).removeprefix(self._key(layout.CREW, row, 1))
        read = with_weekdays(written)
        return None if read is None else read[2]

    def _numbers(self, table: Table) -> Iterable[int]:
        _, headings = self._sheets[table.key]
        rows = self._rows[table.key]
        return (row for row in range(headings.row + 1, len(rows)) if any(v is not None for v in rows[row]))

    def _key(self, table: Table, row: int, cells: int = 2) -> str:
        """The first cells of a row, in the order of the layout's columns; of a person name and weekdays."""
        _, headings = self._sheets[table.key]
        keys = ("name", "weekdays") if table is layout.CREW else [column.key for column in table.columns]
        columns = [headings.columns.get(key) for key in keys[:cells]]
        values = self._rows[table.key][row]
        there = [values[at] for at in columns if at is not None and at < len(values)]
        written = [text(one) for one in there if one is not None and not isinstance(one, Unread)]
        if table is layout.CREW and cells == 2 and len(written) == 1:
            written.append(USUAL_DAYS)
        return ", ".join(written)

    def _column(self, table: Table, edit: ShopEdit) -> int | None:
        grid, headings = self._sheets[table.key]
        labels = _labels(grid, headings)
        wanted = heading_key(edit.column)
        for column, label in labels.items():
            if heading_key(label) == wanted:
                return column
        known = words().headings[table.key].get(wanted)
        if known is not None and known in headings.columns:
            return headings.columns[known]
        found = f"no column {shown(edit.column)} in sheet {table.sheet}"
        mend = propose(edit.column, [*labels.values(), LIKE, GONE])
        self._fault(edit.column_source, "no-such-column", found, mend)
        return None

    def _fault(self, source: Source, code: str, found: str, mend: str) -> None:
        self._findings.fault(code, source, found, "a cell of the shop workbook", mend)

    def _clash(self, edit: ShopEdit, change: ShopChange, other: ShopChange) -> None:
        if other is change:
            found = f'"{change.name}" changes this cell twice'
            self._fault(edit.source, "change-twice", found, "Keep one of the two rows.")
            return
        mend = "What both do together is a change of its own: add it."
        found = f'"{change.name}" and "{other.name}" change the same cell, or one of them its whole row'
        self._fault(edit.source, "changes-clash", found, mend)


def _labels(grid: Grid, headings: Headings) -> dict[int, str]:
    return {
        column: text(value)
        for column, value in enumerate(grid.rows[headings.row])
        if value is not None and not isinstance(value, Unread)
    }


def _same(written: str, word: str) -> bool:
    return heading_key(written) == heading_key(word)


def _row_key(written: str) -> str:
    day = words().weekdays.get(heading_key(written))
    return f"weekday {day}" if day is not None else name_key(written)


__all__ = ["scan_changed_shop"]
