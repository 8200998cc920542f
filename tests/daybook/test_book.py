"""The day book's file: only added to, each entry once, and a clear word for every file that is none."""

from __future__ import annotations

import shutil
import sqlite3
from collections.abc import Callable
from dataclasses import replace
from datetime import date, datetime, timedelta
from pathlib import Path
from typing import Any

import pytest

from scheduler.daybook import opening, schema
from scheduler.daybook.book import DayBook
from scheduler.domain.progress import Event, EventKind
from scheduler.exceptions import BadInput
from tests.daybook.small import DAY, at, small_plan


def entry(name: str = "one", **values: object) -> Event:
    given = {"pieces": 10, "at": at("8:30"), **values}
    return Event(
        id=name,
        day=DAY,
        version=1,
        kind=EventKind.PIECES,
        run="A-front",
        entered=at("8:31"),
        **given,  # type: ignore[arg-type]
    )


@pytest.fixture
def file(tmp_path: Path) -> Path:
    return tmp_path / opening.NAME


def test_a_plan_comes_back_whole_and_is_pending_until_it_is_in_place(file: Path) -> None:
    plan = small_plan(version=3)
    with DayBook(file, now=lambda: at("6:00")) as book:
        assert book.last_version(DAY) == 0
        booked = book.add_plan(plan, staged=".2027-03-09-new-x")
        assert (book.last_version(DAY), book.newest(DAY)) == (3, None)
        assert book.pending() == (booked,)
        book.end_plan(booked, "in place", DAY.isoformat())
        book.end_plan(booked, "dropped")
    with DayBook(file) as book:
        (found,) = book.plans()
        assert (found.outcome, found.folder, found.made_at) == ("in place", "2027-03-09", at("6:00"))
        assert book.newest(DAY) == found
        assert book.newest(date(2027, 3, 10)) is None
        assert book.plan(found) == plan


def test_a_book_that_may_come_late_is_made_by_what_is_first_written(file: Path) -> None:
    with DayBook(file, late=True) as book:
        assert (book.plans(), book.events(), book.last_version(DAY)) == ((), (), 0)
        assert list(file.parent.iterdir()) == []
        book.add_plan(small_plan(), staged="x")
        assert file.is_file() and book.last_version(DAY) == 1
    with DayBook(file, late=True) as book:
        assert book.last_version(DAY) == 1


def test_a_book_that_another_command_made_meanwhile_is_the_one(file: Path) -> None:
    with DayBook(file, late=True) as first, DayBook(file, late=True) as second:
        assert first.last_version(DAY) == 0
        second.add_plan(small_plan(), staged="x")
        assert first.last_version(DAY) == 1
        first.add_plan(small_plan(version=2), staged="y")
        assert second.last_version(DAY) == 2
    with DayBook(file) as book:
        assert [booked.version for booked in book.plans()] == [1, 2]


def test_a_version_is_booked_once(file: Path) -> None:
    with DayBook(file) as book:
        book.add_plan(small_plan(), staged="x")
        with pytest.raises(BadInput, match="version 1 of 2027-03-09 is in the day book already"):
            book.add_plan(small_plan(fingerprint="OTHER"), staged="y")
        book.add_plan(small_plan(version=2), staged="y")
        assert [one.version for one in book.plans(DAY)] == [1, 2]


def test_a_repeated_entry_counts_once_and_an_id_stands_for_one_entry(file: Path) -> None:
    with DayBook(file) as book:
        first = book.record([entry(), entry("two")])
        assert [one.number for one in first.new] == [1, 2]
        again = book.record([replace(entry("two"), entered=at("9:00")), entry("three")])
        assert ([one.id for one in again.new], [one.id for one in again.repeated]) == (["three"], ["two"])
        with pytest.raises(BadInput, match="entry one is in the day book with another content"):
            book.record([entry("four"), entry(pieces=11)])
        assert [one.id for one in book.events(DAY)] == ["one", "two", "three"], "all or none"
        assert book.events(date(2027, 3, 10)) == ()


@pytest.mark.parametrize(
    "statement",
    [
        "UPDATE events SET pieces = 99",
        "DELETE FROM events",
        "DELETE FROM plans",
        "UPDATE plans SET version = 7",
        "UPDATE plan_ends SET outcome = 'dropped'",
        "DELETE FROM plan_ends",
        "INSERT OR REPLACE INTO events (id, day, version, kind, run, who, reason, press, corrects, entered) "
        "SELECT id, day, version, kind, run, who, reason, press, corrects, entered FROM events",
        "INSERT OR REPLACE INTO plan_ends SELECT 9, plan, 'dropped', folder, at FROM plan_ends",
    ],
)
def test_nothing_is_ever_changed_whichever_program_tries(statement: str, file: Path) -> None:
    with DayBook(file) as book:
        book.record([entry()])
        book.end_plan(book.add_plan(small_plan(), staged="x"), "in place", "2027-03-09")
    with (
        sqlite3.connect(file) as connection,
        pytest.raises(sqlite3.IntegrityError, match="only ever added to"),
    ):
        connection.execute(statement)
    connection.close()
    with DayBook(file) as book:
        assert book.events() == (replace(entry(), number=1),)
        assert book.plans()[0].outcome == "in place"


def test_wrong_kinds_of_values_are_refused_by_the_tables(file: Path) -> None:
    with DayBook(file) as book:
        book.record([entry()])
    connection = sqlite3.connect(file)
    with pytest.raises(sqlite3.IntegrityError, match="cannot store TEXT value in INTEGER column"):
        connection.execute(
            "INSERT INTO events (id, day, version, kind, run, who, pieces, reason, press, corrects, entered) "
            "VALUES ('x', 'd', 1, 'pieces', 'r', '', 'many', '', '', '', 'e')"
        )
    connection.close()


def test_what_is_committed_is_on_the_disk(file: Path) -> None:
    with DayBook(file) as book:
        ask = book._connection.execute
        assert ask("PRAGMA journal_mode").fetchone() == ("wal",)
        assert ask("PRAGMA synchronous").fetchone() == (2,), "full"
        assert book.check() == []


def content(folder: Path) -> dict[str, bytes]:
    return {path.name: path.read_bytes() for path in folder.iterdir()}


def _foreign(file: Path) -> None:
    with sqlite3.connect(file) as connection:
        connection.execute("CREATE TABLE plans (a)")
    connection.close()


def _newer(file: Path) -> None:
    DayBook(file).close()
    with sqlite3.connect(file) as connection:
        connection.execute(f"PRAGMA user_version = {schema.FORM + 1}")
    connection.close()


def _without_a_table(file: Path) -> None:
    DayBook(file).close()
    with sqlite3.connect(file) as connection:
        connection.execute("DROP TABLE events")
    connection.close()


def _cut_off(file: Path) -> None:
    with DayBook(file) as book:
        for version in range(1, 6):
            book.add_plan(small_plan(version=version), staged="x")
    file.write_bytes(file.read_bytes()[:6000])


def _overwritten(file: Path) -> None:
    with DayBook(file) as book:
        book.add_plan(small_plan(), staged="x")
    data = file.read_bytes()
    file.write_bytes(data[:100] + b"\xff" * (len(data) - 100))


@pytest.mark.parametrize(
    ("make", "words"),
    [
        (
            lambda file: file.write_text("my shopping list"),
            "not a day book; expected a file that Pressday made",
        ),
        (lambda file: file.mkdir(), "a folder; expected a file that Pressday made"),
        (_foreign, "a database of another program"),
        (_newer, f"a day book of form {schema.FORM + 1}, written by a newer Pressday"),
        (_without_a_table, r"the day book is damaged \(table events is missing\)"),
        (_cut_off, "the day book is damaged"),
        (_overwritten, "the day book is damaged"),
    ],
    ids=["text", "folder", "foreign", "newer", "table missing", "cut off", "overwritten"],
)
def test_what_is_no_day_book_is_said_and_never_overwritten(
    make: Callable[[Path], object], words: str, file: Path
) -> None:
    make(file)
    before = content(file.parent) if file.is_file() else {}

    def use() -> None:
        with DayBook(file) as book:
            book.plans()
            book.record([entry()])

    with pytest.raises(BadInput, match=words):
        use()
    if before:
        assert content(file.parent)[file.name] == before[file.name]


def test_an_empty_file_becomes_a_new_book_and_a_missing_folder_is_a_fault(file: Path) -> None:
    """A command killed while it made the book leaves an empty file."""
    file.touch()
    with DayBook(file) as book:
        assert book.plans() == ()
    with pytest.raises(BadInput, match="there is no such folder"):
        DayBook(file.parent / "none" / "day-book.sqlite")


def test_a_full_disk_is_said_and_nothing_acknowledged_is_lost(file: Path) -> None:
    """SQLite's own limit on pages plays the disk: it ends in the same error."""
    with DayBook(file) as book:
        (pages,) = book._connection.execute("PRAGMA page_count").fetchone()
        book._connection.execute(f"PRAGMA max_page_count = {pages + 3}")
        acknowledged = []
        with pytest.raises(BadInput, match="the disk is full"):
            for number in range(1000):
                book.record([entry(f"{number}-{part}", reason="x" * 200) for part in range(3)])
                acknowledged.append(number)
        assert acknowledged
        assert len(book.events()) == 3 * len(acknowledged)
        assert not book._connection.in_transaction
        book._connection.execute("PRAGMA max_page_count = 100000")
        assert book.record([entry("room again")]).new


@pytest.mark.parametrize(
    ("code", "words"),
    [
        (sqlite3.SQLITE_READONLY, "can't be written: attempt to write"),
        (sqlite3.SQLITE_CANTOPEN, "can't be written: attempt to write"),
        (sqlite3.SQLITE_IOERR, "the disk refused: attempt to write"),
    ],
)
def test_a_folder_that_can_not_be_written_is_a_fault(
    code: int, words: str, file: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The refusal is played, since the superuser may write into any folder."""

    def refuse(*_: object, **__: object) -> sqlite3.Connection:
        error = sqlite3.OperationalError("attempt to write")
        error.sqlite_errorcode = code
        raise error

    monkeypatch.setattr(opening.sqlite3, "connect", refuse)
    with pytest.raises(BadInput, match=words):
        DayBook(file)


@pytest.mark.parametrize("with_log", [False, True])
def test_a_book_that_may_only_be_read_is_read_and_written_by_nobody(
    with_log: bool, file: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The refusal is played, since the superuser may write into any folder; what stands in the log counts."""
    read_only = tmp_path / "read-only" / file.name
    read_only.parent.mkdir()
    with DayBook(file) as book:
        book.record([entry()])
        if with_log:
            shutil.copy(file, read_only)
            shutil.copy(f"{file}-wal", f"{read_only}-wal")
    if not with_log:
        shutil.copy(file, read_only)
    before = {path.name: path.read_bytes() for path in read_only.parent.iterdir()}
    connect = sqlite3.connect

    def refuse(place: Path, **options: Any) -> sqlite3.Connection:
        if place == read_only:
            error = sqlite3.OperationalError("attempt to write a readonly database")
            error.sqlite_errorcode = sqlite3.SQLITE_READONLY
            raise error
        return connect(place, **options)

    monkeypatch.setattr(opening.sqlite3, "connect", refuse)
    with DayBook(read_only) as book:
        assert book.read_only and [one.id for one in book.events()] == [entry().id]
        with pytest.raises(BadInput, match="the file or its folder is read-only, so nothing can be entered"):
            book.record([entry("more")])
        copied = Path(str(book._copy and book._copy.name))
        assert copied.is_dir()
    assert not copied.exists()
    assert {path.name: path.read_bytes() for path in read_only.parent.iterdir()} == before


def test_a_clock_that_goes_backwards_changes_no_order(file: Path) -> None:
    """What is entered later corrects what was entered before, whatever the clock says."""
    clock = [datetime(2027, 3, 9, 12)]

    def now() -> datetime:
        clock[0] -= timedelta(hours=1)
        return clock[0]

    with DayBook(file, now=now) as book:
        for version in (1, 2):
            booked = book.add_plan(small_plan(version=version), staged="x")
            book.end_plan(booked, "in place", "2027-03-09")
        first, second = book.plans()
        assert first.made_at > second.made_at
        newest = book.newest(DAY)
        assert newest is not None and newest.version == 2
        book.record([entry("early", pieces=1)])
        book.record([replace(entry("late", pieces=2), entered=at("7:00"))])
        assert [one.id for one in book.events(DAY)] == ["early", "late"]


def test_a_writer_that_does_not_end_is_waited_for_aloud_and_then_named(
    file: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(opening, "SAY_AFTER_S", 0)
    monkeypatch.setattr(opening, "PATIENCE_S", 0.05)
    told: list[str] = []
    with DayBook(file) as holder, DayBook(file, waiting=told.append) as other:
        with holder.writing(), pytest.raises(BadInput, match="another command is writing in it and does not"):
            other.record([entry()])
        assert told == ["Another command is writing in the day book; waiting for it."]
        assert other.record([entry()]).new


def test_a_copy_of_the_file_is_a_book(file: Path, tmp_path: Path) -> None:
    with DayBook(file) as book:
        book.record([entry()])
    shutil.copy(file, tmp_path / "copy.sqlite")
    with DayBook(tmp_path / "copy.sqlite") as copy:
        assert copy.events() == (replace(entry(), number=1),)
    assert sorted(path.name for path in tmp_path.iterdir()) == ["copy.sqlite", "day-book.sqlite"]
