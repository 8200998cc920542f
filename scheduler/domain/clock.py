"""Times, dates and durations as people read them; English, whatever the machine's language."""

from __future__ import annotations

from datetime import date, datetime, timedelta

from scheduler.domain.figures import figure, nearest

WEEKDAYS = ("Monday", "Tuesday", "Wednesday", "Thursday", "Friday", "Saturday", "Sunday")
MONTHS = (
    "January",
    "February",
    "March",
    "April",
    "May",
    "June",
    "July",
    "August",
    "September",
    "October",
    "November",
    "December",
)

BECOMES = " becomes "
"""Between a time that was and the one that is now."""

HOURS_FROM_MIN = 120
"""From so many minutes on they are said in hours."""


def clock(when: datetime) -> str:
    """Hour and minute as a wall clock shows them: 09:12:48 is "09:12"."""
    return f"{when:%H:%M}"


def clock_up(when: datetime) -> str:
    """Hour and minute, rounded up: for "ready by" and "packed at", which must not promise too early."""
    if when.second or when.microsecond:
        when = when.replace(second=0, microsecond=0) + timedelta(minutes=1)
    return f"{when:%H:%M}"


def long_date(day: date) -> str:
    """A date with its weekday: "Thursday 3 December 2026"."""
    return f"{WEEKDAYS[day.weekday()]} {day.day} {MONTHS[day.month - 1]} {day.year}"


def short_date(day: date) -> str:
    """A date for narrow columns: "Thu 3 Dec"."""
    return f"{WEEKDAYS[day.weekday()][:3]} {day.day} {MONTHS[day.month - 1][:3]}"


def moment_words(when: datetime, day: date, *, up: bool = False) -> str:
    """A moment as every sheet writes it: "09:12", and with its date "Thu 3 Dec 09:12" when that is not `day`.

    Parameters
    ----------
    up
        To the full minute after it, as `clock_up`.
    """
    said = clock_up(when) if up else clock(when)
    return said if when.date() == day else f"{short_date(when.date())} {said}"


def becomes(was: datetime, now: datetime, day: date) -> str:
    """A time that is another now: "09:12 becomes 09:30", with its date where that is not `day`.

    Where only one of both is of that day, each has its date.
    """
    if was.date() == now.date():
        return f"{moment_words(was, day)}{BECOMES}{clock(now)}"
    return BECOMES.join(f"{short_date(one.date())} {clock(one)}" for one in (was, now))


def of_day(when: date, day: date) -> str:
    """Behind what is named without its time: " of Thu 3 Dec", and nothing when that is `day`."""
    return "" if when == day else f" of {short_date(when)}"


def moment_in_words(when: datetime, day: date) -> str:
    """The same within a sentence: "09:12 on Thu 3 Dec"."""
    return clock(when) if when.date() == day else f"{clock(when)} on {short_date(when.date())}"


def number(value: float) -> str:
    """A number with one decimal at most: 97.5, 24."""
    return figure(value, 1)


def in_hours(whole: int) -> str:
    """Whole minutes, from two hours on in hours: "14 min", "27 h 54 min"."""
    return f"{whole} min" if whole < HOURS_FROM_MIN else f"{whole // 60} h {whole % 60} min"


def how_long(value: float) -> str:
    """A duration in words, from two hours on in hours: "97.5 minutes", "27 h 54 min"."""
    said = number(value)
    return (
        in_hours(nearest(value)) if value >= HOURS_FROM_MIN else f"{said} minute{'' if said == '1' else 's'}"
    )


def how_late(value: float) -> str:
    """The same for narrow places: "97.5 min", "27 h 54 min"."""
    return in_hours(nearest(value)) if value >= HOURS_FROM_MIN else minutes(value)


def minutes(value: float) -> str:
    """A duration: "97.5 min"."""
    return f"{number(value)} min"
