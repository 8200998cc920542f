"""The sheets of a shop workbook: which is which, their rows, and the names that they lay down."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import replace

from scheduler.domain.faults import Source
from scheduler.intake.cells.comments import say_comments
from scheduler.intake.cells.findings import Findings, near, shown
from scheduler.intake.cells.known import Known
from scheduler.intake.cells.lengths import known_in_other_unit
from scheduler.intake.cells.near_headings import like, same_short_words
from scheduler.intake.cells.rows import Headings, Row, find_headings, report_headings, rows_under
from scheduler.intake.cells.values import choice, text
from scheduler.intake.files.grid import Book, Grid
from scheduler.intake.layout import FIGURES, Table
from scheduler.intake.shop import layout
from scheduler.intake.words import clean, heading_key, name_key, words

SHOP_SHEETS = 4
"""A file with so many sheets of a shop, and no other that could hold orders, is a shop workbook."""


def is_shop_workbook(book: Book) -> bool:
    """Whether a file is a shop workbook and nothing else, by the names of its sheets."""
    tables = {
        words().sheets.get(heading_key(grid.sheet))
        for grid in book.grids
        if any(value is not None for row in grid.rows for value in row)
    }
    of_a_shop = tables & {table.key for table in layout.SHOP_TABLES}
    return len(of_a_shop) >= SHOP_SHEETS and not tables & {"orders", None}


class ShopSheets:
    """The sheets of one shop workbook, found by their names."""

    def __init__(self, book: Book, findings: Findings) -> None:
        self.book = book
        self.findings = findings
        self.found: dict[str, tuple[Grid, Headings]] = {}
        self.defaults: set[str] = set()
        self._rows: dict[str, list[Row]] = {}
        self._find_sheets()

    def _find_sheets(self) -> None:
        by_table: dict[str, Grid] = {}
        strangers: list[Grid] = []
        for grid in self.book.grids:
            key = words().sheets.get(heading_key(grid.sheet))
            if key is None or key == "orders":
                strangers.append(grid)
            elif key in by_table:
                source = Source(file=grid.file, sheet=grid.sheet)
                found = f"a second sheet for {by_table[key].sheet}"
                self.findings.fault(
                    "sheet-twice", source, found, "each sheet once", "Delete or rename one of them."
                )
            else:
                by_table[key] = grid
        missing = [table for table in layout.SHOP_TABLES if table.needed and table.key not in by_table]
        for table in missing:
            match = near(table.sheet, (grid.sheet for grid in strangers))
            mend = (
                f'Did you mean "{match}"? Rename it.'
                if match
                else "Add it; a new shop folder shows how it looks."
            )
            source = Source(file=self.book.file)
            self.findings.fault(
                "sheet-missing", source, f'no sheet "{table.sheet}"', "a sheet of that name", mend
            )
        for grid in strangers:
            if not grid.hidden:
                source = Source(file=grid.file, sheet=grid.sheet)
                mend = "Rename it if it should be; otherwise leave it."
                self.findings.doubt(
                    "sheet-not-read", source, "a sheet that is not read", "sheets of the shop", mend
                )
        for table in layout.SHOP_TABLES:
            if table.key in by_table:
                self._find_headings(table, by_table[table.key])

    def _find_headings(self, table: Table, grid: Grid) -> None:
        known = words().headings[table.key]

        def meaning(label: str) -> str | None:
            other = known_in_other_unit(label, known)
            return known.get(heading_key(label)) or (other[0] if other else None)

        headings = find_headings(grid, meaning, least=min(2, len(table.columns)))
        if headings is None:
            labels = ", ".join(column.label for column in table.columns if column.needed)
            source = Source(file=grid.file, sheet=grid.sheet)
            self.findings.fault(
                "headings-missing", source, "no row of headings", f"headings: {labels}", "Add them."
            )
            return
        self._say_converted(grid, headings, known)
        if table is layout.PLACEMENTS:
            headings = self._with_positions(headings)
        headings = self._with_near_ones(table, grid, headings, known)
        for column in table.columns:
            if column.needed and column.key not in headings.columns:
                match = near(column.label, headings.unknown.values())
                mend = f'Did you mean "{match}"? Rename it.' if match else "Add the column."
                source = grid.source(headings.row, 0)
                found = f'no column "{column.label}"'
                self.findings.fault("column-missing", source, found, "a column with that heading", mend)
        report_headings(grid, headings, known, self.findings)
        say_comments(grid, self.findings, "write what matters into the cells")
        self.found[table.key] = (grid, headings)

    def _say_converted(self, grid: Grid, headings: Headings, known: Mapping[str, str]) -> None:
        """Note the columns whose figures are in another unit than Pressday's, and say so."""
        for key, column in headings.columns.items():
            label = text(grid.value(headings.row, column))
            other = known_in_other_unit(label, known)
            if heading_key(label) in known or other is None:
                continue
            headings.converted[key] = other[1]
            to = "°C" if other[1] == "°F" else "mm"
            mend = f"The figures below are converted from {other[1]} to whole {to}."
            source = grid.source(headings.row, column)
            self.findings.doubt(
                "figures-converted", source, f"heading {shown(label)}", f"figures in {to}", mend
            )

    def _with_near_ones(
        self, table: Table, grid: Grid, headings: Headings, known: Mapping[str, str]
    ) -> Headings:
        """The headings with mistyped ones taken for those that they nearly are, each with a doubt.

        One that is as like two columns, or like one but for its unit, is a fault: it may be a column of the
        owner's own, and if it isn't, all that stands below would be lost.
        """
        labels = {column.key: column.label for column in table.columns}
        columns, unknown = dict(headings.columns), {}
        for number, label in headings.unknown.items():
            source = grid.source(headings.row, number)
            alike = [one for one in like(label, known, safe=True) if known[one] not in headings.columns]
            keys = list(dict.fromkeys(known[one] for one in alike))
            if not keys or keys[0] in columns:
                unknown[number] = label
            elif len(keys) == 1 and any(same_short_words(label, one) for one in alike):
                columns[keys[0]] = number
                expected = "a heading that Pressday knows"
                mend = f'Read as "{labels[keys[0]]}"; if it is something else, rename it.'
                self.findings.doubt("column-nearly-known", source, f"heading {shown(label)}", expected, mend)
            else:
                meant = " or ".join(f'"{labels[key]}"' for key in keys)
                found = f"heading {shown(label)}, which may mean {meant}"
                mend = f"Write {meant} if that is meant; if it is a column of your own, give it another name."
                self.findings.fault("column-unclear", source, found, "a heading that means one thing", mend)
        return replace(headings, columns=columns, unknown=unknown)

    def _with_positions(self, headings: Headings) -> Headings:
        """Headings like "Position youth" are the position for one size group."""
        columns = dict(headings.columns)
        unknown = {}
        for column, label in headings.unknown.items():
            first, _, group = clean(label).partition(" ")
            group = group.strip(" :-()")
            if name_key(first.rstrip(":")) == name_key(layout.POSITION_FOR) and group:
                columns[f"position {group}"] = column
            else:
                unknown[column] = label
        return replace(headings, columns=columns, unknown=unknown)

    def rows(self, table: Table) -> Iterator[Row]:
        """The rows of a sheet; none when there is no such sheet or a column it needs is missing."""
        if not self.readable(table):
            return
        grid, headings = self.found[table.key]
        taken = self._rows.setdefault(table.key, [])
        for row in rows_under(grid, headings, self.findings):
            taken.append(row)
            if row.take("figures", choice("figures", what="mark"), FIGURES) == "default":
                self.defaults.add(table.sheet)
            yield row

    def readable(self, table: Table) -> bool:
        """Whether there is such a sheet, with every column that it needs."""
        if table.key not in self.found:
            return False
        columns = self.found[table.key][1].columns
        return all(column.key in columns for column in table.columns if column.needed)

    def whole(self, table: Table) -> bool:
        """Whether every row of a sheet was read and sound: only then can others be held against it.

        A sheet without rows is not whole: that it is empty, or missing, is told once.
        """
        rows = self._rows.get(table.key)
        return bool(rows) and all(row.sound for row in rows or ())

    def known(self, what: str, table: Table, key: str = "name") -> Known:
        """The names that a sheet lays down, without noting anything: the sheet's own reading does that."""
        found: list[str] = []
        if table.key in self.found:
            grid, headings = self.found[table.key]
            silent = Findings()
            for row in rows_under(grid, headings, silent):
                name = row.take(key, text)
                if name:
                    found.append(name)
        return Known(what, table.sheet, found, unread=table.needed and not found)

    def at_least_one(self, table: Table, count: int, code: str, what: str) -> None:
        """Note a fault when a sheet holds no row at all."""
        if count or table.key not in self.found:
            return
        grid, headings = self.found[table.key]
        if next(rows_under(grid, headings, Findings()), None) is None:
            source = grid.source(headings.row + 1, 0)
            self.findings.fault(
                code, source, f"no {what}", f"at least one {what}", f"Fill in a row for each {what}."
            )
