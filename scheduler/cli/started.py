"""`pressday started`: runs that were begun."""

from __future__ import annotations

from typing import Annotated

from scheduler.cli.ends import told
from scheduler.cli.options import (
    DoneBy,
    PlannedDay,
    PlansFolder,
    PressUsed,
    RunNumbers,
    SheetVersion,
    time_option,
)
from scheduler.cli.terminal import OWNER, say_faults, say_lines
from scheduler.workflow.moments import Moment


def started(
    runs: RunNumbers,
    at: Annotated[
        Moment | None,
        time_option(
            "--at",
            "When its first piece was pressed, the large time on the sheet; the changeover comes before it. "
            "Not given: now, if the day is today.",
        ),
    ] = None,
    press: PressUsed = None,
    who: DoneBy = None,
    day: PlannedDay = None,
    sheet_version: SheetVersion = None,
    plans: PlansFolder = None,
) -> None:
    """Enter runs that were started: set up, and the first piece is being pressed.

    Saying it again otherwise corrects it; what was said before stays in the day book.
    """
    with told(as_json=False, nothing="Nothing was entered."):
        from scheduler.answers.entries import entered_lines
        from scheduler.plans.book import open_day
        from scheduler.workflow.entries import enter, given, now_if_planned, typed_lines

        with open_day(plans, day, sheet_version, moment=at.day if at else None, tell=OWNER.tell) as open_:
            now = now_if_planned(open_.plan)
            lines = typed_lines(
                open_,
                runs,
                press=press,
                who=who,
                box=lambda run: {"started": given(at, run) or now, "began": True},
            )
            recorded, doubts = enter(open_, lines, counted_at=None)
            say_faults(doubts, "", to_error=True)
            say_lines(entered_lines(open_, recorded))
