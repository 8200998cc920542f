"""`pressday sure`: how sure a planned day is, by replaying it."""

from __future__ import annotations

from fractions import Fraction
from pathlib import Path
from typing import Annotated

import typer

from scheduler.answers.faults import faults_json
from scheduler.cli.ends import told
from scheduler.cli.options import AsJson, PictureFile, amount, share, text_option
from scheduler.cli.terminal import OWNER, put_json, say_faults, say_lines


def sure(
    folder: Annotated[Path, typer.Argument(metavar="PLAN_FOLDER", help="Folder that pressday plan wrote.")],
    replays: Annotated[
        int, typer.Option("--replays", min=100, max=100_000, metavar="N", help="Days to replay.")
    ] = 2000,
    seed: Annotated[int, typer.Option("--seed", min=0, metavar="N", help="Same seed, same replays.")] = 1,
    study: Annotated[
        list[Path] | None,
        text_option(
            "--study",
            "Stopwatch study: the spread of its elements holds. May be given several times.",
            "FILE",
        ),
    ] = None,
    defaults: Annotated[
        bool, typer.Option("--defaults", help="Leave the recorded days in the day book aside.")
    ] = False,
    spread: Annotated[
        Fraction,
        amount(
            "--spread",
            "All spreads so many times as large: 0 for none, 1.5 for half as much again. Not given: 1.",
            "TIMES",
        ),
    ] = Fraction(1),
    spoilage: Annotated[
        Fraction | None,
        share(
            "--spoilage",
            "Pieces to press again. Not given: as many as the shop has to spare by transfer type.",
        ),
    ] = None,
    stop_minutes: Annotated[
        Fraction,
        amount("--stop-minutes", "Length of a stop, on average; 0: none. Not given: 5.", "MIN"),
    ] = Fraction(5),
    stop_every: Annotated[
        Fraction,
        amount(
            "--stop-every", "Minutes of work from one stop to the next, on average. Not given: 240.", "MIN"
        ),
    ] = Fraction(240),
    as_printed: Annotated[
        bool, typer.Option("--as-printed", help="Nobody begins a run before its printed time.")
    ] = False,
    stay: Annotated[
        Fraction,
        amount(
            "--stay",
            "Minutes that people stay after their shift when their sheet is not done. Not given: 0.",
            "MIN",
        ),
    ] = Fraction(0),
    minutes: Annotated[
        Fraction,
        amount("--minutes", "At which runs so many minutes won would help most. Not given: 5.", "MIN"),
    ] = Fraction(5),
    picture: PictureFile = None,
    json: AsJson = False,
) -> None:
    """Say how sure a plan is: its day replayed many times with the spread of real times.

    Work by hand, runs and days differ, some pieces are spoiled, and there are stops. Each press and person
    keeps the order of the plan. Says the chance of each order to be on time, and where minutes won would help
    most.
    """
    with told(as_json=json, nothing="Nothing was replayed."):
        from scheduler.answers.files import check_asked, put_files
        from scheduler.answers.pictures import draw_chances
        from scheduler.answers.sure import sure_document, sure_lines
        from scheduler.chance.spread import Spread
        from scheduler.workflow.sure import replay

        check_asked(picture)
        usual = Spread(
            stop_min=float(stop_minutes),
            stop_every_min=float(stop_every),
            spoilage=None if spoilage is None else float(spoilage),
        )
        found = replay(
            folder,
            usual,
            studies=study or [],
            recorded=not defaults,
            scale=float(spread),
            replays=replays,
            seed=seed,
            as_printed=as_printed,
            stay_min=float(stay),
            minutes=float(minutes),
            owner=OWNER,
        )
        say_faults(found.doubts, "", to_error=True)
        written = put_files((picture, lambda path: draw_chances(path, found.chances)))
        if json:
            put_json({**faults_json(found.doubts), **sure_document(found.plan, found.chances)})
            return
        say_lines([*sure_lines(found.plan, found.chances), *written])
