"""What a date in numbers can mean: day first or month first, with a year or without."""

from __future__ import annotations

import re
from collections.abc import Iterable
from datetime import date
from functools import lru_cache

from scheduler.domain.faults import Fault, Source
from scheduler.intake.cells.findings import shown
from scheduler.intake.cells.rows import Row
from scheduler.intake.files.grid import Value
from scheduler.intake.words import clean

DAY_FIRST, MONTH_FIRST = "day-first", "month-first"
YEAR_FIRST = re.compile(r"(\d{4})[-/.](\d{1,2})[-/.](\d{1,2})\.?\Z")
YEAR_LAST = re.compile(r"(\d{1,2})\s?[-/. ]\s?(\d{1,2})\s?[-/. ]\s?(\d{2}|\d{4})\Z")
NO_YEAR = re.compile(r"(\d{1,2})(?:[-/](\d{1,2})|\.\s?(\d{1,2})\.?)\Z")
FIRST_YEAR, LAST_YEAR = 2000, 2099
"""Years in which a shop can work: others are slips of the pen, and no workbook can hold them all."""

_BEGINS_WITH_YEAR = re.compile(r"\s*\d{4}")
_DATED_COLUMNS = ("cut_off_date", "garments_in", "transfers_in")
_LEAP_YEAR = 2000
"""Stands for a year that isn't written: every day of any year is there."""


def year_of(written: str) -> int:
    """A year of two or four digits."""
    return int(written) + (2000 if len(written) == 2 else 0)


def both_ways(year: int, first: int, second: int) -> dict[str, date]:
    """Two numbers as day and month and as month and day, as far as there are such days."""
    readings = {DAY_FIRST: real_date(year, second, first), MONTH_FIRST: real_date(year, first, second)}
    return {order: found for order, found in readings.items() if found}


def day_readings(written: str) -> list[date]:
    """The dates that a text can mean, day or month first; none when there is no such day or it is none."""
    plain = clean(written)
    if match := YEAR_FIRST.match(plain):
        found = real_date(int(match[1]), int(match[2]), int(match[3]))
        return [found] if found else []
    match = YEAR_LAST.match(plain)
    if match is None:
        return []
    return list(dict.fromkeys(both_ways(year_of(match[3]), int(match[1]), int(match[2])).values()))


def is_dated(value: Value) -> bool:
    """Whether a cell holds a date, or a text that is one day or another, if only by day and month."""
    if isinstance(value, date):
        return True
    return isinstance(value, str) and (bool(day_readings(value)) or bool(_BEGINS_WITH_YEAR.match(value)))


def real_date(year: int, month: int, day_of_month: int) -> date | None:
    """A date; None when there is no such day."""
    try:
        return date(year, month, day_of_month)
    except ValueError:
        return None


def out_of_range(day: date, file: str) -> Fault | None:
    """The fault of a day in a year in which no shop works.

    Parameters
    ----------
    file
        Where the day was given, such as the name of an option.
    """
    if FIRST_YEAR <= day.year <= LAST_YEAR:
        return None
    return Fault(
        code="date-out-of-range",
        source=Source(file=file),
        found=f"{day.isoformat()}, in the year {day.year}",
        expected=f"a date from {FIRST_YEAR} to {LAST_YEAR}",
        mend="Correct the year.",
    )


@lru_cache(maxsize=4096)
def _orders_of(value: str) -> dict[str, date]:
    """The readings of a date by its order of day and month; none for what isn't such a date."""
    parts = clean(value).split(" ")
    plain = next((part for part in parts if YEAR_LAST.match(part) or NO_YEAR.match(part)), "")
    if "." in plain:
        # with points the day stands first, and it may be a time of day
        return {}
    if match := YEAR_LAST.match(plain):
        return both_ways(year_of(match[3]), int(match[1]), int(match[2]))
    if match := NO_YEAR.match(plain):
        return both_ways(_LEAP_YEAR, int(match[1]), int(match[2]))
    return {}


def settled_order(rows: Iterable[Row]) -> str:
    """The order of day and month that a sheet's own dates settle, said in one doubt; empty when they don't.

    A date such as 15/03 can be read in one way only; where all such dates agree, the others follow them.
    """
    by_order: dict[str, tuple[Row, str]] = {}
    open_one: tuple[Row, str] | None = None
    for row in rows:
        for key in _DATED_COLUMNS:
            value = row.value(key)
            if not isinstance(value, str):
                continue
            readings = _orders_of(value)
            if len(readings) == 1:
                by_order.setdefault(next(iter(readings)), (row, key))
            elif len(set(readings.values())) == 2 and open_one is None:
                open_one = row, key
    if open_one is None or len(by_order) != 1:
        return ""
    ((order, (one, of)),) = by_order.items()
    row, key = open_one
    found = f"{shown(row.value(key))}, which can be two days"
    mend = (
        f"Read {order} like {shown(one.value(of))} in {one.source(of).cell}, which has no other reading; "
        f"so are all dates here. If that is wrong, write the year first; to say it for good: --dates {order}."
    )
    row.findings.doubt("dates-settled", row.source(key), found, "dates that can be read in one way", mend)
    return order
