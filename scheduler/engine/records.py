"""The records and lists that the flat data is made of."""

from __future__ import annotations

from collections.abc import Sequence

from scheduler.domain.instance import Instance
from scheduler.engine.kernel import layout

NEVER_DUE = 1 << 50


class Rows:
    """Lists of lists under construction, stored as one list and where each begins."""

    def __init__(self) -> None:
        self.begin = [0]
        self.items: list[int] = []

    def add(self, row: Sequence[int]) -> None:
        self.items.extend(row)
        self.begin.append(len(self.items))


def task_records(
    instance: Instance, job_of: dict[str, int], bundles: Sequence[int], before: Sequence[int]
) -> list[int]:
    """Records `layout.T_...`."""
    records: list[int] = []
    for k, task in enumerate(instance.tasks):
        records += (task.release, task.cooling, job_of[task.job], task.pressings)
        records += (bundles[k], bundles[k + 1], before[k], before[k + 1])
    return records


def job_records(instance: Instance) -> list[int]:
    """Records `layout.J_...`."""
    records: list[int] = []
    for job in instance.jobs:
        due = NEVER_DUE if job.due is None else job.due
        records += (due - job.packing, job.weight, job.packing, 0)
    return records


def windows(instance: Instance) -> dict[str, list[int]]:
    """Shifts cut by the heating days, by operator; then the days themselves for work without people."""
    owners = Rows()
    pauses: list[int] = []
    records: list[int] = []

    def add(number: int, start: int, paid: int, end: int, rests: Sequence[tuple[int, int]]) -> int:
        day = instance.heating_days[number]
        start, end = max(start, day.start), min(end, day.end, instance.horizon)
        if start >= end:
            return -1
        first_rest = len(pauses) // 2
        for first, last in rests:
            if first < end and start < last:
                pauses.extend((first, last))
        records.extend((start, min(paid, end), end, number, day.start, first_rest, len(pauses) // 2, 0))
        return len(records) // layout.WINDOW_SIZE - 1

    numbers = range(len(instance.heating_days))
    for operator in instance.operators:
        cut = [
            add(number, shift.start, shift.end, shift.overtime_end, shift.breaks)
            for shift in operator.shifts
            for number in numbers
        ]
        owners.add([window for window in cut if window >= 0])
    cut = [add(number, 0, instance.horizon, instance.horizon, ()) for number in numbers]
    owners.add([window for window in cut if window >= 0])
    return {"window_from": owners.begin, "window_record": records, "break": pauses}
