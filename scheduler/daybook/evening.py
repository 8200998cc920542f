"""What was mounted on each press when the last planned day before another one was over."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, datetime, time

from scheduler.daybook.book import DayBook
from scheduler.daybook.state import state_at


@dataclass(frozen=True, slots=True, kw_only=True)
class Evening:
    """The platens that presses were left with.

    Attributes
    ----------
    day
        The day of the plan.
    mounted
        By press; None: nothing is on it.
    """

    day: date
    mounted: dict[str, str | None]


def evening_before(book: DayBook, day: date) -> Evening | None:
    """The platens by the newest plan of the latest day before another, and by what was entered of it.

    What nobody said anything of counts as gone to plan, as for `state_at`. None: no day before is planned.
    """
    before = [one.day for one in book.plans() if one.day < day and one.outcome == "in place"]
    booked = book.newest(max(before)) if before else None
    if booked is None:
        return None
    state = state_at(book.plan(booked), book.events(booked.day), datetime.combine(day, time()))
    return Evening(day=booked.day, mounted={one.press: one.platen or None for one in state.presses})
