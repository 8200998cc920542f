"""The recorded days of a folder of plans."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from typing import TYPE_CHECKING

from scheduler.domain.faults import Fault, Source
from scheduler.exceptions import BadInput

if TYPE_CHECKING:
    from pathlib import Path

    from scheduler.daybook.book import DayBook
    from scheduler.daybook.opening import Waiting
    from scheduler.domain.shop import Operator
    from scheduler.timing.recorded import Recorded, Unusable


@dataclass(frozen=True, slots=True, kw_only=True)
class Days:
    """The recorded days of a folder of plans.

    Attributes
    ----------
    crew
        As in the newest of their plans.
    """

    days: tuple[date, ...]
    runs: tuple[Recorded, ...]
    unusable: tuple[Unusable, ...]
    crew: tuple[Operator, ...]


def read_days(plans: Path | None, since: date | None, until: date | None, *, tell: Waiting) -> Days:
    """Every run of the planned days that was really timed.

    Raises
    ------
    BadInput
        When there is no day book, or no run in it with both times.
    """
    from scheduler.plans.book import whole_book

    with whole_book(plans, tell=tell) as book:
        days = days_in(book, since, until)
        if not days.runs:
            found = "no run with both its start and its end"
            mend = "Enter them: pressday started and pressday done, or a table with pressday progress."
            raise BadInput(
                [
                    Fault(
                        code="nothing-recorded",
                        source=Source(file=str(book.file)),
                        found=found,
                        expected="runs of the days asked for, with both times",
                        mend=mend,
                    )
                ]
            )
    return days


def days_in(book: DayBook, since: date | None, until: date | None, *, most: int | None = None) -> Days:
    """The recorded days of an open day book; without any when nothing was timed.

    Parameters
    ----------
    most
        Only so many of the last days with a finished run; None: all of them.
    """
    from scheduler.timing.recorded import recorded

    found: list[tuple[date, tuple[Recorded, ...], tuple[Unusable, ...]]] = []
    placed = {one.day for one in book.plans() if one.outcome == "in place"}
    crew: tuple[Operator, ...] = ()
    for day in sorted(placed, reverse=True):
        if (since and day < since) or (until and day > until):
            continue
        if len(found) == most:
            break
        newest, events = book.newest(day), book.events(day)
        if newest is None or (crew and not events):
            continue
        plan = book.plan(newest)
        crew = crew or plan.shop.crew
        timed, left = recorded(plan, events)
        if timed or left:
            found.append((day, timed, left))
    found.reverse()
    return Days(
        days=tuple(day for day, _, _ in found),
        runs=tuple(run for _, timed, _ in found for run in timed),
        unusable=tuple(run for _, _, left in found for run in left),
        crew=crew,
    )
