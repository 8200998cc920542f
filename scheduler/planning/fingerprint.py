"""A short code that tells plans apart on paper."""

from __future__ import annotations

from datetime import date

from scheduler.domain.codes import short_code
from scheduler.domain.plan import PlannedRun, PlannedWarmUp
from scheduler.domain.schedule import Schedule

LENGTH = 8


def fingerprint(
    day: date, schedule: Schedule, runs: tuple[PlannedRun, ...], warm_ups: tuple[PlannedWarmUp, ...]
) -> str:
    """The code of a plan: the same plan has the same code, whatever machine made it.

    Over the day, what is done when, where and by whom, what is left over, and what each run holds.
    """
    data = {
        "day": day.isoformat(),
        "tasks": sorted(
            [
                done.task,
                done.mode,
                done.operator or "",
                done.setup_start,
                done.start,
                done.end,
                done.mounts_platen,
                *([True] if done.mate_mounts else []),
            ]
            for done in schedule.tasks
        ),
        "left_over": sorted(schedule.left_over),
        "runs": sorted([run.id, repr(run.content), run.temp_c] for run in runs),
        "warm_ups": [[warm.press, warm.start.isoformat(), warm.temp_c] for warm in warm_ups],
    }
    return short_code(data, LENGTH)
