"""What of a plan is begun at a moment: runs that stay where they are, runs cut off, presses that are on."""

from __future__ import annotations

import math
from collections.abc import Collection, Iterable, Mapping
from dataclasses import replace
from datetime import datetime

from scheduler.domain.day_state import DayState, RunState, RunStatus
from scheduler.domain.disruptions import Disruptions, PartKind, RunPart, cancelled_of
from scheduler.domain.hours import Hours
from scheduler.domain.instance import Instance
from scheduler.domain.plan import Plan
from scheduler.domain.schedule import Schedule, ScheduledTask, WarmUp
from scheduler.planning.calendar import tick_at_or_after
from scheduler.planning.remaining import Moment, with_forerunners


def what_is_begun(
    plan: Plan, state: DayState, between: Disruptions, until: datetime
) -> tuple[tuple[ScheduledTask, ...], tuple[RunPart, ...]]:
    """The runs that stay where they are, and what becomes a task of its own.

    Parameters
    ----------
    until
        Runs that begin before it count as begun, unless their press is down, their person away, their order
        cancelled, or its box not there when they begin.

    Returns
    -------
    tuple of ScheduledTask
        With the times that they took or will take. What is under way of a cancelled order ends at the moment.
    tuple of RunPart
        The rests of runs cut off, those of cancelled orders too, and what must be pressed again of runs of
        which nothing is yet.
    """
    begun: list[ScheduledTask] = []
    parts: list[RunPart] = []
    now = tick_at_or_after(plan.day, until, plan.instance.tick_s)
    again = {part.run for part in plan.parts if part.name is PartKind.AGAIN}
    places = {
        (task.id, mode.id): tuple(dict(mode.places)) for task in plan.instance.tasks for mode in task.modes
    }
    cancelled = cancelled_of(plan.given, between)
    boxes = {box.order: box.at for box in between.late_boxes}
    for run in state.runs:
        gone = run.order in cancelled
        missing = run.order in boxes and run.start < boxes[run.order]
        if run.status is RunStatus.FINISHED:
            begun.append(_place(plan, run))
            if between.press_again and not gone and run.owed > 0 and run.run not in again:
                parts.append(
                    RunPart(
                        run=run.run,
                        done=run.quantity,
                        pieces=run.owed,
                        name=PartKind.AGAIN,
                        from_tick=now,
                        known=run.owed_of,
                        spoiled=run.spoiled_owed,
                        elsewhere=run.spoiled_elsewhere,
                    )
                )
            continue
        if run.status is RunStatus.NOT_STARTED and (gone or missing or run.start >= until):
            continue
        presses = places.get((run.run, run.mode), (run.press,))
        stop = state.at if gone else _cut_off_at(run, presses, between, state.at)
        if stop is None:
            begun.append(_place(plan, run))
        elif run.status is RunStatus.UNDER_WAY:
            left = _left_at(plan, run, state.at, stop)
            begun.append(_ended(_place(plan, run), tick_at_or_after(plan.day, stop, plan.instance.tick_s)))
            if left:
                parts.append(
                    RunPart(
                        run=run.run,
                        done=run.quantity - left,
                        pieces=left,
                        name=PartKind.REST,
                        from_tick=now,
                        assumed=run.counted_at is None or run.counted_at < stop,
                    )
                )
    return tuple(begun), tuple(parts)


def recounted(plan: Plan, state: DayState, begun: Iterable[ScheduledTask]) -> tuple[RunPart, ...]:
    """The parts of a plan, rests with what their runs are known to have done when they were stopped.

    A count that was entered since gives the rest the other pieces; one that was taken back since, those that
    it was to have without. A rest that is begun itself stays as it is.
    """
    there = {done.task for done in begun}
    runs = {run.run: run for run in state.runs}
    parts = []
    for part in plan.parts:
        run = runs.get(part.run)
        if part.name is PartKind.REST and part.task not in there and run is not None:
            part = _as_counted(part, run)
        if part.pieces:
            parts.append(part)
    return tuple(parts)


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


def _cut_off_at(
    run: RunState, presses: Collection[str], between: Disruptions, at: datetime
) -> datetime | None:
    """When a run can't go on because a press of it is down or its person leaves; None: it ends before."""
    # What was down and is up again stays on record, and stops nothing any more.
    down = {one.press for one in between.down if one.until is None or one.until > at}
    if not down.isdisjoint(presses):
        return at
    # Who went before the moment was last at it then; nothing is known of what became of it since.
    leaves = [
        away.start if away.start >= run.start else max(at, run.start)
        for away in between.away
        if away.person == run.operator
        and away.start < run.end
        and (away.end is None or away.end > max(at, run.start))
    ]
    return min(leaves, default=None)


def _left_at(plan: Plan, run: RunState, at: datetime, stop: datetime) -> int:
    """Pieces that a run under way still has to press at a later moment, at its own pace; breaks left out."""
    hours = Hours(plan)
    whole = hours.worked(run.operator, at, run.end)
    if stop <= at or not whole:
        return run.remaining
    return min(run.remaining, math.ceil(run.remaining * (hours.worked(run.operator, stop, run.end) / whole)))


def _ended(done: ScheduledTask, tick: int) -> ScheduledTask:
    end = max(0, min(done.end, tick))
    return replace(done, setup_start=min(done.setup_start, end), start=min(done.start, end), end=end)


def _place(plan: Plan, run: RunState) -> ScheduledTask:
    """Where a run that is begun, or will be within the notice, was or will be done."""
    printed = next(done for done in plan.schedule.tasks if done.task == run.run)
    if (run.start, run.end) == (run.planned_start, run.planned_end) and run.mode in ("", printed.mode):
        return printed
    tick_s = plan.instance.tick_s
    first = tick_at_or_after(plan.day, run.start, tick_s)
    last = max(first, tick_at_or_after(plan.day, run.end, tick_s))
    return replace(
        printed,
        mode=run.mode or printed.mode,
        operator=run.operator or printed.operator,
        setup_start=first,
        start=min(last, first + printed.start - printed.setup_start),
        end=last,
    )


def moment_of(instance: Instance, schedule: Schedule, now: int) -> Moment:
    """Where a day stands at a tick when everything went to plan."""
    begun = with_forerunners(
        instance, tuple(done for done in schedule.tasks if done.setup_start < now), schedule
    )
    return Moment(now=now, begun=begun, warming=warming(instance, schedule, begun, now))


def warming(
    instance: Instance, printed: Schedule, begun: tuple[ScheduledTask, ...], now: int
) -> tuple[tuple[str, tuple[int, int]], ...]:
    """Warm-ups of the day at that moment that have begun, or belong to what is begun."""
    places = {(task.id, mode.id): mode.places for task in instance.tasks for mode in task.modes}
    today = max(
        (day for day in instance.heating_days if day.start <= now), key=lambda day: day.start, default=None
    )
    if today is None or today.end <= now:
        return ()  # presses are cold by then
    return tuple(
        (warm.machine, (warm.start, warm.end))
        for warm in sorted(printed.warm_ups, key=lambda warm: warm.start)
        if today.start <= warm.start < today.end
        and (
            warm.start < now
            or any(done.setup_start >= today.start and _pressed_on(warm, done, places) for done in begun)
        )
    )


def _pressed_on(
    warm: WarmUp, done: ScheduledTask, places: Mapping[tuple[str, str], Iterable[tuple[str, int]]]
) -> bool:
    """Whether a run was on the press after it was switched on; before, it was on for another one.

    A press that was down is switched on a second time in a day.
    """
    return done.end > warm.start and warm.machine in dict(places[done.task, done.mode])


def warm_ups_of(printed: Schedule, instance: Instance, moment: Moment) -> tuple[WarmUp, ...]:
    """The printed warm-ups of what is begun; those of presses that ran nothing yet are the rest's."""
    facts = dict(moment.warming)
    return tuple(
        warm
        for warm in printed.warm_ups
        if _ran(warm, instance, moment)
        and (warm.start < moment.now or facts.get(warm.machine) == (warm.start, warm.end))
    )


def _ran(warm: WarmUp, instance: Instance, moment: Moment) -> bool:
    places = {(task.id, mode.id): mode.places for task in instance.tasks for mode in task.modes}
    day = next((day for day in instance.heating_days if day.start <= warm.start < day.end), None)
    return day is not None and any(
        day.start <= done.setup_start < day.end and _pressed_on(warm, done, places) for done in moment.begun
    )
