"""Arguments and options that more than one command takes."""

from __future__ import annotations

import re
from datetime import date
from enum import StrEnum
from fractions import Fraction
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Any

import typer

from scheduler.cli.typed_numbers import amount_option, share_option
from scheduler.plans.places import PLANS_NAME
from scheduler.workflow.moments import Moment

if TYPE_CHECKING:
    from collections.abc import Callable


class Paper(StrEnum):
    """Paper that the sheets are made for."""

    A4 = "a4"
    LETTER = "letter"


class Effort(StrEnum):
    """How long and how hard a plan is looked for."""

    QUICK = "quick"
    NORMAL = "normal"
    THOROUGH = "thorough"


def text_option(name: str, words: str, metavar: str, *also: str) -> typer.models.OptionInfo:
    """An option taken as typed: a file, a folder, a cell, a name.

    Parameters
    ----------
    also
        Other names of it.
    """
    info: typer.models.OptionInfo = typer.Option(name, *also, metavar=metavar, help=words, show_default=False)
    return info


def _read_option(name: str, words: str, metavar: str, read: Callable[[Any], Any]) -> typer.models.OptionInfo:
    info: typer.models.OptionInfo = typer.Option(
        name, parser=read, metavar=metavar, help=words, show_default=False
    )
    return info


def amount(name: str, words: str, metavar: str = "N") -> typer.models.OptionInfo:
    """An option that takes a number, 0 or more."""
    return _read_option(name, words, metavar, amount_option)


def share(name: str, words: str) -> typer.models.OptionInfo:
    """An option that takes a share in percent."""
    return _read_option(name, words, "SHARE", share_option)


OrdersFiles = Annotated[list[Path], typer.Argument(metavar="ORDERS", help="Orders files: xlsx or csv.")]
ShopFile = Annotated[
    Path | None,
    text_option("--shop", "Shop workbook. Not given: shop.xlsx beside the first orders file.", "FILE"),
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


def _stop_after(what: str = "Stop looking", more: str = "") -> typer.models.OptionInfo:
    info: typer.models.OptionInfo = typer.Option(
        "--seconds",
        min=0.0,
        metavar="S",
        help=f"{what} after so many seconds at the latest{more}. Not given: when the effort is spent, at the "
        "latest after 180 s (quick), 300 s (normal) or 1800 s (thorough).",
        show_default=False,
    )
    return info


StopAfter = Annotated[
    float | None, _stop_after(more="; reading the files and writing the sheets come on top, usually 3 to 5 s")
]
StopAsking = Annotated[float | None, _stop_after()]
StopEach = Annotated[float | None, _stop_after("Stop looking for each plan")]
Seed = Annotated[
    int,
    typer.Option("--seed", min=0, metavar="N", help="Same seed and effort, same plan, unless time stops it."),
]


def _whole_number(least: int, words: str) -> Callable[[str | int], int]:
    """A parser of whole numbers.

    Parameters
    ----------
    least
        Smaller ones are refused.
    words
        What to write instead of what is refused.
    """

    def read(written: str | int) -> int:
        text = str(written).strip()
        if text.isdecimal() and int(text) >= least:
            return int(text)
        raise typer.BadParameter(f'"{written}": write {words}.')

    return read


number_typed = _whole_number(1, "a whole number, from 1 on")
"""The number of a run or an entry, as typed."""

pieces_typed = _whole_number(0, "the number of pieces alone, such as 12")
"""A number of pieces, as typed."""

WorkDays = Annotated[Fraction, amount("--days", "Working days a year. Not given: 250.")]
Wage = Annotated[
    Fraction | None, amount("--wage", "What an hour of work costs, in the same money as prices.")
]
PaperSize = Annotated[Paper, typer.Option("--paper", help="Paper size of the sheets.")]
DAY_FORM = "YYYY-MM-DD"
_YEAR_FIRST = re.compile(r"(\d{4})-(\d{2})-(\d{2})")
_DAY_FIRST = re.compile(r"(\d{1,2})\. ?(\d{1,2})\. ?(\d{4})")
"""With points between the numbers the day stands first; with strokes it may be either."""


def day_of_option(written: str | date) -> date:
    """The date that --day gives.

    Raises
    ------
    typer.BadParameter
        When it is written in another way or there is no such day; says how to write it.
    """
    if isinstance(written, date):
        return written
    from scheduler.intake.cells.date_readings import day_readings, real_date

    plain = written.strip()
    numbers: tuple[str, ...] = ()
    if match := _YEAR_FIRST.fullmatch(plain):
        numbers = match.groups()
    elif match := _DAY_FIRST.fullmatch(plain):
        numbers = match.groups()[::-1]
    day = real_date(*(int(one) for one in numbers)) if numbers else None
    if day is not None:
        return day
    ways = " or ".join(day.isoformat() for day in day_readings(plain))
    forms = "year-month-day, such as 2026-11-26, or with points day.month.year, such as 26.11.2026"
    how = f"{ways}: {forms}" if ways else f"{forms}; there may be no such day"
    raise typer.BadParameter(f'"{written}": write the day as {how}.')


def day_option(name: str, words: str) -> typer.models.OptionInfo:
    """An option that takes a date."""
    return _read_option(name, words, DAY_FORM, day_of_option)


Day = Annotated[date, day_option("--day", "Day to plan.")]

TIME_FORM = "HH:MM"
HALF_OF_DAY = r"\s*[ap]\.?m\.?"
"""Behind an hour of the 12-hour clock: am, p.m."""
_CLOCK = rf"\d{{1,2}}(?:[:.]\d{{2}}(?:{HALF_OF_DAY})?|{HALF_OF_DAY})"
_DATED = re.compile(rf"(?:(\S.*\d)(?:T|\s+))?({_CLOCK})", re.IGNORECASE)


def moment_of_option(written: str | Moment) -> Moment:
    """The time that an option gives: 9:10 or 5pm, or with a date 2027-03-09T09:10.

    Raises
    ------
    typer.BadParameter
        When it is written in another way; says how to write it.
    """
    if isinstance(written, Moment):
        return written
    if match := _DATED.fullmatch(written.strip()):
        from scheduler.intake.cells.clock_values import clock
        from scheduler.intake.cells.values import Unfit

        on, at = match.groups()
        try:
            return Moment(clock(at), day_of_option(on) if on else None)
        except Unfit:
            pass
    raise typer.BadParameter(
        f'"{written}": write the time as 17:10 or 5:10pm, or with its date as 2027-03-09T17:10.'
    )


def time_option(name: str, words: str) -> typer.models.OptionInfo:
    """An option that takes a time."""
    return _read_option(name, words, TIME_FORM, moment_of_option)


AtMoment = Annotated[
    Moment | None,
    time_option("--at", "The moment from which the day is planned again. Not given: now."),
]
PictureFile = Annotated[
    Path | None,
    text_option(
        "--picture", "Draw it too: a file that ends in .png or .svg. Needs the extra for pictures.", "FILE"
    ),
]
DayPicture = Annotated[
    Path | None,
    text_option(
        "--picture",
        "Draw how full the day is too: a file that ends in .png or .svg. Needs the extra for pictures.",
        "FILE",
    ),
]
PageFile = Annotated[
    Path | None,
    text_option(
        "--page", "Write it as a web page too, with tables and pictures: a file that ends in .html.", "FILE"
    ),
]
PlansFolder = Annotated[
    Path | None,
    text_option(
        "--plans",
        "Folder of plans, or the shop folder that holds it. Not given: the current folder.",
        "FOLDER",
    ),
]
PlansOfShop = Annotated[
    Path | None,
    text_option(
        "--out",
        "Folder of plans, with a folder for each day. Not given: plans beside the shop workbook.",
        "FOLDER",
        "--plans",
    ),
]
PlannedDay = Annotated[
    date | None,
    day_option(
        "--day",
        "Day of the plan. Not given: that of a time with its date; else today if it is planned, otherwise "
        "the newest day that is.",
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
    text_option("--press", "The press, if it was another.", "NAME"),
]
DoneBy = Annotated[
    str | None,
    text_option("--who", "Who did it, if somebody else; initials will do.", "NAME"),
]


def plans_folder(beside: Path, shop: Path | None, out: Path | None) -> Path:
    """The folder of plans: the one named, or that beside the shop workbook (or beside the orders)."""
    if out is not None:
        return out
    return (shop.parent if shop is not None else beside) / PLANS_NAME
