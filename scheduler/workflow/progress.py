"""How a day stands, and the tables of a shift entered."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from scheduler.daybook.as_planned import as_planned
from scheduler.daybook.facts import standing
from scheduler.daybook.state import state_at
from scheduler.domain.progress import OF_A_RUN
from scheduler.workflow.entries import enter
from scheduler.workflow.entry_words import said_words

if TYPE_CHECKING:
    from collections.abc import Iterable
    from datetime import datetime
    from pathlib import Path

    from scheduler.daybook.book import Recorded
    from scheduler.domain.day_state import DayState
    from scheduler.domain.faults import Fault
    from scheduler.domain.plan import Plan
    from scheduler.domain.progress import Event, RunLine
    from scheduler.plans.book import OpenDay


@dataclass(frozen=True, slots=True, kw_only=True)
class Standing:
    """How a day stands by its newest plan, and all its entries."""

    plan: Plan
    state: DayState
    events: tuple[Event, ...]


def write_table(day: OpenDay, path: Path) -> None:
    """Write the table of a shift to fill in: runs as they were planned, and what was entered of them.

    Raises
    ------
    BadInput
        When there is a file of that name, or it can't be written.
    """
    from scheduler.intake.progress.writer import write_progress_table

    older = [
        one
        for one in day.book.plans(day.plan.day)
        if one.outcome == "in place" and one.version < day.plan.version
    ]
    planned = as_planned(day.plan, (day.book.plan(one) for one in reversed(older)))
    said: dict[str, list[str]] = {}
    for event in standing(day.events):
        if event.kind in OF_A_RUN:
            said.setdefault(event.run, []).append(said_words(day.plan, event))
    entered = {run: "; ".join(dict.fromkeys(words)) for run, words in said.items()}
    write_progress_table(day.plan, path, planned=planned, entered=entered)


def enter_tables(day: OpenDay, files: Iterable[Path], moment: datetime) -> tuple[Recorded, tuple[Fault, ...]]:
    """Enter filled-in tables, all of them or none; what was written, and the doubts.

    Parameters
    ----------
    moment
        When the pieces in them were counted.

    Raises
    ------
    BadInput
        With every fault and doubt, when there is a fault.
    """
    from scheduler.intake.progress.reader import scan_progress

    lines: list[RunLine] = []
    findings: list[Fault] = []
    for file in files:
        more, found = scan_progress(file, day.plan)
        lines += more
        findings += found
    within = moment if moment.date() in day.plan.dates else None
    return enter(day, lines, counted_at=within, found=findings, done_by=moment)


def standing_at(day: OpenDay, moment: datetime) -> Standing:
    """The state by the newest plan, whatever version the numbers that were entered are from."""
    events = day.book.events(day.plan.day)
    newest = day.book.newest(day.plan.day)
    plan = day.plan if newest is None or newest == day.booked else day.book.plan(newest)
    return Standing(plan=plan, state=state_at(plan, events, moment), events=events)
