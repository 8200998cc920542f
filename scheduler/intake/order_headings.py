"""Which column of an orders sheet means what: aliases, numbered placements, sizes."""

from __future__ import annotations

import re
from collections.abc import Iterable
from dataclasses import replace

from scheduler.intake.findings import Findings, near, shown
from scheduler.intake.grid import Grid
from scheduler.intake.orders_layout import SIZE, STRANGE_SIZE, orders_table
from scheduler.intake.rows import Headings, find_headings, report_headings
from scheduler.intake.words import heading_key, size_key, words

MOST_PLACEMENTS = 4
"""Numbered placement columns in one row: "placement 1" to "placement 4"."""

OF_A_PLACEMENT = ("placement", "transfer", "artwork", "width_mm", "height_mm")
_DIGIT = re.compile(r"(?<!\S)([1-9])(?!\S)")
_SIZE_LIKE = re.compile(r"Y?(\d?X{0,5}[SML]|\d{1,2}[TM]?|\d{1,2}\d{2})\Z")


class Sizes:
    """The shop's size labels, by all the ways in which they are written.

    With `unread`, the sheet that lays them down is a fault already: whatever looks like a size is one.
    """

    def __init__(self, labels: Iterable[str], *, unread: bool = False) -> None:
        self.labels = tuple(labels)
        self.unread = unread
        self._by_key: dict[str, str] = {}
        for label in self.labels:
            self._by_key.setdefault(size_key(label), label)
        for label in self.labels:
            for key in words().sizes.get(size_key(label), ()):
                self._by_key.setdefault(key, label)

    def find(self, written: str) -> str | None:
        """The shop's label for a size as written: XXL is 2XL where the shop has that; None when unknown."""
        found = self._by_key.get(size_key(written))
        return size_key(written) if found is None and self.unread and looks_like_a_size(written) else found

    def in_heading(self, heading: str) -> str | None:
        """The size in a heading such as "M" or "qty M"."""
        whole = self.find(heading)
        if whole:
            return whole
        rest = [word for word in heading_key(heading).split() if word not in words().quantity_words]
        return self.find("".join(rest)) if rest else None

    def place(self, label: str) -> int:
        """Where a label stands in the shop's order of sizes; behind all others when it is none of them."""
        return self.labels.index(label) if label in self.labels else len(self.labels)


def looks_like_a_size(heading: str) -> bool:
    """True for a heading that is a size, though not one of the shop's."""
    rest = "".join(word for word in heading_key(heading).split() if word not in words().quantity_words)
    key = size_key(rest)
    return key in words().sizes or bool(_SIZE_LIKE.match(key))


def meaning(heading: str, sizes: Sizes) -> str | None:
    """Column key of a heading: an alias, one of numbered placement columns ("transfer 2"), or a size."""
    known = words().headings["orders"]
    key = heading_key(heading)
    if key in known:
        return known[key]
    digit = _DIGIT.search(key)
    if digit and int(digit[1]) <= MOST_PLACEMENTS:
        base = known.get(" ".join((key[: digit.start()] + key[digit.end() :]).split()))
        if base in OF_A_PLACEMENT:
            return base if digit[1] == "1" else f"{base} {digit[1]}"
    size = sizes.in_heading(heading)
    return f"{SIZE}{size}" if size else None


def find_order_headings(grid: Grid, sizes: Sizes) -> Headings | None:
    """The row of headings of a sheet with orders; None when the sheet holds none."""
    return find_headings(grid, lambda heading: meaning(heading, sizes), least=3)


def check_order_headings(
    grid: Grid, headings: Headings, sizes: Sizes, findings: Findings
) -> tuple[Headings, bool]:
    """Note what is missing, doubled or unknown.

    Returns
    -------
    Headings
        To read the rows by, so that their own faults are found too: with the columns of sizes that the
        shop does not have, and with what is told as missing.
    bool
        False when no row can be planned before the headings are mended.
    """
    lacking = {key for key in (meaning(label, sizes) for label in headings.doubled.values()) if key}
    there = dict(headings.columns)
    for column in orders_table(()).columns:
        if column.needed and column.key not in there:
            lacking.add(column.key)
            match = near(column.label, headings.unknown.values())
            mend = f'Did you mean "{match}"? Rename it.' if match else "Add the column."
            source = grid.source(headings.row, 0)
            findings.fault(
                "column-missing", source, f'no column "{column.label}"', "a column with that heading", mend
            )
    unknown = {}
    for column_number, label in headings.unknown.items():
        source = grid.source(headings.row, column_number)
        if heading_key(label) in words().headings["refused"]:
            lacking |= {"width_mm", "height_mm"}
            mend = "Name the column Width mm or Height mm, and give the figures in mm."
            findings.fault("unit-missing", source, f"heading {shown(label)}", "width and height in mm", mend)
        elif looks_like_a_size(label) and _has_numbers(grid, headings.row, column_number):
            there[f"{STRANGE_SIZE}{label}"] = column_number
            mend = f'Add the size "{label}" to sheet Sizes of the shop workbook, or rename the column.'
            findings.fault("unknown-size", source, f"size {shown(label)}", "a size of the shop", mend)
        elif not sizes.unread or not _has_numbers(grid, headings.row, column_number):
            unknown[column_number] = label
    if sizes.unread:
        # What is a size can't be known, so no row is asked for its sizes; the rest of it is read.
        lacking.add(SIZE)
    sized = any(key.startswith((SIZE, STRANGE_SIZE)) for key in there)
    if not sizes.unread and not sized and not ("size" in there and {"quantity", "total"} & set(there)):
        lacking.add(SIZE)
        source = grid.source(headings.row, 0)
        expected = "columns named after sizes, or the columns Size and Quantity"
        findings.fault("column-missing", source, "no sizes", expected, "Add a column for each size.")
    known = words().headings["orders"]
    if any(key.startswith(SIZE) or key in ("size", "quantity", "total") for key in lacking):
        lacking.add(SIZE)
    read_by = replace(headings, columns=there, unknown=unknown, lacking=frozenset(lacking))
    report_headings(grid, read_by, known, findings)
    return read_by, not lacking


def _has_numbers(grid: Grid, row: int, column: int) -> bool:
    return any(grid.value(one, column) not in (None, 0) for one in range(row + 1, len(grid.rows)))
