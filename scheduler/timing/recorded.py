"""What a day's entries tell of times: each run with start and end, beside what the plan had for it."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from enum import StrEnum

from scheduler.daybook.facts import standing
from scheduler.domain.disruptions import PartKind
from scheduler.domain.hours import NOTHING, Hours
from scheduler.domain.instance import Mode
from scheduler.domain.plan import Plan, PlannedRun
from scheduler.domain.progress import Event, EventKind


@dataclass(frozen=True, slots=True, kw_only=True)
class Counted:
    """Pieces pressed up to a moment, and the pressing seconds since the run's first piece."""

    pieces: int
    took_s: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Recorded:
    """A run that was really timed.

    Attributes
    ----------
    press, person
        Where and by whom it was really done.
    placement, transfer, fabric
        What was pressed; of a pair "front + neck label", and both transfers when they differ.
    pieces
        Good and spoiled.
    planned_s
        Pressing seconds that the plan's standards have for so many pieces at that press by that person.
    took_s
        Pressing seconds that it took: from the first pressing to the end without breaks, and without
        fetching the box and checking the first piece. Above 0.
    counts
        Counts on the way, by time, the end among them.
    """

    day: date
    run: str
    number: int
    order: str
    started: datetime
    press: str
    person: str
    placement: str
    transfer: str
    fabric: str
    pieces: int
    planned_s: float
    took_s: float
    counts: tuple[Counted, ...]

    @property
    def ratio(self) -> float:
        """Time taken by time planned."""
        return self.took_s / self.planned_s


class Why(StrEnum):
    """Why a run tells nothing of times."""

    NO_TIMES = "start or end not noted"
    NO_STANDARD = "no standard for that press and person"
    TOO_SHORT = "shorter than its fixed part"


@dataclass(frozen=True, slots=True, kw_only=True)
class Unusable:
    """A finished run that tells nothing of times."""

    day: date
    number: int
    why: Why


def recorded(plan: Plan, events: Iterable[Event]) -> tuple[tuple[Recorded, ...], tuple[Unusable, ...]]:
    """The timed runs of a plan, by number, and the finished ones that could not be used.

    Parameters
    ----------
    plan
        The newest plan of the day.
    events
        All entries of that day.
    """
    by_run: dict[str, list[Event]] = {}
    for event in standing(events):
        by_run.setdefault(event.run, []).append(event)
    hours = Hours(plan)
    tasks = {task.id: task for task in plan.instance.tasks}
    timed, unusable = [], []
    for run in sorted(plan.runs, key=lambda run: run.number):
        own = by_run.get(run.id, [])
        if not any(event.kind is EventKind.FINISHED for event in own):
            continue
        found = _recorded(plan, run, tasks[run.id].modes, own, hours)
        if isinstance(found, Recorded):
            timed.append(found)
        else:
            unusable.append(Unusable(day=plan.day, number=run.number, why=found))
    return tuple(timed), tuple(unusable)


def _recorded(
    plan: Plan, run: PlannedRun, modes: Iterable[Mode], own: list[Event], hours: Hours
) -> Recorded | Why:
    started = [event.at for event in own if event.kind is EventKind.STARTED and event.at is not None]
    ended = [event for event in own if event.kind is EventKind.FINISHED][-1]
    if not started or ended.at is None:
        return Why.NO_TIMES
    used = next((event.press for event in reversed(own) if event.press), run.press)
    # Who names the first of two presses means the run as it was planned.
    presses = run.presses if used == run.press else (used,)
    person = next((event.who for event in reversed(own) if event.who), run.operator)
    allowances = plan.shop.allowances
    fixed = timedelta(minutes=allowances.fetch_box_min + allowances.first_piece_min)
    work = _work(run, modes, presses, person, hours)
    quantity = run.content.quantity
    pieces = (quantity if ended.pieces is None else ended.pieces) + (ended.spoiled or 0)
    if work is None or work <= fixed or not pieces:
        return Why.NO_STANDARD
    took = hours.worked(person, started[-1], ended.at) - fixed
    if took <= NOTHING:
        return Why.TOO_SHORT
    counts = [
        (event.at, (event.pieces or 0) + (event.spoiled or 0))
        for event in own
        if event.kind is EventKind.PIECES and event.at is not None
    ]
    return Recorded(
        day=plan.day,
        run=run.id,
        number=run.number,
        order=run.content.order,
        started=started[-1],
        press=" + ".join(presses),
        person=person,
        placement=" + ".join(run.content.placements),
        transfer=" + ".join(dict.fromkeys(laid.transfer for laid in run.content.laid)),
        fabric=run.content.recipe.fabric,
        pieces=pieces,
        planned_s=(work - fixed).total_seconds() * pieces / (quantity + _left_to_rest(plan, run)),
        took_s=took.total_seconds(),
        counts=_counts(
            [(hours.worked(person, started[-1], at) - fixed, done) for at, done in sorted(counts)],
            took,
            pieces,
        ),
    )


def _left_to_rest(plan: Plan, run: PlannedRun) -> int:
    """Pieces that its rest has since it was stopped: its ways are timed with them still."""
    return sum(part.pieces for part in plan.parts if part.name is PartKind.REST and part.run == run.id)


def _work(
    run: PlannedRun, modes: Iterable[Mode], presses: tuple[str, ...], person: str, hours: Hours
) -> timedelta | None:
    """Planned work of the run at a press, or at two, by a person; None when the plan knows none."""
    there = [mode for mode in modes if tuple(press for press, _ in mode.places) == presses]
    mode = next((mode for mode in there if (mode.platen or "") == run.platen), there[0] if there else None)
    if mode is None:
        return None
    ticks = dict(mode.operators).get(person) if person else mode.work
    return None if ticks is None else hours.span(ticks)


def _counts(counts: list[tuple[timedelta, int]], took: timedelta, pieces: int) -> tuple[Counted, ...]:
    """Counts that rise with time, the end last; one that doesn't is left out."""
    kept: list[Counted] = []
    for since, done in counts:
        last = kept[-1] if kept else Counted(pieces=0, took_s=0.0)
        if last.pieces < done < pieces and last.took_s < since.total_seconds() < took.total_seconds():
            kept.append(Counted(pieces=done, took_s=since.total_seconds()))
    return (*kept, Counted(pieces=pieces, took_s=took.total_seconds()))
