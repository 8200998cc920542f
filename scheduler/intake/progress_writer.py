"""The table for a shift's progress, filled in with the runs of a plan, as workbook or text table."""

from __future__ import annotations

import csv
import io
from collections.abc import Iterator, Mapping
from datetime import date, datetime, time
from pathlib import Path
from typing import TYPE_CHECKING

from scheduler.domain.faults import Fault, Source
from scheduler.domain.plan import Plan
from scheduler.exceptions import BadInput
from scheduler.intake.progress_layout import PROGRESS
from scheduler.intake.sheet_writer import Written, add_lists, new_workbook, save, write_table

if TYPE_CHECKING:
    from openpyxl import Workbook


def progress_rows(plan: Plan) -> Iterator[Mapping[str, Written]]:
    """One row for each run, by number, with the boxes blank."""
    for run in sorted(plan.runs, key=lambda run: run.number):
        yield {
            "day": plan.day,
            "run": run.number,
            "order": run.content.order,
            "customer": run.content.customer,
            "placements": " + ".join(run.content.placements),
            "press": run.press,
            "operator": run.operator,
            "planned_start": run.start.time(),
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
    if path.exists():
        found = "there is a file of that name, and it may be filled in"
        raise BadInput([_fault(path, "file-present", found, "a name that is free", "Choose another name.")])
    try:
        if path.suffix.casefold() == ".csv":
            _write_text(plan, path)
        else:
            save(_workbook(plan), path)
    except OSError as error:
        found = f"can't be written ({error.strerror or error})"
        mend = "Choose another folder."
        raise BadInput(
            [_fault(path, "file-not-writable", found, "a folder that may be written", mend)]
        ) from None


def _workbook(plan: Plan) -> Workbook:
    book = new_workbook()
    lists = {
        "presses": [press.name for press in plan.shop.presses],
        "people": [person.name for person in plan.shop.crew],
    }
    names = {key: f"list_{key}" for key in lists}
    write_table(book, PROGRESS, progress_rows(plan), lists=names)
    add_lists(book, lists)
    return book


def _write_text(plan: Plan, path: Path) -> None:
    text = io.StringIO(newline="")
    writer = csv.writer(text)
    writer.writerow(column.label for column in PROGRESS.columns)
    for row in progress_rows(plan):
        writer.writerow(_as_text(row.get(column.key)) for column in PROGRESS.columns)
    aside = path.with_name(f".{path.name}.part")
    try:
        # The mark at the start tells spreadsheet programs that the letters are UTF-8.
        aside.write_text("\ufeff" + text.getvalue(), encoding="utf-8", newline="")
        aside.replace(path)
    finally:
        aside.unlink(missing_ok=True)


def _as_text(value: Written) -> str:
    if value is None:
        return ""
    if isinstance(value, time):
        return f"{value:%H:%M}"
    if isinstance(value, date | datetime):
        return value.isoformat()
    text = str(value)
    # A spreadsheet program would take it for a formula.
    return f"'{text}" if isinstance(value, str) and text.lstrip().startswith(("=", "+", "-", "@")) else text


def _fault(path: Path, code: str, found: str, expected: str, mend: str) -> Fault:
    return Fault(code=code, source=Source(file=str(path)), found=found, expected=expected, mend=mend)
