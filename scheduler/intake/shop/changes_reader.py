"""A list of changes to try, from a workbook or text table, with everything that is wrong with it by cell."""

from __future__ import annotations

from fractions import Fraction
from pathlib import Path

from scheduler.domain.faults import Fault, Source
from scheduler.domain.shop_changes import ShopChange, ShopEdit
from scheduler.domain.times import exact
from scheduler.intake.cells.findings import Findings, shown
from scheduler.intake.cells.rows import Row, find_headings, report_headings, rows_under
from scheduler.intake.cells.values import number, text
from scheduler.intake.files.grid import Book, Unread
from scheduler.intake.files.guard import Refused
from scheduler.intake.files.reader import open_book
from scheduler.intake.shop.changes_layout import CHANGES
from scheduler.intake.words import heading_key, name_key, words
from scheduler.intake.writing.forms import write_form

_MOST_MONEY = 1e9
_TOGETHER = " + "
"""Stands between the names of changes that are tried together, so no name may hold it."""


def write_changes_form(path: Path) -> None:
    """Write an empty list of changes; a name that ends in .csv gets a text table, any other a workbook.

    Raises
    ------
    scheduler.exceptions.BadInput
        When there is a file of that name, or it can't be written.
    """
    write_form(CHANGES, (), path, lists={})


def scan_changes(path: Path | str) -> tuple[tuple[ShopChange, ...], tuple[Fault, ...]]:
    """Read a list of changes.

    Returns
    -------
    changes
        Every one that has a name, in reading order; with the faults of its own rows.
    faults
        Faults and doubts by cell, in reading order.
    """
    try:
        book = open_book(path)
    except Refused as refused:
        return (), (refused.fault,)
    findings = Findings()
    findings.extend(book.doubts)
    reading = _Reading(findings)
    reading.read(book)
    if not reading.edits and not findings.faults:
        mend = "Fill in a row for each cell that would differ."
        findings.fault("no-changes", Source(file=book.file), "no change", "at least one change", mend)
    return reading.changes(), findings.all


class _Reading:
    def __init__(self, findings: Findings) -> None:
        self.findings = findings
        self.names: dict[str, tuple[str, Source]] = {}
        self.edits: dict[str, list[ShopEdit]] = {}
        self.money: dict[tuple[str, str], tuple[Fraction, Row]] = {}
        self.faults: dict[str, list[Fault]] = {}
        self.partial: set[str] = set()

    def read(self, book: Book) -> None:
        """Take over the rows of every sheet that has the headings."""
        known = words().headings[CHANGES.key]
        found = False
        for grid in book.grids:
            if grid.hidden or words().sheets.get(heading_key(grid.sheet)) in ("lists", "read_me"):
                continue
            headings = find_headings(grid, lambda label: known.get(heading_key(label)), least=3)
            needed = {column.key for column in CHANGES.columns if column.needed}
            if headings is None or not needed <= set(headings.columns):
                continue
            found = True
            report_headings(grid, headings, known, self.findings)
            for row in rows_under(grid, headings, self.findings):
                self._take(row)
        if not found:
            self.findings.fault(
                "headings-missing",
                Source(file=book.file),
                "no list of changes",
                f"headings: {', '.join(column.label for column in CHANGES.columns)}",
                "pressday compare --form FILE writes an empty list.",
            )

    def _take(self, row: Row) -> None:
        before = len(self.findings.faults)
        name = row.need("change", text, "change")
        if name is not None and _TOGETHER in name:
            row.fault("change-name", "change", f"name {shown(name)}", "a name without +", 'Write "and".')
        sheet, column = row.need("sheet", text, "sheet"), row.need("column", text, "column")
        row.need("row", text, "row")
        value, target = row.value("value"), row.value("row")
        if isinstance(value, Unread):
            row.take("value", text, "new value")
        if name is None:
            return
        key = name_key(name)
        self.names.setdefault(key, (name, row.source("change")))
        for what in ("price", "cost_a_day"):
            self._take_money(row, key, what)
        self.faults.setdefault(key, []).extend(self.findings.faults[before:])
        if isinstance(value, Unread) or isinstance(target, Unread) or sheet is None or column is None:
            self.partial.add(key)
            return
        edit = ShopEdit(
            sheet=sheet,
            row=target,
            column=column,
            value=value,
            source=row.source("value"),
            sheet_source=row.source("sheet"),
            row_source=row.source("row"),
            column_source=row.source("column"),
        )
        self.edits.setdefault(key, []).append(edit)

    def _take_money(self, row: Row, key: str, what: str) -> None:
        taken = row.take(what, number(0, _MOST_MONEY, what=what.replace("_", "-")), what.replace("_", " "))
        if taken is None:
            return
        amount = exact(taken)
        before, _ = self.money.setdefault((key, what), (amount, row))
        if before != amount:
            label = what.replace("_", " ")
            expected = f"one {label} for a change ({float(before):g} above)"
            row.fault("change-money", what, f"a second {label} {float(amount):g}", expected, "Keep one.")

    def changes(self) -> tuple[ShopChange, ...]:
        """Every change that has a name, with what could be read of it."""

        def money(key: str, what: str) -> Fraction | None:
            found = self.money.get((key, what))
            return found[0] if found else None

        return tuple(
            ShopChange(
                name=name,
                price=money(key, "price"),
                cost_a_day=money(key, "cost_a_day"),
                edits=() if key in self.partial else tuple(self.edits.get(key, ())),
                source=source,
                faults=tuple(self.faults.get(key, ())),
            )
            for key, (name, source) in self.names.items()
        )


__all__ = ["scan_changes", "write_changes_form"]
