"""`pressday book`: the day book's file, exported, imported, looked through."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from scheduler.cli.ends import told
from scheduler.cli.options import PlansFolder
from scheduler.cli.terminal import OWNER, say
from scheduler.sheets.clock import counted

book = typer.Typer(
    name="book",
    help="Export the day book to a plain file, import one, look it through.",
    rich_markup_mode=None,
    no_args_is_help=True,
)


@book.command("export")
def export_book(
    file: Annotated[Path, typer.Argument(metavar="FILE", help="File to write; it must not be there yet.")],
    plans: PlansFolder = None,
) -> None:
    """Write the whole day book to a plain file.

    One JSON object a line: every plan with its version, every entry.
    """
    with told(as_json=False, nothing="Nothing was exported."):
        from scheduler.aside import written_aside
        from scheduler.daybook.transfer import export_lines
        from scheduler.plans.book import whole_book

        with whole_book(plans, tell=OWNER.tell) as opened_book:
            with (
                written_aside(file, overwrite=False) as part,
                part.open("w", encoding="utf-8", newline="\n") as target,
            ):
                for line in export_lines(opened_book):
                    target.write(line + "\n")
            say(f"Written: {file}, {_contents(len(opened_book.plans()), len(opened_book.events()))}")


@book.command("import")
def import_book(
    file: Annotated[Path, typer.Argument(metavar="FILE", help="File that pressday book export wrote.")],
    plans: Annotated[
        Path | None,
        typer.Option(
            "--plans",
            metavar="FOLDER",
            help="Folder of plans, made when it is not there. Not given: the current folder.",
            show_default=False,
        ),
    ] = None,
) -> None:
    """Add an exported day book to that of a folder, all or nothing.

    What is there already counts once. Sheets are not made by it.
    """
    with told(as_json=False, nothing="Nothing was imported."):
        from scheduler.daybook.transfer import import_lines, lines_of
        from scheduler.daybook.trouble import refused, unreadable
        from scheduler.plans.book import beside, opened

        try:
            text = file.read_text(encoding="utf-8-sig")
        except OSError as error:
            raise unreadable(file, error) from error
        except UnicodeDecodeError:
            expected = "a file that pressday book export wrote"
            mend = "Export the book again."
            raise refused(file, "file-unreadable", "not a text in UTF-8", expected, mend) from None
        folder = plans if plans is not None else Path()
        with opened(beside(folder) or folder, tell=OWNER.tell) as opened_book:
            done = import_lines(opened_book, lines_of(text), file.name)
            there = f"; {done.repeated} were there already" if done.repeated else ""
            say(f"Imported: {_contents(done.plans, done.events)}{there}")


@book.command("check")
def check_file(plans: PlansFolder = None) -> None:
    """Look the day book's file through for damage, and say what is in it."""
    with told(as_json=False, nothing="Nothing was changed."):
        from scheduler.daybook.trouble import damaged
        from scheduler.plans.book import whole_book

        with whole_book(plans, tell=OWNER.tell) as opened_book:
            wrong = opened_book.check()
            if wrong:
                raise damaged(opened_book.file, "; ".join(wrong)[:200])
            booked = opened_book.plans()
            for one in booked:
                opened_book.plan(one)
            say(f"Sound: {opened_book.file}, {_contents(len(booked), len(opened_book.events()))}")


def _contents(plans: int, entries: int) -> str:
    return f"{counted(plans, 'plan')}, {entries} {'entry' if entries == 1 else 'entries'}"
