"""Entry of the command line: the list of commands."""

from __future__ import annotations

import sys
import traceback
from typing import Annotated

import typer

from scheduler.cli.book import book
from scheduler.cli.check import check
from scheduler.cli.compare import compare
from scheduler.cli.done import done
from scheduler.cli.ends import DEFECT
from scheduler.cli.new import new
from scheduler.cli.plan import plan
from scheduler.cli.progress import progress
from scheduler.cli.promise import promise
from scheduler.cli.replan import replan
from scheduler.cli.rush import rush
from scheduler.cli.savings import savings
from scheduler.cli.sheets import sheets
from scheduler.cli.started import started
from scheduler.cli.sure import sure
from scheduler.cli.times import times
from scheduler.cli.undo import undo

app = typer.Typer(
    name="pressday",
    epilog="Exit codes: 0 done, 1 bad input, 2 wrong usage, 3 no plan, 70 a defect of Pressday, 130 stopped "
    "before anything was done.",
    rich_markup_mode=None,
    add_completion=False,
    no_args_is_help=True,
    pretty_exceptions_enable=False,
)
for command in (
    new,
    check,
    plan,
    sure,
    promise,
    rush,
    replan,
    sheets,
    started,
    done,
    undo,
    progress,
    times,
    savings,
    compare,
):
    app.command()(command)
app.add_typer(book)


def _version(asked: bool) -> None:
    if asked:
        from scheduler import __version__

        typer.echo(f"pressday {__version__}")
        raise typer.Exit


@app.callback()
def main(
    version: Annotated[
        bool,
        typer.Option("--version", callback=_version, is_eager=True, help="Print the version and stop."),
    ] = False,
) -> None:
    """Plan a day of heat-press work: orders from a spreadsheet in, checked plan and run sheets out."""


def run() -> None:
    """Run the command line and leave with its exit code.

    What nobody foresaw ends with a code of its own and the details that a report needs: the code of bad
    input would blame the owner's files, and that of no plan would say that there can be none.
    """
    try:
        app()
    except Exception:
        traceback.print_exc()
        typer.echo("This is a defect of Pressday. Please report it with the lines above.", err=True)
        sys.exit(DEFECT)
