"""What is said of a day that was planned."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

from scheduler.answers.reading import not_planned_lines
from scheduler.answers.stopped import stopped_line
from scheduler.answers.summary import files_lines, same_plan, summary, sure_summary, surer_lines
from scheduler.answers.worse import worse_lines
from scheduler.domain.day_problem import NOT_PLANNED
from scheduler.workflow.stopped import why_stopped

if TYPE_CHECKING:
    from scheduler.workflow.plan import Planned


def plan_lines(told: Planned, width: int) -> list[str]:
    """Which plan counts, its summary, what is not in it, and where its files are.

    Parameters
    ----------
    width
        Columns of the terminal.
    """
    written, result = told.written, told.answer.result
    counted, before = written.plan, []
    if written.worse is not None:
        stopped = why_stopped(result)
        why = stopped_line(stopped) if stopped is not None else ""
        before = worse_lines(written.worse, written.folder, why)
        if written.worse.stays:
            # it says how this search ended; the summary is of another one
            counted = replace(counted, stopped_early=False)
    missing = not_planned_lines(told.found.not_planned)
    if missing:
        # They are listed below with their cells: once is enough.
        notes = tuple(note for note in counted.notes if not note.startswith(NOT_PLANNED))
        counted = replace(counted, notes=notes)
    lines = [*before, *summary(counted, width, result=result), *sure_summary(written.sure, written.folder)]
    if not told.slack_asked:
        lines += surer_lines(written.sure)
    if written.same:
        lines.insert(1, same_plan(written.plan))
    return [*lines, "", *missing, *written.notes, *files_lines(written.folder, written.files)]
