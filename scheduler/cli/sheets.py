"""`pressday sheets`: print again from a plan's folder."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from scheduler.cli.ends import say, told
from scheduler.cli.options import DayPicture, Paper, PaperSize


def sheets(
    folder: Annotated[Path, typer.Argument(metavar="PLAN_FOLDER", help="Folder that pressday plan wrote.")],
    operator: Annotated[str | None, typer.Option(metavar="NAME", help="Only this person's sheets.")] = None,
    press: Annotated[str | None, typer.Option(metavar="NAME", help="Only this press's sheets.")] = None,
    picture: DayPicture = None,
    paper: PaperSize = Paper.A4,
) -> None:
    """Print the sheets of a plan again.

    All of them, or one person's or one press's.
    """
    with told(as_json=False, nothing="Nothing was printed."):
        from scheduler.answers.pictures import check_asked, draw_load, put_files
        from scheduler.plans.book import tidy
        from scheduler.plans.files import print_again
        from scheduler.plans.kept import read_kept
        from scheduler.sheets.fonts import missing_scripts, no_font

        check_asked(picture)
        tidy(folder)
        plan, where = read_kept(folder)
        lacking = missing_scripts(plan)
        files = print_again(plan, where, operator=operator, press=press, paper=paper.value)
        files_said = [f"Written: {file}" for file in files]
        with told(as_json=False, nothing="The sheets were printed, the picture was not."):
            files_said += put_files((picture, lambda path: draw_load(path, plan)), known=lacking)
        for line in [*no_font(lacking), *files_said]:
            say(line)
