"""Presses that go off since they would idle for long, and when they go on again: read off a schedule.

Nothing of the schedule changes by it: a press goes off only where it can be hot again by its next run, with
somebody of the crew in all the while. Where everybody is out, the schedule itself has it cold
(`scheduler/planning/heating.py`).
"""

from __future__ import annotations

from collections.abc import Collection, Iterable, Sequence
from dataclasses import replace
from datetime import date, datetime

from scheduler.domain.clock import clock
from scheduler.domain.idle import (
    LONG_IDLE,
    again_at,
    down_now,
    leaves_now,
    press_off,
    told_off,
)
from scheduler.domain.instance import Instance, Machine
from scheduler.domain.plan import Plan, PlannedRun, PlannedWarmUp
from scheduler.domain.press_order import press_after
from scheduler.domain.schedule import Schedule, ScheduledTask, WarmUp
from scheduler.domain.stopping import switch_offs
from scheduler.planning.calendar import clock as clock_of
from scheduler.planning.calendar import tick_at_or_before
from scheduler.planning.trail import Step, day_of


def on_again(
    instance: Instance,
    day: date,
    trail: Sequence[Step],
    schedule: Schedule,
    *,
    printed: Plan | None = None,
    now: int = 0,
) -> tuple[WarmUp, ...]:
    """The warm-ups of presses that go off in between since they would idle for long.

    Each is as late as can be, with its circuit free, and in the heating day of the run that it is for.

    Parameters
    ----------
    day
        The planned day.
    printed, now
        The plan of the sheets in hand, and the moment from which the day is planned again: what is begun
        stays.
    """
    found: list[WarmUp] = []
    for step in sorted(trail, key=lambda one: (one.done.start, one.machine)):
        before, first = step.previous, now
        if step.cold:
            # Switched on by the sheets in hand and waiting, a press is as one that has pressed.
            if step.done.setup_start < now or not _on_since(instance, schedule, step, now):
                continue
        elif before is None:
            continue
        elif printed is not None and step.done.setup_start < now:
            found += _as_printed(instance, day, printed, step)
            continue
        else:
            first = max(before.end, now)
        length = dict(step.mode.places)[step.machine]
        if not length:
            continue
        busy = (*schedule.warm_ups, *found)
        tick = latest_start(instance, step.machine, busy, first, step.done.start - length, length)
        if tick is not None and (tick - first) * instance.tick_s >= LONG_IDLE.total_seconds():
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


def off_by_sheets(
    whole: Instance,
    printed: Plan,
    begun: Iterable[ScheduledTask],
    at: datetime,
    cut: Collection[str] = (),
) -> set[str]:
    """Presses that the sheets in hand have off at a moment, after their last run so far of that date.

    Parameters
    ----------
    whole
        The whole day.
    begun
        What is done or under way.
    cut
        Runs that end at the moment although they aren't done: their sheets say nothing of that.
    """

    def off(press: str, run: PlannedRun) -> bool:
        if press_after(printed, run, press) is None:
            return True
        found = press_off(printed, run, press)
        return found is not None and (found.again is None or found.again.start > at)

    return {press for press, run in _last(whole, printed, begun, at, cut).items() if off(press, run)}


def off_for_good(
    whole: Instance,
    printed: Plan,
    begun: Iterable[ScheduledTask],
    at: datetime,
    cut: Collection[str] = (),
) -> set[str]:
    """Those of `off_by_sheets` for which these sheets have no further run on that date."""
    last = _last(whole, printed, begun, at, cut)
    return {press for press, run in last.items() if press_after(printed, run, press) is None}


def _last(
    whole: Instance,
    printed: Plan,
    begun: Iterable[ScheduledTask],
    at: datetime,
    cut: Collection[str],
) -> dict[str, PlannedRun]:
    """The last run of each press that is over at a moment, of that date and as it was planned to be."""
    places = {(task.id, mode.id): mode.places for task in whole.tasks for mode in task.modes}
    by_id = {run.id: run for run in printed.runs}
    last: dict[str, tuple[datetime, str]] = {}
    for done in begun:
        end = clock_of(printed.day, done.end, whole.tick_s)
        for press, _ in places[done.task, done.mode]:
            last[press] = max(last.get(press, (end, done.task)), (end, done.task))
    return {
        press: by_id[task]
        for press, (end, task) in last.items()
        if end <= at and task in by_id and task not in cut and by_id[task].start.date() == at.date()
    }


def machines_off(
    instance: Instance,
    whole: Instance,
    printed: Plan,
    begun: Iterable[ScheduledTask],
    at: datetime,
    now: int,
    cut: Collection[str] = (),
) -> Instance:
    """The rest of a day with the presses cold that are off by the sheets in hand.

    Parameters
    ----------
    whole
        The whole day.
    at
        The moment; nothing that isn't begun starts before the tick `now`.
    cut
        As for `off_for_good`.
    """
    places = {(task.id, mode.id): mode.places for task in whole.tasks for mode in task.modes}
    by_id = {run.id: run for run in printed.runs}
    last: dict[str, ScheduledTask] = {}
    for done in sorted(begun, key=lambda one: (one.start, one.end, one.setup_start)):
        last |= dict.fromkeys((press for press, _ in places[done.task, done.mode]), done)
    told = told_off(printed, at)
    gone = off_for_good(whole, printed, begun, at, cut)

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
        if machine.hot and machine.id in gone:
            return replace(machine, hot=False, warming=None)
        run = by_id.get(done.task) if done is not None else None
        if not machine.hot or done is None or run is None or run.id in cut or machine.id not in run.presses:
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
    """What the owner must know: presses to switch off now."""
    if plan.at is None:
        return ()
    down = down_now(plan)
    presses: dict[str, list[str]] = {}
    for one in switch_offs(plan):
        named = f"{one.press}, which is down" if one.press in down else one.press
        presses.setdefault(_by_whom(plan, one.by), []).append(named)
    if not presses:
        return ()
    said = "; ".join(f"{', '.join(named)} ({who})" for who, named in presses.items())
    return (f"SWITCH OFF at {clock(plan.at)}, not needed for now: {said}.",)


def _by_whom(plan: Plan, name: str) -> str:
    if not name:
        return "nobody of the crew is in, so whoever is near"
    return f"{name}, before leaving" if leaves_now(plan, name) else name
