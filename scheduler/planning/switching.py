"""Who switches a press on: somebody who is there, and not in the middle of something if possible."""

from __future__ import annotations

from collections.abc import Sequence

from scheduler.domain.instance import Instance, Shift
from scheduler.domain.schedule import ScheduledTask
from scheduler.domain.times import ticks_up
from scheduler.planning.trail import Step

NEAR_S = 60
"""Somebody so many seconds from the end or the begin of a run can switch a press on in between."""


def who_switches_on(instance: Instance, trail: Sequence[Step], step: Step, tick: int) -> str:
    """The person who switches a press on at a tick, for its first run of a day.

    Of those present: who is neither at a run nor on a break; else who begins or ends a run within a
    minute; else anybody. Among equals the operator of that first run goes first, then names decide.

    Parameters
    ----------
    step
        The press's first run of that day.

    Returns
    -------
    str
        Empty when nobody is there.
    """
    near = ticks_up(NEAR_S, instance.tick_s)
    ranked = []
    for person in instance.operators:
        runs = [other.done for other in trail if other.done.operator == person.id]
        shift = _present(person.shifts, runs, tick)
        if shift is None:
            continue
        at = [run for run in runs if run.setup_start <= tick < run.end]
        pausing = any(first <= tick < last for first, last in shift.breaks)
        between = any(tick - run.setup_start <= near or run.end - tick <= near for run in at)
        busy = 2 if pausing or (at and not between) else 1 if at else 0
        ranked.append((busy, person.id != step.done.operator, person.id))
    return min(ranked)[2] if ranked else ""


def _present(shifts: Sequence[Shift], runs: Sequence[ScheduledTask], tick: int) -> Shift | None:
    """The shift in which somebody is there: paid hours, and overtime as long as there is work in it."""
    for shift in shifts:
        worked = [run.end for run in runs if shift.start <= run.setup_start < shift.overtime_end]
        if shift.start <= tick < max([shift.end, *worked]):
            return shift
    return None
