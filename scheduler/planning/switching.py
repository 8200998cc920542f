"""When each press is switched on, and who does it: somebody who is there, not in the middle of something."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from scheduler.domain.day_problem import DayProblem
from scheduler.domain.instance import Instance, Shift
from scheduler.domain.plan import PlannedWarmUp
from scheduler.domain.schedule import Schedule, ScheduledTask, WarmUp
from scheduler.domain.times import ticks_up
from scheduler.planning.changeovers import at
from scheduler.planning.disruptions import without_away
from scheduler.planning.idle import on_again
from scheduler.planning.since import Since
from scheduler.planning.trail import Step, steps

NEAR_S = 60
"""Somebody so many seconds from the end or the begin of a run can switch a press on in between."""


def switched_on(
    problem: DayProblem, schedule: Schedule, *, again: tuple[WarmUp, ...] = (), since: Since | None = None
) -> tuple[tuple[Step, ...], tuple[PlannedWarmUp, ...]]:
    """What each press goes through on the sheets, and every time that it is switched on.

    On the sheets a press that would idle for long is cold once more; the search left it hot.

    Parameters
    ----------
    again
        Warm-ups of presses that pressed before and went off since, on the sheets in hand.
    since
        The sheets in hand, when the day is planned again.
    """
    instance = problem.instance
    shown = replace(schedule, warm_ups=(*schedule.warm_ups, *again))
    more = on_again(
        instance,
        problem.day,
        steps(instance, shown),
        shown,
        printed=None if since is None else since.printed,
        now=0 if since is None else since.now,
    )
    shown = replace(shown, warm_ups=(*shown.warm_ups, *more))
    trail = steps(instance, shown)
    return trail, _warm_ups(problem, trail, shown, since)


def _warm_ups(
    problem: DayProblem,
    trail: Sequence[Step],
    schedule: Schedule,
    since: Since | None,
) -> tuple[PlannedWarmUp, ...]:
    """Each warm-up with the temperature of the first run that it is for.

    Who did it by the sheets in hand stays, and to which temperature.
    """
    instance = problem.instance
    there = without_away(instance, problem.between, problem.day, instance.working_days[0].end)
    machines = {machine.id: machine for machine in instance.machines}
    found = []
    for warm in sorted(schedule.warm_ups, key=lambda warm: (warm.start, warm.machine)):
        # The first to end once it is on: a press that was down is switched on again, for another run.
        step = min(
            (step for step in trail if step.machine == warm.machine and step.done.end > warm.start),
            key=lambda step: step.done.start,
        )
        start = at(problem, warm.start)
        by = who_switches_on(there, trail, step, warm.start)
        temp_c = problem.temp_c[step.task.id]
        for one in () if since is None or warm.start >= since.now else since.printed.warm_ups:
            if (one.press, one.start) == (warm.machine, start):
                by, temp_c = one.by, one.temp_c
        found.append(
            PlannedWarmUp(
                press=warm.machine,
                start=start,
                ready=at(problem, warm.end),
                temp_c=temp_c,
                circuit=machines[warm.machine].circuit or "",
                watts=machines[warm.machine].watts,
                by=by,
            )
        )
    return tuple(found)


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
        there = [run for run in runs if run.setup_start <= tick < run.end]
        pausing = any(first <= tick < last for first, last in shift.breaks)
        between = any(tick - run.setup_start <= near or run.end - tick <= near for run in there)
        busy = 2 if pausing or (there and not between) else 1 if there else 0
        ranked.append((busy, person.id != step.done.operator, person.id))
    return min(ranked)[2] if ranked else ""


def _present(shifts: Sequence[Shift], runs: Sequence[ScheduledTask], tick: int) -> Shift | None:
    """The shift in which somebody is there: paid hours, and overtime as long as there is work in it."""
    for shift in shifts:
        worked = [run.end for run in runs if shift.start <= run.setup_start < shift.overtime_end]
        if shift.start <= tick < max([shift.end, *worked]):
            return shift
    return None
