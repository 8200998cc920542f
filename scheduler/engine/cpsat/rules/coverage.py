"""Every task that is to be done is done once, in one of its ways, or left over."""

from __future__ import annotations

from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from ortools.sat.python.cp_model import CpModel

    from scheduler.domain.instance import Instance
    from scheduler.engine.cpsat.variables import Variables


def add_coverage(model: CpModel, variables: Variables, instance: Instance) -> None:
    """Of every choice one option; of its tasks and those of no choice each once or left over.

    `sum_options option = 1` for each choice; `present_j <= carried_j`; with `x` the
    literals of (mode, operator): `sum x_j = present_j`, and over the operators of one mode `sum x_j`
    is that mode's literal.
    """
    for literals in variables.choices:
        model.add_exactly_one(literals)
    for task in variables.tasks:
        model.add(task.present <= task.carried)
        model.add(sum(option.literal for option in task.options) == task.present)
        for node in task.nodes:
            options = [option.literal for option in task.options if option.node is node]
            if len(options) > 1:
                model.add(sum(options) == node.literal)
        for person in task.operators:
            options = [o.literal for o in task.options if o.operator == person.operator.id]
            if len(options) > 1:
                model.add(sum(options) == person.literal)
        if task.task.id in variables.scope.done:
            model.add(task.present == 1)
        if task.task.id in variables.scope.undone:
            model.add(task.present == 0)
