"""Hours, couriers, closed days, element times and allowances: from the rows of their sheets."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import replace
from datetime import date, time

from scheduler.domain.figures import in_percent
from scheduler.domain.shop import Allowances, Courier, Element, OpenHours, Setup
from scheduler.intake.cells.clock_values import clock
from scheduler.intake.cells.dates import Dates
from scheduler.intake.cells.findings import propose, shown
from scheduler.intake.cells.rows import Row
from scheduler.intake.cells.values import number, share, text, whole
from scheduler.intake.shop.layout import ALLOWANCE_ROWS, DAYS, SETUP_COLUMNS
from scheduler.intake.shop.sheets import new_name
from scheduler.intake.words import heading_key, words


def read_hours(rows: Iterator[Row]) -> dict[int, OpenHours]:
    """By weekday, the hours of the days on which the shop is open."""
    hours: dict[int, OpenHours] = {}
    seen: dict[int, str] = {}
    for row in rows:
        name = row.need("weekday", text)
        weekday = words().weekdays.get(heading_key(name)) if name else None
        if name and weekday is None:
            mend = propose(name, DAYS)
            row.fault("not-a-weekday", "weekday", f"weekday {shown(name)}", "Mon to Sun", mend)
        if weekday is not None:
            cell = row.source("weekday").cell
            first = seen.setdefault(weekday, cell)
            if first != cell:
                mend = f"The first stands in {first}; delete one."
                row.fault(
                    "weekday-twice", "weekday", f"{DAYS[weekday]} a second time", "each weekday once", mend
                )
        opens = row.take("open", clock)
        closes = row.take("close", clock)
        overtime = row.take("overtime_end", clock, "overtime until")
        if row.has("open") != row.has("close"):
            missing = "close" if row.has("open") else "open"
            mend = "Fill in both times, or clear both for a closed day."
            row.fault("hours-incomplete", missing, f"no time to {missing}", "both times or none", mend)
        if opens and closes and opens >= closes:
            found = f"closes at {closes:%H:%M}"
            row.fault(
                "hours-backwards", "close", found, f"later than {opens:%H:%M}", "Correct one of the two."
            )
        if closes and overtime and overtime < closes:
            found = f"overtime until {overtime:%H:%M}"
            expected = f"{closes:%H:%M} or later"
            row.fault("overtime-before-end", "overtime_end", found, expected, "Correct it or clear the cell.")
        if row.sound and weekday is not None and opens and closes:
            hours[weekday] = OpenHours(open=opens, close=closes, overtime_end=overtime)
    return hours


def read_couriers(
    rows: Iterator[Row], hours: dict[int, OpenHours], *, hours_known: bool
) -> Iterator[Courier]:
    """The couriers whose rows are sound, in the sheet's order."""
    seen: dict[str, str] = {}
    for row in rows:
        name = new_name(row, seen, "courier")
        cut_offs: dict[int, time] = {}
        for weekday, label in enumerate(DAYS):
            at = row.take(f"day_{weekday}", clock, f"cut-off on {label}")
            if at is None:
                continue
            cut_offs[weekday] = at
            if hours_known and weekday not in hours:
                found = f"cut-off on {label}, when the shop is closed"
                mend = "Clear it, or fill in the hours of that day."
                row.doubt("courier-on-closed-day", f"day_{weekday}", found, "cut-offs on open days", mend)
            elif hours_known and at <= hours[weekday].open:
                found = f"cut-off at {at:%H:%M}, before the shop opens"
                mend = "Check it; everything for that courier must be ready the day before."
                row.doubt("courier-before-opening", f"day_{weekday}", found, "a later time as a rule", mend)
            elif hours_known and _long_closed(at, hours[weekday]):
                found = f"cut-off on {label} at {at:%H:%M}, an hour or more after the shop has closed"
                expected = f"an earlier time as a rule: it closes at {hours[weekday].close:%H:%M}"
                mend = "Check it, and the hours of that day: from the first opening to the last closing."
                row.doubt("courier-after-closing", f"day_{weekday}", found, expected, mend)
        if row.sound and not cut_offs:
            mend = "Fill in the hour for the days on which it comes, or delete the row."
            row.fault(
                "courier-never-comes", "name", f"courier {shown(name)} without any hour", "at least one", mend
            )
        if row.sound and name is not None:
            yield Courier(name=name, cut_offs=cut_offs, source=row.source("name"))


def _long_closed(at: time, hours: OpenHours) -> bool:
    """Whether a shop has been closed for an hour, overtime included: less is usual for a collection."""
    last = max(hours.close, hours.overtime_end or hours.close)
    return 60 * (at.hour - last.hour) + at.minute - last.minute >= 60


def read_closed_days(rows: Iterator[Row]) -> tuple[date, ...]:
    """Dates on which the shop is closed, in order of date."""
    dates: set[date] = set()
    for row in rows:
        if not row.has("date"):
            mend = "Fill in the date, or clear the row."
            row.fault("value-missing", "date", "no date", "a date such as 2026-12-25", mend)
            continue
        found = row.take("date", Dates().day)
        if found is not None:
            dates.add(found)
    return tuple(sorted(dates))


def read_elements(rows: Iterator[Row]) -> Iterator[tuple[Row | None, Element, dict[Setup, float]]]:
    """Elements with their seconds by set-up."""
    by_key = {heading_key(element.value): element for element in Element}
    seen: dict[Element, str] = {}
    for row in rows:
        name = row.need("element", text)
        element = by_key.get(heading_key(name)) if name else None
        if name and element is None:
            mend = propose(name, [one.value for one in Element])
            row.fault(
                "unknown-element", "element", f"element {shown(name)}", "one of the program's elements", mend
            )
        times = {
            setup: row.need(key, number(0, 600, "s", what="time"), setup.value)
            for key, setup in SETUP_COLUMNS.items()
        }
        if element is None:
            continue
        cell = row.source("element").cell
        first = seen.setdefault(element, cell)
        if first != cell:
            mend = f"The first stands in {first}; delete one."
            row.fault(
                "name-twice", "element", f"element {shown(name)} a second time", "each element once", mend
            )
        yield row, element, {setup: seconds for setup, seconds in times.items() if seconds is not None}


def read_allowances(rows: Iterator[Row]) -> tuple[Allowances, tuple[str, ...]]:
    """The allowances, and the labels of those that no row gives (they keep the program's figures)."""
    by_key = {heading_key(row.label): row for row in ALLOWANCE_ROWS}
    seen: dict[str, str] = {}
    values: dict[str, float] = {}
    for row in rows:
        name = row.need("what", text)
        known = by_key.get(heading_key(name)) if name else None
        if name and known is None:
            mend = propose(name, [one.label for one in ALLOWANCE_ROWS])
            row.fault("unknown-allowance", "what", f"allowance {shown(name)}", "one of the program's", mend)
        if known is None:
            continue
        cell = row.source("what").cell
        first = seen.setdefault(known.field, cell)
        if first != cell:
            mend = f"The first stands in {first}; delete one."
            row.fault("name-twice", "what", f"allowance {shown(name)} a second time", "each once", mend)
        value: float | None
        if known.unit == "%":
            value = row.need("value", share(one_is=0.01, most=known.most), known.label.lower())
            if value is not None and value > 0.5:
                mend = "Check it: it is a share of the cycle."
                row.doubt(
                    "relaxation-large",
                    "value",
                    f"relaxation of {in_percent(value)}",
                    "at most 50 % as a rule",
                    mend,
                )
        elif known.whole:
            value = row.need(
                "value", whole(int(known.least), int(known.most), known.unit), known.label.lower()
            )
        else:
            value = row.need("value", number(known.least, known.most, known.unit), known.label.lower())
        if value is not None:
            values[known.field] = value
    missing = tuple(row.label for row in ALLOWANCE_ROWS if row.field not in seen)
    return _allowances(values), missing


def _allowances(values: dict[str, float]) -> Allowances:
    fields = {row.field: row for row in ALLOWANCE_ROWS}
    typed: dict[str, int | float] = {
        field: int(value) if fields[field].whole else float(value) for field, value in values.items()
    }
    return replace(Allowances(), **typed)  # type: ignore[arg-type]


def missing_elements(found: Iterable[Element]) -> tuple[Element, ...]:
    """Elements that no row gives, in the program's order."""
    there = set(found)
    return tuple(element for element in Element if element not in there)
