"""`pressday progress`: how a day stands, and a shift's table entered."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from scheduler.cli.ends import put_json, say, say_faults, told
from scheduler.cli.now import this_minute
from scheduler.cli.options import AsJson, Moment, PlannedDay, PlansFolder, SheetVersion, time_option

if TYPE_CHECKING:
    from datetime import datetime

    from scheduler.cli.books import OpenDay
    from scheduler.domain.faults import Fault
    from scheduler.domain.progress import RunLine


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
        from scheduler.cli.books import open_day

        with open_day(plans, day, sheet_version) as open_:
            if template is not None:
                _write(open_, template)
                return
            moment = at.on(open_.plan.day) if at else this_minute()
            if files:
                _enter(open_, files, moment, to_error=json)
            _say(open_, moment, history=history, as_json=json)


def _write(day: OpenDay, template: Path) -> None:
    from scheduler.intake.progress.writer import write_progress_table

    write_progress_table(day.plan, template)
    say(f"Written: {template}")
    say(f'Fill it in, then: pressday progress "{template}" --day {day.plan.day}')


def _enter(day: OpenDay, files: list[Path], moment: datetime, *, to_error: bool) -> None:
    from scheduler.cli.entering import enter, say_recorded
    from scheduler.intake.progress.reader import scan_progress

    lines: list[RunLine] = []
    findings: list[Fault] = []
    for file in files:
        more, found = scan_progress(file, day.plan)
        lines += more
        findings += found
    within = moment if moment.date() in day.plan.dates else None
    recorded, doubts = enter(day, lines, counted_at=within, found=findings, done_by=moment)
    say_faults(doubts, "", to_error=True)
    say_recorded(day, recorded, to_error=to_error)
    say(to_error=to_error)


def _say(day: OpenDay, moment: datetime, *, history: bool, as_json: bool) -> None:
    """The state by the newest plan, whatever version the numbers that were entered are from."""
    from scheduler.cli.standing import history_lines, standing_lines, state_json
    from scheduler.daybook.state import state_at
    from scheduler.domain.asjson import to_json

    events = day.book.events(day.plan.day)
    newest = day.book.newest(day.plan.day)
    plan = day.plan if newest is None or newest == day.booked else day.book.plan(newest)
    state = state_at(plan, events, moment)
    if as_json:
        put_json({**state_json(plan, state), **({"history": to_json(events)} if history else {})})
        return
    for line in history_lines(plan, events) if history else standing_lines(plan, state):
        say(line)
