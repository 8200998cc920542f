"""`pressday book`: the day book's file, exported, imported, looked through."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from scheduler.cli.ends import told
from scheduler.cli.options import PlansFolder
from scheduler.cli.terminal import OWNER, say
from scheduler.domain.figures import counted

book = typer.Typer(
    name="book",
    help="Export the day book to a plain file, import one, look it through.",
    rich_markup_mode=None,
    no_args_is_help=True,
)


@book.command("export")
def export(
    file: Annotated[Path, typer.Argument(metavar="FILE", help="File to write; it must not be there yet.")],
    plans: PlansFolder = None,
) -> None:
    """Write the whole day book to a plain file.

    One JSON object a line: every plan with its version, every entry.
    """
    with told(as_json=False, nothing="Nothing was exported."):
        from scheduler.workflow.book import export_book

        done = export_book(plans, file, owner=OWNER)
        say(f"Written: {file}, {_contents(done.plans, done.entries)}")


@book.command("import")
def import_(
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
        from scheduler.workflow.book import import_book

        done = import_book(plans, file, owner=OWNER)
        there = f"; {done.repeated} were there already" if done.repeated else ""
        say(f"Imported: {_contents(done.plans, done.events)}{there}")


@book.command("check")
def check(plans: PlansFolder = None) -> None:
    """Look the day book's file through for damage, and say what is in it."""
    with told(as_json=False, nothing="Nothing was changed."):
        from scheduler.workflow.book import check_book

        found = check_book(plans, owner=OWNER)
        say(f"Sound: {found.file}, {_contents(found.plans, found.entries)}")


def _contents(plans: int, entries: int) -> str:
    return f"{counted(plans, 'plan')}, {entries} {'entry' if entries == 1 else 'entries'}"
