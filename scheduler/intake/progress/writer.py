"""The table for a shift's progress, filled in with the runs of a plan, as workbook or text table."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from pathlib import Path

from scheduler.domain.plan import Plan
from scheduler.intake.progress.layout import PROGRESS
from scheduler.intake.writing.forms import write_form
from scheduler.intake.writing.sheets import Written


def progress_rows(plan: Plan) -> Iterator[Mapping[str, Written]]:
    """One row for each run, by number, with the boxes blank."""
    for run in sorted(plan.runs, key=lambda run: run.number):
        yield {
            "day": plan.day,
            "run": run.number,
            "order": run.content.order,
            "customer": run.content.customer,
            "placements": " + ".join(run.content.placements),
            "press": " + ".join(run.presses),
            "operator": run.operator,
            "planned_start": run.pressing_start.time(),
            "planned_end": run.end.time(),
            "planned_pieces": run.content.quantity,
            "run_id": run.id,
        }


def write_progress_table(plan: Plan, path: Path) -> None:
    """Write the table; a name that ends in .csv gets a text table, any other a workbook.

    Raises
    ------
    scheduler.exceptions.BadInput
        When there is a file of that name, or it can't be written.
    """
    lists = {
        "presses": [press.name for press in plan.shop.presses],
        "people": [person.name for person in plan.shop.crew],
    }
    write_form(PROGRESS, progress_rows(plan), path, lists=lists)
