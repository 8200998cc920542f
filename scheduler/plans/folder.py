"""The dated folder that a plan lands in: written aside, then moved in place, nothing lost.

`OUT/2027-03-09` always holds the newest plan of that day. When another one is made, what stood
there moves to `OUT/2027-03-09/version-1`, `version-2` and so on, and the new plan takes its place. A plan
that came out the same again takes the place of its older self, and nothing is counted.

The day book beside the dated folders is the truth about versions. A plan's sheets are written aside and
saved; then the plan is booked as pending, which is the moment from which it counts; then its folder is
moved in place and that is booked, too. Killed before the plan is booked, everything stands as before;
killed after that, the next command moves the folder in place (`settle`).
"""

from __future__ import annotations

import shutil
import tempfile
from contextlib import ExitStack, contextmanager, suppress
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING

from scheduler.aside import save, unwritable
from scheduler.daybook.lock import alone
from scheduler.daybook.opening import silent
from scheduler.exceptions import BadInput
from scheduler.plans.places import (
    LEFT_BEHIND,
    clear_up,
    finish_moves,
    last_version,
    put_in_place,
    renew,
    version_of,
)

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator, Mapping
    from datetime import date

    from scheduler.daybook.book import BookedPlan, DayBook
    from scheduler.daybook.opening import Waiting
    from scheduler.domain.plan import Plan
    from scheduler.domain.progress import Event


STAGED = "plan"
"""Name of the folder, in one of its own, in which a plan is written aside."""


PROBE = ".pressday-"
"""Begins the name of an empty folder that only shows whether one can be made."""


@dataclass(slots=True, kw_only=True)
class Draft:
    """A plan's folder while it is written.

    Attributes
    ----------
    folder
        Where to write; it is moved or removed when the draft ends.
    version
        1 for the first plan of the day, counted on from what is there.
    final
        Where the files stand once the draft has ended well.
    renewed
        It takes the place of the newest plan instead of coming after it.
    plan
        What is booked with it, when there is a day book.
    events
        What the plan was made because of; written into the day book with it, or not at all.
    locked
        Once it has ended well: files that stayed as they were, since another program has them open.
    still
        Asked before it is booked, while nobody else can write into the book; raises when it can't be.
    """

    folder: Path
    version: int
    final: Path
    renewed: bool = False
    plan: Plan | None = None
    events: tuple[Event, ...] = ()
    locked: tuple[str, ...] = ()
    still: Callable[[], None] | None = None

    def write(self, files: Mapping[str, bytes]) -> None:
        """Write files into the folder.

        Raises
        ------
        BadInput
            When they can't be written.
        """
        with _told(self.final.parent):
            for name, content in files.items():
                (self.folder / name).write_bytes(content)

    def renew(self) -> None:
        """Count it as the newest plan itself, which is the same."""
        self.renewed = True
        self.version -= 1


def check_writable(out: Path) -> None:
    """Find out, before a long search, whether a plan can be written below `out`; leaves nothing there.

    Raises
    ------
    BadInput
        When it can't, with the reason.
    """
    there = out
    while not there.exists() and there != there.parent:
        there = there.parent
    if not there.is_dir():
        raise _unwritable(there, "a file, not a folder")
    try:
        probe = Path(tempfile.mkdtemp(prefix=PROBE, dir=there))
        with suppress(FileNotFoundError):  # another command may have tidied it away
            probe.rmdir()
    except OSError as error:
        raise _unwritable(there, error) from error


@contextmanager
def draft(out: Path, day: date, *, book: DayBook | None = None, waiting: Waiting = silent) -> Iterator[Draft]:
    """A folder to write a plan of a day in, moved in place and booked when the block ends well.

    When the block raises, everything written is removed and what stood there before is untouched.

    Raises
    ------
    BadInput
        When the folder or the book can't be written, or another command does not let go of them.
    """
    final = out / day.isoformat()
    check_writable(out)
    with ExitStack() as stack:
        with _told(out):
            out.mkdir(parents=True, exist_ok=True)
            what = f"writing the sheets of {day}"
            locked = stack.enter_context(alone(out, what=what, waiting=waiting))
            if locked:
                if book is not None:
                    settle(out, book)
                clear_up(final)
            staged = Path(tempfile.mkdtemp(prefix=f".{final.name}-new-", dir=out))
            stack.callback(shutil.rmtree, staged, ignore_errors=True)
            last = max(last_version(final), book.last_version(day) if book else 0)
            one = Draft(folder=staged / STAGED, version=last + 1, final=final)
            one.folder.mkdir()
        # Not within: what goes wrong while the sheets are made is not for want of a place to write.
        yield one
        with _told(out):
            _end(out, day, book, one)


def _end(out: Path, day: date, book: DayBook | None, one: Draft) -> None:
    """Move what was written in place, and book it."""
    if one.renewed:
        _save(one.folder)
        one.locked = renew(one.folder, one.final)
        _save(one.final)
        if book is not None and one.events:
            book.record(one.events)
        if book is not None and one.plan is not None and not book.has(day, one.version):
            # made before there was a day book, or before the owner began a new one
            staged = one.folder.parent.name
            book.end_plan(book.add_plan(one.plan, staged=staged), "in place", one.final.name)
    elif book is not None and one.plan is not None:
        one.final = _book_and_place(out, one.plan, book, one)
    else:
        one.final = put_in_place(one.folder, one.final, one.version)


@contextmanager
def _told(out: Path) -> Iterator[None]:
    """Turn what the system refuses into words."""
    try:
        yield
    except OSError as error:
        raise _unwritable(out, error) from error


def _book_and_place(out: Path, plan: Plan, book: DayBook, one: Draft) -> Path:
    _save(one.folder)
    booked = book.add_plan(plan, staged=one.folder.parent.name, events=one.events, still=one.still)
    try:
        final = put_in_place(one.folder, one.final, one.version)
        _save(out)
        book.end_plan(booked, "in place", final.name)
    except BaseException:
        _settle_one(out, book, booked, forward=False)
        raise
    return final


def settle(out: Path, book: DayBook) -> None:
    """Bring plans to their end that a killed command has booked but not moved in place.

    The caller keeps other commands out of the folder.
    """
    for booked in book.pending():
        _settle_one(out, book, booked, forward=True)
    for left in out.glob(".????-??-??-*"):
        if LEFT_BEHIND.match(left.name):
            clear_up(out / left.name[1:11])
    for probe in out.glob(f"{PROBE}*"):
        with suppress(OSError):
            probe.rmdir()


def _settle_one(out: Path, book: DayBook, booked: BookedPlan, *, forward: bool) -> None:
    final = out / booked.day.isoformat()
    finish_moves(final)
    # A book may come from anywhere: only a folder that a draft makes is moved or removed.
    if LEFT_BEHIND.match(booked.staged):
        staged = out / booked.staged
        if (staged / STAGED).is_dir() and forward:
            final = put_in_place(staged / STAGED, final, booked.version)
        shutil.rmtree(staged, ignore_errors=True)
    _save(out)
    there = [final, *final.parent.glob(f"{final.name}-version-*"), *final.glob("version-*")]
    found = next((folder for folder in there if version_of(folder) == booked.version), None)
    if found is None:
        book.end_plan(booked, "dropped")
    else:
        book.end_plan(booked, "in place", final.name if final in found.parents else found.name)


def _save(folder: Path) -> None:
    """Have the system write a folder with its files to the disk, so that a power cut can't take them."""
    for path in [*sorted(folder.glob("*")), folder] if folder.name == STAGED else [folder]:
        save(path)


def _unwritable(folder: Path, why: OSError | str) -> BadInput:
    return unwritable(folder, why, mend="Choose another folder with --out, or free this one.")
