"""Several processes write at once: each entry and each version once, in one book."""

from __future__ import annotations

import sqlite3
from contextlib import closing, suppress
from pathlib import Path

import pytest

from scheduler.daybook import opening, schema
from tests.daybook.writers import look_after, writers


def test_four_processes_at_once(tmp_path: Path) -> None:
    versions = writers(tmp_path, 4, plans=3, events=20)
    look_after(tmp_path, 4, versions, plans=3, events=20)


@pytest.mark.parametrize("read", ["PRAGMA application_id", "PRAGMA user_version", "SELECT name"])
def test_a_book_that_is_made_while_it_is_opened_is_no_other_program_s(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, read: str
) -> None:
    """Another command makes it right before the first, second or third look at what it is."""
    file = tmp_path / "day-book.sqlite"
    ordinary = sqlite3.connect
    begun: list[str] = []

    def make(statement: str) -> None:
        if not statement.startswith(read) or begun:
            return
        begun.append(statement)
        with (
            closing(ordinary(file, isolation_level=None, timeout=0)) as other,
            suppress(sqlite3.OperationalError),  # it has to wait, and does so in earnest
        ):
            other.execute("BEGIN IMMEDIATE")
            schema.upgrade(other, 0)
            other.execute("COMMIT")

    def watched(*given: object, **options: object) -> sqlite3.Connection:
        connection = ordinary(*given, **options)  # type: ignore[call-overload]
        connection.set_trace_callback(make)
        return connection  # type: ignore[no-any-return]

    monkeypatch.setattr(opening.sqlite3, "connect", watched)
    with closing(opening.connect(file)) as connection:
        assert begun
        assert connection.execute("PRAGMA user_version").fetchone() == (schema.FORM,)
        assert connection.execute("PRAGMA application_id").fetchone() == (schema.APPLICATION_ID,)
