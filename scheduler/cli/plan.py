"""`pressday plan`: a day planned end to end, and its sheets."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from scheduler.cli.ends import say, say_faults, told
from scheduler.cli.options import (
    PLANS_NAME,
    AcceptPartial,
    AsJson,
    Day,
    Effort,
    OrdersFiles,
    Paper,
    PaperSize,
    SearchEffort,
    Seed,
    ShopFile,
    StopAfter,
)


def plan(
    orders: OrdersFiles,
    day: Day,
    shop: ShopFile = None,
    out: Annotated[
        Path | None,
        typer.Option(
            "--out",
            metavar="FOLDER",
            help="Where the dated folder goes. Not given: the folder plans beside the shop workbook.",
            show_default=False,
        ),
    ] = None,
    effort: SearchEffort = Effort.NORMAL,
    seconds: StopAfter = None,
    seed: Seed = 1,
    accept_partial: AcceptPartial = False,
    json: AsJson = False,
    paper: PaperSize = Paper.A4,
) -> None:
    """Plan a day and print its run sheets.

    The plan goes on into the working days after it as far as the orders need. Late orders are
    reported, they are not an error. Ctrl-C stops looking and keeps the best plan so far. A plan that
    comes out as the newest one of the day keeps its version.
    """
    with told(as_json=json, nothing="Nothing was planned."):
        from scheduler.cli.books import check_book
        from scheduler.cli.cures import cured_plan
        from scheduler.cli.files import put_plan
        from scheduler.cli.folders import check_writable
        from scheduler.cli.planned import search
        from scheduler.cli.read_words import not_planned_lines
        from scheduler.cli.reading import read, shop_file
        from scheduler.cli.summary import columns_here, files_lines, same_plan, summary, sure_summary

        found = read(orders, shop, day, accept_partial=accept_partial)
        say_faults(found.doubts, "", to_error=True)
        into = out if out is not None else shop_file(orders, shop).parent / PLANS_NAME
        check_writable(into)
        check_book(into)
        answer = search(found.problem, effort=effort.value, seconds=seconds, seed=seed)
        say("The plan passed the independent check; writing its sheets.", to_error=True)
        made = cured_plan(found.problem, answer, seconds=seconds, seed=seed)
        written = put_plan(made, into, paper=paper.value)
        if json:
            typer.echo(written.data, nl=False)
        where = files_lines(written.folder, written.files)
        lines = [*summary(written.plan, columns_here()), *sure_summary(written.sure, written.folder)]
        if written.same:
            lines.insert(1, same_plan(written.plan))
        missing = not_planned_lines(found.not_planned)
        for line in [*lines, "", *missing, *written.notes, *where]:
            say(line, to_error=json)
