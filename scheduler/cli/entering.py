"""Entering what happened: boxes of runs into the day book, and what is said of it."""

from __future__ import annotations

from datetime import datetime
from typing import TYPE_CHECKING

from scheduler.cli.ends import counted, say
from scheduler.cli.now import now, this_minute
from scheduler.domain.progress import IN_BETWEEN, EventKind
from scheduler.exceptions import BadInput

if TYPE_CHECKING:
    from collections.abc import Callable, Iterable, Mapping, Sequence
    from datetime import date

    from scheduler.cli.books import OpenDay
    from scheduler.cli.options import Moment
    from scheduler.daybook.book import Recorded
    from scheduler.domain.faults import Fault
    from scheduler.domain.plan import Plan, PlannedRun
    from scheduler.domain.progress import Event, RunLine


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
    from scheduler.intake.progress_reader import one_of, person_of, press_names, run_numbered
    from scheduler.intake.spoiled import spoiled_of
    from scheduler.intake.values import Unfit

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
    from scheduler.cli.reading import has_fault
    from scheduler.daybook.entries import entries_of, faults_beside, faults_of, only_counted

    runs = {run.id: run for run in day.plan.runs}
    findings = [*found, *_twice(lines, runs)]
    for line in lines:
        findings += faults_of(line, runs[line.run], day.plan)
        findings += faults_beside(line, runs[line.run], day.plan, day.events)
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
    return day.book.record(made), tuple(findings)


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


def say_recorded(day: OpenDay, recorded: Recorded, *, to_error: bool = False) -> None:
    """Say what was entered, what it corrects, and what was there already."""
    before = {event.id: event for event in day.events}
    known = before | {event.id: event for event in recorded.new}
    say(f"{head(day.plan)}:", to_error=to_error)
    for event in recorded.new:
        corrects = before.get(event.corrects)
        more = f"; corrects entry {corrects.number}" if corrects else ""
        say(f"  entry {event.number}: {entry_words(day.plan, event, known)}{more}", to_error=to_error)
    for event in recorded.repeated:
        words = entry_words(day.plan, event, known)
        say(f"  entry {event.number}, in the book already: {words}", to_error=to_error)
    if not recorded.new and not recorded.repeated:
        say("  nothing was filled in", to_error=to_error)


def head(plan: Plan) -> str:
    """The day and version that something was entered for."""
    from scheduler.sheets.clock import long_date

    return f"{long_date(plan.day)}, plan version {plan.version}"


def entry_words(plan: Plan, event: Event, known: Mapping[str, Event] | None = None) -> str:
    """What an entry says, in one line.

    Parameters
    ----------
    known
        Entries by id, to say what one that takes another back is about.
    """
    from scheduler.daybook.facts import spoiled_in

    if known is not None and event.kind is EventKind.TAKEN_BACK and event.corrects in known:
        return f"taken back: {entry_words(plan, known[event.corrects], known)}"
    if event.kind in IN_BETWEEN:
        return _between_words(plan, event)
    run = next((run for run in plan.runs if run.id == event.run), None)
    what = f"run {run.number} (order {run.content.order})" if run else event.run or event.subject
    kind = "counted" if event.kind is EventKind.PIECES else str(event.kind)
    parts = [f"{what}: {kind}" if what else kind]
    if event.at is not None:
        parts[0] += f" {when(event.at, plan.day)}"
    elif event.kind.value in ("started", "finished"):
        parts[0] += ", time not noted"
    if event.pieces is not None:
        parts.append(f"{counted(event.pieces, 'piece')} done")
    if event.spoiled:
        more = [" ".join(filter(None, (one.size, str(one.quantity)))) for one in spoiled_in(event)]
        said = "; ".join(filter(None, (", ".join(more), event.reason)))
        parts.append(f"{event.spoiled} spoiled" + (f" ({said})" if said else ""))
    elif event.reason:
        parts.append(event.reason)
    if event.press:
        parts.append(f"at {event.press}")
    if event.who:
        parts.append(f"by {event.who}")
    if event.until is not None:
        parts.append(f"until {when(event.until, plan.day)}")
    return ", ".join(parts)


def _between_words(plan: Plan, event: Event) -> str:
    """What came in between, and the version that it led to."""
    run = next((run for run in plan.runs if run.id == event.run), None)
    named = event.press or event.who or (f"order {event.subject}" if event.subject else "")
    what = named or (f"run {run.number}" if run else event.run)
    parts = [f"{what}: {event.kind}"]
    if event.at is not None:
        parts[0] += f" {when(event.at, plan.day)}"
    if event.pieces is not None:
        parts.append(counted(event.pieces, "piece"))
    if event.kind in (EventKind.ORDER_NEW, EventKind.ORDER_CHANGED) and event.data:
        parts.append(f"cut-off {when(_cut_off(event), plan.day)}")
    if event.until is not None:
        parts.append(f"until {when(event.until, plan.day)}")
    if event.led_to is not None:
        parts.append(f"led to version {event.led_to}")
    return ", ".join(parts)


def _cut_off(event: Event) -> datetime:
    """The cut-off of the order that an entry holds."""
    import json

    return datetime.fromisoformat(json.loads(event.data)["cut_off"])


def when(at: datetime, day: date, *, up: bool = False) -> str:
    """A time, with its date when it is of another day; up: to the full minute, as the plan says it."""
    from scheduler.sheets.clock import clock, clock_up, short_date

    said = clock_up(at) if up else clock(at)
    return said if at.date() == day else f"{short_date(at.date())} {said}"


def given(typed: Moment | None, run: PlannedRun) -> datetime | None:
    """A typed time, on the run's planned date when no date was typed."""
    return None if typed is None else typed.on(run.start.date())
