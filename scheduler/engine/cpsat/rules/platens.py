"""A platen is on one press at a time, and no more are mounted than are owned."""

from __future__ import annotations

from collections import defaultdict
from typing import TYPE_CHECKING

from scheduler.engine.cpsat.variables import scarce_kinds

if TYPE_CHECKING:
    from ortools.sat.python.cp_model import CpModel, IntervalVar

    from scheduler.domain.instance import Instance
    from scheduler.engine.cpsat.variables import Variables
    from scheduler.engine.cpsat.wrappers import NodeVar


def add_platens(model: CpModel, variables: Variables, instance: Instance) -> None:
    """At any time at most `count_K` holds of kind K.

    A run holds its platen over `[g_j, e_j)`: `g_j = b_j` when it is mounted for j, `g_j = e_i` when it
    was kept behind predecessor i (whose own hold ends there), `g_j = 0` when it was kept from the
    evening before, or from the end of what was under way, which held it until then. Kinds of which
    there is one for every machine that could want it need nothing. Whether a platen can be kept at all
    is in the links: only behind the same kind.
    """
    scarce = scarce_kinds(instance)
    holds: dict[str, list[IntervalVar]] = defaultdict(list)
    for machine in variables.machines:
        begun = machine.machine
        if begun.mounted in scarce and begun.free_from > 0:
            holds[begun.mounted].append(
                model.new_fixed_size_interval_var(0, begun.free_from, f"{begun.id}.under_way")
            )
        for node in machine.nodes:
            if node.mode.platen in scarce:
                holds[node.mode.platen].append(_hold(model, node, begun.free_from, instance.horizon))
    for platen in instance.platens:
        if holds[platen.id]:
            model.add_cumulative(holds[platen.id], [1] * len(holds[platen.id]), platen.count)


def _hold(model: CpModel, node: NodeVar, free_from: int, horizon: int) -> IntervalVar:
    task = node.task
    name = f"{task.task.id}.{node.mode.id}.{node.machine}.hold"
    begin = model.new_int_var(0, horizon, f"{name}.begin")
    length = model.new_int_var(0, horizon, f"{name}.length")
    for link in node.entries:
        if link.mounts:
            model.add(begin == task.setup_start).only_enforce_if(link.literal)
        elif link.before is None:
            model.add(begin == free_from).only_enforce_if(link.literal)
        else:
            model.add(begin == link.before.task.end).only_enforce_if(link.literal)
    return model.new_optional_interval_var(begin, length, task.end, node.literal, name)
