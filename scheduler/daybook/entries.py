"""From what stands in a run's boxes to entries of the day book."""

from __future__ import annotations

import hashlib
import json
from collections.abc import Iterable, Sequence
from dataclasses import replace
from datetime import datetime
from typing import Any

from scheduler.daybook.facts import spoiled_data, standing
from scheduler.domain.disruptions import PartKind
from scheduler.domain.faults import Fault, Severity
from scheduler.domain.pieces import SIZE_AS_SPOILED
from scheduler.domain.plan import Plan, PlannedRun
from scheduler.domain.progress import Event, EventKind, RunLine


def with_id(event: Event, events: Iterable[Event] = ()) -> Event:
    """The entry with an id made of what it says and corrects: saying the same again makes the same id.

    What repeats an entry that no longer holds is a new entry, with an id of its own that is made of the id of
    that one too: otherwise it would be known as being in the book, and what it says would be lost.

    Parameters
    ----------
    events
        The entries of the day so far.
    """
    every = tuple(events)
    known = {one.id for one in every}
    holds = {one.id for one in standing(every)}
    made = replace(event, id=_id_of(event))
    while made.id in known and made.id not in holds:
        made = replace(event, id=_id_of(event, made.id))
    return made


def _id_of(event: Event, *again: str) -> str:
    said = [
        event.day.isoformat(),
        event.version,
        event.kind.value,
        event.run,
        event.who,
        event.at.isoformat() if event.at else None,
        event.pieces,
        event.spoiled,
        event.reason,
        event.press,
        event.until.isoformat() if event.until else None,
        event.subject,
        event.data,
        event.corrects,
        *again,
    ]
    return hashlib.sha256(json.dumps(said).encode()).hexdigest()[:32]


def faults_of(line: RunLine, run: PlannedRun, plan: Plan) -> list[Fault]:
    """What can't be right in a run's boxes, and what is doubtful."""
    found = []
    quantity = run.content.quantity
    pieces, spoiled = line.pieces or 0, line.spoiled or 0
    # When it was stopped it may have done some of what was left for its rest.
    rest = sum(part.pieces for part in plan.parts if part.name is PartKind.REST and part.run == run.id)
    if pieces + spoiled > quantity + rest:
        box = "pieces" if line.pieces is not None else "spoiled"
        said = f"run {run.number}: {pieces} done and {spoiled} spoiled"
        mend = (
            f"Correct the numbers; good pieces and spoiled ones are counted apart: {quantity + rest} in all."
        )
        found.append(fault_at("too-many-pieces", line, box, said, f"at most {quantity + rest} in all", mend))
    if spoiled and not line.reason:
        mend = "Write why, so that it can be avoided."
        said = f"run {run.number}: {spoiled} spoiled without a reason"
        doubt = fault_at("spoiled-without-reason", line, "spoiled", said, "a reason", mend)
        found.append(replace(doubt, severity=Severity.DOUBT))
    if spoiled and not line.spoiled_of and len(run.content.pieces) > 1 and spoiled < quantity:
        sizes = ", ".join(dict.fromkeys(one.size for one in run.content.pieces if one.size))
        said = f"run {run.number}: {spoiled} spoiled, of sizes that are not said"
        mend = (
            f'Enter it with the sizes; without them, what is pressed again is printed as "{SIZE_AS_SPOILED}".'
        )
        expected = f"their sizes ({sizes}), such as {run.content.pieces[0].size or 'SIZE'}={spoiled}"
        doubt = fault_at("spoiled-without-size", line, "spoiled", said, expected, mend)
        found.append(replace(doubt, severity=Severity.DOUBT))
    for box, at in (("started", line.started), ("finished", line.finished)):
        if at is not None and at.date() not in plan.dates:
            days = ", ".join(day.isoformat() for day in plan.dates)
            said = f"run {run.number}: {box} {at:%Y-%m-%d %H:%M}"
            mend = "Correct the date, or name the day of the plan with --day."
            found.append(fault_at("not-that-day", line, box, said, f"a time on {days}", mend))
    if line.started is not None and line.finished is not None and line.finished <= line.started:
        said = f"run {run.number}: finished {line.finished:%H:%M}, started {line.started:%H:%M}"
        found.append(
            fault_at("finished-first", line, "finished", said, "an end after the start", "Correct the times.")
        )
    found += _out_of_hours(line, run, plan)
    if not says_something(line):
        said = f"run {run.number}: neither pieces nor a time"
        box = "press" if line.press else "who" if line.who else "reason"
        found.append(
            fault_at(
                "says-nothing", line, box, said, "pieces, or when it was started or finished", "Fill it in."
            )
        )
    return found


def says_something(line: RunLine) -> bool:
    """Whether the boxes tell how far the run is."""
    told = (line.started, line.finished, line.pieces, line.spoiled)
    return line.ended or line.began or any(value is not None for value in told)


def only_counted(line: RunLine, run: PlannedRun) -> bool:
    """Whether the boxes count some of a run's pieces and the run goes on."""
    if not has_count(line) or line.ended or line.finished is not None:
        return False
    return (line.pieces or 0) + (line.spoiled or 0) < run.content.quantity


def _out_of_hours(line: RunLine, run: PlannedRun, plan: Plan) -> list[Fault]:
    """Doubts about times at which whoever did it was not there yet."""
    who = line.who or run.operator
    found = []
    for box, at in (("started", line.started), ("finished", line.finished)):
        own = [
            one
            for one in plan.shifts
            if at is not None and (one.operator, one.start.date()) == (who, at.date())
        ]
        if at is None or not own:
            continue
        first = min(one.start for one in own)
        if at < first:
            doubt = fault_at(
                "out-of-hours",
                line,
                box,
                f"run {run.number}: {box} {at:%H:%M}, but {who} comes at {first:%H:%M}",
                f"a time from {first:%H:%M} on",
                "Enter it again if it was another time, or with --who if it was somebody else.",
            )
            found.append(replace(doubt, severity=Severity.DOUBT))
    return found


def fault_at(code: str, line: RunLine, box: str, found: str, expected: str, mend: str) -> Fault:
    """A fault of one of a run's boxes."""
    return Fault(code=code, source=line.place(box), found=found, expected=expected, mend=mend)


def entries_of(
    line: RunLine,
    run: PlannedRun,
    plan: Plan,
    events: Iterable[Event],
    *,
    counted_at: datetime | None,
    entered: datetime,
    done_by: datetime | None = None,
) -> tuple[Event, ...]:
    """The entries that a run's boxes make: begun, counted or finished.

    A run whose good and spoiled pieces make up its quantity is finished, as is one with a time of finishing.
    What is said again as it stands makes the same id as before; what is said otherwise corrects it. What is
    said again after it was taken back is a new entry.
    A time, a press, a person that nothing is said of stay as they were entered before.

    Parameters
    ----------
    line
        Boxes without a fault.
    events
        The entries of the day so far.
    counted_at
        When the pieces were counted, and when a run was finished, where no time of finishing is given; None:
        not known.
    done_by
        Runs finished without a time had ended by then, at the time that the plan gives or then; None: they
        ended at `counted_at`.
    """
    every = tuple(events)
    own = [event for event in standing(every) if event.run == run.id]
    blank = Event(
        id="-",
        day=plan.day,
        version=plan.version,
        kind=EventKind.STARTED,
        run=run.id,
        who=line.who,
        press=line.press,
        entered=entered,
    )
    made = []
    if line.started is not None or not (line.ended or has_count(line) or line.finished):
        made.append(_in_place_of(replace(blank, at=line.started), last_of(own, EventKind.STARTED), every))
    ended_at = counted_at
    if done_by is not None:
        ended_at = None if run.end <= done_by else done_by
    done = (line.pieces or 0) + (line.spoiled or 0) >= run.content.quantity
    if line.ended or line.finished is not None or done:
        pieces = line.pieces
        if pieces is None:
            pieces = run.content.quantity - (line.spoiled or 0)
        finished = replace(
            blank,
            kind=EventKind.FINISHED,
            at=line.finished or known_of(own, "at") or ended_at,
            pieces=pieces,
            spoiled=line.spoiled or 0,
            reason=line.reason,
            data=spoiled_data(line.spoiled_of),
        )
        made.append(_in_place_of(finished, last_of(own, EventKind.FINISHED), every))
    elif has_count(line):
        count = replace(
            blank,
            kind=EventKind.PIECES,
            at=counted_at,
            pieces=line.pieces,
            spoiled=line.spoiled,
            reason=line.reason,
            data=spoiled_data(line.spoiled_of),
        )
        same_time = [event for event in own if event.kind is EventKind.PIECES and event.at == counted_at]
        finished_before = last_of(own, EventKind.FINISHED)
        before = finished_before or (same_time[-1] if same_time else None)
        made.append(_in_place_of(count, before, every))
    return tuple(made)


def taken_back(event: Event, entered: datetime, events: Iterable[Event] = ()) -> Event:
    """The entry that takes another one back.

    Parameters
    ----------
    events
        The entries of the day so far.
    """
    return with_id(
        Event(
            id="-",
            day=event.day,
            version=event.version,
            kind=EventKind.TAKEN_BACK,
            run=event.run,
            corrects=event.id,
            entered=entered,
        ),
        events,
    )


def has_count(line: RunLine) -> bool:
    """Whether the boxes count pieces, good or spoiled ones."""
    return line.pieces is not None or line.spoiled is not None


def known_of(own: Sequence[Event], field: str) -> Any:
    """What the last entry of finishing says of a box."""
    before = last_of(own, EventKind.FINISHED)
    return getattr(before, field) if before is not None else None


def last_of(own: Sequence[Event], kind: EventKind) -> Event | None:
    """The last entry of a kind."""
    return next((event for event in reversed(own) if event.kind is kind), None)


def _in_place_of(event: Event, before: Event | None, events: Iterable[Event]) -> Event:
    """The entry with its id: that of the one before when it says the same, or correcting that."""
    if before is None:
        return with_id(event, events)
    event = replace(
        event,
        at=event.at or (before.at if event.kind is before.kind else None),
        who=event.who or before.who,
        press=event.press or before.press,
        reason=event.reason or (before.reason if event.spoiled == before.spoiled else ""),
        data=event.data or (before.data if event.spoiled == before.spoiled else ""),
    )
    as_before = replace(
        event, id=before.id, number=before.number, entered=before.entered, corrects=before.corrects
    )
    if as_before == before:
        return before
    return with_id(replace(event, corrects=before.id), events)
