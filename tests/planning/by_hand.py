"""Schedules written by hand: runs one after the other, each as early as the rules of `docs/model.md` allow.

Nothing overlaps, so that the expected times can be followed with pencil and paper.
"""

from __future__ import annotations

from collections.abc import Sequence

from scheduler.domain.day_problem import DayProblem
from scheduler.domain.instance import Instance, Mode
from scheduler.domain.plan import Plan
from scheduler.domain.schedule import LevelValue, Result, Schedule, ScheduledTask, Status, Verdict, WarmUp
from scheduler.planning import assemble_plan
from scheduler.verify import check


def mode_of(instance: Instance, task: str, mode: str) -> Mode:
    return next(m for t in instance.tasks if t.id == task for m in t.modes if m.id == mode)


def one_by_one(
    problem: DayProblem, runs: Sequence[tuple[str, str, str]], left_over: tuple[str, ...] = ()
) -> Schedule:
    """A schedule of (task, mode, operator) in that order, each begun when the last has ended and cooled.

    A press with `warm_up` heats from the start of the day or of the run, whichever is later.
    """
    instance = problem.instance
    state: dict[str, tuple[int | None, ...]] = {m.id: m.initial for m in instance.machines}
    on_press = {m.id: m.mounted for m in instance.machines}
    last: dict[str, ScheduledTask] = {}
    done: list[ScheduledTask] = []
    warm_ups: list[WarmUp] = []
    free = 0
    for task_id, mode_id, operator in runs:
        task = next(t for t in instance.tasks if t.id == task_id)
        mode = mode_of(instance, task_id, mode_id)
        mounts = on_press[mode.machine] != mode.platen
        work = dict(mode.operators)[operator]
        placed: ScheduledTask | None = None
        for day in instance.heating_days:
            previous = last.get(mode.machine)
            cold = previous is None or previous.setup_start < day.start
            on, off = _changes(instance, mode, state[mode.machine], mounts, cold)
            hot = max(day.start, free) + mode.warm_up if cold else 0
            for shift in next(o.shifts for o in instance.operators if o.id == operator):
                if placed is None and shift.start < day.end and day.start < shift.overtime_end:
                    earliest = max(free, shift.start, day.start) + on
                    after = previous.end + off if previous else 0
                    start = max(earliest, hot, after, task.release)
                    for first, until in shift.breaks:
                        if start - on < until and first < max(start, start - on + 1):
                            start = until + on
                    end, todo = start, work
                    for first, until in shift.breaks:
                        if first >= start and end + todo > first:
                            todo -= first - end
                            end = until
                    end += todo
                    if end <= min(shift.overtime_end, day.end):
                        placed = ScheduledTask(
                            task=task_id,
                            mode=mode_id,
                            operator=operator,
                            setup_start=start - on,
                            start=start,
                            end=end,
                            mounts_platen=mounts,
                        )
                        if cold and mode.warm_up:
                            warm_ups.append(WarmUp(machine=mode.machine, start=hot - mode.warm_up, end=hot))
        assert placed is not None, f"{task_id} fits no shift"
        done.append(placed)
        free = placed.end + task.cooling
        state[mode.machine], on_press[mode.machine], last[mode.machine] = mode.state, mode.platen, placed
    return Schedule(tasks=tuple(done), warm_ups=tuple(warm_ups), left_over=left_over)


def _changes(
    instance: Instance, mode: Mode, state: tuple[int | None, ...], mounts: bool, cold: bool
) -> tuple[int, int]:
    machine = next(m for m in instance.machines if m.id == mode.machine)
    on = off = 0
    for index, part in enumerate(instance.setup_parts):
        before = None if mounts and part.goes_with_platen else state[index]
        ticks = part.tables[machine.tables[index]].change(before, mode.state[index])
        if not part.hands_off:
            on += ticks
        elif not (cold and part.ends_when_cold):
            off += ticks
    return on, off


def checked(problem: DayProblem, schedule: Schedule) -> tuple[Result, Verdict]:
    """The result and verdict of a schedule that must pass the check."""
    verdict = check(problem.instance, schedule)
    assert verdict.passed, verdict.breaks
    levels = tuple(LevelValue(name=name, value=verdict.values[name]) for name in problem.instance.levels)
    return Result(status=Status.FEASIBLE, schedule=schedule, levels=levels, seed=7, effort="quick"), verdict


def plan_of(
    problem: DayProblem, runs: Sequence[tuple[str, str, str]], left_over: tuple[str, ...] = ()
) -> Plan:
    """The plan of runs one by one."""
    result, verdict = checked(problem, one_by_one(problem, runs, left_over))
    return assemble_plan(problem, result, verdict, result.levels)
