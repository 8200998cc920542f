"""Headings that only their cells explain: "Ship by" over dates, "State" over words of a status."""

from __future__ import annotations

from dataclasses import replace

from scheduler.intake.cells.date_readings import is_dated
from scheduler.intake.cells.findings import Findings, shown
from scheduler.intake.cells.rows import Headings, How
from scheduler.intake.files.grid import Grid
from scheduler.intake.orders.headings.columns import column_label
from scheduler.intake.orders.headings.words import HeadingWords
from scheduler.intake.words import heading_key, name_key, words

_LEAVING_OUT = frozenset({"done", "cancelled", "on_hold"})


def by_content(
    grid: Grid, headings: Headings, known: HeadingWords, rows: range, findings: Findings
) -> Headings:
    """The headings with those that their cells explain taken as such, each with a doubt."""
    headings = _dates_by_content(grid, headings, rows, findings)
    return _status_by_content(grid, headings, known, rows, findings)


def _dates_by_content(grid: Grid, headings: Headings, rows: range, findings: Findings) -> Headings:
    """A heading such as "Ship by" over dates is the cut-off date, though elsewhere it names the courier."""
    if "cut_off_date" in headings.columns:
        return headings
    courier = headings.columns.get("courier")
    asked = [] if courier is None else [courier]
    asked += [at for at, label in headings.unknown.items() if heading_key(label) in words().over_dates]
    for number in asked:
        label = headings.labels[number]
        cells = [value for one in rows if (value := grid.value(one, number)) not in (None, label)]
        if cells and all(is_dated(value) for value in cells):
            return _as_cut_off(grid, headings, number, findings)
    return headings


def _as_cut_off(grid: Grid, headings: Headings, number: int, findings: Findings) -> Headings:
    label = headings.labels[number]
    columns = {key: column for key, column in headings.columns.items() if column != number}
    unknown = {at: one for at, one in headings.unknown.items() if at != number}
    mend = f'Read as "{column_label("cut_off_date")}", since its cells are dates.'
    found, expected = f"heading {shown(label)} over dates", "a heading that means one thing"
    findings.doubt("column-by-content", headings.place(grid, number), found, expected, mend)
    how = {**headings.how, number: How.NEAR}
    return replace(headings, columns={**columns, "cut_off_date": number}, unknown=unknown, how=how)


def _status_by_content(
    grid: Grid, headings: Headings, known: HeadingWords, rows: range, findings: Findings
) -> Headings:
    """A heading such as "State", otherwise of no interest, over words of a status is the status."""
    if "status" in headings.columns:
        return headings
    others = [*headings.unknown, *(at for at, how in headings.how.items() if how is How.NOT_NEEDED)]
    for number in sorted(others):
        if name_key(headings.labels[number]) in known.confirmed:
            continue
        label = headings.labels[number]
        cells = [grid.value(one, number) for one in rows]
        # headings may be repeated further down
        keys = {heading_key(value) if isinstance(value, str) else "?" for value in cells if value is not None}
        said = {words().statuses.get(key) for key in keys - {heading_key(label)}}
        if None in said:
            continue
        if not said & _LEAVING_OUT:
            continue
        mend = (
            f'Read as "{column_label("status")}"; if it is none, say so once: --column "{label}=not needed".'
        )
        found, expected = f"heading {shown(label)} over a status", "a heading that means one thing"
        findings.doubt("column-by-content", headings.place(grid, number), found, expected, mend)
        return replace(
            headings,
            columns={**headings.columns, "status": number},
            unknown={at: one for at, one in headings.unknown.items() if at != number},
            how={**headings.how, number: How.NEAR},
        )
    return headings
