"""Parsers of cell values that are times: clock times, stretches of hours, days of the week."""

from __future__ import annotations

import re
from datetime import date, datetime, time, timedelta
from itertools import pairwise

from scheduler.intake.cells.values import Unfit, names, number_in
from scheduler.intake.files.grid import Value
from scheduler.intake.words import clean, heading_key, words

_TIME = re.compile(r"(\d{1,2})[:.](\d{2})(?::(\d{2}))?\s*(am|pm|a\.m\.|p\.m\.)?\Z", re.IGNORECASE)
_HOUR = re.compile(r"(\d{1,2})\s*(am|pm|a\.m\.|p\.m\.)\Z", re.IGNORECASE)
_HOUR_WORD = re.compile(
    r"(?:at|um|à|a las)?\s*(\d{1,2})(?:[:.](\d{2}))?\s*(?:h|hrs?|hours|uhr|heures?|horas?)\.?\s*(\d{2})?\Z",
    re.IGNORECASE,
)
_FOUR_DIGITS = re.compile(r"([01]\d|2[0-3])([0-5]\d)\Z")
_SPAN = re.compile(r"\s*(?:-|–|—|\bto\b)\s*", re.IGNORECASE)
FIRST_SERIAL_DAY = date(1899, 12, 30)
"""Day 0 of spreadsheet programs, as it counts from March 1900 on."""


def clock(value: Value) -> time:
    """A time of day, to the minute."""
    expected = "a time of day such as 16:30"
    typed = _typed_number(value)
    if typed is not None:
        mend = _hour_mend(typed) if typed < 24 else "Write it as hours:minutes."
        raise Unfit("not-a-time", expected, mend, found=typed)
    if isinstance(value, datetime) and value.year < 1901:
        value = value.time()
    if isinstance(value, timedelta) and timedelta(0) <= value < timedelta(days=1):
        value = (datetime.min + value).time()
    if isinstance(value, time):
        return value.replace(second=0, microsecond=0, tzinfo=None)
    if isinstance(value, int) and not isinstance(value, bool) and 1000 <= value <= 2359:
        value = str(value)
    if isinstance(value, str):
        plain = clean(value)
        if heading_key(plain) in words().noon:
            return time(12)
        match = _HOUR_WORD.match(plain)
        if match and not (match[2] and match[3]):
            return _clock(int(match[1]), int(match[2] or match[3] or 0), None, expected)
        match = _FOUR_DIGITS.match(plain)
        if match:
            return time(int(match[1]), int(match[2]))
        match = _TIME.match(plain)
        if match:
            return _clock(int(match[1]), int(match[2]), match[4], expected)
        match = _HOUR.match(plain)
        if match:
            return _clock(int(match[1]), 0, match[2], expected)
        # a number in a text table is told like one in a workbook
        value = number_in(plain) if re.fullmatch(r"\d{1,2}|0[.,]\d+", plain) else value
    if isinstance(value, int | float) and not isinstance(value, bool):
        if 0 < value < 1:
            minutes = round(value * 1440)
            hint = f"{minutes // 60 % 24:02d}:{minutes % 60:02d}"
            raise Unfit("time-is-a-bare-number", expected, f"Format the cell as a time; it would be {hint}.")
        if 0 <= value < 24 and value == int(value):
            raise Unfit("not-a-time", expected, _hour_mend(int(value)))
    raise Unfit("not-a-time", expected, "Write it as hours:minutes.")


def _hour_mend(hour: int) -> str:
    """What to write for a bare hour; early ones may be of the afternoon."""
    return f"Write {hour:02d}:00 or {hour + 12:02d}:00." if 1 <= hour <= 6 else f"Write {hour:02d}:00."


def _typed_number(value: Value) -> int | None:
    """The whole number behind a value that a cell formatted as a time or date shows as days after 1899."""
    if isinstance(value, datetime) and value.year == 1900 and value.time() == time(0):
        value = value.date()
    if isinstance(value, date) and not isinstance(value, datetime) and value.year == 1900:
        days = (value - FIRST_SERIAL_DAY).days
        # spreadsheets count a 29 February 1900 that never was
        return days - 1 if value < date(1900, 3, 1) else days
    if isinstance(value, timedelta) and value >= timedelta(days=1) and not value % timedelta(days=1):
        return value.days
    return None


def _clock(hour: int, minute: int, half: str | None, expected: str) -> time:
    if half:
        if not 1 <= hour <= 12:
            raise Unfit("not-a-time", expected, "Write it as hours:minutes.")
        hour = hour % 12 + (12 if half[0] in "pP" else 0)
    if hour == 24 and minute == 0:
        raise Unfit("not-a-time", expected, "Write midnight at the end of the day as 23:59.")
    if hour > 23 or minute > 59:
        raise Unfit("not-a-time", expected, "Hours go to 23 and minutes to 59.")
    return time(hour, minute)


def spans(value: Value) -> tuple[tuple[time, time], ...]:
    """Stretches of a day such as "10:00-10:15, 12:30-13:00", in order of time."""
    expected = "stretches such as 10:00-10:15, 12:30-13:00"
    mend = "Write from-to with hours:minutes, and commas between."
    found = []
    for part in names(value):
        ends = _SPAN.split(part)
        if len(ends) != 2:
            raise Unfit("not-a-break", expected, mend)
        try:
            first, last = clock(ends[0]), clock(ends[1])
        except Unfit:
            raise Unfit("not-a-break", expected, mend) from None
        if not first < last:
            raise Unfit("break-backwards", expected, f"{first:%H:%M} is not before {last:%H:%M}; correct it.")
        found.append((first, last))
    found.sort()
    for (_, last), (first, _) in pairwise(found):
        if first < last:
            raise Unfit("breaks-overlap", "breaks apart from each other", "Correct the times.")
    return tuple(found)


def weekdays(value: Value) -> tuple[int, ...]:
    """Days such as "Mon-Fri" or "Mon, Wed, Fri", Monday as 0."""
    expected = "weekdays such as Mon-Fri or Mon, Wed, Fri"
    known = words().weekdays
    found: set[int] = set()
    for part in names(value):
        ends = [heading_key(end) for end in _SPAN.split(part)]
        if len(ends) > 2 or any(end not in known for end in ends):
            raise Unfit(
                "not-weekdays", expected, "Write the days' English names or their first three letters."
            )
        first, last = known[ends[0]], known[ends[-1]]
        if last < first:
            raise Unfit("not-weekdays", expected, "Name the days in the order of the week, Monday first.")
        found.update(range(first, last + 1))
    return tuple(sorted(found))
