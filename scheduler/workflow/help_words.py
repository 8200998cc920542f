"""Help in words: what somebody would have to do or bring."""

from __future__ import annotations

from typing import TYPE_CHECKING

from scheduler.domain.clock import moment_words

if TYPE_CHECKING:
    from collections.abc import Sequence
    from datetime import date, datetime


def overtime_words(who: Sequence[str]) -> str:
    """Overtime for some people."""
    from scheduler.planning.helps import OVERTIME_MIN

    return f"{OVERTIME_MIN} minutes of overtime for {'everybody' if len(who) > 2 else ' and '.join(who)}"


def person_words(span: tuple[datetime, datetime] | None, places: Sequence[str], day: date) -> str:
    """One more person, from when to when and where; no span: without saying when."""
    if span is None:
        return "one more person"
    first, last = (moment_words(when, day) for when in span)
    return f"one more person from {first} to {last} at {' and '.join(places)}"


def whole_minute(day: date, tick: int, tick_s: int, *, up: bool = True) -> datetime:
    """A tick as a moment, to the full minute: up for "ready", so that nothing is promised too early."""
    from scheduler.planning.calendar import clock

    minute = 60 // tick_s
    whole = -(-tick // minute) * minute if up else tick // minute * minute
    return clock(day, whole, tick_s)
