"""Rows of orders that look otherwise than the rest: hidden, filled with a colour, struck through."""

from __future__ import annotations

from collections.abc import Iterable
from itertools import pairwise

from scheduler.intake.cells.comments import MOST_NAMED, say_comments
from scheduler.intake.cells.findings import Findings, shown
from scheduler.intake.cells.rows import Row
from scheduler.intake.files.grid import Grid, address, position
from scheduler.intake.files.look_marks import STRUCK
from scheduler.intake.orders.headings.columns import ColumnRead

LEAST_BANDS = 6
"""Rows from which two looks by turns are no chance."""
_SAID = ("status", "done", "cancelled", "on_hold")


def say_how_rows_look(grid: Grid, rows: list[Row], columns: Iterable[ColumnRead], findings: Findings) -> None:
    """Note a doubt for what only the look of a row says, since looks are not read."""
    _say_hidden(grid, rows, columns, findings)
    _say_marked(grid, rows, findings)
    _say_struck(grid, rows, findings)
    say_comments(grid, findings, "write what matters into the cells, or under Notes")


def _say_marked(grid: Grid, rows: list[Row], findings: Findings) -> None:
    """Say which rows have a mark that others lack and whose status no column says."""
    marks = {row.index: grid.row_marks.get(row.index, "") for row in rows}
    if len(set(marks.values())) < 2 or _are_bands(list(marks.values())):
        return
    for mark in dict.fromkeys(marks.values()):
        marked = [row for row in rows if mark and marks[row.index] == mark]
        silent = [row for row in marked if not any(row.has(key) for key in _SAID)]
        if not silent:
            continue
        which = f"row{'s' if len(silent) > 1 else ''} {_spans([row.index + 1 for row in silent])}"
        found = f"{which} {mark}" if mark == STRUCK else f"{which} in {mark}"
        mend = (
            "Pressed like the others, since a mark can mean anything; if it means done, cancelled or "
            "on hold, say so in a column Status."
        )
        source = grid.source(silent[0].index, 0)
        findings.doubt("rows-marked", source, found, "words for what a mark means", mend)


def _say_struck(grid: Grid, rows: list[Row], findings: Findings) -> None:
    """Say which cells are struck through in rows that are not: a size that fell away, or a whole order."""
    there = {row.index: row for row in rows}
    cells = [
        (row, column)
        for row, column in grid.struck
        if row in there and column in there[row].headings.columns.values()
    ]
    if not cells:
        return
    named = ", ".join(f"{address(*cell)} {shown(grid.value(*cell))}" for cell in cells[:MOST_NAMED])
    more = f" and {len(cells) - MOST_NAMED} more" if len(cells) > MOST_NAMED else ""
    found = f"cells struck through: {named}{more}"
    mend = "They are read like the others; clear those that don't hold, or delete their rows."
    source = grid.source(*cells[0])
    findings.doubt("cells-struck", source, found, "cells that hold as they stand", mend)


def _are_bands(marks: list[str]) -> bool:
    """Whether two looks take turns, which is there for the eye alone."""
    return (
        len(marks) >= LEAST_BANDS
        and len(set(marks)) == 2
        and all(one != other for one, other in pairwise(marks))
    )


def _say_hidden(grid: Grid, rows: list[Row], columns: Iterable[ColumnRead], findings: Findings) -> None:
    """Say which rows and columns were read though the owner doesn't see them."""
    rows = [row for row in rows if row.index in grid.hidden_rows]
    if rows:
        which = f"hidden row{'s' if len(rows) > 1 else ''} {_spans([row.index + 1 for row in rows])}"
        mend = "They are read like the others; delete them if they are not meant."
        source = grid.source(rows[0].index, 0)
        findings.doubt("rows-hidden", source, which, "rows that can be seen", mend)
    hidden = [one for one in columns if one.key and _column(one) in grid.hidden_columns]
    for one in hidden:
        mend = "It is read like the others; delete it if it is not meant."
        what = f"hidden column {shown(one.heading)}"
        findings.doubt("column-hidden", one.source, what, "columns that can be seen", mend)


def _column(one: ColumnRead) -> int:
    return position(one.source.cell)[1]


def _spans(numbers: list[int]) -> str:
    """Row numbers in short: 5, 7-9."""
    spans: list[list[int]] = []
    for number in numbers:
        if spans and number == spans[-1][1] + 1:
            spans[-1][1] = number
        else:
            spans.append([number, number])
    return ", ".join(str(a) if a == b else f"{a}-{b}" for a, b in spans)
