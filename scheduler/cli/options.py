"""Arguments and options that more than one command takes."""

from __future__ import annotations

from datetime import date
from enum import StrEnum
from pathlib import Path
from typing import Annotated

import typer


class Paper(StrEnum):
    """Paper that the sheets are made for."""

    A4 = "a4"
    LETTER = "letter"


class Effort(StrEnum):
    """How long and how hard a plan is looked for."""

    QUICK = "quick"
    NORMAL = "normal"
    THOROUGH = "thorough"


OrdersFiles = Annotated[list[Path], typer.Argument(metavar="ORDERS", help="Orders files: xlsx or csv.")]
ShopFile = Annotated[
    Path | None,
    typer.Option(
        "--shop",
        metavar="FILE",
        help="Shop workbook. Not given: shop.xlsx beside the first orders file.",
        show_default=False,
    ),
]
AsJson = Annotated[
    bool, typer.Option("--json", help="One JSON document on standard output; words go to standard error.")
]
PaperSize = Annotated[Paper, typer.Option("--paper", help="Paper size of the sheets.")]
DAY_FORM = "YYYY-MM-DD"


def day_of_option(written: str | date) -> date:
    """The date that --day gives.

    Raises
    ------
    typer.BadParameter
        When it is written in another way or there is no such day; says how to write it.
    """
    if isinstance(written, date):
        return written
    try:
        if len(written) == len(DAY_FORM) and written[4] == written[7] == "-":
            return date.fromisoformat(written)
    except ValueError:
        pass
    from scheduler.intake.values import day_readings

    ways = " or ".join(day.isoformat() for day in day_readings(written))
    how = ways or "year-month-day, such as 2026-11-26; there may be no such day"
    raise typer.BadParameter(f'"{written}": write the day as {how}.')


Day = Annotated[
    date,
    typer.Option("--day", parser=day_of_option, metavar=DAY_FORM, help="Day to plan.", show_default=False),
]
