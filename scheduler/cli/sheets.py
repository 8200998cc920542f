"""`pressday sheets`: print again from a plan's folder."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from scheduler.cli.ends import told
from scheduler.cli.options import DayPicture, Paper, PaperSize
from scheduler.cli.terminal import OWNER, say_lines


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
        from scheduler.answers.files import check_asked, put_files
        from scheduler.answers.pictures import draw_load
        from scheduler.plans.book import tidy
        from scheduler.plans.kept import read_kept
        from scheduler.sheets.fonts import missing_scripts, no_font
        from scheduler.workflow.sheets import print_again

        check_asked(picture)
        tidy(folder, tell=OWNER.tell)
        plan, where = read_kept(folder)
        lacking = missing_scripts(plan)
        files = print_again(plan, where, operator=operator, press=press, paper=paper.value, owner=OWNER)
        files_said = [f"Written: {file}" for file in files]
        with told(as_json=False, nothing="The sheets were printed, the picture was not."):
            files_said += put_files((picture, lambda path: draw_load(path, plan)), known=lacking)
        say_lines([*no_font(lacking), *files_said])
