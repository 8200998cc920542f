"""The whole day book: exported, imported, looked through."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING

from scheduler.aside import written_aside
from scheduler.plans.book import beside, opened, whole_book

if TYPE_CHECKING:
    from scheduler.daybook.transfer import Imported
    from scheduler.workflow.owner import Owner


@dataclass(frozen=True, slots=True, kw_only=True)
class Contents:
    """How much is in a day book."""

    file: Path
    plans: int
    entries: int


def export_book(plans: Path | None, file: Path, *, owner: Owner) -> Contents:
    """Write the whole day book to a plain file that is not there yet.

    Raises
    ------
    BadInput
        When there is no day book, or the file can't be written.
    """
    from scheduler.daybook.transfer import export_lines

    with whole_book(plans, tell=owner.tell) as book:
        with (
            written_aside(file, overwrite=False) as part,
            part.open("w", encoding="utf-8", newline="\n") as target,
        ):
            for line in export_lines(book):
                target.write(line + "\n")
        return Contents(file=file, plans=len(book.plans()), entries=len(book.events()))


def import_book(plans: Path | None, file: Path, *, owner: Owner) -> Imported:
    """Add an exported day book to that of a folder, all or nothing.

    Raises
    ------
    BadInput
        When the file can't be read, or what is in it does not go with the book.
    """
    from scheduler.daybook.transfer import import_lines, lines_of
    from scheduler.daybook.trouble import refused, unreadable

    try:
        text = file.read_text(encoding="utf-8-sig")
    except OSError as error:
        raise unreadable(file, error) from error
    except UnicodeDecodeError:
        expected = "a file that pressday book export wrote"
        mend = "Export the book again."
        raise refused(file, "file-unreadable", "not a text in UTF-8", expected, mend) from None
    folder = plans if plans is not None else Path()
    with opened(beside(folder) or folder, tell=owner.tell) as book:
        return import_lines(book, lines_of(text), file.name)


def check_book(plans: Path | None, *, owner: Owner) -> Contents:
    """Look a day book through for damage, every plan in it too.

    Raises
    ------
    BadInput
        When there is none, or it is damaged.
    """
    from scheduler.daybook.trouble import damaged

    with whole_book(plans, tell=owner.tell) as book:
        wrong = book.check()
        if wrong:
            raise damaged(book.file, "; ".join(wrong)[:200])
        booked = book.plans()
        for one in booked:
            book.plan(one)
        return Contents(file=book.file, plans=len(booked), entries=len(book.events()))
