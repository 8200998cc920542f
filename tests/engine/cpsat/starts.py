"""Schedules to begin from, and schedules near to one, for tests of the model."""

from __future__ import annotations

from dataclasses import replace
from random import Random

from scheduler.domain.instance import Instance
from scheduler.domain.schedule import Schedule, ScheduledTask, WarmUp


def nothing_done(instance: Instance) -> Schedule:
    """Everything left over, of every choice the first option: obeys the rules on any day."""
    chosen = {task for choice in instance.choices for option in choice.options for task in option}
    first = {task for choice in instance.choices for task in choice.options[0]}
    left = tuple(task.id for task in instance.tasks if task.id not in chosen or task.id in first)
    return Schedule(tasks=(), left_over=left)


def disturbed(instance: Instance, schedule: Schedule, rng: Random) -> Schedule:
    """The schedule with one to three small changes; often still one that obeys the rules."""
    tasks, warm_ups, left = list(schedule.tasks), list(schedule.warm_ups), list(schedule.left_over)
    for _ in range(rng.choice((1, 1, 2, 3))):
        if not tasks:
            break
        at = rng.randrange(len(tasks))
        match rng.randrange(9):
            case 0:
                tasks[at] = _moved(tasks[at], rng.choice((-5, -2, -1, 1, 2, 5, 10)))
            case 1:
                by, begin = rng.choice((1, 1, 2, 3, 7)), tasks[at].setup_start
                tasks = [_moved(run, by) if run.setup_start >= begin else run for run in tasks]
                warm_ups = [_shifted(each, by) if each.end >= begin else each for each in warm_ups]
            case 2:
                tasks[at] = replace(tasks[at], mounts_platen=not tasks[at].mounts_platen)
            case 3 if warm_ups:
                place = rng.randrange(len(warm_ups))
                warm_ups[place] = _shifted(warm_ups[place], rng.choice((-3, -1, 1, 3)))
            case 4:
                left.append(tasks.pop(at).task)
            case 5:
                tasks[at] = replace(tasks[at], end=tasks[at].end + rng.choice((-1, 1)))
            case 6:
                tasks[at] = _other_way(instance, tasks[at], rng)
            case 7:
                earlier = tasks[at].setup_start - rng.randint(1, 7)
                tasks[at] = replace(tasks[at], mounts_platen=True, setup_start=earlier)
            case 8:
                tasks[at] = replace(tasks[at], mate_mounts=not tasks[at].mate_mounts)
    return Schedule(tasks=tuple(tasks), warm_ups=tuple(warm_ups), left_over=tuple(left))


def _moved(run: ScheduledTask, by: int) -> ScheduledTask:
    return replace(run, setup_start=run.setup_start + by, start=run.start + by, end=run.end + by)


def _shifted(warm_up: WarmUp, by: int) -> WarmUp:
    return replace(warm_up, start=warm_up.start + by, end=warm_up.end + by)


def _other_way(instance: Instance, run: ScheduledTask, rng: Random) -> ScheduledTask:
    mode = rng.choice(next(task.modes for task in instance.tasks if task.id == run.task))
    operator = rng.choice(mode.operators)[0] if mode.operators else None
    return replace(run, mode=mode.id, operator=operator)
