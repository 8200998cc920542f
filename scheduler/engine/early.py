"""A schedule without idle time that nobody needs."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

from scheduler.domain.instance import Instance
from scheduler.domain.schedule import Schedule
from scheduler.engine.cpsat.values import vector
from scheduler.engine.line import put_down_anew


def as_early(instance: Instance, schedule: Schedule) -> Schedule:
    """The schedule with its runs as early as their order lets them, where that is no worse at any level.

    The constraint model and the exact search leave slack wherever no level counts it, and an operator would
    wait at a hot press for nothing.

    Parameters
    ----------
    schedule
        A plan that keeps the rules.
    """
    before = vector(instance, schedule)
    return next((one for one in _tries(instance, schedule) if vector(instance, one) <= before), schedule)


def _tries(instance: Instance, schedule: Schedule) -> Iterator[Schedule]:
    """Each run as early as can be; then the same, but none on an earlier day.

    What was put off to a day with cold presses may cost more on the day before.
    """
    yield put_down_anew(instance, schedule)
    days = [day.start for day in instance.heating_days]
    of_run = {
        done.task: max((start for start in days if start <= done.setup_start), default=0)
        for done in schedule.tasks
    }
    tasks = tuple(replace(task, release=max(task.release, of_run.get(task.id, 0))) for task in instance.tasks)
    yield put_down_anew(replace(instance, tasks=tasks), schedule)
