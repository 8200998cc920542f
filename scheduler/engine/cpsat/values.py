"""The objective levels of a schedule, recomputed from the schedule alone.

The solver's own figures may stay above the truth when time runs out, so nothing here reads them.
"""

from __future__ import annotations

from collections import defaultdict
from typing import TYPE_CHECKING

from scheduler.domain.instance import MOVED_LATER, MOVED_ORDER, MOVED_PLACE, MOVED_PLATEN
from scheduler.engine.cpsat.changes import Changes

if TYPE_CHECKING:
    from collections.abc import Sequence

    from scheduler.domain.instance import Instance, Level, Mode
    from scheduler.domain.schedule import Schedule, ScheduledTask


def values_of(instance: Instance, schedule: Schedule) -> dict[Level, int]:
    """Values of all levels of a schedule that obeys the rules, in the levels' own units."""
    tasks = {task.id: task for task in instance.tasks}
    modes = {(task.id, mode.id): mode for task in instance.tasks for mode in task.modes}
    ready = {job.id: job.ready for job in instance.jobs if job.ready}
    runs: dict[str, list[tuple[ScheduledTask, Mode]]] = defaultdict(list)
    for run in schedule.tasks:
        task = tasks[run.task]
        ready[task.job] = max(ready.get(task.job, 0), run.end + task.cooling)
        mode = modes[run.task, run.mode]
        for machine, _ in mode.places:
            runs[machine].append((run, mode))
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
        "moved": moved(instance, runs, schedule.left_over),
        "changeover": sum(costs),
        "changeovers": sum(1 for cost in costs if cost),
        "overtime": _overtime(instance, schedule),
        "finish": finish,
    }


def vector(instance: Instance, schedule: Schedule) -> tuple[int, ...]:
    """Values in the order of the instance's levels: of two schedules the smaller is the better."""
    values = values_of(instance, schedule)
    return tuple(values[level] for level in instance.levels)


def moved(
    instance: Instance,
    runs: dict[str, list[tuple[ScheduledTask, Mode]]],
    left_over: Sequence[str],
) -> int:
    """Points for what stands elsewhere than on the sheets in hand."""
    printed = {each.task: each for each in instance.printed}
    replaced = {
        task
        for choice in instance.choices
        for option in choice.options
        for task in option
        if task not in printed and any(other in printed for each in choice.options for other in each)
    }
    minute = max(1, 60 // instance.tick_s)
    points = MOVED_PLACE * sum(1 for task in left_over if task in printed)
    for machine, done in runs.items():
        before: str | None = None
        for run, mode in sorted(done, key=lambda each: (each[0].start, each[0].end, each[0].setup_start)):
            there = printed.get(run.task)
            if machine != mode.machine:
                pass
            elif there is None:
                points += MOVED_PLACE if run.task in replaced else 0
            elif (there.machine, there.mate, there.operator) != (machine, mode.mate, run.operator):
                points += MOVED_PLACE
            else:
                points += MOVED_PLATEN if there.platen not in (None, mode.platen or "") else 0
                points += MOVED_ORDER if there.before != before else 0
                points += min(MOVED_LATER, max(0, run.start - there.start) // minute)
            before = run.task
    return points


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
            cold = day != before_day if before is not None else not (machine.hot and day == 1)
            mounts = run.mounts_platen if machine.id == mode.machine else run.mate_mounts
            costs.append(changes.between(machine, before, mode, mounts, cold).cost)
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
