"""Work lies in shifts and days, pauses over breaks, and takes as long as it takes."""

from __future__ import annotations

from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from ortools.sat.python.cp_model import CpModel

    from scheduler.domain.instance import Instance
    from scheduler.engine.cpsat.variables import Variables
    from scheduler.engine.cpsat.wrappers import ShiftVar, TaskVar


def add_calendar(model: CpModel, variables: Variables, instance: Instance) -> None:
    """`e_j = s_j + work + sum of the breaks spanned`, in one shift and in one day.

    In a shift: `start <= b_j`, `e_j <= overtime_end`. For each of its breaks `[f, l)` one of
    *before*: `s_j <= f - 1`, `e_j <= f`; *spans*: `s_j <= f - 1`, `e_j >= l + 1`; neither, that is after:
    `b_j >= l`. So no set-up meets a break, no run starts in one, and a run that can end as a break
    begins does.
    """
    several_days = len(instance.heating_days) > 1
    for task in variables.tasks:
        pauses = [
            (pause.end - pause.begin) * pause.spans
            for person in task.operators
            for shift in person.shifts
            for pause in shift.pauses
        ]
        work = [option.work * option.literal for option in task.options if option.work]
        model.add(task.length == sum(work) + sum(pauses))
        model.add(task.end == task.start + task.length)
        model.add(task.span == task.end - task.setup_start)
        for person in task.operators:
            model.add(sum(shift.literal for shift in person.shifts) == person.literal)
            for shift in person.shifts:
                _add_shift(model, task, shift)
        if several_days:
            model.add(sum(day.literal for day in task.days) == task.present)
        for day in task.days:
            model.add(task.setup_start >= day.day.start).only_enforce_if(day.literal)
            model.add(task.setup_start <= day.day.end - 1).only_enforce_if(day.literal)
            model.add(task.end <= day.day.end).only_enforce_if(day.literal)


def _add_shift(model: CpModel, task: TaskVar, shift: ShiftVar) -> None:
    model.add(task.setup_start >= shift.shift.start).only_enforce_if(shift.literal)
    model.add(task.end <= shift.shift.overtime_end).only_enforce_if(shift.literal)
    for pause in shift.pauses:
        model.add(pause.before + pause.spans <= shift.literal)
        model.add(task.end <= pause.begin).only_enforce_if(pause.before)
        model.add(task.start <= pause.begin - 1).only_enforce_if(pause.before)
        model.add(task.start <= pause.begin - 1).only_enforce_if(pause.spans)
        model.add(task.end >= pause.end + 1).only_enforce_if(pause.spans)
        after = [shift.literal, pause.before.negated(), pause.spans.negated()]
        model.add(task.setup_start >= pause.end).only_enforce_if(after)
