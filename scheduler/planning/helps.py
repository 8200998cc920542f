"""Cheap help for a day that is too full: smaller lots, some overtime, one more person, one more platen.

Each is stated as the same instance with a little more in it, so that a search can say what it is worth.
"""

from __future__ import annotations

from collections.abc import Collection, Iterator
from dataclasses import dataclass, replace
from datetime import date

from scheduler.domain.day_problem import DayProblem
from scheduler.domain.instance import Day, Instance, Mode, Operator, Shift
from scheduler.domain.presence import LEAST_EMPTY
from scheduler.domain.schedule import Schedule
from scheduler.domain.times import exact, ticks_up
from scheduler.planning.beside import timed_pieces
from scheduler.planning.calendar import clock, closing_tick, tick_at_or_after
from scheduler.planning.cycle import work_ticks
from scheduler.planning.heating import paid_spans

OVERTIME_MIN = 30
"""Minutes of overtime that are tried as help, beyond those agreed."""

HELPER = "one more person"
"""Name of somebody who is not of the crew."""


@dataclass(frozen=True, slots=True, kw_only=True)
class TryOut:
    """A day, or the rest of one, to be searched again with help.

    Attributes
    ----------
    instance
        What is searched.
    kept
        A plan of some of its tasks, to begin with.
    """

    problem: DayProblem
    instance: Instance
    kept: Schedule


def with_overtime(tried: TryOut, people: Collection[str], minutes: int = OVERTIME_MIN) -> TryOut:
    """The same with overtime on the first day for some people, beyond what was agreed; shop open as long."""
    instance = tried.instance
    today = instance.working_days[0]
    more = 60 * minutes // instance.tick_s
    ends = [
        shift.overtime_end + more
        for person in instance.operators
        if person.id in people
        for shift in _today(person, today)[-1:]
    ]
    longer = max([today.end, *ends])
    days = tuple(replace(day, end=longer) if day.end == today.end else day for day in instance.heating_days)
    return replace(
        tried,
        instance=replace(
            instance,
            horizon=max(instance.horizon, longer),
            days=days,
            operators=tuple(
                _longer(person, today, more) if person.id in people else person
                for person in instance.operators
            ),
        ),
    )


def can_stay_longer(tried: TryOut) -> tuple[str, ...]:
    """Whoever is there on the first day and does not leave in between."""
    today = tried.instance.working_days[0]
    away = {one.person for one in tried.problem.between.away}
    return tuple(
        person.id for person in tried.instance.operators if _today(person, today) and person.id not in away
    )


def _today(person: Operator, today: Day) -> list[Shift]:
    return [shift for shift in person.shifts if shift.start < today.end]


def _longer(person: Operator, today: Day, more: int) -> Operator:
    own = _today(person, today)
    if not own:
        return person
    shifts = tuple(
        replace(shift, overtime_end=shift.overtime_end + more) if shift is own[-1] else shift
        for shift in person.shifts
    )
    return replace(person, shifts=shifts)


def beyond(tried: TryOut, schedule: Schedule) -> tuple[str, ...]:
    """Who works beyond the hours that were agreed, in a schedule with more overtime than `tried` has."""
    agreed = {person.id: person.shifts for person in tried.instance.operators}
    found = {
        done.operator
        for done in schedule.tasks
        if done.operator is not None
        and not any(
            shift.start <= done.setup_start and done.end <= shift.overtime_end
            for shift in agreed[done.operator]
        )
    }
    return tuple(sorted(found))


def with_helper(tried: TryOut) -> TryOut:
    """The same with one more person of the usual pace at presses that ask for no skill, until closing."""
    problem, instance = tried.problem, tried.instance
    today = instance.working_days[0]
    close = min(today.end, closing_tick(problem.shop, problem.day, _date_of(problem, today), instance.tick_s))
    free = {press.name for press in problem.shop.presses if press.skill is None}
    if close <= today.start:
        return tried

    def helped(task: str, mode: Mode) -> Mode:
        if not free.issuperset(dict(mode.places)) or not mode.operators:
            return mode
        pieces = timed_pieces(mode, problem.contents[task].quantity)
        cycle = exact(problem.cycle_s[task, mode.id])
        work = work_ticks(problem.shop, pieces, cycle, 1.0, instance.tick_s)
        return replace(mode, operators=(*mode.operators, (HELPER, work)))

    shift = Shift(start=today.start, end=close, overtime_end=close)
    return replace(
        tried,
        instance=replace(
            instance,
            operators=(*instance.operators, Operator(id=HELPER, shifts=(shift,))),
            tasks=tuple(
                replace(task, modes=tuple(helped(task.id, mode) for mode in task.modes))
                for task in instance.tasks
            ),
        ),
    )


def _date_of(problem: DayProblem, today: Day) -> date:
    """The date of a heating day."""
    return clock(problem.day, today.start, problem.instance.tick_s).date()


def helper_hours(schedule: Schedule, instance: Instance) -> tuple[int, int, tuple[str, ...]] | None:
    """From when to when, and at which machines, one more person is needed; None: not at all.

    With nobody of the crew in, the one person also switches on the machines that are off.
    """
    own = sorted((done for done in schedule.tasks if done.operator == HELPER), key=lambda done: done.start)
    if not own:
        return None
    modes = {(task.id, mode.id): mode for task in instance.tasks for mode in task.modes}
    used = [(done, place) for done in own for place in modes[done.task, done.mode].places]
    ends: dict[str, list[tuple[int, int]]] = {}
    for done in schedule.tasks:
        for machine, _ in modes[done.task, done.mode].places:
            ends.setdefault(machine, []).append((done.start, done.end))
    crew = list(_crew_in(schedule, instance))
    comes = first = min(done.setup_start for done in own)
    least = ticks_up(int(LEAST_EMPTY.total_seconds()), instance.tick_s)
    for done, (machine, warm_up) in used:
        begin = instance.heating_days[0].start
        since = max([begin, *(end for start, end in ends[machine] if start < done.start)])
        warm = [one.start for one in schedule.warm_ups if one.machine == machine and one.start <= done.start]
        if warm and max(warm) >= since:
            since = max(warm)
            if not any(start <= since < end for start, end in crew):
                first = min(first, since)
                continue
        # In the schedule it is hot from then on; it goes off when the last of the crew leaves.
        gone = max([since, *(min(end, comes) for start, end in crew if start <= comes)])
        if comes - gone >= least:
            first = min(first, max(gone, done.start - warm_up))
    return first, max(done.end for done in own), tuple(dict.fromkeys(machine for _, (machine, _) in used))


def _crew_in(schedule: Schedule, instance: Instance) -> Iterator[tuple[int, int]]:
    """When somebody of the crew is in: paid hours without long breaks, and whenever one of them presses."""
    for person in instance.operators:
        for shift in person.shifts if person.id != HELPER else ():
            yield from paid_spans(shift, instance.tick_s)
    for done in schedule.tasks:
        if done.operator not in (None, HELPER):
            yield done.setup_start, done.end


def with_boxes_early(tried: TryOut, orders: Collection[str]) -> TryOut:
    """The same with everything that some orders wait for in the house from the start."""
    begin = tried.instance.heating_days[0].start
    waiting = set(waits(tried, orders))
    return replace(
        tried,
        instance=replace(
            tried.instance,
            tasks=tuple(
                replace(task, release=min(task.release, begin)) if task.id in waiting else task
                for task in tried.instance.tasks
            ),
        ),
    )


def waits(tried: TryOut, orders: Collection[str]) -> tuple[str, ...]:
    """Tasks of some orders that can't begin before their garments or transfers come in."""
    problem, begin = tried.problem, tried.instance.heating_days[0].start
    return tuple(
        task.id
        for task in tried.instance.tasks
        if task.job in orders
        and task.release > begin
        and (ready := problem.contents[task.id].ready) is not None
        and tick_at_or_after(problem.day, ready, tried.instance.tick_s) == task.release
    )


def only_platens(tried: TryOut, orders: Collection[str]) -> tuple[str, ...]:
    """Kinds of platen, owned once, without which some task of these orders can't be done."""
    owned_once = {platen.id for platen in tried.instance.platens if platen.count == 1}
    found: dict[str, None] = {}
    for task in tried.instance.tasks:
        kinds = {mode.platen for mode in task.modes}
        if task.job in orders and len(kinds) == 1 and kinds <= owned_once:
            found[str(next(iter(kinds)))] = None
    return tuple(found)


def with_platen(tried: TryOut, kind: str) -> TryOut:
    """The same with one more platen of a kind."""
    instance = tried.instance
    return replace(
        tried,
        instance=replace(
            instance,
            platens=tuple(
                replace(platen, count=platen.count + 1) if platen.id == kind else platen
                for platen in instance.platens
            ),
        ),
    )
