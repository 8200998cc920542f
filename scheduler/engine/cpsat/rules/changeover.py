"""A press is set up for each run, by hand and without."""

from __future__ import annotations

from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from collections.abc import Iterator

    from ortools.sat.python.cp_model import CpModel, LinearExpr

    from scheduler.domain.instance import Instance, Machine
    from scheduler.engine.cpsat.variables import Variables
    from scheduler.engine.cpsat.wrappers import LinkVar, TaskVar


def add_changeover(model: CpModel, variables: Variables, instance: Instance) -> None:
    """`s_j - b_j = on(j)`, and behind a predecessor i `s_j >= e_i + off(j)`.

    Both by the link into j, which knows the states before and after, whether the platen is mounted
    and whether the machine has gone cold: a link that is not cold joins runs of one day, a cold one
    behind a predecessor leads to a later day. With a mate there is a link at each machine, and `on` is
    their sum. The set-up lies outside breaks (see `calendar`).
    """
    several_days = len(instance.heating_days) > 1
    numbers = {id(task): sum(day.number * day.literal for day in task.days) for task in variables.tasks}
    for task in variables.tasks:
        hands_on = [link.change.on * link.literal for link in _entries(task) if link.change.on]
        model.add(task.start - task.setup_start == sum(hands_on))
    for machine in variables.machines:
        for link in machine.links:
            if link.before is None:
                if machine.machine.hot:
                    _behind_what_was_begun(model, machine.machine, link, numbers[id(link.after.task)])
                continue
            before, after = link.before.task, link.after.task
            if link.change.off > 0:
                model.add(after.start >= before.end + link.change.off).only_enforce_if(link.literal)
            if several_days and link.cold:
                model.add(numbers[id(after)] >= numbers[id(before)] + 1).only_enforce_if(link.literal)
            elif several_days:
                model.add(numbers[id(after)] == numbers[id(before)]).only_enforce_if(link.literal)


def _behind_what_was_begun(model: CpModel, machine: Machine, link: LinkVar, number: LinearExpr | int) -> None:
    """The first run on a machine that was hot: behind what it did before, cold from the second day on."""
    if link.change.off > 0:
        model.add(link.after.task.start >= machine.free_from + link.change.off).only_enforce_if(link.literal)
    if isinstance(number, int):
        return
    if link.cold:
        model.add(number >= 1).only_enforce_if(link.literal)
    else:
        model.add(number == 0).only_enforce_if(link.literal)


def _entries(task: TaskVar) -> Iterator[LinkVar]:
    return (link for node in task.nodes for link in node.entries)
