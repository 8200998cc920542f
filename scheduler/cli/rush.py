"""`pressday rush`: orders that came in since, put into a day that is under way."""

from __future__ import annotations

from datetime import datetime
from pathlib import Path
from typing import Annotated

import typer

from scheduler.cli.ends import put_json, say, say_faults, told
from scheduler.cli.options import (
    PLANS_NAME,
    AsJson,
    Effort,
    Moment,
    OrdersFiles,
    Paper,
    PaperSize,
    ShopFile,
    time_option,
)


def rush(
    orders: OrdersFiles,
    at: Annotated[
        Moment | None, time_option("--at", "The moment from which the day is planned again. Not given: now.")
    ] = None,
    shop: ShopFile = None,
    out: Annotated[
        Path | None,
        typer.Option(
            "--out",
            metavar="FOLDER",
            help="The folder with the plans. Not given: the folder plans beside the shop workbook.",
            show_default=False,
        ),
    ] = None,
    effort: Annotated[Effort, typer.Option("--effort", help="How hard to look.")] = Effort.QUICK,
    seconds: Annotated[
        float | None,
        typer.Option("--seconds", min=0.0, metavar="S", help="Stop looking after S seconds."),
    ] = None,
    seed: Annotated[int, typer.Option("--seed", min=0, metavar="N", help="Same seed, same plan.")] = 1,
    json: AsJson = False,
    paper: PaperSize = Paper.A4,
) -> None:
    """Put new orders into the rest of a planned day.

    What is pressed or under way stays, and so does what begins within ten minutes. Of the rest only what must
    move moves: less lateness goes before printed runs that stay, those before fewer changeovers.
    """
    with told(as_json=json, nothing="The plan is as it was."):
        from scheduler.cli.again import change_lines, read_new, search_rest
        from scheduler.cli.books import open_day
        from scheduler.cli.files import put
        from scheduler.cli.reading import shop_file
        from scheduler.cli.summary import columns_here, files_lines, summary
        from scheduler.daybook.state import state_at
        from scheduler.planning.again import plan_rest
        from scheduler.planning.differences import changed_sheets, differences

        into = out if out is not None else shop_file(orders, shop).parent / PLANS_NAME
        with open_day(into, at.day if at else None) as day:
            plan, events = day.plan, day.events
        moment = at.on(plan.day) if at else datetime.now().replace(second=0, microsecond=0)
        new, doubts = read_new(orders, plan.shop, plan.day)
        say_faults(doubts, "", to_error=True)
        rest = plan_rest(plan, new, state_at(plan, events, moment))
        answer = search_rest(rest, effort=effort.value, seconds=seconds, seed=seed)
        written = put(answer.plan, plan.day, into, paper=paper.value)
        found = differences(plan, written.plan)
        if json:
            put_json(
                {
                    "day": plan.day.isoformat(),
                    "at": moment.isoformat(timespec="seconds"),
                    "version": written.plan.version,
                    "replaces": plan.version,
                    "folder": str(written.folder),
                    "levels": [{"name": one.name, "value": one.value} for one in answer.result.levels],
                    "first_answer_s": round(answer.result.first_plan_s, 2),
                    "orders": [
                        {
                            "id": order.id,
                            "cut_off": order.cut_off.isoformat(),
                            "finished": order.finished.isoformat() if order.finished else None,
                            "late_minutes": order.late_minutes,
                        }
                        for order in written.plan.orders
                    ],
                    "changes": [
                        {
                            "run": one.run,
                            "kind": one.kind.name.lower(),
                            "minutes": one.minutes,
                            "people": list(one.people),
                        }
                        for one in found
                    ],
                    "new_sheets_for": list(changed_sheets(found)),
                }
            )
        lines = summary(written.plan, columns_here())
        for line in [*lines, "", *change_lines(found), "", *files_lines(written.folder, written.files)]:
            say(line, to_error=json)
