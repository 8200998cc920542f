"""Whether a day can still be planned from its morning, or is under way."""

from __future__ import annotations

from typing import TYPE_CHECKING

from scheduler.exceptions import BadInput
from scheduler.plans.book import opened

if TYPE_CHECKING:
    from collections.abc import Callable
    from datetime import date
    from pathlib import Path

    from scheduler.daybook.book import DayBook
    from scheduler.daybook.opening import Waiting


def check_book(out: Path, day: date, *, anew: bool, tell: Waiting) -> None:
    """Find out, before a long search, whether a plan can be booked; makes nothing.

    Parameters
    ----------
    anew
        The day may be under way: what was entered and put in since its morning is left aside.

    Raises
    ------
    BadInput
        When there is a day book and it can't be opened, or the day is under way in it.
    """
    from scheduler.daybook.opening import NAME

    if (out / NAME).exists():
        with opened(out, tell=tell) as book:
            if not anew:
                _not_under_way(book, day, _BEFORE_THE_SEARCH)


def still_before_it(day: date) -> Callable[[DayBook], None]:
    """Whether a day that was searched for is still not under way; raises `BadInput` when it is."""
    return lambda book: _not_under_way(book, day, _AFTER_THE_SEARCH)


_BEFORE_THE_SEARCH = (
    "To put orders in, use pressday rush; to plan the rest again, pressday replan. To plan it from its "
    "morning all the same and leave that aside, give --anew."
)


_AFTER_THE_SEARCH = (
    "This came in while the plan was looked for, so the search was in vain. Plan the rest of the day with "
    "pressday replan; or plan again with --anew, from its morning, and leave what came in aside."
)


def _not_under_way(book: DayBook, day: date, mend: str) -> None:
    """Refuse a plan from the morning for a day of which something is known or put in since."""
    from scheduler.daybook.facts import standing
    from scheduler.domain.clock import long_date
    from scheduler.domain.faults import Fault, Source

    booked = book.newest(day)
    if booked is None:
        return
    at = book.plan(booked).at
    entries = len(standing(book.events(day)))
    known = [f"planned again as of {at:%H:%M} (version {booked.version})"] if at is not None else []
    if entries:
        known.append(f"{entries} {'entry' if entries == 1 else 'entries'} in the day book")
    if known:
        raise BadInput(
            [
                Fault(
                    code="day-under-way",
                    source=Source(file=str(book.file)),
                    found=f"{long_date(day)} is under way: {', '.join(known)}",
                    expected="a day of which nothing has been entered or put in yet",
                    mend=mend,
                )
            ]
        )
