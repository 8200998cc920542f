"""Nothing is pressed before its garments and transfers are in."""

from __future__ import annotations

from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from ortools.sat.python.cp_model import CpModel

    from scheduler.domain.instance import Instance
    from scheduler.engine.cpsat.variables import Variables


def add_release(model: CpModel, variables: Variables, instance: Instance) -> None:
    """`s_j >= release_j` when j is present; setting up may be earlier."""
    for task in variables.tasks:
        if task.task.release > 0:
            model.add(task.start >= task.task.release).only_enforce_if(task.present)
