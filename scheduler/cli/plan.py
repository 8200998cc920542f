"""`pressday plan`: a day planned end to end, and its sheets."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from scheduler.cli.ends import say, say_faults, told
from scheduler.cli.options import AsJson, Day, Effort, OrdersFiles, Paper, PaperSize, ShopFile


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
    effort: Annotated[Effort, typer.Option("--effort", help="How hard to look.")] = Effort.NORMAL,
    seconds: Annotated[
        float | None,
        typer.Option(
            "--seconds",
            min=0.1,
            metavar="S",
            help="Stop looking after so many seconds at the latest. Not given: until the effort is spent.",
            show_default=False,
        ),
    ] = None,
    seed: Annotated[
        int, typer.Option("--seed", min=0, metavar="N", help="Same files, seed and effort: same plan.")
    ] = 1,
    json: AsJson = False,
    paper: PaperSize = Paper.A4,
) -> None:
    """Plan a day, and the working days after it that the orders need; print its run sheets.

    Late orders are reported, they are not an error.
    """
    with told(as_json=json, nothing="Nothing was planned."):
        from scheduler.cli.folders import check_writable, draft
        from scheduler.cli.kept import keep
        from scheduler.cli.steps import PLANS_NAME, plan_of, read, search, shop_file, write_files
        from scheduler.cli.summary import files_lines, summary

        into = out if out is not None else shop_file(orders, shop).parent / PLANS_NAME
        found = read(orders, shop, day.date())
        say_faults(found.doubts, "", to_error=True)
        check_writable(into)
        answer = search(found.problem, effort=effort.value, seconds=seconds, seed=seed)
        with draft(into, day.date()) as one:
            made = plan_of(found.problem, answer, version=one.version)
            notes = write_files(made, one.folder, paper=paper.value)
            keep(made, one.folder)
        if json:
            typer.echo((one.final / PLAN_JSON).read_text(encoding="utf-8"), nl=False)
        for line in [*summary(made), "", *notes, *files_lines(one.final)]:
            say(line, to_error=json)
