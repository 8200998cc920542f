"""A day book of an older form becomes one of today, with a copy beside it, or stays as it was."""

from __future__ import annotations

import sqlite3
from pathlib import Path

import pytest

from scheduler.daybook import opening, schema
from scheduler.daybook.book import DayBook
from scheduler.domain.progress import Event, EventKind
from scheduler.exceptions import BadInput
from tests.daybook.small import DAY, at

OLD = (Path(__file__).parent / "form_1.sql").read_text(encoding="utf-8")
ENTRY = Event(
    id="e1",
    number=1,
    day=DAY,
    version=1,
    kind=EventKind.FINISHED,
    run="A-front",
    who="Ana",
    at=at("8:50"),
    pieces=29,
    spoiled=1,
    reason="scorched",
    press="Press 1",
    entered=at("9:00"),
)


@pytest.fixture
def file(tmp_path: Path) -> Path:
    """A book of form 1."""
    file = tmp_path / opening.NAME
    connection = sqlite3.connect(file)
    connection.executescript(OLD)
    connection.close()
    return file


def form_of(file: Path) -> int:
    connection = sqlite3.connect(file)
    (form,) = connection.execute("PRAGMA user_version").fetchone()
    connection.close()
    return int(form)


def names(folder: Path) -> list[str]:
    return sorted(path.name for path in folder.iterdir())


def test_an_older_book_is_migrated_and_a_copy_is_kept(file: Path) -> None:
    with DayBook(file) as book:
        assert book.events() == (ENTRY,)
        assert [(one.version, one.outcome) for one in book.plans()] == [(1, "in place")]
        down = Event(
            id="e2",
            day=DAY,
            version=1,
            kind=EventKind.PRESS_DOWN,
            press="Press 2",
            at=at("10:00"),
            until=at("12:00"),
            subject="",
            data='{"why": "fuse"}',
            entered=at("10:01"),
        )
        assert book.record([down]).new[0].number == 2
        assert book.events()[1].data == '{"why": "fuse"}'
        assert book.check() == []
    assert names(file.parent) == ["day-book-form-1.sqlite", "day-book.sqlite"]
    assert (form_of(file), form_of(file.parent / "day-book-form-1.sqlite")) == (schema.FORM, 1)
    DayBook(file).close()
    assert names(file.parent) == ["day-book-form-1.sqlite", "day-book.sqlite"], "once"


def test_tables_after_a_migration_are_those_of_a_new_book(file: Path) -> None:
    def tables(of: Path) -> list[tuple[str, str]]:
        DayBook(of).close()
        connection = sqlite3.connect(of)
        found = connection.execute("SELECT name, sql FROM sqlite_master ORDER BY name").fetchall()
        connection.close()
        return found

    assert tables(file) == tables(file.parent / "new.sqlite")
    assert len(schema.STEPS) == schema.FORM


def test_a_migration_that_fails_leaves_the_book_as_it_was(
    file: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(schema, "STEPS", (schema.STEPS[0], (*schema.STEPS[1], "CREATE TABLE events (a)")))
    with pytest.raises(BadInput, match="table events already exists"):
        DayBook(file)
    monkeypatch.undo()
    assert form_of(file) == 1
    connection = sqlite3.connect(file)
    columns = [row[1] for row in connection.execute("PRAGMA table_info(events)")]
    connection.close()
    assert "until" not in columns
    with DayBook(file) as book:
        assert book.events() == (ENTRY,)
    assert names(file.parent) == ["day-book-form-1-2.sqlite", "day-book-form-1.sqlite", "day-book.sqlite"]
