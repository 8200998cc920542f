"""The day book of a folder of plans: plans, their versions, and what happened."""

from __future__ import annotations

import sqlite3
from collections.abc import Callable, Iterable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass, replace
from datetime import date, datetime
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import Any, Literal
from uuid import uuid4

from scheduler.daybook.opening import Committed, Waiting, begin, connect, connect_copy, silent, unmade
from scheduler.daybook.plan_text import PLAN_FORM, plan_of_text, plan_text
from scheduler.daybook.trouble import ASIDE, NOT_WRITABLE, damaged, in_words, read_only, refused
from scheduler.domain.plan import Plan
from scheduler.domain.progress import Event, EventKind
from scheduler.exceptions import BadInput

Outcome = Literal["pending", "in place", "dropped"]

_EVENT = (
    "number, id, day, version, kind, run, who, at, pieces, spoiled, reason, press, until, subject, data, "
    "led_to, corrects, entered"
)


def new_id() -> str:
    """An id that nobody else has made."""
    return uuid4().hex


@dataclass(frozen=True, slots=True, kw_only=True)
class BookedPlan:
    """A plan in the book, without its contents.

    Attributes
    ----------
    number
        Its place in the book.
    form
        The form that its text is kept in.
    staged
        Name of the folder in which its sheets were written aside.
    outcome
        "pending" until its sheets stand in place.
    folder
        Name of the folder in which they stood then.
    """

    number: int
    id: str
    day: date
    version: int
    made_at: datetime
    form: int
    fingerprint: str
    staged: str
    outcome: Outcome
    folder: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Recorded:
    """What became of entries that were handed in: the new ones, and those that were there already."""

    new: tuple[Event, ...]
    repeated: tuple[Event, ...]


class DayBook:
    """An open day book. Reading sees what is committed; every method that writes is one transaction.

    Parameters
    ----------
    file
        Made when it is not there; its folder must be.
    waiting
        Told once when another command is writing.
    now
        The clock, without a zone.
    late
        A file that is not there is made when something is first written, and not before: who gives up
        until then leaves none behind.

    Raises
    ------
    BadInput
        From every method: when the file is no day book, damaged, newer, held by somebody else, or can't be
        read; from those that write: when it, or its folder, is read-only.
    """

    def __init__(
        self,
        file: Path,
        *,
        waiting: Waiting = silent,
        now: Callable[[], datetime] = datetime.now,
        late: bool = False,
    ) -> None:
        self.file = file
        self._waiting = waiting
        self._now = now
        self._unmade = late and not file.exists()
        self._copy: TemporaryDirectory[str] | None = None
        self._connection = unmade() if self._unmade else self._open()

    def _open(self) -> sqlite3.Connection:
        """The file; of one that can't be written, a copy to read."""
        try:
            return connect(self.file, waiting=self._waiting)
        except BadInput as error:
            if error.faults[0].code != NOT_WRITABLE or not self.file.is_file():
                raise
            try:
                self._copy = TemporaryDirectory(prefix="pressday-")
            except OSError:
                raise error from None
            try:
                return connect_copy(self.file, Path(self._copy.name), waiting=self._waiting)
            except BaseException:
                self._copy.cleanup()
                raise

    @property
    def read_only(self) -> bool:
        """Whether it can only be read, since its folder or file may not be written."""
        return self._copy is not None

    def __enter__(self) -> DayBook:
        return self

    def __exit__(self, *_: object) -> None:
        self.close()

    def close(self) -> None:
        """Close the file; what was written is safe before that."""
        self._connection.close()
        if self._copy is not None:
            self._copy.cleanup()

    # Plans

    def last_version(self, day: date) -> int:
        """The greatest version of a day's plans, whatever became of them; 0 when there is none."""
        rows = self._rows("SELECT max(version) FROM plans WHERE day = ?", day.isoformat())
        return int(rows[0][0] or 0)

    def has(self, day: date, version: int) -> bool:
        """Whether that version of a day is booked, whatever became of it."""
        return any(booked.version == version for booked in self.plans(day))

    def add_plan(
        self,
        plan: Plan,
        *,
        staged: str,
        events: Iterable[Event] = (),
        still: Callable[[], None] | None = None,
    ) -> BookedPlan:
        """Book a plan whose sheets are written aside, as pending, with what it was made because of.

        Parameters
        ----------
        still
            Asked when nobody else can write any more; nothing is booked when it raises.

        Raises
        ------
        BadInput
            When that version of the day is booked already.
        """
        booked = BookedPlan(
            number=0,
            id=new_id(),
            day=plan.day,
            version=plan.version,
            made_at=self._now(),
            form=PLAN_FORM,
            fingerprint=plan.fingerprint,
            staged=staged,
            outcome="pending",
        )
        with self.writing():
            if still is not None:
                still()
            number = self.insert_plan(booked, plan_text(plan))
            self.insert_events(events)
        return replace(booked, number=number)

    def insert_plan(self, booked: BookedPlan, text: str) -> int:
        """Put a plan's row in, inside an open transaction; its number in the book."""
        taken = self._rows(
            "SELECT id FROM plans WHERE day = ? AND version = ?", booked.day.isoformat(), booked.version
        )
        if taken:
            found = f"version {booked.version} of {booked.day} is in the day book already"
            mend = "Plan the day again: it gets the next version."
            raise refused(self.file, "book-version-twice", found, "each version once", mend)
        cursor = self._connection.execute(
            "INSERT INTO plans (id, day, version, made_at, form, fingerprint, staged, plan) "
            "VALUES (?, ?, ?, ?, ?, ?, ?, ?)",
            (
                booked.id,
                booked.day.isoformat(),
                booked.version,
                booked.made_at.isoformat(),
                booked.form,
                booked.fingerprint,
                booked.staged,
                text,
            ),
        )
        return int(cursor.lastrowid or 0)

    def end_plan(self, booked: BookedPlan, outcome: Outcome, folder: str = "") -> None:
        """Note that a pending plan's sheets stand in a folder, or are gone; again is no harm."""
        with self.writing():
            self.insert_end(booked.id, outcome, folder, self._now())

    def insert_end(self, plan: str, outcome: str, folder: str, at: datetime) -> bool:
        """Put the end of a pending plan in, inside an open transaction; False when it is there."""
        if self._rows("SELECT 1 FROM plan_ends WHERE plan = ?", plan):
            return False
        self._connection.execute(
            "INSERT INTO plan_ends (plan, outcome, folder, at) VALUES (?, ?, ?, ?)",
            (plan, outcome, folder, at.isoformat()),
        )
        return True

    def plans(self, day: date | None = None) -> tuple[BookedPlan, ...]:
        """The plans of a day, or all, in the order in which they were booked."""
        where, values = ("WHERE p.day = ?", (day.isoformat(),)) if day else ("", ())
        rows = self._rows(
            "SELECT p.number, p.id, p.day, p.version, p.made_at, p.form, p.fingerprint, p.staged, "
            "e.outcome, e.folder FROM plans p LEFT JOIN plan_ends e ON e.plan = p.id "
            f"{where} ORDER BY p.number",
            *values,
        )
        with self._read():
            return tuple(
                BookedPlan(
                    number=number,
                    id=id_,
                    day=date.fromisoformat(on),
                    version=version,
                    made_at=datetime.fromisoformat(made_at),
                    form=form,
                    fingerprint=fingerprint,
                    staged=staged,
                    outcome=outcome or "pending",
                    folder=folder or "",
                )
                for number, id_, on, version, made_at, form, fingerprint, staged, outcome, folder in rows
            )

    def pending(self) -> tuple[BookedPlan, ...]:
        """Plans whose sheets are on their way, or were when a command was killed."""
        return tuple(booked for booked in self.plans() if booked.outcome == "pending")

    def newest(self, day: date) -> BookedPlan | None:
        """The newest plan of a day whose sheets stand in place."""
        placed = [booked for booked in self.plans(day) if booked.outcome == "in place"]
        return max(placed, key=lambda booked: booked.version, default=None)

    def text_of(self, booked: BookedPlan) -> str:
        """The text of a plan as it was booked."""
        rows = self._rows("SELECT plan FROM plans WHERE id = ?", booked.id)
        if not rows:
            raise refused(self.file, "book-no-plan", "no such plan in it", "a plan of this book", ASIDE)
        return str(rows[0][0])

    def plan(self, booked: BookedPlan) -> Plan:
        """A plan whole."""
        try:
            return plan_of_text(self.text_of(booked), booked.form)
        except (ValueError, KeyError, RecursionError) as error:
            words = " ".join(str(error).split())[:120]
            found = f"version {booked.version} of {booked.day} can't be read: {words}"
            mend = "Use the Pressday that wrote it, or plan the day again."
            raise refused(
                self.file, "book-plan-unreadable", found, f"a plan of form {PLAN_FORM}", mend
            ) from error

    # Entries

    def record(self, events: Iterable[Event]) -> Recorded:
        """Write entries down, all or none.

        An entry whose id is in the book with the same content is there already and counts once.

        Raises
        ------
        BadInput
            When an id stands in the book for another entry.
        """
        with self.writing():
            return self.insert_events(events)

    def insert_events(self, events: Iterable[Event]) -> Recorded:
        """Put entries in, inside an open transaction."""
        new, repeated = [], []
        for event in events:
            rows = self._rows(f"SELECT {_EVENT} FROM events WHERE id = ?", event.id)
            if rows:
                there = self._event(rows[0])
                if replace(there, number=0, entered=event.entered) != replace(event, number=0):
                    found = f"entry {event.id} is in the day book with another content"
                    mend = "Enter it anew; it then gets an id of its own."
                    raise refused(self.file, "book-id-twice", found, "each id once", mend)
                repeated.append(there)
                continue
            marks = ", ".join("?" * (_EVENT.count(",")))
            cursor = self._connection.execute(
                f"INSERT INTO events ({_EVENT.partition(', ')[2]}) VALUES ({marks})", _values(event)
            )
            new.append(replace(event, number=int(cursor.lastrowid or 0)))
        return Recorded(new=tuple(new), repeated=tuple(repeated))

    def events(self, day: date | None = None) -> tuple[Event, ...]:
        """The entries of a day, or all, in the order in which they came in."""
        where, values = ("WHERE day = ?", (day.isoformat(),)) if day else ("", ())
        rows = self._rows(f"SELECT {_EVENT} FROM events {where} ORDER BY number", *values)
        return tuple(self._event(row) for row in rows)

    def _event(self, row: tuple[Any, ...]) -> Event:
        values = dict(zip(_EVENT.split(", "), row, strict=True))
        with self._read():
            return Event(
                **{
                    **values,
                    "day": date.fromisoformat(str(values["day"])),
                    "kind": EventKind(values["kind"]),
                    "at": datetime.fromisoformat(str(values["at"])) if values["at"] else None,
                    "until": datetime.fromisoformat(str(values["until"])) if values["until"] else None,
                    "entered": datetime.fromisoformat(str(values["entered"])),
                }
            )

    # The file

    def check(self) -> list[str]:
        """What SQLite finds wrong with the file; nothing when it is sound."""
        rows = self._rows("PRAGMA integrity_check") + self._rows("PRAGMA foreign_key_check")
        return [str(row[0]) for row in rows if row[0] != "ok"]

    @contextmanager
    def writing(self) -> Iterator[None]:
        """One transaction around what the `insert` methods do."""
        if self.read_only:
            raise read_only(self.file)
        self._make()
        try:
            begin(self.file, self._connection, self._waiting)
            with Committed(self._connection):
                yield
        except sqlite3.Error as error:
            raise in_words(self.file, error) from error

    def _make(self) -> None:
        """Have the file itself from now on."""
        if self._unmade:
            connection = connect(self.file, waiting=self._waiting)
            self._connection.close()
            self._connection, self._unmade = connection, False

    def _rows(self, sql: str, *values: object) -> list[tuple[Any, ...]]:
        if self._unmade and self.file.exists():
            # another command has made it meanwhile
            self._make()
        try:
            return self._connection.execute(sql, values).fetchall()
        except sqlite3.Error as error:
            raise in_words(self.file, error) from error

    @contextmanager
    def _read(self) -> Iterator[None]:
        """Turn a value that no Pressday wrote into words."""
        try:
            yield
        except (ValueError, TypeError) as error:
            raise damaged(self.file, " ".join(str(error).split())[:120]) from error


def _values(event: Event) -> tuple[object, ...]:
    return (
        event.id,
        event.day.isoformat(),
        event.version,
        event.kind.value,
        event.run,
        event.who,
        event.at.isoformat() if event.at else None,
        event.pieces,
        event.spoiled,
        event.reason,
        event.press,
        event.until.isoformat() if event.until else None,
        event.subject,
        event.data,
        event.led_to,
        event.corrects,
        event.entered.isoformat(),
    )
