"""`pressday plan`: a day planned end to end, and its sheets."""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction
from typing import TYPE_CHECKING, Annotated

import typer

from scheduler.cli.ends import say, say_faults, told
from scheduler.cli.options import (
    PLANS_NAME,
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

if TYPE_CHECKING:
    from scheduler.cli.slack import Wish


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
        from scheduler.cli.books import check_book, still_before_it
        from scheduler.cli.cures import cured_plan
        from scheduler.cli.files import put_plan
        from scheduler.cli.folders import check_writable
        from scheduler.cli.pictures import check_asked, draw_load, put_files
        from scheduler.cli.planned import search
        from scheduler.cli.pressed import pressed_doubts
        from scheduler.cli.read_words import not_planned_lines
        from scheduler.cli.reading import read, shop_file
        from scheduler.cli.stopped import stopped_line, why_stopped
        from scheduler.cli.summary import columns_here, files_lines, same_plan, summary, sure_summary
        from scheduler.cli.worse import worse_lines

        check_asked(picture)
        found = read(orders, shop, day, accept_partial=accept_partial)
        say_faults(found.doubts, "", to_error=True)
        into = out if out is not None else shop_file(orders, shop).parent / PLANS_NAME
        check_writable(into)
        check_book(into, found.problem.day, anew=anew)
        say_faults(pressed_doubts(into, found.problem.day, found.problem.orders), "", to_error=True)
        each = seconds if wish is None or seconds is None else seconds / wish.searches
        answer = search(found.problem, effort=effort.value, seconds=each, seed=seed)
        note = ""
        if wish is not None:
            from scheduler.cli.slack import buy_slack, slack_note

            bought = buy_slack(
                found.problem, answer, wish, into, effort=effort.value, seconds=each, seed=seed
            )
            answer, note = bought.kept.answer, slack_note(bought)
        say("The plan passed the independent check; writing its sheets.", to_error=True)
        made = cured_plan(found.problem, answer, seconds=each, seed=seed)
        if note:
            made = replace(made, notes=(note, *made.notes))
        still = None if anew else still_before_it(found.problem.day)
        counts = anew or wish is not None
        written = put_plan(made, into, paper=paper.value, counts=counts, still=still)
        with told(as_json=json, nothing="The plan was written, the picture was not."):
            drawn = put_files((picture, lambda path: draw_load(path, written.plan)), known=written.no_font)
        if json:
            typer.echo(written.data, nl=False)
        where = files_lines(written.folder, written.files)
        counted, before = written.plan, []
        if written.worse is not None:
            stopped = why_stopped(answer.result)
            why = stopped_line(stopped) if stopped is not None else ""
            before = worse_lines(written.worse, written.folder, why)
            if written.worse.stays:
                # it says how this search ended; the summary is of another one
                counted = replace(counted, stopped_early=False)
        told_plan = summary(counted, columns_here(), result=answer.result)
        lines = [*before, *told_plan, *sure_summary(written.sure, written.folder)]
        if written.same:
            lines.insert(1, same_plan(written.plan))
        missing = not_planned_lines(found.not_planned)
        for line in [*lines, "", *missing, *written.notes, *where, *drawn]:
            say(line, to_error=json)


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
    from scheduler.cli.slack import Wish

    return Wish(share=slack, target=None if sure is None else float(sure))
