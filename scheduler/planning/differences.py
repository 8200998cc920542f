"""What differs between two plans of a day, as the people at the presses meet it."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace

from scheduler.domain.differences import Difference, Kind
from scheduler.domain.plan import Plan, PlannedRun


def differences(old: Plan, new: Plan) -> tuple[Difference, ...]:
    """Every run that differs, in order of the new plan's times; dropped ones last."""
    was = {run.id: run for run in old.runs}
    is_now = {run.id: run for run in new.runs}
    before_old, before_new = _forerunners(old.runs, is_now), _forerunners(new.runs, was)
    found: list[Difference] = []
    for run in sorted(new.runs, key=lambda run: (run.start, run.number)):
        there = was.get(run.id)
        if there is None:
            found.append(Difference(run=run.id, kind=Kind.NEW, before=None, after=run))
            continue
        minutes = (run.pressing_start - there.pressing_start).total_seconds() / 60
        kind = None
        if _pieces(run) != _pieces(there):
            kind = Kind.OTHER_PIECES
        elif (run.presses, run.operator, run.platen) != (there.presses, there.operator, there.platen):
            kind = Kind.OTHER_PLACE
        elif before_old.get(run.id) != before_new.get(run.id):
            kind = Kind.OTHER_ORDER
        elif minutes:
            kind = Kind.LATER if minutes > 0 else Kind.EARLIER
        if kind is not None:
            found.append(Difference(run=run.id, kind=kind, before=there, after=run, minutes=minutes))
    found.extend(
        Difference(run=run.id, kind=Kind.DROPPED, before=run, after=None)
        for run in old.runs
        if run.id not in is_now
    )
    return tuple(found)


def _pieces(run: PlannedRun) -> object:
    # How a transfer lies depends on the platen.
    return run.content.pieces, [replace(laid, turned=False) for laid in run.content.laid]


def _forerunners(runs: Iterable[PlannedRun], known: dict[str, PlannedRun]) -> dict[str, str]:
    """By run, the one before it on its press that both plans have."""
    last: dict[str, str] = {}
    found: dict[str, str] = {}
    for run in sorted(runs, key=lambda run: (run.pressing_start, run.end)):
        if run.press in last:
            found[run.id] = last[run.press]
        if run.id in known:
            last.update(dict.fromkeys(run.presses, run.id))
    return found


__all__ = ["Difference", "Kind", "differences"]
