"""A press does one run at a time."""

from __future__ import annotations

from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from ortools.sat.python.cp_model import ArcT, CpModel, IntVar

    from scheduler.domain.instance import Instance
    from scheduler.engine.cpsat.variables import Variables
    from scheduler.engine.cpsat.wrappers import MachineVar


def add_press(model: CpModel, variables: Variables, instance: Instance) -> None:
    """`[b_j, e_j)` on a machine do not overlap, and the links say who follows whom.

    A circuit through a dummy node: each node is visited when its mode is used and loops on itself
    otherwise; a link from i to j gives `b_j >= e_i`. The no-overlap says the same once more: with it
    the solver finds good bounds. Where the order changes nothing, it stands alone. What was begun
    before the instance holds the machine until `free_from`.
    """
    for machine in variables.machines:
        free_from = machine.machine.free_from
        for node in machine.nodes if free_from > 0 else ():
            model.add(node.task.setup_start >= free_from).only_enforce_if(node.literal)
        if len(machine.nodes) > 1:
            model.add_no_overlap([node.interval for node in machine.nodes])
        if machine.idle is not None:
            _add_sequence(model, machine, machine.idle)


def _add_sequence(model: CpModel, machine: MachineVar, idle: IntVar) -> None:
    place = {id(node): at for at, node in enumerate(machine.nodes, start=1)}
    arcs: list[ArcT] = [(0, 0, idle)]
    for node, last in zip(machine.nodes, machine.lasts, strict=True):
        at = place[id(node)]
        # Else a ring of runs without length could go round without the dummy node.
        model.add_implication(node.literal, idle.negated())
        arcs += [(at, at, node.literal.negated()), (at, 0, last)]
    for link in machine.links:
        after = place[id(link.after)]
        if link.before is None:
            arcs.append((0, after, link.literal))
            continue
        arcs.append((place[id(link.before)], after, link.literal))
        model.add(link.after.task.setup_start >= link.before.task.end).only_enforce_if(link.literal)
    model.add_circuit(arcs)
