"""Temperatures that nobody set when the run before ended, since its sheet named another run to follow."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace
from datetime import datetime

from scheduler.domain.plan import Plan, PlannedChangeover, PlannedRun


def told_too_late(plan: Plan, printed: Plan, now: datetime) -> tuple[PlannedChangeover, ...]:
    """The changeovers of a day planned again, what was not told in time marked as such.

    A press is set for its next run when a run ends. Where that run is over by `now`, it was set for the one
    that followed on the sheets in hand.

    Parameters
    ----------
    printed
        The plan of the sheets in hand.
    """
    late = {
        (change.press, change.before)
        for change in printed.changeovers
        for part in change.parts
        if part.untold
    }
    found = []
    runs = {run.id: run for run in plan.runs}
    for change in plan.changeovers:
        run = runs[change.before]
        before = _beside(plan.runs, run, change.press, earlier=True)
        if before is not None and before.end <= now and any(part.hands_off for part in change.parts):
            own = next((one for one in printed.runs if one.id == before.id), None)
            followed = None if own is None else _beside(printed.runs, own, change.press, earlier=False)
            told = followed is not None and followed.temp_c == run.temp_c
            if not told or (change.press, change.before) in late:
                parts = tuple(replace(part, untold=part.hands_off) for part in change.parts)
                change = replace(change, parts=parts)
        found.append(change)
    return tuple(found)


def _beside(runs: Iterable[PlannedRun], run: PlannedRun, press: str, *, earlier: bool) -> PlannedRun | None:
    """The last run of a day at a press before another, or the first one behind it."""
    there = [
        other
        for other in runs
        if press in other.presses
        and other.start.date() == run.start.date()
        and (other.start < run.start if earlier else other.start > run.start)
    ]
    if not there:
        return None
    return max(there, key=lambda one: one.start) if earlier else min(there, key=lambda one: one.start)
