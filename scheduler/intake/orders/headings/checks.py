"""Which column of an orders sheet means what: finding the headings, and saying how they were understood."""

from __future__ import annotations

from dataclasses import replace

from scheduler.intake.cells.findings import Findings, near, shown
from scheduler.intake.cells.lengths import LENGTH_UNITS, unit_of
from scheduler.intake.cells.rows import Headings, How
from scheduler.intake.files.grid import Grid
from scheduler.intake.orders.headings.columns import ColumnRead, column_label
from scheduler.intake.orders.headings.content import by_content
from scheduler.intake.orders.headings.unread import (
    grouped_under,
    holds_pieces,
    say_columns,
    say_groups,
    say_no_sizes,
    say_strange_size,
    say_work_unread,
    speaks_of_a_placement,
)
from scheduler.intake.orders.headings.words import HeadingWords, likely, nearly
from scheduler.intake.orders.layout import SIZE, STRANGE_SIZE, orders_table
from scheduler.intake.words import words

_LENGTHS = ("width_mm", "height_mm")


def check_order_headings(
    grid: Grid, headings: Headings, known: HeadingWords, findings: Findings, rows: range
) -> tuple[Headings, bool]:
    """Note what is missing, doubled or unknown.

    Parameters
    ----------
    rows
        The rows that stand under these headings.

    Returns
    -------
    Headings
        To read the rows by, so that their own faults are found too: with the columns of sizes that the
        shop does not have, and with what is told as missing.
    bool
        False when no row can be planned before the headings are mended.
    """
    sizes = known.sizes
    headings = by_content(grid, headings, known, rows, findings)
    headings = _with_near_ones(grid, headings, findings)
    doubled = (known.meaning(label) for label in headings.doubled.values())
    lacking = {meaning.key for meaning in doubled if meaning}
    there = dict(headings.columns)
    units = _both_sides(there, headings.units)
    _say_places(grid, headings, findings)
    for column in orders_table(()).columns:
        if column.needed and column.key not in there and column.key not in headings.given:
            lacking.add(column.key)
            _say_missing(grid, headings, column.key, column.label, known, findings)
    unknown = {}
    blocked = set()
    groups: dict[str, int] = {}
    size_columns = [column for key, column in there.items() if key.startswith(SIZE)]
    for number, label in {**headings.unknown, **_unheaded(headings, size_columns)}.items():
        if holds_pieces(grid, label, number, rows, size_columns, known):
            there[f"{STRANGE_SIZE}{label}"] = number
            over = grouped_under(grid, headings, number, label)
            groups.setdefault(over, number)
            if not over:
                say_strange_size(grid, headings, number, label, known, findings)
        elif not label or (sizes.unread and _holds(grid, rows, number)):
            continue
        else:
            unknown[number] = label
            if speaks_of_a_placement(label, known) and _holds(grid, rows, number):
                blocked.add(number)
                say_work_unread(grid, headings, number, label, findings)
    say_groups(grid, headings, groups, findings)
    for key in [key for key, unit in headings.units.items() if unit == "?"]:
        bare = [one for one in rows if unit_of(grid.value(one, there[key])) == ""]
        if bare:
            lacking.add(key)
            source = headings.place(grid, there[key])
            which = grid.source(bare[0], there[key]).cell
            found = f"heading {shown(headings.labels[there[key]])}, and no unit in {which}"
            found += f" and {len(bare) - 1} more" if len(bare) > 1 else ""
            mend = "Name the column Width mm or Height mm (or cm, or in), or write the unit in every cell."
            findings.fault("unit-missing", source, found, "width and height with their unit", mend)
            del there[key]
            for side in _LENGTHS if key.startswith("both_mm") else ():
                there.pop(key.replace("both_mm", side), None)
    _say_units(grid, headings, there, units, findings)
    if sizes.unread:
        # What is a size can't be known, so no row is asked for its sizes; the rest of it is read.
        lacking.add(SIZE)
    sized = any(key.startswith((SIZE, STRANGE_SIZE)) for key in there)
    if not sizes.unread and not sized and not ("size" in there and {"quantity", "total"} & set(there)):
        lacking.add(SIZE)
        say_no_sizes(grid, headings, there, findings)
    if any(key.startswith(SIZE) or key in ("size", "quantity", "total") for key in lacking):
        lacking.add(SIZE)
    read_by = replace(
        headings,
        columns=there,
        units=units,
        unknown=unknown,
        lacking=frozenset(lacking),
        blocked=frozenset(blocked),
        meant=_meant(headings, known),
    )
    say_columns(grid, read_by, rows, findings)
    return read_by, not lacking


def _both_sides(there: dict[str, int], units: dict[str, str]) -> dict[str, str]:
    """Let a column of width and height in one stand for both; the units with those of the sides."""
    found = dict(units)
    for both in [key for key in there if key.startswith("both_mm")]:
        column = there.pop(both)
        for side in (both.replace("both_mm", length) for length in _LENGTHS):
            if side not in there:
                there[side] = column
                found[side] = units.get(both, "")
        # behind them, so that the column is shown as what its heading says
        there[both] = column
    return found


def _say_places(grid: Grid, headings: Headings, findings: Findings) -> None:
    """Say once which placements were taken from the headings."""
    if headings.given:
        column = min(column for column, how in headings.how.items() if how is How.NEAR)
        found = f"headings that name {', '.join(name for name, _ in headings.given.values())}"
        mend = "Taken as the placements; each is pressed where a row has something under its headings."
        expected = "a column Placement"
        findings.doubt("placements-in-headings", headings.place(grid, column), found, expected, mend)


def _with_near_ones(grid: Grid, headings: Headings, findings: Findings) -> Headings:
    """The headings with those that are nearly known taken as such, each with a doubt."""
    columns, unknown, how = dict(headings.columns), {}, dict(headings.how)
    for number, label in headings.unknown.items():
        match = nearly(label)
        key = words().headings["orders"][match] if match else ""
        if not match or key in columns or key in ("not_needed", *_LENGTHS):
            unknown[number] = label
            continue
        columns[key] = number
        how[number] = How.NEAR
        mend = (
            f'Read as "{column_label(key)}"; if it is something else, rename it, or say so once: '
            f'--column "{label}=not needed".'
        )
        expected = "a heading that Pressday knows"
        findings.doubt(
            "column-nearly-known", headings.place(grid, number), f"heading {shown(label)}", expected, mend
        )
    return replace(headings, columns=columns, unknown=unknown, how=how)


def _say_missing(
    grid: Grid, headings: Headings, key: str, label: str, known: HeadingWords, findings: Findings
) -> None:
    """A column that is needed and not there, with the heading that may mean it."""
    source = grid.source(headings.row, 0)
    expected = "a column with that heading"
    said = next((one for one in headings.labels.values() if known.is_said_otherwise(one, key)), None)
    if said is not None:
        found = f'no column "{label}", since "{said}" was said to be something else'
        mend = f'Delete the line of "{said}" in columns.toml, or say it anew: --column "{said}={label}".'
        findings.fault("column-said-otherwise", source, found, expected, mend)
        return
    unread = [*headings.unknown.values()]
    asked = {name: likely(name) for name in unread}
    match = next(
        (name for name, found in asked.items() if found and words().headings["orders"][found] == key), None
    ) or near(label, unread)
    mend = "Add the column."
    if match:
        mend = f'Did you mean "{match}"? Rename it, or say so once: --column "{match}={label}".'
    elif unread:
        which = ", ".join(shown(one) for one in unread[:3])
        mend = (
            f"Add the column; or if it is one of those not read ({which}), say so once: "
            f'--column "{unread[0]}={label}".'
        )
    findings.fault("column-missing", source, f'no column "{label}"', expected, mend)


def columns_read(grid: Grid, headings: Headings) -> tuple[ColumnRead, ...]:
    """How each column of a sheet was understood, from left to right."""
    keys = {column: key for key, column in headings.columns.items()}
    return tuple(
        ColumnRead(
            source=headings.place(grid, column),
            heading=label,
            key=keys.get(column, ""),
            how=headings.how.get(column, How.NOT_READ)
            if column in keys or column in headings.how
            else How.NOT_READ,
            unit=headings.units.get(keys.get(column, ""), "").replace("?", ""),
        )
        for column, label in sorted(headings.labels.items())
    )


def _unheaded(headings: Headings, sizes: list[int]) -> dict[int, str]:
    """The columns among those of sizes that have no heading at all."""
    if not sizes:
        return {}
    return {column: "" for column in range(min(sizes), max(sizes)) if column not in headings.labels}


def _meant(headings: Headings, known: HeadingWords) -> dict[str, str]:
    """By heading, the column key that it means by itself."""
    found = {label: known.meaning(label) for label in headings.labels.values()}
    return {label: meaning.key for label, meaning in found.items() if meaning is not None}


def _holds(grid: Grid, rows: range, column: int) -> bool:
    return any(grid.value(one, column) not in (None, 0) for one in rows)


def _say_units(
    grid: Grid, headings: Headings, there: dict[str, int], units: dict[str, str], findings: Findings
) -> None:
    """Say once for each column of lengths that its heading gives another unit than mm."""
    told = {there[key]: unit for key, unit in units.items() if unit in ("cm", "in") and key in there}
    for column, unit in told.items():
        found = f"heading {shown(headings.labels[column])}"
        mend = f"Converted from {LENGTH_UNITS[unit]}, parts of a mm rounded up."
        source = headings.place(grid, column)
        findings.doubt("length-converted", source, found, "lengths in mm", mend)
