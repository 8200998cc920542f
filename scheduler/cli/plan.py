"""`pressday plan`: a day planned end to end, and its sheets."""

from __future__ import annotations

from fractions import Fraction
from typing import TYPE_CHECKING, Annotated

import typer

from scheduler.cli.ends import told
from scheduler.cli.options import (
    AcceptPartial,
    AsJson,
    Day,
    DayPicture,
    Effort,
    OrdersFiles,
    Paper,
    PaperSize,
    PlansOfShop,
    SearchEffort,
    Seed,
    ShopFile,
    StopAfter,
    share,
)
from scheduler.cli.terminal import OWNER, columns_here, say_lines

if TYPE_CHECKING:
    from scheduler.workflow.slack import Wish


def plan(
    orders: OrdersFiles,
    day: Day,
    shop: ShopFile = None,
    out: PlansOfShop = None,
    effort: SearchEffort = Effort.NORMAL,
    seconds: StopAfter = None,
    seed: Seed = 1,
    sure: Annotated[
        Fraction | None,
        share(
            "--sure",
            "Buy slack so that every order is on time on so many of the days, such as 90 %, or as near "
            "to it as can be. Takes about four times as long.",
        ),
    ] = None,
    slack: Annotated[
        Fraction | None,
        share(
            "--slack",
            "Plan as though all pressing took so much longer, such as 8 %; the sheets have the true "
            "times. Takes about twice as long.",
        ),
    ] = None,
    anew: Annotated[
        bool,
        typer.Option(
            "--anew",
            help="Let this plan count in any case. If the day is under way, it is planned from its morning: "
            "what was entered, and orders put in since, are left aside. If the plan is worse than the one "
            "before, of the same orders and shop, it takes its place all the same.",
        ),
    ] = False,
    mounted_as_in_shop: Annotated[
        bool,
        typer.Option(
            "--mounted-as-in-shop",
            help="Presses begin with the platens of the shop workbook, not with those that the day book has "
            "as left on them on the working day before.",
        ),
    ] = False,
    accept_partial: AcceptPartial = False,
    picture: DayPicture = None,
    json: AsJson = False,
    paper: PaperSize = Paper.A4,
) -> None:
    """Plan a day and print its run sheets.

    The plan goes on into the working days after it as far as the orders need. Late orders are
    reported, they are not an error. Ctrl-C stops looking and keeps the best plan so far. A plan that
    comes out as the newest one of the day keeps its version; one that comes out worse, of the same orders,
    shop and times, leaves that one in its place.
    """
    wish = _wish(sure, slack)
    with told(as_json=json, nothing="Nothing was planned."):
        from scheduler.answers.files import check_asked, put_files
        from scheduler.answers.pictures import draw_load
        from scheduler.answers.plan import plan_lines
        from scheduler.workflow.plan import plan_day

        check_asked(picture)
        done = plan_day(
            orders,
            shop,
            day,
            out,
            wish=wish,
            effort=effort.value,
            seconds=seconds,
            seed=seed,
            anew=anew,
            accept_partial=accept_partial,
            mounted_as_in_shop=mounted_as_in_shop,
            paper=paper.value,
            owner=OWNER,
        )
        written = done.written
        with told(as_json=json, nothing="The plan was written, the picture was not."):
            drawn = put_files((picture, lambda path: draw_load(path, written.plan)), known=written.no_font)
        if json:
            typer.echo(written.data, nl=False)
        say_lines([*plan_lines(done, columns_here()), *drawn], to_error=json)


def _wish(sure: Fraction | None, slack: Fraction | None) -> Wish | None:
    """What slack is asked for; refuses what can't be."""
    if sure is None and slack is None:
        return None
    if sure is not None and slack is not None:
        raise typer.BadParameter("name --sure or --slack, not both.")
    if sure is not None and not 0 < sure < 1:
        raise typer.BadParameter("more than 0 % and less than 100 %.", param_hint="--sure")
    if slack is not None and not slack:
        raise typer.BadParameter("more than 0 %.", param_hint="--slack")
    from scheduler.workflow.slack import Wish

    return Wish(share=slack, target=None if sure is None else float(sure))
