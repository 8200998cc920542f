"""Arguments and options that more than one command takes."""

from __future__ import annotations

from datetime import datetime
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
DAY_FORM = ["%Y-%m-%d"]
Day = Annotated[
    datetime,
    typer.Option("--day", formats=DAY_FORM, metavar="YYYY-MM-DD", help="Day to plan.", show_default=False),
]
