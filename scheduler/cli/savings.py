"""`pressday savings`: what seconds are worth in hours and days a year, and when a measure has paid."""

from __future__ import annotations

from contextlib import contextmanager
from fractions import Fraction
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from scheduler.cli.ends import told
from scheduler.cli.options import AsJson, PageFile, PictureFile, Wage, WorkDays, amount, share, text_option
from scheduler.cli.terminal import put_json, say_lines
from scheduler.cli.typed_measures import cycle_of, measures_of
from scheduler.domain.shop import Allowances
from scheduler.domain.times import exact
from scheduler.workflow.shop_cycle import shop_cycle

if TYPE_CHECKING:
    from collections.abc import Iterator

    from scheduler.savings.measures import Measure, Together
    from scheduler.savings.presses import Servicing
    from scheduler.savings.worth import WorkYear


def savings(
    seconds: Annotated[Fraction | None, amount("--seconds", "Seconds saved on each garment.", "S")] = None,
    garments: Annotated[Fraction | None, amount("--garments", "Garments a day.")] = None,
    days: WorkDays = Fraction(250),
    hours: Annotated[Fraction, amount("--hours", "Hours of a working day. Not given: 8.")] = Fraction(8),
    price: Annotated[
        Fraction | None, amount("--price", "What it costs, for the payback; needs --wage.")
    ] = None,
    wage: Wage = None,
    cycle: Annotated[
        str | None,
        text_option(
            "--cycle", 'Today\'s cycle: 41, or by element "load=13, lay=3, dwell=12, unload=7".', "SECONDS"
        ),
    ] = None,
    measure: Annotated[
        list[str] | None,
        text_option(
            "--measure",
            'A measure on that cycle, such as "cover: 30", "cover: load=6, unload=3, price=150" or '
            '"practice: load -10%". Several are taken together, in the order given.',
            "NAME:CHANGES",
        ),
    ] = None,
    shop: Annotated[
        Path | None,
        text_option(
            "--shop",
            "Shop workbook, in place of --cycle: the cycle is that of --press by the recipe for "
            '--transfer and --fabric. Measures can then say "set-up=cover" or "opens=by itself".',
            "FILE",
        ),
    ] = None,
    press: Annotated[str | None, text_option("--press", "Press of the shop.", "NAME")] = None,
    transfer: Annotated[str | None, text_option("--transfer", "Transfer type of its recipe.", "NAME")] = None,
    fabric: Annotated[str | None, text_option("--fabric", "Fabric of its recipe.", "NAME")] = None,
    minutes: Annotated[
        Fraction | None,
        amount("--minutes", "Minutes of pressing a day, for how many garments they hold.", "MIN"),
    ] = None,
    allowance: Annotated[
        Fraction | None,
        share(
            "--allowance",
            "Allowance as a share of basic time, for --minutes. Not given: the shop's, or 11 %.",
        ),
    ] = None,
    load: Annotated[
        Fraction | None,
        amount("--load", "One operator at several presses: seconds at the open press for a garment.", "S"),
    ] = None,
    pressing: Annotated[
        Fraction | None, amount("--pressing", "Seconds closed with nobody there.", "S")
    ] = None,
    walk: Annotated[
        Fraction, amount("--walk", "Seconds of walking and side work for a garment. Not given: 0.", "S")
    ] = Fraction(0),
    presses: Annotated[
        int, typer.Option("--presses", min=2, max=20, metavar="N", help="Presses for one operator.")
    ] = 2,
    press_cost: Annotated[
        Fraction, amount("--press-cost", "What an hour of one press costs. Not given: 0.")
    ] = Fraction(0),
    picture: PictureFile = None,
    page: PageFile = None,
    json: AsJson = False,
) -> None:
    """Say what seconds on each garment are worth.

    Hours a year come first: they don't depend on how long a working day is. Give the seconds, or a cycle
    and measures on it, or the times of one operator at several presses that open by themselves.
    """
    from scheduler.answers.savings.answer import Asked
    from scheduler.answers.savings.words import by_measures, by_presses, by_seconds

    if sum(value is not None for value in (seconds, cycle, shop, load)) != 1:
        raise typer.BadParameter(
            "give --seconds, or --cycle or --shop with --measure, or --load with --pressing."
        )
    if bool(measure) != (cycle is not None or shop is not None):
        raise typer.BadParameter("--cycle or --shop goes together with --measure.")
    if {one is None for one in (shop, press, transfer, fabric)} == {True, False}:
        raise typer.BadParameter("--shop, --press, --transfer and --fabric go together.")
    if (load is None) != (pressing is None):
        raise typer.BadParameter("--load and --pressing go together.")
    if price is not None and wage is None:
        raise typer.BadParameter(
            "the payback needs --wage, what an hour of work costs.", param_hint="--price"
        )
    if seconds is not None and garments is None:
        raise typer.BadParameter("how many garments a day?", param_hint="--garments")
    asked = Asked(garments=garments, year=_year(days, hours), price=price, wage=wage)
    with told(as_json=json, nothing="Nothing was worked out."):
        from scheduler.answers.files import check_asked, put_files
        from scheduler.answers.pictures import draw_saving

        check_asked(picture, page)
        source = ""
        if measure:
            there = shop_cycle(shop, press or "", transfer or "", fabric or "") if shop is not None else None
            source = there.source if there is not None else ""
            today = there.cycle if there is not None else cycle_of(cycle or "")
            measures = measures_of(measure, today, there)
            if allowance is None:
                allowances = there.shop.allowances if there is not None else Allowances()
                allowance = exact(allowances.relaxation)
            answer = by_measures(
                _together(today, measures),
                asked,
                minutes=minutes,
                allowance=allowance,
                untimed=there.untimed if there is not None else {},
            )
        elif load is not None and pressing is not None:
            answer = by_presses(_servicing(load, pressing, walk), presses, asked, press_cost=press_cost)
        else:
            answer = by_seconds(seconds or Fraction(0), asked)
        from scheduler.answers.pages import saving_page

        written = put_files(
            (picture, lambda path: draw_saving(path, answer)),
            (page, lambda _: saving_page(answer, asked, source)),
        )
        if json:
            put_json(answer.document)
            return
        say_lines([*answer.lines, *written])


def _year(days: Fraction, hours: Fraction) -> WorkYear:
    from scheduler.savings.worth import WorkYear

    with _usage():
        return WorkYear(days=days, hours_a_day=hours)


def _together(cycle: dict[str, Fraction], measures: list[Measure]) -> Together:
    from scheduler.savings.measures import together

    with _usage():
        return together(cycle, measures)


def _servicing(load: Fraction, pressing: Fraction, walk: Fraction) -> Servicing:
    from scheduler.savings.presses import Servicing

    with _usage():
        return Servicing(load_s=load, press_s=pressing, walk_s=walk)


@contextmanager
def _usage() -> Iterator[None]:
    """Figures that can't be are wrong usage."""
    try:
        yield
    except ValueError as error:
        raise typer.BadParameter(f"{error}.") from None
