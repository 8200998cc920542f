"""How early an order could be packed if it had the whole shop to itself.

Simple arithmetic for the reasons on the sheets: garments are at one press at a time, presses start
the day cold, people work in their shifts. Breaks and changeovers are left out, so that the answer
is never later than what is possible.
"""

from __future__ import annotations

from collections.abc import Iterable

from scheduler.domain.instance import Instance, Mode, Task

MOST_WAYS = 2000
"""Above so many combinations of options of an order's garments, the shortest stands for the rest."""


def quickest(task: Task) -> int:
    """Ticks of pressing at the fastest mode and person."""
    return min(_quickest_mode(mode) for mode in task.modes) if task.modes else 0


def _quickest_mode(mode: Mode) -> int:
    return min((work for _, work in mode.operators), default=mode.work)


def earliest_finish(instance: Instance, job: str, *, with_releases: bool = True) -> int | None:
    """Tick at which an order could be packed at the earliest, alone in the shop.

    The latest over its garments (bundles) of the earliest end of the pressings that they need, by
    the best combination of options.

    Parameters
    ----------
    with_releases
        False: as if all garments and transfers were there from the start.

    Returns
    -------
    int or None
        None when the planned days are too short even so, or the order has no tasks.
    """
    packing = next(each.packing for each in instance.jobs if each.id == job)
    last: int | None = None
    for ways in _chains(instance, job):
        ends = [_chain_end(instance, tasks, with_releases=with_releases) for tasks in ways]
        possible = [end for end in ends if end is not None]
        if not possible:
            return None
        last = min(possible) if last is None else max(last, min(possible))
    return None if last is None else last + packing


def _chain_end(instance: Instance, tasks: Iterable[Task], *, with_releases: bool) -> int | None:
    at = 0
    for task in sorted(tasks, key=lambda task: (task.release, task.id)):
        end = earliest_end(instance, task, max(at, task.release) if with_releases else at)
        if end is None:
            return None
        at = end + task.cooling
    return at


def earliest_end(instance: Instance, task: Task, ready: int) -> int | None:
    """Tick at which a task could end when nothing else is in the shop; None when in no shift."""
    ends = []
    for mode in task.modes:
        for window, work in _windows(instance, mode):
            start = max(ready, window[0])
            if start + work <= window[1]:
                ends.append(start + work)
    return min(ends, default=None)


def _windows(instance: Instance, mode: Mode) -> Iterable[tuple[tuple[int, int], int]]:
    """The stretches in which a mode may be pressed from cold, with the ticks that it takes."""
    shifts = {person.id: person.shifts for person in instance.operators}
    for day in instance.heating_days:
        hot = day.start + mode.warm_up
        if not mode.operators:
            yield (hot, day.end), mode.work
        for person, work in mode.operators:
            for shift in shifts[person]:
                if day.start <= shift.start < day.end:
                    yield (max(hot, shift.start), shift.overtime_end), work


def _chains(instance: Instance, job: str) -> list[list[tuple[Task, ...]]]:
    """For each bundle of an order, the alternative sets of tasks that press it, one after another."""
    tasks = {task.id: task for task in instance.tasks if task.job == job}
    in_choice = {task for choice in instance.choices for option in choice.options for task in option}
    choices = [choice for choice in instance.choices if choice.options[0][0] in tasks]
    chains: list[list[tuple[Task, ...]]] = []
    for bundle in dict.fromkeys(bundle for task in tasks.values() for bundle in task.bundles):
        always = tuple(t for t in tasks.values() if t.id not in in_choice and bundle in t.bundles)
        ways = [always]
        for choice in choices:
            touching = dict.fromkeys(
                tuple(tasks[name] for name in option if bundle in tasks[name].bundles)
                for option in choice.options
            )
            more = [way + option for way in ways for option in touching]
            if len(more) > MOST_WAYS:
                least = min(touching, key=lambda option: sum(quickest(task) for task in option))
                more = [way + least for way in ways]
            ways = more
        chains.append(ways)
    chains += [[(task,)] for task in tasks.values() if not task.bundles and task.id not in in_choice]
    return chains
