"""The same garments are at one press at a time, and cool before their next pressing."""

from __future__ import annotations

from collections import defaultdict
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from ortools.sat.python.cp_model import CpModel, IntervalVar

    from scheduler.domain.instance import Instance
    from scheduler.engine.cpsat.variables import Variables
    from scheduler.engine.cpsat.wrappers import TaskVar


def add_garments(model: CpModel, variables: Variables, instance: Instance) -> None:
    """`[s_j, e_j + cooling_j)` of the present tasks that share a bundle do not overlap."""
    sharing: dict[str, list[TaskVar]] = defaultdict(list)
    for task in variables.tasks:
        for bundle in dict.fromkeys(task.task.bundles):
            sharing[bundle].append(task)
    made: dict[str, IntervalVar] = {}
    for group in dict.fromkeys(tuple(task.task.id for task in tasks) for tasks in sharing.values()):
        if len(group) < 2:
            continue
        intervals = []
        for name in group:
            task = variables.task(name)
            if name not in made:
                cooling = task.task.cooling
                made[name] = model.new_optional_interval_var(
                    task.start, task.length + cooling, task.end + cooling, task.present, f"{name}.garments"
                )
            intervals.append(made[name])
        model.add_no_overlap(intervals)
