"""What can be wrong with a day book, in words: one fault for each way in which SQLite refuses."""

from __future__ import annotations

import sqlite3
from pathlib import Path

from scheduler.domain.faults import Fault, Source
from scheduler.exceptions import BadInput

NOT_WRITABLE = "book-not-writable"
"""Code of the refusal of a day book that may not be written."""

ASIDE = "Put back your last copy of it, or rename it and go on with a new one."


def refused(file: Path, code: str, found: str, expected: str, mend: str) -> BadInput:
    """The refusal of a day book, with its one fault."""
    return BadInput(
        [Fault(code=code, source=Source(file=str(file)), found=found, expected=expected, mend=mend)]
    )


def in_words(file: Path, error: sqlite3.Error | OSError) -> BadInput:
    """What an error of SQLite or of the system means for the owner."""
    if isinstance(error, OSError):
        reason = (error.strerror or str(error)).lower()
        return refused(file, NOT_WRITABLE, f"can't be written: {reason}", _FREE, _RIGHTS)
    code = getattr(error, "sqlite_errorcode", sqlite3.SQLITE_ERROR) & 0xFF
    words = " ".join(str(error).split())[:120]
    if code == sqlite3.SQLITE_NOTADB:
        return refused(file, "book-not-a-book", "not a day book", "a file that Pressday made", ASIDE)
    if code in (sqlite3.SQLITE_CORRUPT, sqlite3.SQLITE_FORMAT):
        return damaged(file, words)
    if code in (sqlite3.SQLITE_BUSY, sqlite3.SQLITE_LOCKED):
        return busy(file, "another program")
    if code == sqlite3.SQLITE_FULL:
        return refused(file, "book-disk-full", "the disk is full", _FREE, "Make room and enter it again.")
    if code in (sqlite3.SQLITE_READONLY, sqlite3.SQLITE_CANTOPEN, sqlite3.SQLITE_PERM):
        return refused(file, NOT_WRITABLE, f"can't be written: {words}", _FREE, _RIGHTS)
    if code == sqlite3.SQLITE_IOERR:
        return refused(
            file, "book-disk-error", f"the disk refused: {words}", _FREE, "Check the disk and try again."
        )
    if code == sqlite3.SQLITE_ERROR:
        return damaged(file, words)
    return refused(file, "book-refused", f"the day book refused this: {words}", "a sound day book", ASIDE)


def read_only(file: Path) -> BadInput:
    """The refusal to enter something in a book that can be read and not written."""
    found = "can't be written: the file or its folder is read-only, so nothing can be entered in it"
    return refused(file, NOT_WRITABLE, found, _FREE, _RIGHTS)


def unreadable(file: Path, error: OSError) -> BadInput:
    """The refusal of a file that was to be read."""
    reason = (error.strerror or str(error)).lower()
    found = "there is no such file" if isinstance(error, FileNotFoundError) else f"can't be read: {reason}"
    mend = "Look at its name and folder."
    return refused(file, "file-unreadable", found, "a file that pressday book export wrote", mend)


def damaged(file: Path, words: str) -> BadInput:
    """The refusal of a book that can't be read; nothing of it is overwritten."""
    return refused(file, "book-damaged", f"the day book is damaged ({words})", "a sound day book", ASIDE)


def busy(file: Path, who: str) -> BadInput:
    """The refusal when somebody else keeps the book for too long."""
    found = f"{who} is writing in it and does not end"
    return refused(file, "book-busy", found, "one command at a time", "Let that end, then try again.")


_FREE = "a day book that may be written, on a disk with room"
_RIGHTS = "Check the rights of the file and its folder."
