"""Pieces entered as pressed on garments that were spoiled before, at an earlier placement of them."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import replace
from datetime import datetime

from scheduler.daybook.entries import fault_at, last_of
from scheduler.daybook.facts import facts_of, standing, when_of
from scheduler.domain.disruptions import PartKind
from scheduler.domain.faults import Fault, Severity
from scheduler.domain.figures import counted
from scheduler.domain.pieces import Pieces, same_kind
from scheduler.domain.plan import Plan, PlannedRun
from scheduler.domain.progress import Event, EventKind, RunLine


def doubts_of_spoiled(plan: Plan, lines: Sequence[RunLine], events: Iterable[Event]) -> list[Fault]:
    """Doubts about runs entered as done with more pieces than there were garments left for them.

    A garment that was spoiled at one placement can't be pressed at the next. Only what is certain is doubted:
    of pieces whose sizes nobody said those count that can be of no other run, and where a plan has them
    pressed again, new garments may have come in time.

    Parameters
    ----------
    lines
        The boxes that are entered now.
    events
        The entries of the day with those that the boxes make, numbered in the order of the book.
    """
    day = _Told(plan, tuple(standing(events)))
    runs = {run.id: run for run in plan.runs}
    found: dict[str, Fault] = {}
    for line in lines:
        # What is entered now may be the run that spoiled them: then those after it are looked at.
        for run in (runs[line.run], *day.others(runs[line.run])):
            if run.id not in found and (doubt := _doubt(day, run, line)) is not None:
                found[run.id] = doubt
    return list(found.values())


def _doubt(day: _Told, run: PlannedRun, line: RunLine) -> Fault | None:
    if not day.over(run) or day.is_again(run):
        return None
    spoiling = [(one, lost) for one in day.before(run) if (lost := day.lost(one, run)) > 0]
    if not spoiling or line.run not in (run.id, *(one.id for one, _ in spoiling)):
        return None
    there = day.whole(run) - max(0, sum(lost for _, lost in spoiling) - day.new_garments(run))
    more = day.pressed(run) - there
    if more <= 0:
        return None
    pieces = day.pieces(run)
    fewer = max(0, pieces - more)
    where = " and ".join(f"run {one.number} ({' and '.join(one.content.placements)})" for one, _ in spoiling)
    gone = sum(lost for _, lost in spoiling)
    its = f"{gone} of its garments {'was' if gone == 1 else 'were'} spoiled before, at {where}"
    first = spoiling[0][0].number
    new = "a new garment" if gone == 1 else "new garments"
    doubt = fault_at(
        "spoiled-before",
        line,
        "pieces",
        f"run {run.number}: {counted(pieces, 'piece')} done, but {its}",
        f"at most {fewer}",
        "It is taken as said. Enter it again with what it pressed, "
        f"pressday done {run.number} --pieces {fewer} --finished HH:MM; pressday replan --press-again plans "
        f"the rest. If {new} went through run {first} too, say so: pressday done {first}.",
    )
    return replace(doubt, severity=Severity.DOUBT)


class _Told:
    """What the entries of a day say of its runs, and which runs are of the same garments."""

    def __init__(self, plan: Plan, news: tuple[Event, ...]) -> None:
        self._plan, self._news = plan, news
        self._bundles = {task.id: frozenset(task.bundles) for task in plan.instance.tasks}
        self._again = {part.task: part for part in plan.parts if part.name is PartKind.AGAIN}
        self._facts = {run.id: facts_of(run, news, datetime.max) for run in plan.runs}

    def is_again(self, run: PlannedRun) -> bool:
        """Whether it presses new garments."""
        return run.id in self._again

    def over(self, run: PlannedRun) -> bool:
        """Whether somebody said that it is."""
        facts = self._facts[run.id]
        return facts is not None and facts.finished is not None

    def pieces(self, run: PlannedRun) -> int:
        """Its pieces off the press, as far as somebody said."""
        facts = self._facts[run.id]
        return 0 if facts is None else (facts.good or 0) + facts.spoiled

    def others(self, run: PlannedRun) -> list[PlannedRun]:
        """Runs at another placement of the same garments."""
        return [one for one in self._same_garments(run) if _placed(one) != _placed(run)]

    def before(self, run: PlannedRun) -> list[PlannedRun]:
        """Those of them that were over before it, in this order."""
        here = self._when(run)
        found = [one for one in self.others(run) if not self.is_again(one) and self._when(one) < here]
        return sorted(found, key=self._when)

    def lost(self, spoiling: PlannedRun, run: PlannedRun) -> int:
        """How many garments that a run spoiled are certainly of those of another run."""
        facts = self._facts[spoiling.id]
        if facts is None or not facts.spoiled:
            return 0
        own = [piece for one in self._there(run) for piece in one.content.pieces]
        known = sum(one.quantity for one in facts.spoiled_of if _has(own, one))
        unknown = facts.spoiled - sum(one.quantity for one in facts.spoiled_of)
        elsewhere = sum(one.quantity for one in spoiling.content.pieces if not _has(own, one))
        return known + max(0, unknown - elsewhere)

    def new_garments(self, run: PlannedRun) -> int:
        """New garments that a plan takes in place of spoiled ones, at placements before it."""
        names = {one.id for one in self.before(run)}
        return sum(part.spoiled for part in self._again.values() if part.run in names)

    def whole(self, run: PlannedRun) -> int:
        """Pieces at its placement of the same garments, in all lots."""
        return sum(one.content.quantity for one in self._there(run))

    def pressed(self, run: PlannedRun) -> int:
        """Those of them that somebody said are pressed."""
        return sum(self.pieces(one) for one in self._there(run))

    def _there(self, run: PlannedRun) -> list[PlannedRun]:
        same = [one for one in self._same_garments(run) if _placed(one) == _placed(run)]
        return [run, *(one for one in same if not self.is_again(one))]

    def _same_garments(self, run: PlannedRun) -> list[PlannedRun]:
        own = self._bundles.get(run.id, frozenset())
        return [
            one
            for one in self._plan.runs
            if one.id != run.id and not own.isdisjoint(self._bundles.get(one.id, frozenset()))
        ]

    def _when(self, run: PlannedRun) -> tuple[datetime, datetime]:
        """When it was over: as entered, and among what was entered for one minute as planned."""
        own = [event for event in self._news if event.run == run.id]
        last = last_of(own, EventKind.FINISHED) or last_of(own, EventKind.PIECES)
        return (run.end if last is None else when_of(last, run)), run.end


def _placed(run: PlannedRun) -> tuple[str, ...]:
    return run.content.placements


def _has(pieces: Iterable[Pieces], one: Pieces) -> bool:
    return any(same_kind(each, one) for each in pieces)


__all__ = ["doubts_of_spoiled"]
