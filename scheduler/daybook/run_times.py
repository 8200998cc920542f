"""Times of a run beside each other, beside what was entered before, and beside the shop's hours."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import replace
from datetime import datetime

from scheduler.daybook.cannot_be import NOTED, QUICK, doubts_of_end, planned_for
from scheduler.daybook.entries import fault_at, has_count, known_of, last_of, only_counted
from scheduler.daybook.facts import standing
from scheduler.domain.faults import Fault, Severity, Source
from scheduler.domain.figures import counted, nearest
from scheduler.domain.hours import Hours
from scheduler.domain.plan import Plan, PlannedRun
from scheduler.domain.progress import Event, EventKind, RunLine


def faults_beside(
    line: RunLine,
    run: PlannedRun,
    plan: Plan,
    events: Iterable[Event],
    *,
    counted_at: datetime | None = None,
    done_by: datetime | None = None,
) -> list[Fault]:
    """What in a run's boxes can't be right, or is doubtful, beside what was entered of it before.

    Parameters
    ----------
    events
        The entries of the day so far.
    counted_at, done_by
        As for `entries_of`.
    """
    every = tuple(events)
    own = [event for event in standing(every) if event.run == run.id]
    before, ended = last_of(own, EventKind.STARTED), last_of(own, EventKind.FINISHED)
    start = line.started or (before.at if before is not None else None)
    box, end = _seen(line, run, own, counted_at, done_by)
    found = _disordered(line, run, own, box, end)
    if found:
        return found
    if line.finished is not None and line.finished.date() in plan.dates:
        found += _too_early(line, run, plan, start)
    found += _not_begun_by_then(line, run, plan, before)
    found += _too_late(line, run, plan, start, end if box == "finished" else None)
    if start is not None and end is not None and (end > start or line.finished is None):
        known = ended if box == "started" else None
        pieces = _pieces(line, run) if known is None else (known.pieces or 0) + (known.spoiled or 0)
        found += _too_quick(line.place(box), run, plan, start, end, pieces)
    if not found and end is not None and box != "started":
        found += doubts_of_end(
            line, run, plan, every, box=box, start=start, end=end, pieces=_pieces(line, run)
        )
    return found


def _seen(
    line: RunLine,
    run: PlannedRun,
    own: Sequence[Event],
    counted_at: datetime | None,
    done_by: datetime | None,
) -> tuple[str, datetime | None]:
    """The box by which a run's end or count has its time, and that time; None: not known."""
    if line.finished is not None:
        return "finished", line.finished
    if only_counted(line, run):
        return "pieces", counted_at
    known = known_of(own, "at")
    if known is not None:
        # It stays as entered; what is new is the start, if anything.
        return "started", known if line.started is not None else None
    if not (line.ended or has_count(line)):
        return "started", None
    if done_by is None:
        return "finished", counted_at
    return "finished", None if run.end <= done_by else done_by


def _disordered(
    line: RunLine, run: PlannedRun, own: Sequence[Event], box: str, end: datetime | None
) -> list[Fault]:
    """Faults: an end or a count before the start, whichever of both was entered first."""
    before, ended = last_of(own, EventKind.STARTED), last_of(own, EventKind.FINISHED)
    start = line.started or (before.at if before is not None else None)
    if start is None:
        return []
    by, mend = "", "Correct the times."
    if line.started is None and before is not None:
        by = f" by entry {before.number}"
        mend = (
            "Correct the time; or enter the start with it (--started), or take that entry back: pressday "
            f"undo {before.number}."
        )

    def fault(code: str, where: str, found: str, expected: str, cure: str = mend) -> list[Fault]:
        return [fault_at(code, line, where, f"run {run.number}: {found}", expected, cure)]

    if end is not None and box == "started" and ended is not None and start >= end:
        at, other = _beside(start, end)
        found = f"started {at}, finished {other} by entry {ended.number}"
        cure = (
            "Correct the time; or enter the end once more, or take that entry back: pressday undo "
            f"{ended.number}."
        )
        return fault("started-after-end", "started", found, "a start before the end", cure)
    # Both in the line's own boxes are judged with the line. What is entered as it happens may begin and end
    # in one minute.
    first = end is not None and (end < start or (end == start and bool(by) and line.finished is not None))
    if end is not None and first and box == "finished" and (by or line.finished is None):
        at, other = _beside(end, start)
        return fault("finished-first", box, f"finished {at}, started {other}{by}", "an end after the start")
    pieces = _pieces(line, run)
    if end is not None and first and box == "pieces" and pieces:
        at, other = _beside(end, start)
        found = f"{counted(pieces, 'piece')} counted {at}, started {other}{by}"
        return fault("counted-first", box, found, "a count after the start")
    if line.started is None:
        return []
    for event in own:
        pieces = (event.pieces or 0) + (event.spoiled or 0)
        if event.kind is EventKind.PIECES and pieces and event.at is not None and event.at < start:
            at, other = _beside(start, event.at)
            found = f"started {at}, {counted(pieces, 'piece')} counted {other} by entry {event.number}"
            cure = f"Correct the time, or take that entry back: pressday undo {event.number}."
            return fault("counted-first", "started", found, "a start before the count", cure)
    return []


def _beside(one: datetime, other: datetime) -> tuple[str, str]:
    """Two times as clock times; with their dates when these differ."""
    form = "%H:%M" if one.date() == other.date() else "%Y-%m-%d %H:%M"
    return f"{one:{form}}", f"{other:{form}}"


def _pieces(line: RunLine, run: PlannedRun) -> int:
    """How many pieces a line says were pressed, spoiled ones with them."""
    if line.pieces is None and not only_counted(line, run):
        return run.content.quantity
    return (line.pieces or 0) + (line.spoiled or 0)


def _too_quick(
    source: Source, run: PlannedRun, plan: Plan, start: datetime, end: datetime, pieces: int
) -> list[Fault]:
    """Doubt about pieces that were pressed in less than half of the time that is planned for so many."""
    planned = planned_for(run, plan, pieces)
    if end - start + NOTED >= planned / QUICK:
        return []
    begun, ended = _beside(start, end)
    took = nearest((end - start).total_seconds() / 60)
    doubt = Fault(
        code="too-quick",
        source=source,
        found=f"run {run.number}: {counted(pieces, 'piece')} from {begun} to {ended}, in {took} min",
        expected=f"about the {nearest(planned.total_seconds() / 60)} min that are planned for so many",
        mend="It is taken as said; enter it again if it was another time, run or number.",
        severity=Severity.DOUBT,
    )
    return [doubt]


def _too_late(
    line: RunLine, run: PlannedRun, plan: Plan, start: datetime | None, end: datetime | None
) -> list[Fault]:
    """Doubt about times that have a run begin when the shop is closed, or end long after it closed.

    Parameters
    ----------
    end
        When it ended, as typed or by the clock; None: nothing new is said of it.
    """
    hours = Hours(plan)
    for box, at in (("started", line.started), ("finished", end)):
        days = [
            day
            for day in plan.instance.heating_days
            if at is not None and hours.moment(day.start).date() == at.date()
        ]
        closes = max((hours.moment(day.end) for day in days), default=None)
        if at is None or closes is None or at <= closes:
            continue
        said = f"run {run.number}: {box} {at:%H:%M}"
        if box == "finished":
            # Who began before closing time and goes on until it is done is not doubted.
            begin = at - hours.worked(run.operator, run.start, run.end)
            if begin < closes:
                continue
            if start is None:
                said += f", so begun about {begin:%H:%M} as long as it takes"
        another = "if it was another time or run"
        if box == "finished" and line.finished is None:
            another = "with --finished if it was over before, or as another run"
        doubt = fault_at(
            "after-closing",
            line,
            box,
            f"{said}, but the shop is closed from {closes:%H:%M} on",
            f"a run that is {'begun' if box == 'started' else 'done'} by {closes:%H:%M}",
            f"It is taken as said; enter it again {another}.",
        )
        return [replace(doubt, severity=Severity.DOUBT)]
    return []


def _not_begun_by_then(line: RunLine, run: PlannedRun, plan: Plan, begun: Event | None) -> list[Fault]:
    """Doubt about a start or an end before the moment of a plan by which the run wasn't begun by then.

    Parameters
    ----------
    begun
        The run's start, where it was entered before: what follows from that is not doubted once more.
    """
    if plan.at is None or run.start < plan.at:
        return []
    if begun is not None and begun.at is not None and begun.at < plan.at and line.started is None:
        return []
    for box, at in (("started", line.started), ("finished", line.finished)):
        if at is None or at >= plan.at:
            continue
        said, planned = _beside(at, run.start)
        moment, _ = _beside(plan.at, at)
        doubt = fault_at(
            "not-begun-by-then",
            line,
            box,
            f"run {run.number}: {box} {said}, but by the plan as of {moment} it was not begun by then: it "
            f"begins at {planned}",
            f"a time from {moment} on",
            "It is taken as said; enter it again if it was another time or run. If it is right, plan the day "
            "again: the sheets in hand have it still to do.",
        )
        return [replace(doubt, severity=Severity.DOUBT)]
    return []


def _too_early(line: RunLine, run: PlannedRun, plan: Plan, start: datetime | None) -> list[Fault]:
    """Doubts about an end that has a run begin before the shop opens, or before its press is switched on."""
    end = line.finished
    assert end is not None
    hours = Hours(plan)
    begin = start or end - hours.worked(run.operator, run.start, run.end)
    named = f"begun {begin:%H:%M}" if start else f"so begun about {begin:%H:%M} as long as it takes"
    said = f"run {run.number}: finished {end:%H:%M}, {named}, but"
    mend = "It is taken as said; enter it again if it was another time, run or press."
    days = [day for day in plan.instance.heating_days if hours.moment(day.start).date() == end.date()]
    opens = min((hours.moment(day.start) for day in days), default=None)
    if opens is not None and begin < opens:
        expected = f"a run that is begun at {opens:%H:%M} or later"
        doubt = fault_at(
            "before-opening", line, "finished", f"{said} the shop opens at {opens:%H:%M}", expected, mend
        )
        return [replace(doubt, severity=Severity.DOUBT)]
    used = line.press or run.press
    on = min(
        (one.start for one in plan.warm_ups if one.press == used and one.start.date() == end.date()),
        default=None,
    )
    if on is None or begin + (run.pressing_start - run.start) >= on:
        return []
    expected = "a run that is pressed when its press is on"
    where = f"{said} {used} is switched on at {on:%H:%M}"
    doubt = fault_at("before-switched-on", line, "finished", where, expected, mend)
    return [replace(doubt, severity=Severity.DOUBT)]
