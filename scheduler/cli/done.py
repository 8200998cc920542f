"""`pressday done`: what stands in the boxes of a run's sheet."""

from __future__ import annotations

from typing import Annotated

import typer

from scheduler.cli.ends import told
from scheduler.cli.options import (
    DoneBy,
    PlannedDay,
    PlansFolder,
    PressUsed,
    RunNumbers,
    SheetVersion,
    pieces_typed,
    time_option,
)
from scheduler.cli.terminal import OWNER, say_faults, say_lines
from scheduler.workflow.moments import Moment


def done(
    runs: RunNumbers,
    pieces: Annotated[
        int | None,
        typer.Option(
            "--pieces",
            parser=pieces_typed,
            metavar="N",
            help="Good pieces so far. Not given: all but the spoiled ones. Fewer than all, and no "
            "--finished: the run goes on.",
            show_default=False,
        ),
    ] = None,
    spoiled: Annotated[
        str | None,
        typer.Option(
            "--spoiled",
            metavar="N|SIZE=N,...",
            help="Spoiled pieces; with their sizes as M=2,XL=1.",
            show_default=False,
        ),
    ] = None,
    reason: Annotated[str, typer.Option("--reason", metavar="TEXT", help="Why they were spoiled.")] = "",
    at: Annotated[
        Moment | None,
        time_option("--at", "When the pieces of a run that goes on were counted. Not given: now."),
    ] = None,
    started: Annotated[
        Moment | None, time_option("--started", "When its first piece was pressed, if noted.")
    ] = None,
    finished: Annotated[
        Moment | None,
        time_option("--finished", "When the last piece was off. Not given: now, if the day is today."),
    ] = None,
    press: PressUsed = None,
    who: DoneBy = None,
    day: PlannedDay = None,
    sheet_version: SheetVersion = None,
    plans: PlansFolder = None,
) -> None:
    """Enter what stands in the boxes of runs: pieces done, spoiled, times.

    With several runs all their pieces are done. Saying it again otherwise corrects it; what was said before
    stays in the day book.
    """
    if len(set(runs)) > 1 and (pieces is not None or spoiled is not None):
        raise typer.BadParameter("give --pieces and --spoiled for one run at a time.")
    with told(as_json=False, nothing="Nothing was entered."):
        from scheduler.answers.entries import entered_lines
        from scheduler.plans.book import open_day
        from scheduler.workflow.entries import date_of, enter, given, now_if_planned, typed_lines

        dates = (typed.day for typed in (finished, started, at) if typed is not None)
        moment = next(filter(None, dates), None)
        with open_day(plans, day, sheet_version, moment=moment, tell=OWNER.tell) as open_:
            lines = typed_lines(
                open_,
                runs,
                press=press,
                who=who,
                spoiled=spoiled,
                box=lambda run: {
                    "ended": pieces is None,
                    "started": given(started, run),
                    "finished": given(finished, run),
                    "pieces": pieces,
                    "reason": reason.strip(),
                },
            )
            counted_at = at.on(date_of(open_.plan, lines)) if at else now_if_planned(open_.plan)
            recorded, doubts = enter(open_, lines, counted_at=counted_at)
            say_faults(doubts, "", to_error=True)
            say_lines(entered_lines(open_, recorded))
