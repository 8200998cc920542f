"""How full presses and people are on the planned day."""

from __future__ import annotations

from collections.abc import Sequence

from scheduler.domain.day_problem import DayProblem
from scheduler.domain.instance import Shift
from scheduler.domain.plan import Load
from scheduler.planning.calendar import closing_tick, working_ticks
from scheduler.planning.changeovers import heating_minutes, minutes
from scheduler.planning.trail import Step, shift_of


def press_loads(problem: DayProblem, steps: Sequence[Step]) -> tuple[Load, ...]:
    """For each press of the shop: its open minutes on the planned day, and what they are used for."""
    instance = problem.instance
    day = instance.working_days[0]
    close = closing_tick(problem.shop, problem.day, problem.day, instance.tick_s)
    return tuple(
        _load(
            problem,
            machine.id,
            close - day.start,
            [s for s in steps if s.machine == machine.id],
            by_person=False,
        )
        for machine in instance.machines
    )


def crew_loads(problem: DayProblem, steps: Sequence[Step]) -> tuple[Load, ...]:
    """For each person who is there on the planned day: paid minutes without breaks, and their use."""
    day = problem.instance.working_days[0]
    loads = []
    for person in problem.instance.operators:
        paid = sum(
            working_ticks(shift, shift.start, shift.end)
            for shift in person.shifts
            if day.start <= shift.start < day.end
        )
        if paid:
            own = [step for step in steps if step.done.operator == person.id]
            loads.append(_load(problem, person.id, paid, own, by_person=True))
    return tuple(loads)


def _load(problem: DayProblem, name: str, available: int, steps: Sequence[Step], *, by_person: bool) -> Load:
    """By press each sets up what is its own; a person sets up both of two presses, and presses once."""
    instance = problem.instance
    day = instance.working_days[0]
    pressing = overtime = 0
    changing = 0.0
    for step in steps:
        done = step.done
        if not day.start <= done.setup_start < day.end:
            continue
        changing += minutes(instance, step.hands_on) - heating_minutes(problem, step)
        if by_person and not step.first:
            continue
        shift = shift_of(instance, done.operator, done.setup_start)
        pressing += _worked(shift, done.start, done.end)
        if shift is not None:
            overtime += _worked(shift, max(done.setup_start, shift.end), done.end)
    return Load(
        name=name,
        available=available * instance.tick_s / 60,
        pressing=pressing * instance.tick_s / 60,
        changing=round(changing, 6),
        overtime=overtime * instance.tick_s / 60,
    )


def _worked(shift: Shift | None, start: int, end: int) -> int:
    return max(0, end - start) if shift is None else working_ticks(shift, start, end)
