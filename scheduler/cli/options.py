"""Arguments and options that more than one command takes."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, datetime, time
from enum import StrEnum
from fractions import Fraction
from pathlib import Path
from typing import Annotated

import typer

from scheduler.cli.figures import amount_option


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
AcceptPartial = Annotated[
    bool,
    typer.Option(
        "--accept-partial", help="Go on with the orders that are sound; the others are listed as not planned."
    ),
]
SearchEffort = Annotated[Effort, typer.Option("--effort", help="How hard to look.")]
StopAfter = Annotated[
    float | None,
    typer.Option(
        "--seconds",
        min=0.0,
        metavar="S",
        help="Stop looking after so many seconds at the latest. Not given: when the effort is spent, "
        "at the latest after 180 s (quick), 300 s (normal) or 1800 s (thorough).",
        show_default=False,
    ),
]
Seed = Annotated[
    int,
    typer.Option("--seed", min=0, metavar="N", help="Same seed and effort, same plan, unless time stops it."),
]


def amount(name: str, words: str, metavar: str = "N") -> typer.models.OptionInfo:
    """An option that takes a number, 0 or more."""
    info: typer.models.OptionInfo = typer.Option(
        name, parser=amount_option, metavar=metavar, help=words, show_default=False
    )
    return info


def number_typed(written: str | int) -> int:
    """The number of a run or an entry.

    Raises
    ------
    typer.BadParameter
        When it is none.
    """
    text = str(written).strip()
    if text.isdecimal() and int(text) > 0:
        return int(text)
    raise typer.BadParameter(f'"{text}": write a whole number, from 1 on.')


WorkDays = Annotated[Fraction, amount("--days", "Working days a year. Not given: 250.")]
Wage = Annotated[
    Fraction | None, amount("--wage", "What an hour of work costs, in the same money as prices.")
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
    from scheduler.intake.date_readings import day_readings

    ways = " or ".join(day.isoformat() for day in day_readings(written))
    how = ways or "year-month-day, such as 2026-11-26; there may be no such day"
    raise typer.BadParameter(f'"{written}": write the day as {how}.')


Day = Annotated[
    date,
    typer.Option("--day", parser=day_of_option, metavar=DAY_FORM, help="Day to plan.", show_default=False),
]

PLANS_NAME = "plans"
"""Name of the folder of plans in a shop folder."""

TIME_FORM = "HH:MM"


@dataclass(frozen=True, slots=True)
class Moment:
    """A time as typed, with or without its date."""

    clock: time
    day: date | None = None

    def on(self, day: date) -> datetime:
        """The moment, on a day when no date was typed."""
        return datetime.combine(self.day or day, self.clock)


def moment_of_option(written: str | Moment) -> Moment:
    """The time that an option gives: 9:10, or with a date 2027-03-09T09:10.

    Raises
    ------
    typer.BadParameter
        When it is written in another way; says how to write it.
    """
    if isinstance(written, Moment):
        return written
    on, _, clock = written.strip().replace("T", " ").rpartition(" ")
    hours, _, minutes = clock.replace(".", ":").partition(":")
    try:
        if len(minutes) == 2 and hours.isdecimal() and minutes.isdecimal():
            return Moment(time(int(hours), int(minutes)), day_of_option(on.strip()) if on.strip() else None)
    except ValueError:
        pass
    raise typer.BadParameter(f'"{written}": write the time as 9:10, or with its date 2027-03-09T09:10.')


PictureFile = Annotated[
    Path | None,
    typer.Option(
        "--picture",
        metavar="FILE",
        help="Draw it too: a file that ends in .png or .svg. Needs the extra for pictures.",
        show_default=False,
    ),
]
PlansFolder = Annotated[
    Path | None,
    typer.Option(
        "--plans",
        metavar="FOLDER",
        help="Folder of plans, or the shop folder that holds it. Not given: the current folder.",
        show_default=False,
    ),
]
PlannedDay = Annotated[
    date | None,
    typer.Option(
        "--day",
        parser=day_of_option,
        metavar=DAY_FORM,
        help="Day of the plan. Not given: today if it is planned, otherwise the newest day that is.",
        show_default=False,
    ),
]
SheetVersion = Annotated[
    int | None,
    typer.Option(
        "--sheet-version",
        min=1,
        metavar="N",
        help="Version printed on the sheet that the run numbers are from. Not given: the newest.",
        show_default=False,
    ),
]
RunNumbers = Annotated[
    list[int],
    typer.Argument(metavar="RUN", parser=number_typed, help="Number of the run on the sheets; one or more."),
]
PressUsed = Annotated[
    str | None,
    typer.Option("--press", metavar="NAME", help="The press, if it was another.", show_default=False),
]
DoneBy = Annotated[
    str | None,
    typer.Option(
        "--who", metavar="NAME", help="Who did it, if somebody else; initials will do.", show_default=False
    ),
]


def time_option(name: str, words: str) -> typer.models.OptionInfo:
    """An option that takes a time."""
    info: typer.models.OptionInfo = typer.Option(
        name, parser=moment_of_option, metavar=TIME_FORM, help=words, show_default=False
    )
    return info


def plans_folder(beside: Path, shop: Path | None, out: Path | None) -> Path:
    """The folder of plans: the one named, or that beside the shop workbook (or beside the orders)."""
    if out is not None:
        return out
    return (shop.parent if shop is not None else beside) / PLANS_NAME
