"""A filled-in table of a shift's progress, with everything that is wrong with it by cell."""

from __future__ import annotations

from collections.abc import Callable
from datetime import date, time
from pathlib import Path

from scheduler.domain.faults import Fault, Source
from scheduler.domain.plan import Plan, PlannedRun
from scheduler.domain.progress import RunLine
from scheduler.intake.cells.dates import Dates
from scheduler.intake.cells.findings import Findings, shown
from scheduler.intake.cells.known import one_of
from scheduler.intake.cells.rows import Row, find_headings, report_headings, rows_under
from scheduler.intake.cells.values import Unfit, text, whole
from scheduler.intake.files.grid import Value
from scheduler.intake.files.guard import Refused
from scheduler.intake.files.reader import open_book
from scheduler.intake.progress.layout import BOXES, PROGRESS
from scheduler.intake.progress.spoiled import MOST_PIECES, spoiled_of
from scheduler.intake.words import heading_key, name_key, words


def scan_progress(path: Path | str, plan: Plan) -> tuple[tuple[RunLine, ...], tuple[Fault, ...]]:
    """Read a filled-in table.

    Parameters
    ----------
    path
        Workbook or text table.
    plan
        The plan whose run numbers it uses.

    Returns
    -------
    lines
        The rows in which something was filled in and nothing is wrong by itself.
    faults
        Faults and doubts by cell, in reading order.
    """
    findings = Findings()
    lines: list[RunLine] = []
    try:
        book = open_book(path)
    except Refused as refused:
        return (), (refused.fault,)
    findings.extend(book.doubts)
    found = False
    for grid in book.grids:
        headings = find_headings(grid, _meaning, least=2)
        if headings is None or grid.hidden:
            continue
        found = True
        report_headings(grid, headings, words().headings["progress"], findings)
        if not {"run", "run_id"} & set(headings.columns):
            source = grid.source(headings.row, 0)
            findings.fault("column-missing", source, 'no column "Run"', "a column Run", "Add it.")
            continue
        seen: dict[str, Row] = {}
        for row in rows_under(grid, headings, findings):
            line = _line(row, plan, seen)
            if line is not None and row.sound:
                lines.append(line)
    if not found:
        expected = f"headings: {', '.join(column.label for column in PROGRESS.columns)}"
        mend = "Write a table to fill in with pressday progress --template FILE."
        findings.fault("headings-missing", Source(file=book.file), "no table of progress", expected, mend)
    return tuple(lines), findings.all


def _meaning(heading: str) -> str | None:
    return words().headings["progress"].get(heading_key(heading))


def _line(row: Row, plan: Plan, seen: dict[str, Row]) -> RunLine | None:
    if not any(row.has(box) for box in BOXES):
        return None
    run = _run(row, plan)
    if run is None:
        return None
    if run.id in seen:
        found = f"run {run.number} a second time"
        first = seen[run.id].source("run").cell
        row.fault("run-twice", "run", found, f"each run once (first in {first})", "Take one of them out.")
        return None
    seen[run.id] = row
    at = Dates().moment(run.start.date(), _midnight)
    pieces = whole(0, MOST_PIECES, what="pieces")
    spoiled = row.take("spoiled", spoiled_of(run))
    return RunLine(
        run=run.id,
        started=row.take("started", at),
        pieces=row.take("pieces", pieces, "pieces done"),
        spoiled=None if spoiled is None else spoiled.count,
        spoiled_of=() if spoiled is None else spoiled.pieces,
        reason=row.take("reason", text) or "",
        finished=row.take("finished", at),
        press=row.take("press_used", one_of(press_names(plan), "press")) or "",
        who=row.take("who", person_of(plan), "done by") or "",
        source=row.source("run"),
        places={
            ("press" if box == "press_used" else box): row.source(box)
            for box in BOXES
            if box in row.headings.columns
        },
    )


def _midnight(_: date) -> time:
    return time()


def _run(row: Row, plan: Plan) -> PlannedRun | None:
    """The run that a row means: by its id, which holds in every version, or by its number."""
    on = row.take("day", Dates().day)
    if on is not None and on != plan.day:
        found = f"a row of {on}"
        row.fault("another-day", "day", found, f"the day {plan.day}", f"Enter it with --day {on}.")
        return None
    if row.has("run_id"):
        written = row.take("run_id", text)
        # a text table has a mark before what a spreadsheet program would take for a formula
        ids = (written, (written or "").removeprefix("'"))
        run = next((run for run in plan.runs if run.id in ids), None)
        if run is None and written is not None:
            mend = "Write a new table with pressday progress --template FILE."
            found = f"run id {shown(written)}"
            row.fault("unknown-run", "run_id", found, f"a run of plan version {plan.version}", mend)
        return run
    number = row.need("run", whole(1, MOST_PIECES, what="run"))
    return (
        None
        if number is None
        else run_numbered(plan, number, lambda *what: row.fault(what[0], "run", *what[1:]))
    )


def run_numbered(plan: Plan, number: int, fault: Callable[[str, str, str, str], None]) -> PlannedRun | None:
    """The run with a number on the sheets; tells `fault` (code, found, expected, mend) when there is none."""
    run = next((run for run in plan.runs if run.number == number), None)
    if run is None:
        most = max((run.number for run in plan.runs), default=0)
        expected = f"a run of plan version {plan.version}: 1 to {most}"
        mend = "Look at the number on the sheet, and at its version."
        fault("unknown-run", f"run {number}", expected, mend)
    return run


def press_names(plan: Plan) -> tuple[str, ...]:
    """The presses of the plan's shop."""
    return tuple(press.name for press in plan.shop.presses)


def person_of(plan: Plan) -> Callable[[Value], str]:
    """Parser of a person's name, or of initials or a beginning that only one person has."""
    names = tuple(dict.fromkeys(person.name for person in plan.shop.crew))
    whole_name = one_of(names, "person")

    def parse(value: Value) -> str:
        key = name_key(text(value)).rstrip(".")
        short = [
            name
            for name in names
            if name_key(name).startswith(key) or "".join(part[0] for part in name_key(name).split()) == key
        ]
        exact = any(name_key(name) == key for name in names)
        if exact or not short:
            return whole_name(value)
        if len(short) > 1:
            raise Unfit("person-unclear", "one person", f"Write the name: {' or '.join(short)}.")
        return short[0]

    return parse
