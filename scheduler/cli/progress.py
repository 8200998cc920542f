"""`pressday progress`: how a day stands, and a shift's table entered."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from scheduler.cli.ends import told
from scheduler.cli.options import AsJson, PlannedDay, PlansFolder, SheetVersion, time_option
from scheduler.cli.terminal import OWNER, put_json, say, say_faults, say_lines
from scheduler.now import this_minute
from scheduler.workflow.moments import Moment

if TYPE_CHECKING:
    from datetime import datetime

    from scheduler.plans.book import OpenDay


def progress(
    files: Annotated[
        list[Path] | None,
        typer.Argument(metavar="FILE", help="Filled-in tables to enter: xlsx or csv.", show_default=False),
    ] = None,
    at: Annotated[
        Moment | None, time_option("--at", "The moment. Not given: now. Pieces in a table count as of then.")
    ] = None,
    day: PlannedDay = None,
    template: Annotated[
        Path | None,
        typer.Option(
            "--template",
            metavar="FILE",
            help="Write a table to fill in, with the runs of the plan: xlsx or csv.",
            show_default=False,
        ),
    ] = None,
    history: Annotated[
        bool, typer.Option("--history", help="List every entry of the day, corrected ones too.")
    ] = False,
    sheet_version: SheetVersion = None,
    plans: PlansFolder = None,
    json: AsJson = False,
) -> None:
    """Say how a day stands, behind or ahead of its plan; or enter a shift's table first.

    A run of which nobody said anything counts as gone to plan, and is named.
    """
    if template is not None and (files or history):
        raise typer.BadParameter("--template goes alone.")
    nothing = "Nothing was written." if template is not None else "Nothing was entered."
    with told(as_json=json, nothing=nothing if template or files else "Nothing was changed."):
        from scheduler.plans.book import open_day

        with open_day(plans, day, sheet_version, moment=at.day if at else None, tell=OWNER.tell) as open_:
            if template is not None:
                _write(open_, template)
                return
            moment = at.on(open_.plan.day) if at else this_minute()
            if files:
                _enter(open_, files, moment, to_error=json)
            _say(open_, moment, history=history, as_json=json)


def _write(day: OpenDay, template: Path) -> None:
    from scheduler.workflow.progress import write_table

    write_table(day, template)
    say(f"Written: {template}")
    say(f'Fill it in, then: pressday progress "{template}" --day {day.plan.day}')


def _enter(day: OpenDay, files: list[Path], moment: datetime, *, to_error: bool) -> None:
    from scheduler.answers.entries import entered_lines
    from scheduler.workflow.progress import enter_tables

    recorded, doubts = enter_tables(day, files, moment)
    say_faults(doubts, "", to_error=True)
    say_lines([*entered_lines(day, recorded), ""], to_error=to_error)


def _say(day: OpenDay, moment: datetime, *, history: bool, as_json: bool) -> None:
    from scheduler.answers.progress import history_lines, standing_lines, state_json
    from scheduler.workflow.progress import standing_at

    found = standing_at(day, moment)
    if as_json:
        put_json(state_json(found.plan, found.state, found.events if history else None))
    elif history:
        say_lines(history_lines(found.plan, found.events))
    else:
        say_lines(standing_lines(found.plan, found.state))
