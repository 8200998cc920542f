"""The cost of a schedule at every objective level, recomputed from the rules alone."""

from __future__ import annotations

from dataclasses import dataclass

from scheduler.domain.instance import MOVED_LATER, MOVED_ORDER, MOVED_PLACE, MOVED_PLATEN, Level
from scheduler.verify.view import Run, View


@dataclass(frozen=True, slots=True, kw_only=True)
class Cost:
    """The levels, and what lateness is made of.

    Attributes
    ----------
    values
        By level, in its own unit: pressings, weighted ticks, ticks, a count.
    finished
        By job of which something is scheduled or was ready before: tick at which its last piece is packed.
    late_ticks
        By the same jobs: ticks after the due date, without weight; 0 when on time.
    """

    values: dict[Level, int]
    finished: dict[str, int]
    late_ticks: dict[str, int]


def cost_of(view: View) -> Cost:
    """Compute the levels of `docs/model.md` for whatever of the schedule can be read."""
    ready = {job.id: job.ready for job in view.instance.jobs if job.ready}
    for run in view.runs:
        job = run.task.job
        ready[job] = max(ready.get(job, 0), run.ready)
    finished = {}
    late_ticks = {}
    lateness = 0
    for each in view.instance.jobs:
        if each.id not in ready:
            continue
        finished[each.id] = ready[each.id] + each.packing
        late = 0 if each.due is None else max(0, finished[each.id] - each.due)
        late_ticks[each.id] = late
        lateness += each.weight * late
    changeovers = [max(run.hands_on, run.hands_off) for runs in view.by_machine.values() for run in runs]
    values: dict[Level, int] = {
        "left_over": sum(task.pressings for task in view.instance.tasks if task.id in view.left_over),
        "lateness": lateness,
        "moved": _moved(view),
        "changeover": sum(changeovers),
        "changeovers": sum(1 for ticks in changeovers if ticks > 0),
        "overtime": sum(_overtime(run) for run in view.runs),
        "finish": max(finished.values(), default=0),
    }
    return Cost(values=values, finished=finished, late_ticks=late_ticks)


def _moved(view: View) -> int:
    """How far the schedule is from the sheets in hand, in points.

    A run that is on no sheet costs nothing, unless it does the work of one that is another way.
    """
    instance = view.instance
    minute = max(1, 60 // instance.tick_s)
    points = 0
    for printed in instance.printed:
        if printed.task in view.left_over:
            points += MOVED_PLACE
        for run in view.by_task.get(printed.task, ()):
            operator = None if run.operator is None else run.operator.id
            there = (printed.machine, printed.mate, printed.operator)
            if (run.machine.id, run.mode.mate, operator) != there:
                points += MOVED_PLACE
                continue
            if printed.platen is not None and printed.platen != (run.mode.platen or ""):
                points += MOVED_PLATEN
            before = None if run.predecessor is None else run.predecessor.id
            points += MOVED_ORDER if before != printed.before else 0
            points += min(MOVED_LATER, max(0, run.start - printed.start) // minute)
    known = {printed.task for printed in instance.printed}
    for choice in instance.choices:
        tasks = {task for option in choice.options for task in option}
        if tasks & known:
            points += MOVED_PLACE * sum(len(view.by_task.get(task, ())) for task in tasks - known)
    return points


def _overtime(run: Run) -> int:
    """Ticks of setting up and pressing after paid hours, breaks left out."""
    if run.operator is None:
        return 0
    total = 0
    for shift in run.operator.shifts:
        first = max(run.setup_start, shift.end)
        last = min(run.end, shift.overtime_end)
        if first < last:
            paused = sum(max(0, min(last, to) - max(first, begin)) for begin, to in shift.breaks)
            total += last - first - paused
    return total
