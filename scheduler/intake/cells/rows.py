"""Tables on a sheet: finding the row of headings, and taking values out of the rows under it."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass, field
from enum import StrEnum

from scheduler.domain.faults import Source
from scheduler.intake.cells.findings import Findings, near, shown
from scheduler.intake.cells.lengths import converted
from scheduler.intake.cells.values import Parser, T, Taken, Unfit, text
from scheduler.intake.files.grid import Grid, Unread, Value
from scheduler.intake.words import heading_key

LOOK_IN_ROWS = 40
"""Headings are looked for in so many rows from the top."""


class How(StrEnum):
    """Why a heading was taken for a column."""

    KNOWN = "known"
    NEAR = "near"
    CONFIRMED = "confirmed"
    NOT_NEEDED = "not needed"
    NOT_READ = "not read"


@dataclass(frozen=True, slots=True, kw_only=True)
class Headings:
    """Where a table's headings stand.

    Attributes
    ----------
    row
        Their row, counted from 0.
    columns
        Column key to column, counted from 0.
    unknown
        Column to heading, for headings that no word leads to.
    doubled
        Column to heading, for headings that mean a column already found.
    lacking
        Keys whose column is missing or unclear, which is said once at the headings: blank cells under
        them are no further fault.
    units
        Column key to the unit in its heading, for lengths.
    labels, how
        Column to heading, and to why it was taken for what it means; for sheets of orders.
    converted
        Column key to the unit that its figures are converted from, for sheets of the shop.
    top
        The upper row of headings in two rows; None when they stand in one.
    given
        Where headings name placements: key of the placement's column to its name and the keys of the
        columns that are about it.
    blocked
        Columns that are not read and may hold work: rows that have something there can't be planned.
    meant
        Heading to the column key that it means by itself; for sheets of orders.
    """

    row: int
    columns: dict[str, int]
    unknown: dict[int, str] = field(default_factory=dict)
    doubled: dict[int, str] = field(default_factory=dict)
    lacking: frozenset[str] = frozenset()
    units: dict[str, str] = field(default_factory=dict)
    labels: dict[int, str] = field(default_factory=dict)
    how: dict[int, How] = field(default_factory=dict)
    top: int | None = None
    given: dict[str, tuple[str, tuple[str, ...]]] = field(default_factory=dict)
    converted: dict[str, str] = field(default_factory=dict)
    blocked: frozenset[int] = frozenset()
    meant: dict[str, str] = field(default_factory=dict)

    def place(self, grid: Grid, column: int) -> Source:
        """The cell of a column's heading: in the upper row where the lower one is blank."""
        upper = self.top is not None and grid.value(self.row, column) is None
        return grid.source(self.top if upper and self.top is not None else self.row, column)


def find_headings(grid: Grid, meaning: Callable[[str], str | None], least: int) -> Headings | None:
    """The row with most known headings, the first of equals; None when none has `least` of them.

    Parameters
    ----------
    meaning
        The column key that a heading means; None for one that means nothing.
    """
    best: Headings | None = None
    for index, row in enumerate(grid.rows[:LOOK_IN_ROWS]):
        headings = _as_headings(index, row, meaning)
        count = len(headings.columns)
        if count >= least and (best is None or count > len(best.columns)):
            best = headings
    return best


def _as_headings(index: int, row: tuple[Value, ...], meaning: Callable[[str], str | None]) -> Headings:
    columns: dict[str, int] = {}
    unknown: dict[int, str] = {}
    doubled: dict[int, str] = {}
    for column, value in enumerate(row):
        if value is None or isinstance(value, Unread):
            continue
        label = text(value)
        key = meaning(label)
        if key is None:
            unknown[column] = label
        elif key in columns:
            doubled[column] = label
        else:
            columns[key] = column
    return Headings(row=index, columns=columns, unknown=unknown, doubled=doubled)


def report_headings(grid: Grid, headings: Headings, known: Mapping[str, str], findings: Findings) -> None:
    """Note headings that mean nothing (a doubt) or the same as another (a fault)."""
    for column, label in headings.doubled.items():
        findings.fault(
            "column-twice",
            headings.place(grid, column),
            f"a second column {shown(label)}",
            "each column once",
            "Take one of them out.",
        )
    for column, label in headings.unknown.items():
        match = near(heading_key(label), known)
        proposal = f'Did you mean "{match}"? ' if match and known[match] not in headings.columns else ""
        findings.doubt(
            "unknown-column",
            headings.place(grid, column),
            f"heading {shown(label)}",
            "a heading that Pressday knows",
            f"{proposal}The column is not read.",
        )


class Row:
    """One row of a table; takes values out of it and notes what is wrong with them.

    Attributes
    ----------
    sound
        False once something was wrong with the row.
    given
        Values by column key that hold for the row though they don't stand in it.
    """

    def __init__(self, grid: Grid, index: int, headings: Headings, findings: Findings) -> None:
        self.grid = grid
        self.index = index
        self.headings = headings
        self.findings = findings
        self.sound = True
        self.given: dict[str, Value] = {}
        self._cells = grid.rows[index]
        self._columns = headings.columns

    def has(self, key: str) -> bool:
        """True when the cell under that heading holds something."""
        return (key in self._columns or key in self.given) and self.value(key) is not None

    def lacks(self, key: str) -> bool:
        """True when the column itself is told as missing or unclear."""
        return key in self.headings.lacking

    def value(self, key: str) -> Value:
        """What stands under a heading; None too when there is no such column."""
        if self.given and key in self.given:
            return self.given[key]
        column = self._columns.get(key)
        if column is None:
            return None
        try:
            return self._cells[column]
        except IndexError:
            # rows may be shorter than their headings
            return None

    def source(self, key: str = "") -> Source:
        """The place of the cell under a heading; of the row's first when there is no such column."""
        column = self.headings.columns.get(key)
        if column is None:
            column = min(self.headings.columns.values(), default=0)
        return self.grid.source(self.index, column)

    def fault(self, code: str, key: str, found: str, expected: str, mend: str) -> None:
        """Note a fault at the cell under a heading; the row is no longer sound."""
        self.sound = False
        self.findings.fault(code, self.source(key), found, expected, mend)

    def doubt(self, code: str, key: str, found: str, expected: str, mend: str) -> None:
        """Note a doubt at the cell under a heading."""
        self.findings.doubt(code, self.source(key), found, expected, mend)

    def take(self, key: str, parse: Parser[T], label: str = "") -> T | None:
        """The meaning of a cell; None when it is blank or wrong (then a fault is noted)."""
        value = self.value(key)
        if value is None:
            return None
        if isinstance(value, Unread):
            name = label or key.replace("_", " ")
            if value.kind == "error":
                mend = "Mend the formula or type the value."
                self.fault("error-cell", key, f"{name}: the error {shown(value)}", "a value", mend)
            else:
                mend = "Open the file in a spreadsheet program and save it again, or type the value."
                self.fault("formula-without-value", key, f"{name}: {shown(value)}", "a stored value", mend)
            return None
        try:
            unit = self.headings.converted.get(key, "")
            result = parse(converted(value, unit) if unit else value)
        except Unfit as unfit:
            name = label or key.replace("_", " ")
            found = shown(value if unfit.found is None else unfit.found)
            self.fault(unfit.code, key, f"{name} {found}", unfit.expected, unfit.mend)
            return None
        if isinstance(result, Taken):
            name = label or key.replace("_", " ")
            self.doubt(result.code, key, f"{name} {shown(value)}", result.expected, result.mend)
            return result.value
        return result

    def need(self, key: str, parse: Parser[T], label: str = "") -> T | None:
        """Like `take`, but a blank cell is a fault too, unless its column is told as missing already."""
        if not self.has(key):
            if self.lacks(key):
                self.sound = False
                return None
            name = label or key.replace("_", " ")
            self.fault("value-missing", key, f"{name}: nothing", "a value", "Fill in the cell.")
            return None
        return self.take(key, parse, label)


def rows_under(grid: Grid, headings: Headings, findings: Findings) -> Iterator[Row]:
    """The rows under the headings that hold anything; blank ones are passed over."""
    for index in range(headings.row + 1, len(grid.rows)):
        if not grid.is_blank(index):
            yield Row(grid, index, headings, findings)
