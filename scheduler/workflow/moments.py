"""A moment as typed; the one from which a day is planned again, and whether it can be that."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, datetime, time
from typing import TYPE_CHECKING

from scheduler.domain.faults import Fault, Source
from scheduler.domain.progress import EventKind
from scheduler.exceptions import BadInput
from scheduler.now import this_minute

if TYPE_CHECKING:
    from collections.abc import Callable, Iterable
    from pathlib import Path

    from scheduler.daybook.book import DayBook
    from scheduler.domain.plan import Plan, PlannedRun
    from scheduler.domain.progress import Event
    from scheduler.plans.book import OpenDay

BEGUN_ANEW = 5
"""Times that a day is planned again because other commands changed it in the meantime."""


@dataclass(frozen=True, slots=True)
class Moment:
    """A time as typed, with or without its date."""

    clock: time
    day: date | None = None

    def on(self, day: date) -> datetime:
        """The moment, on a day when no date was typed.

        Raises
        ------
        BadInput
            When its date is in a year in which no shop works.
        """
        if self.day is not None:
            from scheduler.intake.cells.date_readings import out_of_range

            fault = out_of_range(self.day, f"{self.day.isoformat()} {self.clock:%H:%M}")
            if fault is not None:
                raise BadInput([fault])
        return datetime.combine(self.day or day, self.clock)


def moment_for(at: Moment | None, plan: Plan, events: Iterable[Event]) -> datetime:
    """The moment that was named, or now when it is within the plan.

    Parameters
    ----------
    events
        All entries of the day.

    Raises
    ------
    BadInput
        When none was named and the plan is of another day than today, or when the book says what a run did
        after the moment: planned again from then it would be pressed twice.
    """
    from scheduler.daybook.facts import told_later

    moment = at.on(plan.day) if at else this_minute()
    if at is None and moment.date() not in plan.dates:
        raise BadInput([_not_today(plan, moment)])
    later = told_later(plan, events, moment)
    if later:
        raise BadInput([_told_later(plan, event, moment) for event in later])
    return moment


def _not_today(plan: Plan, now: datetime) -> Fault:
    from scheduler.domain.clock import long_date

    return Fault(
        code="moment-missing",
        source=Source(file="--at"),
        found=f"no moment, and the plan is of {long_date(plan.day)}; today is {long_date(now.date())}",
        expected=f"a moment of the planned day, such as --at {plan.day}T10:30",
        mend="Give the moment with --at.",
    )


def _told_later(plan: Plan, event: Event, moment: datetime) -> Fault:
    from scheduler.daybook.facts import when_of
    from scheduler.workflow.entry_words import entry_words

    words = entry_words(plan, event)
    if event.at is None:
        run = next(run for run in plan.runs if run.id == event.run)
        return Fault(
            code="moment-before-entry",
            source=Source(file="--at"),
            found=f"{moment:%H:%M}, but entry {event.number} has no time, so it counts as of "
            f"{when_of(event, run):%H:%M}: {words}",
            expected="a moment after everything that was entered",
            mend=f"Enter when it was, {_with_its_time(event, run)}; or give a later time, or take the entry "
            f"back: pressday undo {event.number}.",
        )
    return Fault(
        code="moment-before-entry",
        source=Source(file="--at"),
        found=f"{moment:%H:%M}, but entry {event.number} says what happened after it: {words}",
        expected="a moment after everything that was entered",
        mend=f"Give a later time, or take the entry back: pressday undo {event.number}.",
    )


def _with_its_time(event: Event, run: PlannedRun) -> str:
    """The command that enters an entry once more with its time."""
    if event.kind is EventKind.STARTED:
        return f"pressday started {run.number} --at HH:MM"
    spoiled = f" --spoiled {event.spoiled}" if event.spoiled else ""
    whole = (event.pieces or 0) + (event.spoiled or 0) == run.content.quantity
    pieces = "" if event.pieces is None or whole else f" --pieces {event.pieces}"
    return f"pressday done {run.number}{pieces}{spoiled} --finished HH:MM"


class OvertakenError(Exception):
    """Raised when another command changed a day while it was planned again; says what it did."""


def never_alone(plans: Path) -> Fault:
    """The fault when other commands go on and on changing a day."""
    return Fault(
        code="book-busy",
        source=Source(file=str(plans)),
        found=f"other commands changed the day {BEGUN_ANEW} times while it was planned again",
        expected="a day that nobody else plans",
        mend="Wait until the others have ended, then try again.",
    )


def still_as(day: OpenDay) -> Callable[[DayBook], None]:
    """Whether the day is as it was opened: the same newest plan, and no entry since."""

    def look(book: DayBook) -> None:
        newest = book.newest(day.plan.day)
        if newest is not None and newest.version > day.plan.version:
            raise OvertakenError(
                f"Version {newest.version} was made while this was planned from version "
                f"{day.plan.version}; planning again, from version {newest.version}."
            )
        if book.events(day.plan.day) != day.events:
            raise OvertakenError("Something was entered in the meantime; planning again with it.")

    return look
