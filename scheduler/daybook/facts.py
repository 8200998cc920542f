"""What the entries of a day say of each run, after corrections."""

from __future__ import annotations

import json
from collections.abc import Iterable
from dataclasses import dataclass
from datetime import datetime

from scheduler.domain.asjson import from_json, to_json
from scheduler.domain.pieces import Pieces
from scheduler.domain.plan import Plan, PlannedRun
from scheduler.domain.progress import OF_A_RUN, Event, EventKind

SPOILED = "spoiled"
"""What the data of a run's entry call the pieces that are spoiled."""


def standing(events: Iterable[Event]) -> tuple[Event, ...]:
    """The entries that hold, in the order of the book.

    An entry holds unless a later one corrects it. Taking a correction back brings back what was there before;
    correcting it once more doesn't.
    """
    in_order = sorted(events, key=lambda event: event.number)
    void: set[str] = set()
    taken_back: set[str] = set()
    for event in reversed(in_order):
        if event.corrects and event.id not in taken_back:
            void.add(event.corrects)
            if event.kind is EventKind.TAKEN_BACK:
                taken_back.add(event.corrects)
    return tuple(event for event in in_order if event.id not in void)


def up_to(events: Iterable[Event], at: datetime) -> tuple[Event, ...]:
    """The entries of what had happened by a moment; those without a time are judged with their run."""
    return tuple(event for event in events if event.at is None or event.at <= at)


def told_later(plan: Plan, events: Iterable[Event], at: datetime) -> tuple[Event, ...]:
    """The entries that hold and say what a run of the plan did after a moment.

    Without a time of its own an entry stands at the planned one. A run that had ended by then is over,
    whatever another entry says of its start.
    """
    runs = {run.id: run for run in plan.runs}
    news = [event for event in standing(events) if event.kind in OF_A_RUN and event.run in runs]
    ended = {
        event.run
        for event in news
        if event.kind is EventKind.FINISHED and when_of(event, runs[event.run]) <= at
    }
    return tuple(
        event
        for event in news
        if when_of(event, runs[event.run]) > at
        and not (event.kind is EventKind.STARTED and event.run in ended)
    )


@dataclass(frozen=True, slots=True, kw_only=True)
class Facts:
    """What is known of a run.

    Attributes
    ----------
    started, finished
        First pressing and end; None when nobody said.
    seen_at, good, spoiled
        The last count: when, and how many pieces so far. `good` is None when nobody counted.
    spoiled_of
        Those of the spoiled ones of which somebody said which they are.
    press, who
        Of the last entry that names one; empty: as planned.
    """

    started: datetime | None = None
    finished: datetime | None = None
    seen_at: datetime | None = None
    good: int | None = None
    spoiled: int = 0
    spoiled_of: tuple[Pieces, ...] = ()
    press: str = ""
    who: str = ""


def facts_of(run: PlannedRun, news: Iterable[Event], at: datetime) -> Facts | None:
    """What entries that hold say of a run by a moment; None when they say nothing of it.

    Of several "started" or "finished" the one entered last counts, of several counts that with the latest
    time. A "finished" without a time is taken as finished at the planned end, or when it was entered if
    that was while the run was planned to go on; one that would be after the moment says nothing yet.
    """
    own = [event for event in news if event.run == run.id and event.kind in OF_A_RUN]
    timed = [(when, event) for event in own if (when := when_of(event, run)) <= at]
    if not timed:
        return None
    started = [when for when, event in timed if event.kind is EventKind.STARTED]
    finished = [(when, event) for when, event in timed if event.kind is EventKind.FINISHED][-1:]
    counts = sorted((when, event.number, event) for when, event in timed if event.kind is EventKind.PIECES)
    counted = [event for _, _, event in counts] + [event for _, event in finished]
    return Facts(
        started=started[-1] if started else None,
        finished=finished[0][0] if finished else None,
        seen_at=counts[-1][0] if counts else None,
        good=finished[0][1].pieces if finished else _last(counted, "pieces"),
        spoiled=_last(counted, "spoiled") or 0,
        spoiled_of=_which_spoiled(counted),
        press=next((event.press for _, event in reversed(timed) if event.press), ""),
        who=next((event.who for _, event in reversed(timed) if event.who), ""),
    )


def spoiled_data(pieces: tuple[Pieces, ...]) -> str:
    """Which pieces are spoiled, as an entry keeps it; empty when nobody said."""
    return json.dumps({SPOILED: to_json(pieces)}, ensure_ascii=False) if pieces else ""


def spoiled_in(event: Event) -> tuple[Pieces, ...]:
    """Which pieces an entry says are spoiled; none where only their number was said."""
    if event.kind not in OF_A_RUN or not event.data:
        return ()
    return tuple(from_json(Pieces, one) for one in json.loads(event.data).get(SPOILED, ()))


def _which_spoiled(counted: list[Event]) -> tuple[Pieces, ...]:
    """Of the entry whose number of spoiled pieces counts."""
    last = next((event for event in reversed(counted) if event.spoiled is not None), None)
    return () if last is None else spoiled_in(last)


def _last(counted: list[Event], field: str) -> int | None:
    found = [getattr(event, field) for event in counted if getattr(event, field) is not None]
    return found[-1] if found else None


def when_of(event: Event, run: PlannedRun) -> datetime:
    """When that was which an entry says; without a time of its own as planned, or when it was entered."""
    if event.at is not None:
        return event.at
    if event.kind is EventKind.STARTED:
        return run.pressing_start
    return event.entered if run.start < event.entered < run.end else run.end
