"""A stopwatch study from a workbook or text table, with everything that is wrong with it by cell.

A row holds one reading (under "Seconds") or several (under headings 1, 2, 3 ...), or both; or one garment's
readings, under headings that are elements.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import replace
from fractions import Fraction
from pathlib import Path

from scheduler.domain.faults import Fault, Source
from scheduler.domain.shop import Shop
from scheduler.domain.studies import WHOLE_CYCLE, Reading, Studied
from scheduler.domain.times import exact
from scheduler.intake.cells.findings import Findings, near, shown
from scheduler.intake.cells.known import one_of
from scheduler.intake.cells.rows import Headings, Row, find_headings, report_headings, rows_under
from scheduler.intake.cells.values import Parser, Unfit, choice, number, speed, text, yes_no
from scheduler.intake.files.grid import Book, Grid, Value
from scheduler.intake.files.guard import Refused
from scheduler.intake.files.reader import open_book
from scheduler.intake.studies.layout import STUDY
from scheduler.intake.words import heading_key, words

UNITS = {"s": Fraction(1), "min": Fraction(60), "1/100 min": Fraction(3, 5)}
"""Seconds in each unit that a stopwatch shows."""

_SINGLE = {"seconds": "s", "minutes": "min", "hundredths": "1/100 min"}
"""Columns with one reading a row, and their unit."""

_MOST_S = 3600
_AS = "as "
"""Begins the key of a column that is headed by an element."""

_NO_ELEMENT = ("cycle",)
"""Names of elements that mean something else over a column: a number of the cycle."""

_SUMMED_UP = ("mean", "average", "median", "min", "max", "range", "sd", "std", "stdev", "standard deviation")
"""How rows begin that hold no readings but what somebody worked out of them; rows of totals too."""

_NOTHING = re.compile(r"[-–—./?x]+|n\.? ?/? ?a\.?|none|nil", re.IGNORECASE)
"""What people write where there is nothing."""

_NUMBERED = re.compile(r"(?:reading|cycle|r|no)? ?([1-9]\d{0,2})\Z")


def scan_study(
    path: Path | str, *, label: str = "", shop: Shop | None = None
) -> tuple[tuple[Reading, ...], tuple[Fault, ...]]:
    """Read a study.

    Parameters
    ----------
    path
        Workbook or text table.
    label
        What the file is called in faults; its name when empty.
    shop
        The shop whose transfers and fabrics are meant; None: any names will do.

    Returns
    -------
    readings
        Those with which nothing is wrong, in reading order.
    faults
        Faults and doubts by cell, in reading order.
    """
    try:
        book = open_book(path, label=label)
    except Refused as refused:
        return (), (refused.fault,)
    findings = Findings()
    findings.extend(book.doubts)
    readings = _read(book, findings, _Names(shop))
    if not readings and not findings.faults:
        source = Source(file=book.file)
        mend = "Fill in readings; pressday times --form FILE writes a form."
        findings.fault("no-readings", source, "a study without any reading", "at least one reading", mend)
    return readings, findings.all


class _Names:
    """Parsers of the names of transfers and fabrics."""

    def __init__(self, shop: Shop | None) -> None:
        self.transfer: Parser[str] = text
        self.fabric: Parser[str] = text
        if shop is not None:
            self.transfer = one_of((recipe.transfer for recipe in shop.recipes), "transfer")
            self.fabric = one_of((recipe.fabric for recipe in shop.recipes), "fabric")


def _read(book: Book, findings: Findings, names: _Names) -> tuple[Reading, ...]:
    readings: list[Reading] = []
    found = False
    for grid in book.grids:
        if words().sheets.get(heading_key(grid.sheet)) == "lists":
            continue
        headings = find_headings(grid, _meaning, least=1)
        headings = _with_numbers(grid, headings) if headings else None
        if headings is None or not _reading_columns(headings):
            continue
        found = True
        if grid.hidden:
            source = Source(file=grid.file, sheet=grid.sheet)
            mend = "Show the sheet if it should count."
            findings.doubt("sheet-not-read", source, "a hidden sheet with readings", "visible sheets", mend)
            continue
        report_headings(grid, headings, words().headings[STUDY.key], findings)
        if "element" not in headings.columns and not _as_elements(headings):
            source = grid.source(headings.row, 0)
            mend = "Add a column Element if parts of the cycle were timed."
            findings.doubt("no-elements", source, "no column Element", "whole cycles", mend)
        for row in rows_under(grid, headings, findings):
            readings += _readings(row, names)
    if not found:
        labels = ", ".join(column.label for column in STUDY.columns if not column.key.startswith("reading"))
        mend = "Write a form with pressday times --form FILE."
        findings.fault(
            "headings-missing",
            Source(file=book.file),
            "no table of readings",
            f"headings: {labels}, and Seconds or 1, 2, 3 ...",
            mend,
        )
    return tuple(readings)


def _meaning(heading: str) -> str | None:
    key = heading_key(heading)
    element = None if key in _NO_ELEMENT else words().choices["element"].get(key)
    return words().headings[STUDY.key].get(key) or (f"{_AS}{element}" if element else None)


def _as_elements(headings: Headings) -> list[str]:
    return [key for key in headings.columns if key.startswith(_AS)]


def _with_numbers(grid: Grid, headings: Headings) -> Headings:
    """Headings such as 1, 2, 3 or "Reading 4" are columns of readings.

    Columns headed by an element hold readings too, unless a column says the element of each row.
    """
    columns, unknown = dict(headings.columns), {}
    if "element" in columns:
        for key in _as_elements(headings):
            column = columns.pop(key)
            unknown[column] = text(grid.value(headings.row, column))
    for column, label in headings.unknown.items():
        match = _NUMBERED.match(heading_key(label))
        key = f"reading {match[1]}" if match else ""
        if key and key not in columns:
            columns[key] = column
        else:
            unknown[column] = label
    return replace(headings, columns=columns, unknown=unknown)


def _reading_columns(headings: Headings) -> list[str]:
    """The keys of columns that hold readings, from left to right."""
    keys = [key for key in headings.columns if key in _SINGLE or key.startswith(("reading ", _AS))]
    return sorted(keys, key=lambda key: headings.columns[key])


def _readings(row: Row, names: _Names) -> Iterator[Reading]:
    """The readings of a row; a row without any, such as one of a form that was not used, says nothing."""
    keys = [key for key in _reading_columns(row.headings) if row.has(key)]
    if not keys:
        return
    if _sums_up(row):
        return
    studied = _studied(row, names)
    rating = row.take("rating", speed("rating"))
    unit = row.take("unit", choice("time_unit", what="unit")) or "s"
    remark = row.take("remark", text) or ""
    left_out = row.take("left_out", yes_no, "leave out") or False
    times = {key: _seconds(row, key, _SINGLE.get(key, unit)) for key in keys}
    if studied is None or not row.sound:
        return
    for key, seconds in times.items():
        if seconds is not None:
            yield Reading(
                studied=replace(studied, element=key[len(_AS) :]) if key.startswith(_AS) else studied,
                seconds=seconds,
                rating=Fraction(1) if rating is None else exact(rating),
                remark=remark,
                left_out=left_out,
                source=row.source(key),
            )


def _sums_up(row: Row) -> bool:
    """Whether a row begins like one of means or totals; then a doubt is noted."""
    cells = row.grid.rows[row.index]
    column, first = next((column, value) for column, value in enumerate(cells) if value is not None)
    if column == row.headings.columns.get("unit") or heading_key(text(first)) not in {
        *_SUMMED_UP,
        *words().totals,
    }:
        return False
    mend = "It is not read; rename it if it is a reading."
    source = row.grid.source(row.index, column)
    row.findings.doubt("summary-row", source, f"a row {shown(first)}", "readings", mend)
    return True


def _seconds(row: Row, key: str, unit: str) -> Fraction | None:
    most = float(_MOST_S / UNITS[unit])
    label = key.removeprefix(_AS)
    taken = row.take(key, _reading(most, unit), label)
    return None if taken is None else exact(taken) * UNITS[unit]


def _reading(most: float, unit: str) -> Parser[float]:
    parse = number(0, most, unit, what="reading", above=True)

    def parsed(value: Value) -> float:
        try:
            return parse(value)
        except Unfit as unfit:
            if isinstance(value, str) and _NOTHING.fullmatch(value.strip()):
                mend = "Leave the cell blank where nothing was read."
                raise Unfit(unfit.code, unfit.expected, mend) from None
            raise

    return parsed


def _studied(row: Row, names: _Names) -> Studied | None:
    element: str | None = WHOLE_CYCLE
    if "element" in row.headings.columns:
        element = row.need("element", _element)
        if element is not None and element not in words().choices["element"].values():
            match = near(element, words().choices["element"])
            hint = f'Did you mean "{words().choices["element"][match]}"? ' if match else ""
            row.doubt(
                "unknown-element",
                "element",
                f"element {shown(element)}",
                "one of the shop's elements, so that its time can be taken over",
                f"{hint}It is worked out under its own name.",
            )
    set_up = row.take("set_up", choice("set_up", what="set-up"), "press set-up") or ""
    transfer = row.take("transfer", names.transfer) or ""
    fabric = row.take("fabric", names.fabric) or ""
    if element is None:
        return None
    return Studied(element=element, set_up=set_up, transfer=transfer, fabric=fabric)


def _element(value: Value) -> str:
    """The program's name of an element, or what the owner calls another one."""
    return words().choices["element"].get(heading_key(text(value)), text(value))


__all__ = ["UNITS", "scan_study"]
