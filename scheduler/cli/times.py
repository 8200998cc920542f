"""`pressday times`: stopwatch studies, and what becomes of them."""

from __future__ import annotations

from datetime import date
from enum import StrEnum
from fractions import Fraction
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from scheduler.answers.faults import faults_json
from scheduler.cli.ends import told
from scheduler.cli.options import (
    AsJson,
    PageFile,
    Paper,
    PaperSize,
    PictureFile,
    PlansFolder,
    WorkDays,
    day_option,
    share,
    text_option,
)
from scheduler.cli.terminal import OWNER, put_json, say, say_faults, say_lines

if TYPE_CHECKING:
    from scheduler.timing.study import Sureness


class AllowanceOf(StrEnum):
    """What the allowance is a share of."""

    BASIC_TIME = "basic-time"
    SHIFT = "shift"


def times(
    studies: Annotated[
        list[Path] | None,
        typer.Argument(metavar="STUDY", help="Readings: xlsx or csv; one or more.", show_default=False),
    ] = None,
    form: Annotated[
        Path | None,
        text_option("--form", "Write a blank study to fill in: pdf to print, xlsx or csv to type.", "FILE"),
    ] = None,
    shop: Annotated[
        Path | None,
        text_option(
            "--shop",
            "Shop workbook: its allowance and its recipes hold. Not given: the program's allowance.",
            "FILE",
        ),
    ] = None,
    take_over: Annotated[
        bool,
        typer.Option(
            "--take-over",
            help="Put the basic times into the element times of the shop workbook; the old ones are kept in "
            "it with the date, and a copy of the workbook beside it.",
        ),
    ] = False,
    drop: Annotated[
        list[str] | None,
        text_option(
            "--drop",
            "Leave the reading in that cell out, such as K7 or Study!K7. May be given several times.",
            "CELL",
        ),
    ] = None,
    keep: Annotated[
        list[str] | None,
        text_option(
            "--keep",
            "The reading in that cell is right, though it is far from the others: --take-over may go on. May "
            "be given several times.",
            "CELL",
        ),
    ] = None,
    allowance: Annotated[
        Fraction | None,
        share("--allowance", "Allowance. Not given: that of the shop, or 11 %."),
    ] = None,
    allowance_of: Annotated[
        AllowanceOf, typer.Option("--allowance-of", help="What the allowance is a share of.")
    ] = AllowanceOf.BASIC_TIME,
    precision: Annotated[
        Fraction,
        share("--precision", "How far off the mean may be, to either side. Not given: 5 %."),
    ] = Fraction(5, 100),
    confidence: Annotated[
        Fraction,
        share("--confidence", "How sure that shall be. Not given: 95 %, counted as two standard deviations."),
    ] = Fraction(95, 100),
    orders: Annotated[
        list[Path] | None,
        text_option(
            "--orders",
            "Orders files: which of their lines are pressed longer than the recipe. Needs --shop.",
            "FILE",
        ),
    ] = None,
    day: Annotated[
        date | None,
        day_option("--day", "Day of those orders. Not given: as pressday check takes it."),
    ] = None,
    days: WorkDays = Fraction(250),
    recorded: Annotated[
        bool,
        typer.Option(
            "--recorded",
            help="Instead of a study: starts, pieces and ends in the day book against what was planned.",
        ),
    ] = False,
    plans: PlansFolder = None,
    since: Annotated[date | None, day_option("--since", "First recorded day to count.")] = None,
    until: Annotated[date | None, day_option("--until", "Last recorded day to count.")] = None,
    picture: PictureFile = None,
    page: PageFile = None,
    paper: PaperSize = Paper.A4,
    json: AsJson = False,
) -> None:
    """Work out a stopwatch study: mean, spread, readings still needed, basic and standard time.

    Readings far from the others are shown and stay in the figures unless you drop them. Nothing is put into
    the shop workbook unless you say so. With --recorded the days in the day book say which standards are off.
    """
    _fitting(
        studies, form, shop, take_over=take_over, orders=orders, recorded=recorded, picture=picture, page=page
    )
    if recorded:
        sure = float(_sureness(precision, confidence).confidence)
        _recorded(plans, since, until, sure, picture=picture, page=page, as_json=json)
        return
    with told(as_json=json, nothing="Nothing was taken over." if take_over else "Nothing was worked out."):
        from scheduler.answers.files import check_asked, put_files
        from scheduler.answers.pages import study_page
        from scheduler.answers.pictures import draw_spread
        from scheduler.answers.times.study import study_lines
        from scheduler.answers.times.study_document import study_document
        from scheduler.workflow.times.by_recipe import by_recipe
        from scheduler.workflow.times.study import put_over, read_study, write_form

        if form is not None:
            say(write_form(form, paper.value))
            return
        check_asked(picture, page)
        of = "shift" if allowance_of is AllowanceOf.SHIFT else "basic time"
        asked = _sureness(precision, confidence)
        study = read_study(
            studies or [], shop, drop or [], keep or [], allowance=allowance, of=of, sureness=asked
        )
        recipes = by_recipe(study, orders or [], shop, day, days)
        written = put_files((picture, lambda path: draw_spread(path, study.elements)))
        taken = put_over(study, shop) if take_over and shop is not None else None
        nothing = "The page was not written; the times were taken over." if taken else "No page was written."
        with told(as_json=json, nothing=nothing):
            written += put_files((page, lambda _: study_page(study, recipes, taken)))
        doubts = (*study.doubts, *recipes.doubts)
        say_faults(doubts, "", to_error=True)
        if json:
            put_json({**faults_json(doubts), **study_document(study, recipes, taken)})
            return
        say_lines([*study_lines(study, recipes, taken), *written])


def _fitting(
    studies: list[Path] | None,
    form: Path | None,
    shop: Path | None,
    *,
    take_over: bool,
    orders: list[Path] | None,
    recorded: bool,
    picture: Path | None,
    page: Path | None,
) -> None:
    """Refuse options that don't go together."""
    asked = [
        words
        for words, given in (
            ("a study", bool(studies)),
            ("--form", form is not None),
            ("--recorded", recorded),
        )
        if given
    ]
    if not asked:
        raise typer.BadParameter("name the studies, or a form to write with --form, or --recorded.")
    if len(asked) > 1:
        raise typer.BadParameter(f"{' and '.join(asked)}: not both at once; leave one of them out.")
    if take_over and shop is None:
        raise typer.BadParameter("name the shop workbook with --shop.", param_hint="--take-over")
    if form is not None and (picture is not None or page is not None):
        raise typer.BadParameter("an empty form has nothing to draw.", param_hint="--form")
    if orders and shop is None:
        raise typer.BadParameter("name the shop workbook with --shop.", param_hint="--orders")


def _recorded(
    plans: Path | None,
    since: date | None,
    until: date | None,
    confidence: float,
    *,
    picture: Path | None,
    page: Path | None,
    as_json: bool,
) -> None:
    with told(as_json=as_json, nothing="Nothing was worked out."):
        from scheduler.answers.files import check_asked, put_files
        from scheduler.answers.pages import recorded_page
        from scheduler.answers.pictures import draw_shares
        from scheduler.answers.times.recorded import recorded_document, recorded_lines
        from scheduler.plans.recorded import read_days
        from scheduler.timing.standards import judge

        check_asked(picture, page)
        days = read_days(plans, since, until, tell=OWNER.tell)
        judged = judge(days.runs, [person.name for person in days.crew], confidence=confidence)
        written = put_files(
            (picture, lambda path: draw_shares(path, judged, confidence)),
            (page, lambda _: recorded_page(days, judged, confidence)),
        )
        if as_json:
            put_json({**faults_json(()), **recorded_document(days, judged, confidence)})
            return
        say_lines([*recorded_lines(days, judged, confidence), *written])


def _sureness(precision: Fraction, confidence: Fraction) -> Sureness:
    from scheduler.timing.study import Sureness

    try:
        return Sureness(precision=float(precision), confidence=float(confidence))
    except ValueError as error:
        raise typer.BadParameter(f"{error}.") from None
