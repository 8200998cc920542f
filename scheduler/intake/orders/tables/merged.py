"""Merged cells: their value stands in the top left one only, and what it holds for is said by the merge."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace

from scheduler.intake.cells.findings import Findings, shown
from scheduler.intake.cells.rows import Headings, Row
from scheduler.intake.cells.values import text
from scheduler.intake.files.grid import Area, Grid, Value
from scheduler.intake.orders.layout import SIZE, STRANGE_SIZE
from scheduler.intake.words import name_key

_SAME_GARMENTS = ("garment", "colour", "fabric", "size", "line")


def fill_down(grid: Grid, rows: range, headings: Headings, findings: Findings) -> Grid:
    """The sheet with cells merged over several rows filled in every row that holds something of its own.

    Pieces merged over rows are those of each row only where the rows are the same garments; where they are
    not, the pieces could be meant together, which is a fault.
    """
    down = [area for area in grid.merged if area.bottom > area.top and area.top in rows]
    if not down:
        return grid
    keys = {column: key for key, column in headings.columns.items()}
    filled = [list(row) for row in grid.rows]
    blank = frozenset(index for area in down for index in _below(area, grid) if grid.is_blank(index))
    late = []
    for area in down:
        if _is_quantity(keys.get(area.left, "")):
            late.append(area)
        else:
            _fill(filled, area, blank)
    for area in late:
        if _are_same_garments(filled, area, headings, blank):
            _fill(filled, area, blank)
            continue
        source = grid.source(area.top, area.left)
        found = f"{shown(grid.value(area.top, area.left))} over {area.bottom - area.top + 1} rows"
        mend = "Take the cells apart and write in each row how many pieces it has."
        findings.fault("quantity-merged", source, found, "pieces on every row", mend)
    return replace(grid, rows=tuple(tuple(row) for row in filled))


def _is_quantity(key: str) -> bool:
    return key.startswith((SIZE, STRANGE_SIZE)) or key in ("quantity", "total")


def _below(area: Area, grid: Grid) -> range:
    return range(area.top + 1, min(area.bottom + 1, len(grid.rows)))


def _fill(rows: list[list[Value]], area: Area, blank: frozenset[int]) -> None:
    top = rows[area.top]
    value = top[area.left] if area.left < len(top) else None
    for index in range(area.top + 1, min(area.bottom + 1, len(rows))):
        if index in blank:
            continue
        row = rows[index]
        row.extend([None] * (area.left + 1 - len(row)))
        row[area.left] = value


def _are_same_garments(
    rows: list[list[Value]], area: Area, headings: Headings, blank: frozenset[int]
) -> bool:
    def said(index: int) -> list[str]:
        found = []
        for key in _SAME_GARMENTS:
            column = headings.columns.get(key)
            row = rows[index]
            value = row[column] if column is not None and column < len(row) else None
            found.append(name_key(text(value)) if value is not None else "")
        return found

    there = [index for index in range(area.top, min(area.bottom + 1, len(rows))) if index not in blank]
    return len({tuple(said(index)) for index in there}) == 1


def refuse_across(row: Row, areas: Iterable[Area]) -> None:
    """Note cells merged over several columns that are read, since the value can belong to any of them."""
    for area in areas:
        keys = [key for key, column in row.headings.columns.items() if area.left <= column <= area.right]
        if len(keys) < 2:
            continue
        value = row.grid.value(area.top, area.left)
        if value is None:
            continue
        found = f"{shown(value)} over {len(keys)} columns"
        mend = "Take the cells apart and write the value under the heading that it belongs to."
        row.sound = False
        row.findings.fault(
            "cells-merged-across",
            row.grid.source(area.top, area.left),
            found,
            "one value for each column",
            mend,
        )
