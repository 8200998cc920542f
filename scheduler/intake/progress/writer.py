"""The table for a shift's progress, filled in with the runs of a plan, as workbook or text table."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from datetime import datetime, time
from pathlib import Path

from scheduler.domain.plan import Plan, PlannedRun
from scheduler.intake.progress.layout import PROGRESS
from scheduler.intake.writing.forms import write_form
from scheduler.intake.writing.sheets import Written


def progress_rows(
    plan: Plan, planned: Mapping[str, PlannedRun], entered: Mapping[str, str]
) -> Iterator[Mapping[str, Written]]:
    """One row for each run, by number, with the boxes blank; see `write_progress_table`."""
    for run in sorted(plan.runs, key=lambda run: run.number):
        meant = planned.get(run.id, run)
        on = meant.pressing_start.date()
        yield {
            "day": plan.day,
            "run": run.number,
            "order": run.content.order,
            "customer": run.content.customer,
            "placements": " + ".join(run.content.placements),
            "press": " + ".join(meant.presses),
            "operator": meant.operator,
            "planned_on": None if on == plan.day else on,
            "planned_start": _to_the_minute(meant.pressing_start),
            "planned_end": _to_the_minute(meant.end),
            "planned_pieces": run.content.quantity,
            "entered": entered.get(run.id, ""),
            "run_id": run.id,
        }


def _to_the_minute(when: datetime) -> time:
    """As the sheets say it."""
    return when.time().replace(second=0, microsecond=0)


def write_progress_table(
    plan: Plan, path: Path, *, planned: Mapping[str, PlannedRun], entered: Mapping[str, str]
) -> None:
    """Write the table; a name that ends in .csv gets a text table, any other a workbook.

    Parameters
    ----------
    planned
        By id how runs were to be done; those that aren't in it are as in the plan.
    entered
        By the run's id what was entered already, in words.

    Raises
    ------
    scheduler.exceptions.BadInput
        When there is a file of that name, or it can't be written.
    """
    lists = {
        "presses": [press.name for press in plan.shop.presses],
        "people": [person.name for person in plan.shop.crew],
    }
    write_form(PROGRESS, progress_rows(plan, planned, entered), path, lists=lists)
