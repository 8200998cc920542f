"""Presses that go off between two runs, and when they are switched on again: read off a finished schedule.

The search knows one warm-up a day and keeps a press hot in between; nothing of that changes here. A press is
switched off only where it can be hot again by its next run as planned, or where nobody of the crew is in.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import replace
from datetime import date, datetime, timedelta

from scheduler.domain.clock import clock
from scheduler.domain.figures import nearest
from scheduler.domain.idle import (
    Span,
    again_at,
    empty_between,
    left_alone,
    off_at_once,
    off_by,
    press_off,
    presses_off,
    short_words,
    told_off,
)
from scheduler.domain.instance import Instance, Machine
from scheduler.domain.plan import Plan, PlannedRun, PlannedWarmUp
from scheduler.domain.schedule import Schedule, ScheduledTask, WarmUp
from scheduler.planning.calendar import clock as clock_of
from scheduler.planning.calendar import tick_at_or_after, tick_at_or_before
from scheduler.planning.trail import Step, day_of

LONG_IDLE = timedelta(hours=1)
"""A press that can stay off for so long between two runs goes off; a shorter rest is left hot."""


def on_again(
    instance: Instance,
    day: date,
    trail: Sequence[Step],
    schedule: Schedule,
    runs: Sequence[PlannedRun],
    present: Sequence[Span],
    *,
    printed: Plan | None = None,
    now: int = 0,
) -> tuple[WarmUp, ...]:
    """The warm-ups of presses that go off between two runs of a day.

    Each is as late as can be, with somebody of the crew in from then on and its circuit free. Where nobody
    is in in time and somebody else would have to switch on, it is as late as can be as well. Where the press
    can't be hot by the run at all, the first of the crew who is in switches it on, and it is ready too late.

    Parameters
    ----------
    day
        The planned day.
    present
        When somebody of the crew is in.
    printed, now
        The plan of the sheets in hand, and the moment from which the day is planned again: what is begun
        stays.
    """
    planned = {run.id: run for run in runs}
    found: list[WarmUp] = []
    for step in sorted(trail, key=lambda one: (one.done.start, one.machine)):
        before, then = step.previous, planned[step.task.id]
        first = now
        if step.cold:
            # Switched on by the sheets in hand and waiting, a press is as one that has pressed.
            if step.done.setup_start < now or not _on_since(instance, schedule, step, now):
                continue
        else:
            if before is None or day_of(instance, before.setup_start) < 0:
                continue
            if planned[before.task].start.date() != then.start.date():
                continue
            if printed is not None and step.done.setup_start < now:
                found += _as_printed(instance, day, printed, step)
                continue
            first = max(before.end, now)
        length = dict(step.mode.places)[step.machine]
        if not length or first >= step.done.start:
            continue
        start = clock_of(day, first, instance.tick_s)
        empty = empty_between(present, start, then.pressing_start)
        there = tick_at_or_after(day, empty[-1][1], instance.tick_s) if empty else first
        busy = (*schedule.warm_ups, *found)
        tick = latest_start(instance, step.machine, busy, max(first, there), step.done.start - length, length)
        if tick is None and empty:
            tick = latest_start(instance, step.machine, busy, first, step.done.start - length, length)
            if tick is None:
                tick = latest_start(instance, step.machine, busy, there, there, length)
            if tick is None:
                tick = latest_start(instance, step.machine, busy, there, step.done.start, length)
        elif tick is not None and not empty and (tick - first) * instance.tick_s < LONG_IDLE.total_seconds():
            tick = None
        if tick is not None:
            found.append(WarmUp(machine=step.machine, start=tick, end=tick + length))
    return tuple(found)


def _on_since(instance: Instance, schedule: Schedule, step: Step, now: int) -> bool:
    """Whether the press of a cold run was switched on for it before a tick."""
    today = day_of(instance, step.done.setup_start)
    if today < 0:
        return False
    since = max(
        step.previous.end if step.previous is not None else 0,
        instance.heating_days[today - 1].end if today else 0,
    )
    return any(
        warm.machine == step.machine and since <= warm.start < min(now, step.done.start)
        for warm in schedule.warm_ups
    )


def with_begun(plan: Plan, printed: Plan, at: datetime, now: datetime) -> tuple[PlannedWarmUp, ...]:
    """The warm-ups of a day planned again, with those of the sheets in hand that were begun for nothing.

    One that was to begin within the notice, and is put off, is left out: nobody has switched on yet.

    Parameters
    ----------
    at, now
        The moment, and the end of the notice.
    """

    def put_off(warm: PlannedWarmUp) -> bool:
        later = [one.start for one in plan.warm_ups if one.press == warm.press and one.start > warm.start]
        return at <= warm.start < now and any(
            start.date() == at.date()
            and not any(warm.press in run.presses and warm.start <= run.end <= start for run in plan.runs)
            for start in later
        )

    known = {(one.press, one.start) for one in plan.warm_ups}
    begun = [
        one
        for one in printed.warm_ups
        if one.start < at and one.start.date() == at.date() and (one.press, one.start) not in known
    ]
    found = [*begun, *(one for one in plan.warm_ups if not put_off(one))]
    return tuple(sorted(found, key=lambda one: (one.start, one.press)))


def _as_printed(instance: Instance, day: date, printed: Plan, step: Step) -> list[WarmUp]:
    """What the sheets in hand say of a press before a run that is begun."""
    runs = {run.id: run for run in printed.runs}
    was = runs.get(step.previous.task) if step.previous is not None else None
    then = runs.get(step.task.id)
    warm = None if was is None or then is None else again_at(printed, was, then, step.machine)
    if warm is None:
        return []
    return [
        WarmUp(
            machine=step.machine,
            start=tick_at_or_before(day, warm.start, instance.tick_s),
            end=tick_at_or_before(day, warm.ready, instance.tick_s),
        )
    ]


def latest_start(
    instance: Instance, machine: str, busy: Iterable[WarmUp], first: int, last: int, length: int
) -> int | None:
    """The latest tick of a stretch from which a press can heat up with its circuit not overloaded."""
    here = {one.id: one for one in instance.machines}
    own = here[machine]
    limit = next((one.limit_w for one in instance.circuits if one.id == own.circuit), None)
    others = [
        (here[warm.machine].watts, warm.start, warm.end)
        for warm in busy
        if warm.machine != machine and limit is not None and here[warm.machine].circuit == own.circuit
    ]
    # The latest that fits ends where it may, or where another begins.
    for tick in sorted({last, *(start - length for _, start, _ in others)}, reverse=True):
        if first <= tick <= last and (
            limit is None
            or all(
                own.watts + sum(watts for watts, start, end in others if start <= at < end) <= limit
                for at in (tick, *(start for _, start, _ in others if tick < start < tick + length))
            )
        ):
            return tick
    return None


def machines_off(
    instance: Instance, whole: Instance, printed: Plan, begun: Iterable[ScheduledTask], at: datetime, now: int
) -> Instance:
    """The rest of a day with the presses cold that are off by the sheets in hand.

    Parameters
    ----------
    whole
        The whole day.
    at
        The moment; nothing that isn't begun starts before the tick `now`.
    """
    places = {(task.id, mode.id): mode.places for task in whole.tasks for mode in task.modes}
    by_id = {run.id: run for run in printed.runs}
    last: dict[str, ScheduledTask] = {}
    for done in sorted(begun, key=lambda one: (one.start, one.end, one.setup_start)):
        last |= dict.fromkeys((press for press, _ in places[done.task, done.mode]), done)
    told = told_off(printed, at)

    def heats(press: str) -> tuple[int, int] | None:
        """The last warm-up begun by the sheets in hand, unless they have told the press to go off since."""
        found = [
            (start, tick_at_or_before(printed.day, warm.ready, instance.tick_s))
            for warm in printed.warm_ups
            if warm.press == press
            and warm.start.date() == at.date()
            and (press not in told or warm.start >= at)
            if (start := tick_at_or_before(printed.day, warm.start, instance.tick_s)) < now
        ]
        return max(found, default=None)

    def cold(machine: Machine) -> Machine:
        done = last.get(machine.id)
        over = done is None or clock_of(printed.day, done.end, instance.tick_s) <= at
        if over and (machine.id in told or (not machine.hot and machine.warming is not None)):
            return replace(machine, hot=False, warming=heats(machine.id))
        run = by_id.get(done.task) if done is not None else None
        if not machine.hot or done is None or run is None or machine.id not in run.presses:
            return machine
        off = press_off(printed, run, machine.id)
        if off is None or not over:
            return machine
        warming = None
        if off.again is not None and off.again.by:
            start = tick_at_or_before(printed.day, off.again.start, instance.tick_s)
            if start < now:
                warming = (start, tick_at_or_before(printed.day, off.again.ready, instance.tick_s))
        return replace(machine, hot=False, warming=warming)

    return replace(instance, machines=tuple(cold(machine) for machine in instance.machines))


def idle_notes(plan: Plan) -> tuple[str, ...]:
    """What the owner must know: presses to switch off now, and those that the crew can't heat in time."""
    found = []
    now = off_at_once(plan)
    if now and plan.at is not None:
        who = off_by(plan) or "nobody of the crew is in, so whoever is near"
        named = ", ".join(now)
        found.append(f"SWITCH OFF at {clock(plan.at)}, not needed for now: {named} ({who}).")
    for one in presses_off(plan):
        if one.empty is not None and not one.in_time:
            found.append(
                f"WARNING: nobody of the crew is in {clock(one.empty[0])}–{clock(one.empty[1])}, so "
                f"{one.press} goes off after run {one.before.number}. {short_words(one)}"
            )
    for warm, run, (gone, back) in left_alone(plan):
        later = nearest(
            max(1.0, (warm.ready - warm.start - (run.pressing_start - back)).total_seconds() / 60)
        )
        found.append(
            f"WARNING: nobody of the crew is in {clock(gone)}–{clock(back)}, when {warm.press} is to heat. "
            f"The crew can't have it hot in time: run {run.number} at {clock(run.start)} begins about "
            f"{later} min later than planned, unless somebody else who stays with it switches it on at "
            f"{clock(warm.start)}."
        )
    return tuple(found)
