"""Pieces that are pressed again, with what was entered of them since: more of them, and which are spoiled."""

from __future__ import annotations

from collections.abc import Collection, Iterable, Sequence
from dataclasses import replace
from datetime import datetime

from scheduler.domain.day_state import DayState, RunState, RunStatus
from scheduler.domain.disruptions import PartKind, RunPart
from scheduler.domain.pieces import Pieces


def with_more_again(
    parts: Iterable[RunPart], state: DayState, stays: Collection[str], now: int, *, asked: bool
) -> tuple[RunPart, ...]:
    """The parts of a plan, those that are pressed again as the day book has them by now.

    Pieces more go to the run that presses them again while that can still change, else they get one of their
    own. Pieces fewer stay: what is printed is pressed.

    Parameters
    ----------
    parts
        Those of the plan on the sheets in hand.
    stays
        Tasks that are begun, or stay where they are printed.
    now
        The tick from which something new is pressed.
    asked
        Whether pieces more are pressed again.
    """
    runs = {run.run: run for run in state.runs if run.status is RunStatus.FINISHED}
    by_task = {part.task: part for part in parts}
    for name in dict.fromkeys(part.run for part in by_task.values() if part.name is PartKind.AGAIN):
        if name not in runs:
            continue
        run = runs[name]
        own = [part for part in by_task.values() if part.run == name and part.name is PartKind.AGAIN]
        closed = [part for part in own if part.task in stays]
        more = max(0, run.owed - sum(part.pieces for part in own)) if asked else 0
        still_open = next((part for part in own if part.task not in stays), None)
        if still_open is None and more:
            still_open = RunPart(
                run=name,
                done=run.quantity,
                pieces=0,
                name=PartKind.AGAIN,
                from_tick=now,
                number=1 + max(part.number for part in own),
            )
        if still_open is not None:
            pieces = still_open.pieces + more
            others = [part for part in own if part.task != still_open.task]
            spoiled = max(0, min(pieces, run.spoiled_owed - sum(part.spoiled for part in others)))
            elsewhere = run.spoiled_elsewhere - sum(part.elsewhere for part in others)
            by_task[still_open.task] = replace(
                still_open,
                pieces=pieces,
                known=_known_besides(run, closed),
                spoiled=spoiled,
                elsewhere=max(0, min(spoiled, elsewhere)),
            )
    return tuple(by_task.values())


def asked_from(parts: Iterable[RunPart], at: datetime) -> tuple[RunPart, ...]:
    """The parts, with the moment at those whose spoiled garments no sheet has asked for before."""
    return tuple(replace(part, asked=at) if part.spoiled and part.asked is None else part for part in parts)


def _known_besides(run: RunState, closed: Sequence[RunPart]) -> tuple[Pieces, ...]:
    """Those of a run's spoiled pieces of which it is known which they are, and that no run presses again yet.

    Where some were pressed again without anybody having said which, it isn't known of the others either.
    """
    if any(part.spoiled > sum(one.quantity for one in part.known) for part in closed):
        return ()
    taken: dict[Pieces, int] = {}
    for part in closed:
        for one in part.known:
            kind = replace(one, quantity=0)
            taken[kind] = taken.get(kind, 0) + one.quantity
    found = []
    for one in run.owed_of:
        kind = replace(one, quantity=0)
        there = min(one.quantity, taken.get(kind, 0))
        taken[kind] = taken.get(kind, 0) - there
        if one.quantity > there:
            found.append(replace(one, quantity=one.quantity - there))
    return tuple(found)


__all__ = ["with_more_again"]
