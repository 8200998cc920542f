"""Dates as people write them: year first or last, with month names, without a year, or as a day's name.

What can be read in one way only is read; what can be read in two is asked, with both readings, until the
owner has said how a file writes its dates.
"""

from __future__ import annotations

import re
from collections.abc import Callable
from dataclasses import dataclass
from datetime import date, datetime, time, timedelta
from typing import TypeVar

from scheduler.intake.cells.clock_values import FIRST_SERIAL_DAY, clock
from scheduler.intake.cells.date_readings import (
    DAY_FIRST,
    MONTH_FIRST,
    NO_YEAR,
    YEAR_FIRST,
    YEAR_LAST,
    both_ways,
    out_of_range,
    real_date,
    year_of,
)
from scheduler.intake.cells.findings import shown
from scheduler.intake.cells.values import Parser, Taken, Unfit
from scheduler.intake.files.grid import Value
from scheduler.intake.words import clean, heading_key, words

NEXT = "next"
"""The rule for day names: the next such day, today included."""

_T = TypeVar("_T")
_S = TypeVar("_S")
_EXPECTED = "a date such as 2026-03-31"
_COMPACT = re.compile(r"(20\d{2})(\d{2})(\d{2})\Z")
_WITH_TIME = re.compile(
    r"(\S.*?)(?:[T,]\s*|\s+)(\d{1,2}[:.]\d{2}(?:[:.]\d{2})?(?:\s*[ap]\.?m\.?)?|\d{1,2}\s*[ap]m)\Z", re.I
)
_FRACTION = re.compile(r"(:\d{2})\.\d+(?=$|[Z+-])")
_ZONE = re.compile(r":\d{2}\s?(Z|UTC|[+-]\d{2}:?\d{2})\Z")
_ORDINAL = re.compile(r"(\d{1,2})(?:st|nd|rd|th|er|º|ª|\.)\Z", re.IGNORECASE)
_PARTED = re.compile(r"\d\s*[/.]\s*\d")
"""Numbers that are a date by themselves, with day and month."""
_WORDS = re.compile(r"[^\s,]+")
_SOON_DAYS = 183
"""A date without a year that is nearer than this is taken as the coming one; else both are named."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Dates:
    """How dates are read.

    Attributes
    ----------
    today
        What day names and dates without a year are read against; None: they are refused.
    order
        "day-first" or "month-first" where the owner has said so; empty: what can be both is asked.
    weekdays
        "next" where the owner has said that a day name means the next such day; empty: it is asked.
    """

    today: date | None = None
    order: str = ""
    weekdays: str = ""

    def day(self, value: Value) -> date | Taken[date]:
        """A date."""
        if isinstance(value, datetime):
            return _in_range(value.date())
        if isinstance(value, date):
            return _in_range(value)
        if isinstance(value, str):
            return _then(self._from_text(clean(value)), _in_range)
        if isinstance(value, int | float) and not isinstance(value, bool):
            return _in_range(_from_number(value))
        raise Unfit("not-a-date", _EXPECTED, "Write it as year-month-day.")

    def day_and_time(self, value: Value) -> tuple[date, time | None] | Taken[tuple[date, time | None]]:
        """A date, with a time of day where one stands beside it."""
        if isinstance(value, datetime) and value.time() != time(0):
            return _in_range(value.date()), value.time().replace(second=0, microsecond=0, tzinfo=None)
        if isinstance(value, str):
            first, at = _split_time(clean(value))
            return _then(self.day(first), lambda found: (found, at))
        return _then(self.day(value), lambda found: (found, None))

    def moment(self, on: date, opening: Callable[[date], time]) -> Parser[datetime]:
        """Parser of a date with time, a time alone (on that day) or a date alone (from opening on)."""

        def parse(value: Value) -> datetime | Taken[datetime]:
            if isinstance(value, datetime) and value.year < 1901:
                return datetime.combine(on, clock(value))
            if isinstance(value, str):
                try:
                    return datetime.combine(on, clock(value))
                except Unfit as unfit:
                    if re.fullmatch(r"\d{1,2}(?:[:.]\d{2})?", clean(value)):
                        raise unfit from None
            elif not isinstance(value, date) or value.year < 1901:
                return datetime.combine(on, clock(value))
            try:
                found = self.day_and_time(value)
            except Unfit as unfit:
                if unfit.code != "not-a-date":
                    raise
                expected = "a date and time such as 2026-03-31 10:00, or a time alone"
                mend = "Write it as year-month-day hours:minutes."
                raise Unfit("not-a-moment", expected, mend) from None
            return _then(found, lambda one: datetime.combine(one[0], one[1] or opening(one[0])))

        return parse

    def _from_text(self, plain: str) -> date | Taken[date]:
        if match := YEAR_FIRST.match(plain) or _COMPACT.match(plain):
            found = real_date(int(match[1]), int(match[2]), int(match[3]))
            if found is None:
                raise Unfit("not-a-date", _EXPECTED, "There is no such day; correct it.")
            return found
        if match := YEAR_LAST.match(plain):
            return self._by_points(plain, both_ways(year_of(match[3]), int(match[1]), int(match[2])))
        if (match := NO_YEAR.match(plain)) and self.today is not None:
            second = int(match[2] or match[3])
            if match[3] and second > 12:
                # with a point between it could be a time of day
                raise Unfit("not-a-date", _EXPECTED, "Write it as year-month-day.")
            readings = both_ways(self.today.year, int(match[1]), second)
            if plain.endswith(".") and DAY_FIRST in readings and not self.order:
                # written as an ordinal, the day stands first
                readings = {DAY_FIRST: readings[DAY_FIRST]}
            return self._yearless(readings or ())
        if re.fullmatch(r"\d{5}(?:[.,]\d+)?", plain):
            return _from_number(float(plain.replace(",", ".")))
        return self._from_words(plain)

    def _one_of(self, readings: dict[str, date]) -> date:
        """The one date that a text means, by the file's order of day and month where there are two."""
        if not readings:
            raise Unfit("not-a-date", _EXPECTED, "There is no such day; write it as year-month-day.")
        if self.order and self.order not in readings:
            (other,) = readings.values()
            mend = f"The file's dates are {self.order}, but this can only be {other}; write the year first."
            raise Unfit("date-against-order", _EXPECTED, mend)
        if self.order:
            return readings[self.order]
        ways = tuple(dict.fromkeys(readings.values()))
        if len(ways) == 1:
            return ways[0]
        mend = (
            f"Write it with the year first: {ways[0]} or {ways[1]}; or say how this file writes its dates, "
            f"once for all: --dates {DAY_FIRST} or --dates {MONTH_FIRST}."
        )
        raise Unfit("date-ambiguous", "a date that can be read in one way only", mend)

    def _by_points(self, plain: str, readings: dict[str, date]) -> date | Taken[date]:
        """The same; with points between the numbers the day stands first, with a doubt."""
        pointed = plain.count(".") >= 2 and not self.order and self.today is not None
        if not pointed or len(set(readings.values())) < 2:
            return self._one_of(readings)
        found = readings[DAY_FIRST]
        mend = f"Taken as {found}, with the day first as usual with points; if not: --dates {MONTH_FIRST}."
        return Taken(value=found, code="date-with-points", expected=_EXPECTED, mend=mend)

    def _yearless(self, readings: dict[str, date] | tuple[()]) -> date | Taken[date]:
        assert self.today is not None
        if not readings:
            raise Unfit("not-a-date", _EXPECTED, "There is no such day; write it as year-month-day.")
        return self._coming(self._one_of(readings))

    def _coming(self, found: date) -> date | Taken[date]:
        """A day of the year as the coming one, with a doubt; asked when it has only just been."""
        assert self.today is not None
        years = (self.today.year, self.today.year + 1)
        dates = [on for year in years if (on := real_date(year, found.month, found.day))]
        coming = next((on for on in dates if on >= self.today), None)
        if coming is None or (coming - self.today).days > _SOON_DAYS:
            ways = " or ".join(on.isoformat() for on in dates)
            raise Unfit("date-without-year", "a date with its year", f"Write it with the year first: {ways}.")
        mend = f"Taken as {coming}, the next one from {self.today} on; write the year if that is wrong."
        return Taken(value=coming, code="date-without-year", expected="a date with its year", mend=mend)

    def _from_words(self, plain: str) -> date | Taken[date]:
        """A date with a month's name, the name of a day, or a word such as "ASAP"."""
        known = words()
        parts = [heading_key(part) for part in _WORDS.findall(plain)]
        parts = [part for part in parts if part and part not in known.filler]
        months = [part for part in parts if part in known.months]
        # "mar" is March in English, and Tuesday in French and Spanish
        is_month = (
            len(months) == 1 and any(letter.isdigit() for letter in plain) and not _PARTED.search(plain)
        )
        days = {part for part in parts if part in known.weekdays} - (set(months) if is_month else set())
        named = [known.weekdays[part] for part in parts if part in days]
        rest = [part for part in parts if part not in days]
        if len(named) == 1 and not rest:
            return self._weekday(named[0])
        if len(named) == 1 and rest:
            settled = self._on_weekday(" ".join(_WORDS.findall(plain)[1:]).strip(), named[0])
            if settled is not None:
                return settled
            found = self._from_text(" ".join(_WORDS.findall(plain)[1:]).strip())
            if _value(found).weekday() != named[0]:
                mend = f"{_value(found)} is another day of the week; write the date as year-month-day."
                raise Unfit("weekday-differs", "a date that falls on that day of the week", mend)
            return found
        if heading_key(plain) in known.today | known.tomorrow:
            mend = (
                "Write the date as year-month-day; the file may be read on another day than it was written."
            )
            raise Unfit("date-by-word", _EXPECTED, mend)
        if heading_key(plain) in known.soon:
            mend = "Write the date, or leave the cell blank and give the order the priority rush."
            raise Unfit("date-by-word", _EXPECTED, mend)
        return self._month_name(plain)

    def _on_weekday(self, plain: str, weekday: int) -> date | Taken[date] | None:
        """The one reading of a date that falls on a day of the week; None where there isn't just one."""
        if self.order:
            return None
        if match := YEAR_LAST.match(plain):
            readings = both_ways(year_of(match[3]), int(match[1]), int(match[2])).values()
            fit = {on for on in readings if on.weekday() == weekday}
            return fit.pop() if len(fit) == 1 else None
        if self.today is None or not (match := NO_YEAR.match(plain)):
            return None
        numbers = int(match[1]), int(match[2] or match[3])
        coming = {
            on
            for year in (self.today.year, self.today.year + 1)
            for on in both_ways(year, *numbers).values()
            if on.weekday() == weekday and 0 <= (on - self.today).days <= _SOON_DAYS
        }
        return self._coming(coming.pop()) if len(coming) == 1 else None

    def _weekday(self, number: int) -> date | Taken[date]:
        expected = "a date, since a day name says no week"
        if self.today is None:
            raise Unfit("date-by-weekday", expected, "Write it as year-month-day.")
        on = self.today + timedelta(days=(number - self.today.weekday()) % 7)
        if self.weekdays == NEXT:
            mend = f"Taken as {on}, the next such day from {self.today} on."
            return Taken(value=on, code="date-by-weekday", expected=expected, mend=mend)
        mend = (
            f"Write {on} if that is meant; or say once for all that in this file a day name means the next "
            f"such day: --weekdays {NEXT}."
        )
        raise Unfit("date-by-weekday", expected, mend)

    def _month_name(self, plain: str) -> date | Taken[date]:
        """A date such as "4 March 2026", "Mar 4, 2026", "4-Mar-26" or "4 March"."""
        numbers: list[str] = []
        month = 0
        for part in re.split(r"[\s,/-]+", plain):
            key = heading_key(part)
            if key in words().months and not month:
                month = words().months[key]
            elif match := _ORDINAL.match(part):
                numbers.insert(0, match[1])
            elif re.fullmatch(r"\d{1,4}", part):
                numbers.append(part)
            elif key and key not in words().filler:
                month = -1
        if month <= 0 or not 1 <= len(numbers) <= 2 or len(numbers[0]) > 2:
            raise Unfit("not-a-date", _EXPECTED, "Write it as year-month-day.")
        if len(numbers) == 1:
            if self.today is None:
                raise Unfit("date-without-year", "a date with its year", "Write it as year-month-day.")
            found = real_date(2000, month, int(numbers[0]))
            if found is None:
                raise Unfit("not-a-date", _EXPECTED, "There is no such day; correct it.")
            return self._coming(found)
        year = int(numbers[1]) + (2000 if len(numbers[1]) <= 2 else 0)
        found = real_date(year, month, int(numbers[0]))
        if found is None:
            raise Unfit("not-a-date", _EXPECTED, "There is no such day; correct it.")
        return found


def _then(found: _T | Taken[_T], go_on: Callable[[_T], _S]) -> _S | Taken[_S]:
    if isinstance(found, Taken):
        return Taken(value=go_on(found.value), code=found.code, expected=found.expected, mend=found.mend)
    return go_on(found)


def _value(found: date | Taken[date]) -> date:
    return found.value if isinstance(found, Taken) else found


def _in_range(found: date) -> date:
    fault = out_of_range(found, "")
    if fault is not None:
        raise Unfit(fault.code, fault.expected, fault.mend)
    return found


def _from_number(value: float) -> date:
    """The date of eight digits; a spreadsheet program's count of days is asked about, never converted."""
    if 20_000_101 <= value < 21_000_000 and (match := _COMPACT.match(f"{value:.0f}")):
        found = real_date(int(match[1]), int(match[2]), int(match[3]))
        if found is not None:
            return found
    if 36526 <= value < 73051:
        hint = FIRST_SERIAL_DAY + timedelta(days=int(value))
        raise Unfit("date-is-a-bare-number", _EXPECTED, f"Format the cell as a date; it would be {hint}.")
    raise Unfit("not-a-date", _EXPECTED, "Write it as year-month-day.")


def _split_time(plain: str) -> tuple[str, time | None]:
    """A text's date and its time of day; None where there is none."""
    plain = _FRACTION.sub(r"\1", plain)
    if match := _ZONE.search(plain):
        mend = f"Write the shop's own time, without {shown(match[1])}."
        raise Unfit("time-with-zone", "a date with a local time", mend)
    match = _WITH_TIME.match(plain)
    if match is None:
        return plain, None
    at = clock(match[2])
    return match[1], at if at != time(0) else None
