"""The objective levels of a schedule, recomputed from the schedule alone.

The solver's own figures may stay above the truth when time runs out, so nothing here reads them.
"""

from __future__ import annotations

from collections import defaultdict
from typing import TYPE_CHECKING

from scheduler.engine.cpsat.changes import Changes

if TYPE_CHECKING:
    from scheduler.domain.instance import Instance, Level, Mode
    from scheduler.domain.schedule import Schedule, ScheduledTask


def values_of(instance: Instance, schedule: Schedule) -> dict[Level, int]:
    """Values of all six levels of a schedule that obeys the rules, in the levels' own units."""
    tasks = {task.id: task for task in instance.tasks}
    modes = {(task.id, mode.id): mode for task in instance.tasks for mode in task.modes}
    ready: dict[str, int] = {}
    runs: dict[str, list[tuple[ScheduledTask, Mode]]] = defaultdict(list)
    for run in schedule.tasks:
        task = tasks[run.task]
        ready[task.job] = max(ready.get(task.job, 0), run.end + task.cooling)
        mode = modes[run.task, run.mode]
        runs[mode.machine].append((run, mode))
    lateness = finish = 0
    for job in instance.jobs:
        if job.id in ready:
            finished = ready[job.id] + job.packing
            finish = max(finish, finished)
            if job.due is not None:
                lateness += job.weight * max(0, finished - job.due)
    costs = _changeovers(instance, runs)
    return {
        "left_over": sum(tasks[name].pressings for name in schedule.left_over),
        "lateness": lateness,
        "changeover": sum(costs),
        "changeovers": sum(1 for cost in costs if cost),
        "overtime": _overtime(instance, schedule),
        "finish": finish,
    }


def vector(instance: Instance, schedule: Schedule) -> tuple[int, ...]:
    """Values in the order of the instance's levels: of two schedules the smaller is the better."""
    values = values_of(instance, schedule)
    return tuple(values[level] for level in instance.levels)


def _changeovers(instance: Instance, runs: dict[str, list[tuple[ScheduledTask, Mode]]]) -> list[int]:
    changes = Changes(instance)
    days = instance.heating_days
    costs = []
    for machine in instance.machines:
        before: Mode | None = None
        before_day = -1
        ordered = sorted(runs[machine.id], key=lambda run: (run[0].start, run[0].end, run[0].setup_start))
        for run, mode in ordered:
            day = sum(1 for each in days if each.start <= run.setup_start)
            cold = before is None or day != before_day
            costs.append(changes.between(machine, before, mode, run.mounts_platen, cold).cost)
            before, before_day = mode, day
    return costs


def _overtime(instance: Instance, schedule: Schedule) -> int:
    shifts = {person.id: person.shifts for person in instance.operators}
    total = 0
    for run in schedule.tasks:
        if run.operator is None:
            continue
        for shift in shifts[run.operator]:
            first, last = max(run.setup_start, shift.end), min(run.end, shift.overtime_end)
            if first < last:
                paused = sum(max(0, min(last, end) - max(first, begin)) for begin, end in shift.breaks)
                total += last - first - paused
    return total
