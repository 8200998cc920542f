"""Finding and opening the day book of a folder of plans."""

from __future__ import annotations

from contextlib import contextmanager
from typing import TYPE_CHECKING

from scheduler.cli.ends import say

if TYPE_CHECKING:
    from collections.abc import Iterator
    from pathlib import Path

    from scheduler.daybook.book import DayBook


def say_waiting(words: str) -> None:
    """Tell the owner that another command must end first."""
    say(words, to_error=True)


@contextmanager
def opened(out: Path) -> Iterator[DayBook]:
    """The day book of a folder of plans, both made when they are not there.

    Raises
    ------
    BadInput
        When it can't be opened.
    """
    from scheduler.cli.folders import check_writable
    from scheduler.daybook.book import DayBook
    from scheduler.daybook.opening import NAME
    from scheduler.daybook.trouble import in_words

    check_writable(out)
    try:
        out.mkdir(parents=True, exist_ok=True)
    except OSError as error:
        raise in_words(out / NAME, error) from error
    with DayBook(out / NAME, waiting=say_waiting) as book:
        yield book


def check_book(out: Path) -> None:
    """Find out, before a long search, whether a plan can be booked; makes nothing.

    Raises
    ------
    BadInput
        When there is a day book and it can't be opened.
    """
    from scheduler.daybook.opening import NAME

    if (out / NAME).exists():
        with opened(out):
            pass


def tidy(folder: Path) -> None:
    """Bring to its end what a killed command left behind in a folder of plans, or the one above a plan's.

    Raises
    ------
    BadInput
        When there is a day book and it can't be opened.
    """
    from scheduler.cli.folders import settle
    from scheduler.daybook.lock import alone
    from scheduler.daybook.opening import NAME

    for out in (folder, folder.absolute().parent):
        if (out / NAME).is_file():
            with opened(out) as book:
                if book.pending():
                    with alone(out, what="tidying up", waiting=say_waiting) as locked:
                        if locked:
                            settle(out, book)
            return
