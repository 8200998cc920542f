"""An operator is at one press at a time."""

from __future__ import annotations

from collections import defaultdict
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from ortools.sat.python.cp_model import CpModel, IntervalVar

    from scheduler.domain.instance import Instance
    from scheduler.engine.cpsat.variables import Variables


def add_operators(model: CpModel, variables: Variables, instance: Instance) -> None:
    """`[b_j, e_j)` of the tasks of one operator do not overlap."""
    work: dict[str, list[IntervalVar]] = defaultdict(list)
    for task in variables.tasks:
        for person in task.operators:
            work[person.operator.id].append(person.interval)
    for intervals in work.values():
        if len(intervals) > 1:
            model.add_no_overlap(intervals)
