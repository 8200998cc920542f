"""What each press holds at a moment: platen, settings, heat."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from datetime import datetime, timedelta

from scheduler.daybook.forecast import Course
from scheduler.domain.day_state import PressState
from scheduler.domain.idle import PressOff, press_off, told_off
from scheduler.domain.instance import Machine
from scheduler.domain.plan import Plan


def press_states(plan: Plan, courses: Iterable[Course], at: datetime) -> tuple[PressState, ...]:
    """The presses of a plan at a moment, in the order of the instance."""
    every = sorted(courses, key=lambda course: (course.start, course.end, course.run.number))
    begun = [course for course in every if course.start <= at]
    mounted = _mounted(plan, begun)
    return tuple(_press_state(plan, machine, every, begun, mounted, at) for machine in plan.instance.machines)


def _mounted(plan: Plan, begun: Sequence[Course]) -> dict[str, str]:
    """The platen on each press: one that is needed elsewhere leaves the press that used it longest ago."""
    counts = {platen.id: platen.count for platen in plan.instance.platens}
    mounted = {machine.id: machine.mounted or "" for machine in plan.instance.machines}
    used: dict[str, datetime] = {}
    for course in begun:
        kind = course.mode.platen if course.mode is not None else course.run.platen
        here = course.presses
        mounted.update(dict.fromkeys(here, kind or ""))
        used.update(dict.fromkeys(here, course.end))
        there = [press for press, on in mounted.items() if kind and on == kind and press not in here]
        there.sort(key=lambda press: used.get(press, datetime.min))
        if kind:
            over = len(there) + len(here) - counts.get(kind, len(there) + len(here))
            mounted.update(dict.fromkeys(there[: max(0, over)], ""))
    return mounted


def _press_state(
    plan: Plan,
    machine: Machine,
    every: Sequence[Course],
    begun: Sequence[Course],
    mounted: dict[str, str],
    at: datetime,
) -> PressState:
    here = [course for course in begun if machine.id in course.presses]
    last = here[-1] if here else None
    running = next((course for course in here if course.end > at), None)
    temp, set_to, hot, hot_from = _heat(plan, machine, every, last, at)
    state = machine.initial
    if last is not None:
        mode = last.mode or next(
            mode
            for task in plan.instance.tasks
            if task.id == last.run.id
            for mode in task.modes
            if mode.machine == last.run.press and (mode.platen or "") == last.run.platen
        )
        state = mode.state
    if not mounted[machine.id]:
        parts = plan.instance.setup_parts
        state = tuple(
            None if part.goes_with_platen else value for part, value in zip(parts, state, strict=True)
        )
    return PressState(
        press=machine.id,
        running=running.run.id if running else "",
        last=last.run.id if last else "",
        free_from=running.end if running else at,
        platen=mounted[machine.id],
        state=state,
        temp_c=round(temp),
        set_to_c=set_to,
        hot=hot,
        hot_from=hot_from,
    )


def _heat(
    plan: Plan, machine: Machine, every: Sequence[Course], last: Course | None, at: datetime
) -> tuple[float, int | None, bool, datetime | None]:
    """Temperature, setting, whether it is hot, and until when it warms up."""
    room = float(plan.shop.allowances.room_c)
    if last is not None and last.start.date() == at.date():
        if last.end > at:
            return last.run.temp_c, last.run.temp_c, True, None
        off = press_off(plan, last.run, machine.id)
        if off is not None:
            return _off(plan, machine, last, off, at)
        following = [
            course
            for course in every
            if machine.id in course.presses and course.start > at and course.start.date() == at.date()
        ]
        set_to = following[0].run.temp_c if following else None
        target = room if set_to is None else set_to
        temp = _moved(plan, machine, last.run.temp_c, target, at - last.end)
        return temp, set_to, set_to is not None, None
    if machine.id in told_off(plan, at):
        return room, None, False, None
    warm_ups = [one for one in plan.warm_ups if one.press == machine.id and one.start.date() == at.date()]
    for warm in sorted(warm_ups, key=lambda one: one.start, reverse=True):
        if warm.start <= at < warm.ready:
            share = (at - warm.start) / (warm.ready - warm.start)
            return room + (warm.temp_c - room) * share, warm.temp_c, False, warm.ready
        if warm.ready <= at:
            return warm.temp_c, warm.temp_c, True, None
    return room, None, False, None


def _off(
    plan: Plan, machine: Machine, last: Course, off: PressOff, at: datetime
) -> tuple[float, int | None, bool, datetime | None]:
    """The same of a press that went off after its last run and is switched on again for the next one."""
    room, warm = float(plan.shop.allowances.room_c), off.again
    if warm is None or at < warm.start:
        return _moved(plan, machine, last.run.temp_c, room, at - last.end), None, False, None
    if at < warm.ready:
        cooled = _moved(plan, machine, last.run.temp_c, room, warm.start - last.end)
        share = (at - warm.start) / (warm.ready - warm.start)
        return cooled + (warm.temp_c - cooled) * share, warm.temp_c, False, warm.ready
    return warm.temp_c, warm.temp_c, True, None


def _moved(plan: Plan, machine: Machine, before: float, target: float, passed: timedelta) -> float:
    press = next((press for press in plan.shop.presses if press.name == machine.id), None)
    if press is None:
        return target
    minutes = passed.total_seconds() / 60
    if target > before:
        return min(target, before + press.heat_c_per_min * minutes)
    return max(target, before - press.cool_c_per_min * minutes)
