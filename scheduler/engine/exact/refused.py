"""Days that the exact search leaves alone, since it doesn't know what they hold or they are too large."""

from __future__ import annotations

from collections.abc import Sequence

from scheduler.domain.instance import LEVELS, Instance, Job
from scheduler.engine.exact.changeovers import Changeovers
from scheduler.engine.exact.ways import Ways
from scheduler.engine.kernel.exact import layout

MOST_TASKS, MOST_BUNDLES, MOST_SETUPS = 60, 60, 60
"""What fits the bits of a word."""

MOST_TOGETHER = 8
"""Tasks of one way to carry a choice out."""

MOST_COVERS = 1 << 22
"""Entries of the table of covers."""

MOST_LATE = 10
"""Orders that may be late: all their sets are looked at."""

MOST_TICKS = 1 << (layout.LANE_BITS - 1)
"""What fits a lane of the memory's vectors: times, cooling included, and what a plan costs at any level."""

MOST_HOURS = 1 << 21
"""Entries of the working hours of all people."""


class NotSmallError(ValueError):
    """Raised when the exact search doesn't know what a day holds, or the day is too large for it."""


def refuse_unlike(instance: Instance) -> None:
    """Raise for what the search doesn't state.

    Raises
    ------
    NotSmallError
        When the day holds any of it.
    """
    modes = [mode for task in instance.tasks for mode in task.modes]
    job_of = {task.id: task.job for task in instance.tasks}
    cooled = instance.horizon + max((task.cooling for task in instance.tasks), default=0)
    unlike = {
        "levels": instance.levels != LEVELS or bool(instance.printed),
        "precedences": bool(instance.precedences),
        "machines side by side": any(mode.mate for mode in modes),
        "work that needs nobody": not all(mode.operators for mode in modes),
        "choices between orders": any(
            len({job_of[task] for option in choice.options for task in option}) > 1
            for choice in instance.choices
        ),
        "work of no length": any(work < 1 for mode in modes for _, work in mode.operators),
        "a day that has begun": any(m.free_from or m.hot or m.warming for m in instance.machines)
        or any(job.ready for job in instance.jobs),
        "size": len(instance.tasks) > MOST_TASKS
        or cooled >= MOST_TICKS
        or len(instance.operators) * (instance.horizon + 1) > MOST_HOURS,
    }
    for what, found in unlike.items():
        if found:
            raise NotSmallError(what)


def refuse_ways(ways: Ways) -> None:
    """Raise where lots or garments are too many.

    Raises
    ------
    NotSmallError
        When they are.
    """
    if any(len(way) > MOST_TOGETHER for choice in ways.choices for way in choice):
        raise NotSmallError("lots")
    if len(ways.bundle_of) > MOST_BUNDLES:
        raise NotSmallError("bundles")


def refuse_changeovers(instance: Instance, ways: Ways, changeovers: Changeovers) -> None:
    """Raise where setups are too many, or a task may be set up before its garments' first pressing is.

    Sequences are searched in the order of set-up starts, which must be one in which garments wait.

    Raises
    ------
    NotSmallError
        When it is so.
    """
    if any(len(setups) > MOST_SETUPS for setups in changeovers.setups):
        raise NotSmallError("setups")
    most_on = max(cell[0] for rows in changeovers.cells for row in rows for cell in row)
    for k in {task for tasks in ways.bundle_of for task in tasks}:
        shortest = min(work for mode in instance.tasks[k].modes for _, work in mode.operators)
        if shortest < most_on:
            raise NotSmallError("set-ups longer than a run")


def refuse_covers(covers: int) -> None:
    """Raise where the table of covers would have too many entries.

    Raises
    ------
    NotSmallError
        When it would.
    """
    if covers > MOST_COVERS:
        raise NotSmallError("setups")


def refuse_late(jobs: Sequence[Job]) -> None:
    """Raise where too many orders may be late.

    Raises
    ------
    NotSmallError
        When they are.
    """
    if len(jobs) > MOST_LATE:
        raise NotSmallError("orders that may be late")
