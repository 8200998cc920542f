"""Finding and opening the day book of a folder of plans."""

from __future__ import annotations

from contextlib import contextmanager, suppress
from dataclasses import dataclass
from typing import TYPE_CHECKING

from scheduler.exceptions import BadInput
from scheduler.now import now, this_day
from scheduler.plans.places import PLANS_NAME, above

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence
    from datetime import date
    from pathlib import Path

    from scheduler.daybook.book import BookedPlan, DayBook
    from scheduler.daybook.opening import Waiting
    from scheduler.domain.plan import Plan
    from scheduler.domain.progress import Event


@contextmanager
def opened(out: Path, *, tell: Waiting) -> Iterator[DayBook]:
    """The day book of a folder of plans, both made when they are not there.

    The book is made when something is first written in it. A folder that was made for it and is empty when
    the block raises, such as after Ctrl-C, is taken away again.

    Parameters
    ----------
    tell
        Says a line to the owner, such as that another command must end first.

    Raises
    ------
    BadInput
        When it can't be opened.
    """
    from scheduler.daybook.book import DayBook
    from scheduler.daybook.opening import NAME
    from scheduler.daybook.trouble import in_words
    from scheduler.plans.folder import check_writable

    new: list[Path] = []
    try:
        if not (out / NAME).exists():
            check_writable(out)
            new = [folder for folder in (out, *out.parents) if not folder.exists()]
            try:
                out.mkdir(parents=True, exist_ok=True)
            except OSError as error:
                raise in_words(out / NAME, error) from error
        with DayBook(out / NAME, waiting=tell, now=now, late=True) as book:
            yield book
    except BaseException:
        for folder in new:
            with suppress(OSError):  # it isn't empty, or not there
                folder.rmdir()
        raise


def tidy(folder: Path, *, tell: Waiting) -> None:
    """Bring to its end what a killed command left behind in a folder of plans, or the one above a plan's.

    For commands that need no day book: one that can't be opened is said, no more.
    """
    out = beside(folder)
    if out is not None:
        try:
            with opened(out, tell=tell) as book:
                settled(out, book, tell=tell)
        except BadInput as error:
            for fault in error.faults:
                tell(str(fault))


def settled(out: Path, book: DayBook, *, tell: Waiting) -> None:
    """Bring pending plans to their end, unless a command is at work on them that does not know of locks.

    In a folder that may only be read they stay pending, and what stands in place is read all the same.
    """
    from scheduler.daybook.lock import alone
    from scheduler.plans.folder import settle

    if not book.read_only and book.pending():
        with alone(out, what="tidying up", waiting=tell) as locked:
            if locked:
                settle(out, book)


def beside(folder: Path) -> Path | None:
    """The folder of plans that has a day book, for a folder that was named; None where none has.

    That is the folder itself, a shop folder's plans, or for the folder of a plan or of an older version of it
    the folder of plans that it is in. A book that lies above any other folder is another shop's.
    """
    from scheduler.daybook.opening import NAME

    places = (folder, folder / PLANS_NAME, *above(folder))
    return next((place for place in places if (place / NAME).exists()), None)


@contextmanager
def whole_book(plans: Path | None, *, tell: Waiting) -> Iterator[DayBook]:
    """The day book that is there, with nothing pending.

    Parameters
    ----------
    plans
        A folder of plans, of one plan, or of a shop; None: the current folder.

    Raises
    ------
    BadInput
        When there is none, or it can't be opened.
    """
    from pathlib import Path as AnyPath

    from scheduler.daybook.opening import NAME
    from scheduler.daybook.trouble import refused

    folder = plans if plans is not None else AnyPath()
    out = beside(folder)
    if out is None:
        found = f"no {NAME} here, so there is no plan yet"
        mend = f"Name the folder with --plans, or plan a day first: {_makes_one(None)}."
        raise refused(folder, "book-missing", found, "a folder of plans that pressday plan wrote", mend)
    with opened(out, tell=tell) as book:
        settled(out, book, tell=tell)
        yield book


def _no_such_plan(
    file: Path, day: date | None, version: int | None, versions: Sequence[int], days: Sequence[date]
) -> BadInput:
    """What is said when a day, or that version of it, is not planned: what there is, and what makes one."""
    from scheduler.daybook.trouble import refused

    code, mend = "no-such-plan", f"Plan the day first: {_makes_one(day)}."
    if versions:
        known, mend = ", ".join(map(str, versions)), "The version stands at the top of every sheet."
        return refused(file, code, f"no version {version} of {day} in it", f"one of: {known}", mend)
    if days:
        expected = f"a planned day: {', '.join(map(str, days))}"
        return refused(file, code, f"there is no plan of {day} yet", expected, mend)
    found = f"there is no plan of {day} yet, nor of any other day" if day else "there is no plan in it yet"
    return refused(file, code, found, "a day that is planned", mend)


def _makes_one(day: date | None) -> str:
    """The command that makes a plan."""
    return f"pressday plan ORDERS --day {day or 'YYYY-MM-DD'}"


@dataclass(frozen=True, slots=True, kw_only=True)
class OpenDay:
    """A day of an open day book.

    Attributes
    ----------
    plan
        The plan whose run numbers hold.
    events
        All entries of the day, in the order of the book.
    """

    book: DayBook
    booked: BookedPlan
    plan: Plan
    events: tuple[Event, ...]


@contextmanager
def open_day(
    plans: Path | None,
    day: date | None,
    version: int | None = None,
    *,
    moment: date | None = None,
    tell: Waiting,
) -> Iterator[OpenDay]:
    """A planned day from its day book.

    Parameters
    ----------
    plans
        A folder of plans, of one plan, or of a shop; None: the current folder.
    day
        None: that of `moment`; else today when there is a plan of it, otherwise the newest that is planned.
    version
        None: the newest.
    moment
        The date of a moment that was named: the last day planned up to then counts, where there is one.

    Raises
    ------
    BadInput
        When there is no day book, or no such plan in it.
    """
    with whole_book(plans, tell=tell) as book:
        placed = [one for one in book.plans() if one.outcome == "in place"]
        days = sorted({one.day for one in placed})
        known = max((one for one in days if moment is not None and one <= moment), default=None)
        chosen = day or known or (this_day() if this_day() in days else max(days, default=None))
        of_day = [one for one in placed if one.day == chosen]
        fitting = [one for one in of_day if version in (None, one.version)]
        if not fitting:
            raise _no_such_plan(book.file, chosen, version, [one.version for one in of_day], days)
        booked = max(fitting, key=lambda one: one.version)
        yield OpenDay(book=book, booked=booked, plan=book.plan(booked), events=book.events(booked.day))
