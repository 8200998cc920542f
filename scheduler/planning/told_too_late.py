"""Temperatures that nobody set when the run before ended, since its sheet named another run to follow."""

from __future__ import annotations

from dataclasses import replace
from datetime import datetime

from scheduler.domain.plan import Plan, PlannedChangeover
from scheduler.domain.press_order import press_after, press_before


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
        before = press_before(plan, run, change.press)
        if before is not None and before.start.date() != run.start.date():
            before = None
        if before is not None and before.end <= now and any(part.hands_off for part in change.parts):
            own = next((one for one in printed.runs if one.id == before.id), None)
            followed = None if own is None else press_after(printed, own, change.press)
            told = followed is not None and followed.temp_c == run.temp_c
            if not told or (change.press, change.before) in late:
                parts = tuple(replace(part, untold=part.hands_off) for part in change.parts)
                change = replace(change, parts=parts)
        found.append(change)
    return tuple(found)
