"""A cold press is heated before its first run, and circuits bear the heating."""

from __future__ import annotations

from collections import defaultdict
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from ortools.sat.python.cp_model import CpModel, IntervalVar, IntVar

    from scheduler.domain.instance import Instance
    from scheduler.engine.cpsat.variables import Variables
    from scheduler.engine.cpsat.wrappers import NodeVar


def add_warm_up(model: CpModel, variables: Variables, instance: Instance) -> None:
    """A cold run heats its machine over `[w_j, w_j + warm_up_j)`, `w_j + warm_up_j <= s_j`.

    `w_j >=` the start of its day, `w_j >= e_i` behind a run i of an earlier day. On each circuit the
    warm-ups that overlap draw at most `limit_w`.
    """
    heating: dict[str, list[tuple[IntervalVar, int]]] = defaultdict(list)
    for machine in variables.machines:
        for node in machine.nodes:
            if node.cold is None or node.warm_up_start is None:
                continue
            interval = _warm_up(model, node, node.cold, node.warm_up_start)
            if machine.machine.circuit is not None and machine.machine.watts:
                heating[machine.machine.circuit].append((interval, machine.machine.watts))
    draws = {circuit.id: 0 for circuit in instance.circuits}
    for each in instance.machines:
        if each.circuit is not None:
            draws[each.circuit] += each.watts
    for circuit in instance.circuits:
        loads = heating[circuit.id]
        if loads and draws[circuit.id] > circuit.limit_w:
            model.add_cumulative([load[0] for load in loads], [load[1] for load in loads], circuit.limit_w)


def _warm_up(model: CpModel, node: NodeVar, cold: IntVar, start: IntVar) -> IntervalVar:
    ticks = node.mode.warm_up
    entries = [link for link in node.entries if link.cold]
    model.add(sum(link.literal for link in entries) == cold)
    model.add(start + ticks <= node.task.start).only_enforce_if(cold)
    for day in node.task.days:
        if day.day.start > 0:
            model.add(start >= day.day.start).only_enforce_if([cold, day.literal])
    for link in entries:
        if link.before is not None:
            model.add(start >= link.before.task.end).only_enforce_if(link.literal)
    return model.new_optional_fixed_size_interval_var(start, ticks, cold, f"{cold.name}.interval")
