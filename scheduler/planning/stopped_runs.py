"""Runs that were stopped and their rests, as the day book has them by now."""

from __future__ import annotations

from collections.abc import Collection, Iterable
from dataclasses import replace

from scheduler.domain.day_state import DayState, RunState, RunStatus
from scheduler.domain.disruptions import PartKind, RunPart
from scheduler.domain.plan import Plan


def recounted(plan: Plan, state: DayState, stays: Collection[str]) -> tuple[RunPart, ...]:
    """The parts of a plan, rests with what their runs are known to have done when they were stopped.

    A count that was entered since gives the rest the other pieces, which may be none; one that was taken back
    since, those that it was to have without. A rest that stays where it is keeps its pieces.

    Parameters
    ----------
    stays
        Ids of the runs that are begun, or that the next plan leaves as they are.
    """
    runs = {run.run: run for run in state.runs}
    parts = []
    for part in plan.parts:
        run = runs.get(part.run)
        if part.name is PartKind.REST and part.task not in stays and run is not None:
            part = _as_counted(part, run)
        parts.append(part)
    return tuple(parts)


def with_cut_off(
    parts: Iterable[RunPart], cut: Iterable[RunPart], stays: Collection[str]
) -> tuple[RunPart, ...]:
    """The parts of a plan, with those of what is cut off or pressed again now.

    A run that was going to be stopped, and is stopped before, has one rest, unless that which it was to
    have stays where it is.

    Parameters
    ----------
    stays
        Ids of the runs that are begun, or that the next plan leaves as they are.
    """
    found = {part.task: part for part in parts}
    for part in cut:
        while part.task in found and part.task in stays:
            part = replace(part, number=part.number + 1)
        if part.task in found:
            part = replace(part, pieces=found[part.task].pieces + part.pieces)
        found[part.task] = part
    return tuple(found.values())


def as_recounted(state: DayState, parts: Iterable[RunPart]) -> DayState:
    """How the day stands, of runs that were stopped with so many pieces as are known to be theirs.

    What was spoiled of them is owed then, as it is of any other run: their rests don't press it any more.
    """
    own = {part.run: part.done for part in parts if part.name is PartKind.REST}

    def with_own(run: RunState) -> RunState:
        pieces = own.get(run.run, run.quantity)
        if run.status is RunStatus.FINISHED and run.assumed:
            return replace(run, quantity=pieces, good=max(0, pieces - run.spoiled))
        return replace(run, quantity=pieces)

    return replace(state, runs=tuple(with_own(run) for run in state.runs))


def _as_counted(part: RunPart, run: RunState) -> RunPart:
    whole = part.done + part.pieces
    if run.status is not RunStatus.FINISHED:
        return part
    if not run.assumed:
        guess = part.done if part.assumed else part.guess
        done = min(whole, run.good + run.spoiled)
        return replace(part, done=done, pieces=whole - done, assumed=False, guess=guess)
    if part.assumed:
        return part
    done = part.done if part.guess is None else part.guess
    return replace(part, done=done, pieces=whole - done, assumed=True, guess=None)


__all__ = ["as_recounted", "recounted", "with_cut_off"]
