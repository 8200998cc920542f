"""Entering what happened: boxes of runs into the day book."""

from __future__ import annotations

from dataclasses import replace
from datetime import date, datetime
from typing import TYPE_CHECKING

from scheduler.exceptions import BadInput
from scheduler.now import now, this_minute

if TYPE_CHECKING:
    from collections.abc import Callable, Iterable, Sequence

    from scheduler.daybook.book import Recorded
    from scheduler.domain.faults import Fault
    from scheduler.domain.plan import Plan, PlannedRun
    from scheduler.domain.progress import Event, RunLine
    from scheduler.plans.book import OpenDay
    from scheduler.workflow.moments import Moment


def now_if_planned(plan: Plan) -> datetime | None:
    """The present minute when it is on one of the plan's dates; otherwise the clock says nothing: None."""
    minute = this_minute()
    return minute if minute.date() in plan.dates else None


def typed_lines(
    day: OpenDay,
    numbers: Sequence[int],
    *,
    press: str | None,
    who: str | None,
    spoiled: str | None = None,
    box: Callable[[PlannedRun], dict[str, object]],
) -> list[RunLine]:
    """The boxes of runs as typed in a command.

    Parameters
    ----------
    spoiled
        Spoiled pieces of the only run, as a number or by sizes.
    box
        By run: started, finished, pieces, reason, ended.

    Raises
    ------
    BadInput
        With every number, press or person that is not known.
    """
    from scheduler.domain.faults import Fault, Source
    from scheduler.domain.progress import RunLine
    from scheduler.intake.cells.known import one_of
    from scheduler.intake.cells.values import Unfit
    from scheduler.intake.progress.reader import person_of, press_names, run_numbered
    from scheduler.intake.progress.spoiled import spoiled_of

    plan = day.plan
    faults: list[Fault] = []

    def fault(code: str, found: str, expected: str, mend: str) -> None:
        faults.append(
            Fault(code=code, source=Source(file=str(plan.day)), found=found, expected=expected, mend=mend)
        )

    def name(written: str | None, parse: Callable[[str], str], what: str) -> str:
        if written is None:
            return ""
        try:
            return parse(written)
        except Unfit as unfit:
            fault(unfit.code, f'{what} "{written}"', unfit.expected, unfit.mend)
            return ""

    used = name(press, one_of(press_names(plan), "press"), "press")
    by = name(who, person_of(plan), "person")
    runs = [run_numbered(plan, number, fault) for number in dict.fromkeys(numbers)]

    def lost(run: PlannedRun) -> dict[str, object]:
        if spoiled is None:
            return {}
        try:
            found = spoiled_of(run)(spoiled)
        except Unfit as unfit:
            fault(unfit.code, f'run {run.number}: --spoiled "{spoiled}"', unfit.expected, unfit.mend)
            return {}
        return {"spoiled": found.count, "spoiled_of": found.pieces}

    lines = [
        RunLine(run=run.id, press=used, who=by, source=Source(file=str(plan.day)), **box(run), **lost(run))  # type: ignore[arg-type]
        for run in runs
        if run is not None
    ]
    if faults:
        raise BadInput(faults)
    return lines


def enter(
    day: OpenDay,
    lines: Sequence[RunLine],
    *,
    counted_at: datetime | None,
    found: Iterable[Fault] = (),
    done_by: datetime | None = None,
) -> tuple[Recorded, tuple[Fault, ...]]:
    """Write boxes into the day book, all or none; what was written, and the doubts.

    Parameters
    ----------
    counted_at
        When pieces were counted, where nothing else is said.
    found
        Faults and doubts of reading.
    done_by
        Runs without a time of their own had ended by then; None: they ended when they were counted.

    Raises
    ------
    BadInput
        With every fault and doubt, when there is a fault.
    """
    from scheduler.daybook.entries import entries_of, faults_of, only_counted
    from scheduler.daybook.run_times import faults_beside
    from scheduler.daybook.spoiled_before import doubts_of_spoiled
    from scheduler.workflow.reading import has_fault

    runs = {run.id: run for run in day.plan.runs}
    findings = [*found, *_twice(lines, runs)]
    for line in lines:
        findings += faults_of(line, runs[line.run], day.plan)
        findings += faults_beside(
            line, runs[line.run], day.plan, day.events, counted_at=counted_at, done_by=done_by
        )
        if counted_at is None and only_counted(line, runs[line.run]):
            findings.append(_count_without_time(line, runs[line.run], day.plan))
    if has_fault(findings):
        raise BadInput(findings)
    entered = now()
    made = [
        event
        for line in lines
        for event in entries_of(
            line,
            runs[line.run],
            day.plan,
            day.events,
            counted_at=counted_at,
            entered=entered,
            done_by=done_by,
        )
    ]
    findings += doubts_of_spoiled(day.plan, lines, _with_new(day.events, made))
    return day.book.record(made), tuple(findings)


def _with_new(events: Sequence[Event], made: Iterable[Event]) -> list[Event]:
    """The entries of the day with new ones behind them, numbered as the book will."""
    known = {event.id for event in events}
    last = max((event.number for event in events), default=0)
    fresh = [event for event in made if event.id not in known]
    return [*events, *(replace(event, number=last + k) for k, event in enumerate(fresh, 1))]


def _count_without_time(line: RunLine, run: PlannedRun, plan: Plan) -> Fault:
    """A count of a run that goes on says something only with its time."""
    from scheduler.domain.faults import Fault

    return Fault(
        code="count-without-time",
        source=line.place("pieces"),
        found=f"run {run.number}: a count of a run that goes on, without its time; today is not {plan.day}",
        expected="when the pieces were counted",
        mend="Give it with --at, or give --finished when the run is over.",
    )


def _twice(lines: Sequence[RunLine], runs: dict[str, PlannedRun]) -> list[Fault]:
    """A run that stands in two tables: which one holds can't be known."""
    from scheduler.domain.faults import Fault

    seen: dict[str, RunLine] = {}
    return [
        Fault(
            code="run-twice",
            source=line.source,
            found=f"run {runs[line.run].number} a second time",
            expected=f"each run once (first in {seen[line.run].source})",
            mend="Take one of them out.",
        )
        for line in lines
        if seen.setdefault(line.run, line) is not line
    ]


def date_of(plan: Plan, lines: Iterable[RunLine]) -> date:
    """The date on which all these runs are planned; the plan's first when they are on several."""
    named = {line.run for line in lines}
    dates = {run.start.date() for run in plan.runs if run.id in named}
    return dates.pop() if len(dates) == 1 else plan.day


def given(typed: Moment | None, run: PlannedRun) -> datetime | None:
    """A typed time, on the run's planned date when no date was typed."""
    return None if typed is None else typed.on(run.start.date())
