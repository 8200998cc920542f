"""Columns that no heading explains: what is lost with them, and cells that stand beside the table."""

from __future__ import annotations

from collections.abc import Iterable, Mapping

from scheduler.intake.cells.date_readings import is_dated
from scheduler.intake.cells.findings import Findings, near, shown
from scheduler.intake.cells.rows import Headings, Row
from scheduler.intake.cells.sizes import looks_like_a_size, sizes_joined, speaks_of_a_size
from scheduler.intake.cells.values import DASHES, text
from scheduler.intake.files.grid import Grid, Unread, Value, address
from scheduler.intake.orders.headings.columns import column_label
from scheduler.intake.orders.headings.words import OF_A_PLACEMENT, HeadingWords, likely
from scheduler.intake.orders.layout import SIZE
from scheduler.intake.words import clean, heading_key, name_key, words

_TABLE = 3
"""So many headings that stand twice are a second table."""
_SHOWN = 5
"""So many cells beside a table are named."""


def holds_pieces(
    grid: Grid, label: str, number: int, rows: range, sizes: Iterable[int], known: HeadingWords
) -> bool:
    """Whether a column that is not read holds pieces: by its heading, or its place among the sizes."""
    cells = [value for one in rows if (value := grid.value(one, number)) not in (None, 0, label)]
    if not cells:
        return False
    if looks_like_a_size(label):
        return True
    places = [*sizes]
    among = bool(places) and min(places) < number < max(places)
    return (among or speaks_of_a_size(label)) and all(_is_count(value) for value in cells)


def _is_count(value: Value) -> bool:
    if isinstance(value, bool):
        return False
    if isinstance(value, str):
        return clean(value) in DASHES or clean(value).isdigit()
    return isinstance(value, int | float | Unread)


def say_strange_size(grid: Grid, headings: Headings, number: int, label: str, known: HeadingWords,
                     findings: Findings) -> None:  # fmt: skip
    """Note a column of pieces whose size the shop does not have."""
    source = headings.place(grid, number) if label else grid.source(headings.row, number)
    if not label:
        mend = "Write the size above it, or clear the cells."
        findings.fault("heading-missing", source, "pieces without a size above", "a size", mend)
        return
    alone = len(label) > 1 and looks_like_a_size(label) and not sizes_joined(label)
    match = near(label, known.sizes.labels) if alone else None
    also = f' Did you mean "{match}"?' if match else ""
    if not looks_like_a_size(label):
        also = f' If it is no size, say so once: --column "{label}=not needed".'
    mend = f'Add the size "{label}" to sheet Sizes of the shop workbook, or rename the column.{also}'
    findings.fault("unknown-size", source, f"size {shown(label)}", "a size of the shop", mend)


def grouped_under(grid: Grid, headings: Headings, number: int, label: str) -> str:
    """The word over a column of one of the shop's sizes, where the two together mean nothing; else empty."""
    below = grid.value(headings.row, number)
    if headings.top is None or not isinstance(below, str) or looks_like_a_size(label):
        return ""
    return clean(label.removesuffix(text(below))) if looks_like_a_size(below) else ""


def say_groups(grid: Grid, headings: Headings, groups: Mapping[str, int], findings: Findings) -> None:
    """Note words over groups of sizes, such as colours: what they mean for the pieces can't be known."""
    named = {over: number for over, number in groups.items() if over}
    if not named:
        return
    found = f"sizes under {', '.join(shown(over) for over in named)}"
    mend = "Give each of them rows of its own, under one row of sizes; say in those rows what it is."
    source = grid.source(headings.row, min(named.values()))
    findings.fault("sizes-in-groups", source, found, "each size once", mend)


def say_no_sizes(grid: Grid, headings: Headings, there: Mapping[str, int], findings: Findings) -> None:
    """Note that a sheet has no columns of pieces, and what would make the ones it has complete."""
    expected = "columns named after sizes, or the columns Size and Quantity"
    source = grid.source(headings.row, 0)
    if "size" not in there:
        mend = "Add a column for each size."
        if {"quantity", "total"} & set(there):
            mend = "Add a column Size with the size of each row, or a column for each size."
        findings.fault("column-missing", source, "no sizes", expected, mend)
        return
    # headings that may count pieces, though they are not read
    near_by = [label for number, label in sorted(headings.labels.items()) if number not in there.values()]
    which = next((label for label in near_by if _may_count(label)), "")
    mend = (
        f'If {shown(which)} holds the pieces, say so once: --column "{which}=Quantity".'
        if which
        else "Add a column Quantity with the pieces of each row; where a row is one garment, write 1."
    )
    mend += " Several sizes in one cell can't be read: write a row for each."
    findings.fault(
        "column-missing", headings.place(grid, there["size"]), "sizes without quantities", expected, mend
    )


def _may_count(label: str) -> bool:
    parts = heading_key(label).split()
    return label.strip() == "#" or not words().counting.isdisjoint(parts)


def speaks_of_a_placement(label: str, known: HeadingWords) -> bool:
    """Whether a heading holds a word for a place on a garment, so that something may be pressed there."""
    meaning = known.meaning(label)
    named = meaning is not None and bool(meaning.placement)
    return named or not words().placement_words.isdisjoint(heading_key(label).split())


def say_work_unread(grid: Grid, headings: Headings, number: int, label: str, findings: Findings) -> None:
    """Note a column that speaks of a placement and isn't read though its cells hold something."""
    found = f"heading {shown(label)}, which speaks of a placement and can't be read"
    if "placement" in headings.columns:
        work = "give it in the columns Placement 2, Transfer 2 and Artwork 2"
    else:
        work = 'take the placement\'s own name as the heading, such as "full back"'
    mend = f'If something is pressed there, {work}; if not, say so once: --column "{label}=not needed".'
    findings.fault("work-unread", headings.place(grid, number), found, "a heading that Pressday knows", mend)


def say_columns(grid: Grid, headings: Headings, rows: range, findings: Findings) -> None:
    """Note headings that mean the same as another (a fault) or nothing (a doubt)."""
    doubled = headings.doubled
    if len(doubled) >= _TABLE and all(_stands_twice(headings, label) for label in doubled.values()):
        first = min(doubled)
        found = f"{len(doubled)} headings for the second time, from {shown(doubled[first])} on"
        mend = "Put the second table below the first, or on a sheet of its own."
        source = headings.place(grid, first)
        findings.fault("tables-beside", source, found, "each column once", mend)
        doubled = {}
    for number, label in doubled.items():
        source = headings.place(grid, number)
        mend = _mend_doubled(headings, number, label)
        findings.fault("column-twice", source, f"a second column {shown(label)}", "each column once", mend)
    for number, label in headings.unknown.items():
        if number in headings.blocked:
            continue
        match = likely(label)
        key = words().headings["orders"].get(match or "", "")
        ask = match or near(heading_key(label), words().headings["orders"])
        taken = words().headings["orders"].get(ask or "", "") in (*headings.columns, "not_needed")
        proposal = f'Did you mean "{ask}"? ' if ask and not taken else ""
        if proposal and key:
            proposal += f'Then say so once: --column "{label}={column_label(key)}". '
        mend = f"{proposal}The column is not read."
        if "cut_off_date" not in headings.columns and _is_of_dates(grid, number, rows, label):
            mend = (
                "The column is not read, so that every order is due when the courier next comes. If it says "
                f'when they are due, say so once: --column "{label}=Cut-off date"; '
                f'if not: --column "{label}=not needed".'
            )
        expected = "a heading that Pressday knows"
        source = headings.place(grid, number)
        findings.doubt("unknown-column", source, f"heading {shown(label)}", expected, mend)


def _is_of_dates(grid: Grid, number: int, rows: range, label: str) -> bool:
    cells = [value for one in rows if (value := grid.value(one, number)) not in (None, label)]
    return bool(cells) and all(is_dated(value) for value in cells)


def _mend_doubled(headings: Headings, number: int, label: str) -> str:
    """What to do about a second column of one meaning; no answer is proposed that would drop work."""
    key = next((key for key, column in headings.columns.items() if _same(headings, column, label)), "")
    if key.startswith(SIZE):
        return "Take one of them out, after putting its pieces into the other."
    if key in OF_A_PLACEMENT:
        base = column_label(key)
        return f'If it is of a second placement, call it "{base} 2"; otherwise take one of them out.'
    if _stands_twice(headings, label):
        return (
            "Rename one of them, or take it out; put a table that stands beside the orders on another sheet."
        )
    return f'Take one of them out, or say which is not meant: --column "{label}=not needed".'


def _stands_twice(headings: Headings, label: str) -> bool:
    return sum(name_key(one) == name_key(label) for one in headings.labels.values()) > 1


def _same(headings: Headings, column: int, label: str) -> bool:
    return headings.meant.get(label) == headings.meant.get(headings.labels.get(column, ""), "?")


class Beside:
    """The cells of a table's rows that have no heading above them: they are not read, which is said once."""

    def __init__(self, grid: Grid, headings: Mapping[int, str]) -> None:
        widest = max((len(row) for row in grid.rows), default=0)
        self._columns = [column for column in range(widest) if column not in headings]
        self._cells: list[tuple[int, int]] = []

    def look(self, row: Row) -> None:
        """Take note of the cells of a row."""
        for column in self._columns:
            if row.grid.value(row.index, column) is not None:
                self._cells.append((row.index, column))

    def say(self, grid: Grid, findings: Findings) -> None:
        """Say which there are, all in one."""
        if not self._cells:
            return
        named = ", ".join(f"{address(*cell)} {shown(grid.value(*cell))}" for cell in self._cells[:_SHOWN])
        more = len(self._cells) - _SHOWN
        found = f"cells without a heading above: {named}{f' and {more} more' if more > 0 else ''}"
        mend = "They are not read; give the column a heading, such as Notes, if they matter."
        findings.doubt("cells-beside", grid.source(*self._cells[0]), found, "cells under headings", mend)
