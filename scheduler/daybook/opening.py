"""Opening a day book: telling it from other files, making a new one, migrating an older one."""

from __future__ import annotations

import shutil
import sqlite3
import time
from collections.abc import Callable
from contextlib import closing, suppress
from pathlib import Path

from scheduler.aside import written_numbered
from scheduler.daybook import schema
from scheduler.daybook.trouble import ASIDE, busy, damaged, in_words, refused

NAME = "day-book.sqlite"
"""Name of the day book in a folder of plans."""

SAY_AFTER_S = 1
"""After so many seconds of waiting it is said that somebody else is writing."""

PATIENCE_S = 60
"""After so many seconds waiting is given up."""

READ_PATIENCE_S = 10
"""Readers wait only while a log is being tidied, which takes moments."""

Waiting = Callable[[str], None]
"""What is told, once, when a command has to wait for another one."""


def silent(_: str) -> None:
    """Tell nobody."""


def connect(file: Path, *, waiting: Waiting = silent) -> sqlite3.Connection:
    """Open a day book; make it when it is not there, migrate it when it is of an older form.

    A migration is one transaction, and a copy of the book before it is put beside, `day-book-form-1.sqlite`.
    A file that is no day book, is damaged or of a newer form is never written to.

    Raises
    ------
    BadInput
        When it can't be opened, with the reason.
    """
    _look_at_first_bytes(file)
    try:
        connection = sqlite3.connect(file, isolation_level=None, timeout=READ_PATIENCE_S)
    except sqlite3.Error as error:
        raise in_words(file, error) from error
    try:
        form = _form(file, connection)
        _keep_a_log(connection)
        if form < schema.FORM:
            begin(file, connection, waiting)
            with Committed(connection):
                # another command may have been faster
                form = _form(file, connection)
                if 0 < form < schema.FORM:
                    _copy_beside(file, form)
                schema.upgrade(connection, form)
        return connection
    except sqlite3.Error as error:
        connection.close()
        raise in_words(file, error) from error
    except BaseException:
        connection.close()
        raise


def connect_copy(file: Path, folder: Path, *, waiting: Waiting = silent) -> sqlite3.Connection:
    """Open a copy of a day book, with what its log holds, for reading alone.

    SQLite reads a book with a log only where it may write beside it; of a read-only folder this is the way to
    read what is there, and to bring an older form up to date without touching it.

    Parameters
    ----------
    folder
        Where the copy is put; the caller takes it away.

    Raises
    ------
    BadInput
        When the book can't be read.
    """
    copy = folder / file.name
    log = file.with_name(f"{file.name}-wal")
    try:
        shutil.copyfile(file, copy)
        if log.exists():
            shutil.copyfile(log, copy.with_name(log.name))
    except OSError as error:
        raise in_words(file, error) from error
    connection = connect(copy, waiting=waiting)
    connection.execute("PRAGMA query_only = ON")
    return connection


def unmade() -> sqlite3.Connection:
    """What stands for a book that is not there: an empty one, in memory only."""
    connection = sqlite3.connect(":memory:", isolation_level=None)
    connection.execute("BEGIN")
    with Committed(connection):
        schema.upgrade(connection, 0)
    return connection


def begin(file: Path, connection: sqlite3.Connection, waiting: Waiting) -> None:
    """Begin a transaction that writes, waiting for others; says so when it takes longer than a second.

    Raises
    ------
    BadInput
        When somebody keeps the book for longer than `PATIENCE_S`.
    """
    until = time.monotonic() + PATIENCE_S
    told = False
    connection.execute(f"PRAGMA busy_timeout = {1000 * SAY_AFTER_S}")
    while True:
        try:
            connection.execute("BEGIN IMMEDIATE")
            connection.execute(f"PRAGMA busy_timeout = {1000 * READ_PATIENCE_S}")
            return
        except sqlite3.OperationalError as error:
            if error.sqlite_errorcode & 0xFF != sqlite3.SQLITE_BUSY:
                raise
        if not told:
            told = True
            waiting("Another command is writing in the day book; waiting for it.")
        if time.monotonic() > until:
            raise busy(file, "another command")


class Committed:
    """Commit the open transaction at the end of the block, or roll it back when the block raises."""

    def __init__(self, connection: sqlite3.Connection) -> None:
        self._connection = connection

    def __enter__(self) -> None:
        """Begin nothing: the transaction is open."""

    def __exit__(self, kind: type[BaseException] | None, *_: object) -> None:
        if kind is None:
            try:
                self._connection.execute("COMMIT")
                return
            except sqlite3.Error:
                self._roll_back()
                raise
        self._roll_back()

    def _roll_back(self) -> None:
        # Some errors, a full disk among them, have ended the transaction already.
        if self._connection.in_transaction:
            with suppress(sqlite3.Error):
                self._connection.execute("ROLLBACK")


def _look_at_first_bytes(file: Path) -> None:
    if file.is_dir():
        raise refused(file, "book-not-a-book", "a folder", "a file that Pressday made", ASIDE)
    if not file.parent.is_dir():
        mend = "Name a folder that pressday plan wrote."
        raise refused(file, "book-missing", "there is no such folder", "a folder of plans", mend)
    try:
        with file.open("rb") as opened:
            first = opened.read(16)
    except FileNotFoundError:
        return
    except OSError as error:
        raise in_words(file, error) from error
    if first and first != b"SQLite format 3\x00":
        raise refused(file, "book-not-a-book", "not a day book", "a file that Pressday made", ASIDE)


def _marks(connection: sqlite3.Connection) -> tuple[int, int, set[str]]:
    """Whose database it is, the form of its tables, and their names: all of one moment.

    Another command may be making the book right now.
    """
    alone = not connection.in_transaction
    if alone:
        connection.execute("BEGIN")
    try:
        (application,) = connection.execute("PRAGMA application_id").fetchone()
        (form,) = connection.execute("PRAGMA user_version").fetchone()
        tables = connection.execute("SELECT name FROM sqlite_master WHERE type = 'table'")
        return application, form, {name for (name,) in tables}
    finally:
        if alone and connection.in_transaction:
            connection.execute("ROLLBACK")


def _form(file: Path, connection: sqlite3.Connection) -> int:
    """The form of the book's tables; 0 for a new file.

    Raises
    ------
    BadInput
        When it is no day book, or of a newer form, or lacks a table.
    """
    application, form, there = _marks(connection)
    if application == 0 and form == 0 and not there:
        return 0
    if application != schema.APPLICATION_ID:
        found = "a database of another program"
        raise refused(file, "book-not-a-book", found, "a day book of Pressday", "Nothing in it was changed.")
    if form > schema.FORM:
        raise refused(
            file,
            "book-newer",
            f"a day book of form {form}, written by a newer Pressday",
            f"form {schema.FORM} or older",
            "Use that newer Pressday; nothing in the book was changed.",
        )
    missing = [table for table in schema.TABLES if table not in there]
    if missing or form < 1:
        raise damaged(file, f"table {missing[0]} is missing" if missing else f"form {form}")
    return int(form)


def _keep_a_log(connection: sqlite3.Connection) -> None:
    """Write-ahead log and full sync: what is committed survives a power cut, and readers don't wait."""
    connection.execute("PRAGMA foreign_keys = ON")
    for attempt in range(50):
        try:
            connection.execute("PRAGMA journal_mode = WAL").fetchone()
            break
        except sqlite3.OperationalError as error:
            # Two commands that make the same book at once: SQLite does not wait here by itself.
            if error.sqlite_errorcode & 0xFF != sqlite3.SQLITE_BUSY or attempt == 49:
                raise
            time.sleep(0.05)
    connection.execute("PRAGMA synchronous = FULL")


def _copy_beside(file: Path, form: int) -> None:
    """Copy the book as it is beside itself, under a name that is free."""
    with written_numbered(file.with_name(f"{file.stem}-form-{form}{file.suffix}")) as copy:
        # What a killed command left would be copied into.
        copy.part.unlink(missing_ok=True)
        with closing(sqlite3.connect(file)) as source, closing(sqlite3.connect(copy.part)) as target:
            source.backup(target)
