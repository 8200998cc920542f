"""`pressday undo`: an entry of the day book taken back."""

from __future__ import annotations

from typing import Annotated

import typer

from scheduler.cli.ends import told
from scheduler.cli.options import PlannedDay, PlansFolder, number_typed
from scheduler.cli.terminal import OWNER, say_lines


def undo(
    entries: Annotated[
        list[int],
        typer.Argument(
            metavar="ENTRY", parser=number_typed, help="Number of the entry; see pressday progress --history."
        ),
    ],
    day: PlannedDay = None,
    plans: PlansFolder = None,
) -> None:
    """Take entries of the day book back.

    They stay in its history. Taking a correction back brings back what was there before it.
    """
    with told(as_json=False, nothing="Nothing was taken back."):
        from scheduler.answers.entries import taken_back_lines
        from scheduler.plans.book import open_day
        from scheduler.workflow.undo import take_back

        with open_day(plans, day, tell=OWNER.tell) as open_:
            say_lines(taken_back_lines(open_, take_back(open_, entries)))
