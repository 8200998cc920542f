"""Bounds by arithmetic alone: what no plan can avoid at the levels of the objective."""

from __future__ import annotations

import logging
from collections import defaultdict
from fractions import Fraction
from typing import TYPE_CHECKING

from scheduler.domain.schedule import LevelValue
from scheduler.engine.chains import OrderChains
from scheduler.engine.windows import Windows, shortest_work

if TYPE_CHECKING:
    from collections.abc import Iterator

    from scheduler.domain.instance import Instance, Level, Shift, Task
    from scheduler.engine.windows import LeastSetup

log = logging.getLogger(__name__)

MOST_STEPS = 10_000_000
"""Late orders times pressings left over up to which it is told exactly how much lateness that may save: so
many took 1.3 s. Counts may be a thousand times as large, which no memory holds."""


def lateness_bound(instance: Instance, left_over: int = 0, chains: OrderChains | None = None) -> int:
    """Weighted ticks late that no plan can avoid.

    Parameters
    ----------
    left_over
        Pressings that plans may leave over. Those may be the late ones, so the jobs that gain most
        from it are let off.

    Returns
    -------
    int
        Holds for every schedule with at most that many pressings left over.
    """
    late = _late_by_job(instance, chains or OrderChains(instance))
    least: dict[str, int] = {}
    for task in instance.tasks:
        least[task.job] = min(task.pressings, least.get(task.job, task.pressings))
    return sum(late.values()) - _most_saved([(least[job], cost) for job, cost in late.items()], left_over)


def latest_ends(
    instance: Instance, values: dict[Level, int], chains: OrderChains | None = None
) -> dict[str, int]:
    """When each scheduled task must end in plans that are no later than a plan with these values.

    An order may be late by no more than the whole lateness, less what the other orders can't avoid.

    Parameters
    ----------
    chains
        The instance's, where they are made already.

    Returns
    -------
    dict
        Latest end by task id, never beyond the horizon. Holds among plans that have at most this much
        left over and this lateness.
    """
    jobs = {job.id: job for job in instance.jobs}
    unavoidable: dict[str, int] = {}
    if values["left_over"] == 0:
        unavoidable = _late_by_job(instance, chains or OrderChains(instance))
    spare = values["lateness"] - sum(unavoidable.values())
    latest: dict[str, int] = {}
    for task in instance.tasks:
        job = jobs[task.job]
        latest[task.id] = instance.horizon
        if job.due is not None and job.weight:
            late = (spare + unavoidable.get(job.id, 0)) // job.weight
            latest[task.id] = min(instance.horizon, max(0, job.due + late - job.packing - task.cooling))
    return latest


def _late_by_job(instance: Instance, chains: OrderChains) -> dict[str, int]:
    """Weighted lateness that each job has even when alone; jobs without any are left out."""
    late: dict[str, int] = {}
    for job in instance.jobs:
        if job.due is not None and job.weight:
            way = chains.finish(job)
            if way is not None and way.tasks and way.finish > job.due:
                late[job.id] = job.weight * (way.finish - job.due)
    return late


def _most_saved(items: list[tuple[int, int]], room: int) -> int:
    """Greatest total of values of items (size, value) whose sizes fit into the room.

    Where that would take too many steps it is more: a part of an item counts as its part of the value.
    """
    room = min(room, sum(size for size, _ in items))
    if room * len(items) > MOST_STEPS:
        total = 0
        for size, value in sorted(items, key=lambda item: Fraction(-item[1], item[0])):
            taken = min(size, room)
            total += -(-value * taken // size)
            room -= taken
        return total
    best = [0] * (room + 1)
    for size, value in items:
        for at in range(room, size - 1, -1):
            best[at] = max(best[at], best[at - size] + value)
    return best[room]


def left_over_bound(instance: Instance, windows: Windows | None = None) -> int:
    """Pressings that no plan can carry out: runs that fit nowhere even when alone."""
    windows = windows or Windows(instance)

    def lost(task: Task) -> int:
        return task.pressings if windows.earliest(task.id, task.release) is None else 0

    return sum(least_over_options(instance, {task.id: lost(task) for task in instance.tasks}).values())


def finish_bound(instance: Instance, chains: OrderChains | None = None) -> int:
    """Tick before which the last order can't be packed when nothing is left over.

    The latest of the order chains, or when the whole crew has worked as long as the fastest of them
    would need for everything.
    """
    chains = chains or OrderChains(instance)
    ways = (chains.finish(job) for job in instance.jobs)
    return max(
        [_crew_bound(instance, chains.windows.least_setup), *(way.finish for way in ways if way is not None)]
    )


def _crew_bound(instance: Instance, setup: LeastSetup) -> int:
    """When all operators together have worked enough; 0 when some work needs nobody at all."""
    packing = {job.id: job.packing for job in instance.jobs}
    work: dict[str, int] = {}
    for task in instance.tasks:
        takes = [shortest_work(mode) + setup.hands_on(task, mode) for mode in task.modes if mode.operators]
        work[task.id] = min(takes) if len(takes) == len(task.modes) else 0
    total = sum(least_over_options(instance, work).values())
    spans = sorted(span for person in instance.operators for shift in person.shifts for span in worked(shift))
    if not total or not spans:
        return 0
    # The moments at which somebody comes or goes, and how many are at work from each on.
    change: dict[int, int] = defaultdict(int)
    for begin, end in spans:
        change[begin] += 1
        change[end] -= 1
    at, present = 0, 0
    for moment in sorted(change):
        if present and total <= present * (moment - at):
            break
        total -= present * (moment - at)
        at, present = moment, present + change[moment]
    ended = at - (-total // present) if present else at
    return ended + min(task.cooling + packing[task.job] for task in instance.tasks)


def worked(shift: Shift) -> Iterator[tuple[int, int]]:
    """The stretches between the breaks of a shift, overtime included."""
    at = shift.start
    for begin, end in shift.breaks:
        if begin > at:
            yield at, begin
        at = end
    if shift.overtime_end > at:
        yield at, shift.overtime_end


def least_over_options(instance: Instance, amounts: dict[str, int]) -> dict[str, int]:
    """Amounts by task of no choice, and by choice that of its least option, keyed by id."""
    chosen = {task for choice in instance.choices for option in choice.options for task in option}
    least = {task.id: amounts[task.id] for task in instance.tasks if task.id not in chosen}
    for choice in instance.choices:
        sums = (sum(amounts[task] for task in dict.fromkeys(option)) for option in choice.options)
        least[f"choice {choice.id}"] = min(sums)
    return least


def known_bounds(
    instance: Instance, values: dict[Level, int], chains: OrderChains | None = None
) -> dict[Level, int]:
    """Bounds of the instance's levels by arithmetic alone; 0 where arithmetic says nothing.

    Parameters
    ----------
    values
        A plan's values. The bounds hold among plans that keep the levels before at these.
    chains
        The instance's, where they are made already: on a large day they take seconds.
    """
    chains = chains or OrderChains(instance)
    bounds: dict[Level, int] = dict.fromkeys(instance.levels, 0)
    done: set[Level] = set()
    for level in instance.levels:
        if level == "left_over":
            bounds[level] = left_over_bound(instance, chains.windows)
        elif level == "lateness" and "left_over" in done:
            bounds[level] = lateness_bound(instance, values["left_over"], chains)
        elif level == "finish" and "left_over" in done and values["left_over"] == 0:
            bounds[level] = finish_bound(instance, chains)
        done.add(level)
    return bounds


def still_valid(
    instance: Instance, shown: dict[Level, int], before: dict[Level, int], after: dict[Level, int]
) -> dict[Level, int]:
    """Of bounds shown with one plan's values those that hold with another's.

    A bound holds among plans that keep the levels before. Where another plan is worse at one of these,
    such as dearer in changeovers since it is less late, it says nothing of that plan.

    Parameters
    ----------
    before, after
        Values with which the bounds were shown, and those of the other plan.
    """
    kept: dict[Level, int] = {}
    for level in instance.levels:
        kept[level] = shown[level]
        if after[level] > before[level]:
            break
    return kept


def level_values(
    instance: Instance, values: dict[Level, int], shown: dict[Level, int]
) -> tuple[LevelValue, ...]:
    """The levels of a plan that obeys the rules, with what was shown of each.

    A level is proven when its bound meets its value and every level before it is proven: bounds hold
    among plans that keep those. A bound above the plan's value is a defect of the bound: it is reported
    as an error, and from that level down nothing counts as shown.
    """
    levels = []
    sound = proven = True
    for level in instance.levels:
        value, bound = values[level], shown[level]
        if bound > value:
            log.error("bound %s of level %s is above the plan's %s", bound, level, value)
            sound = False
        proven = proven and sound and bound == value
        levels.append(LevelValue(name=level, value=value, bound=bound if sound else 0, proven=proven))
    return tuple(levels)
