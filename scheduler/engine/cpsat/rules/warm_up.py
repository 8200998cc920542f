"""A cold press is heated before its first run, and circuits bear the heating."""

from __future__ import annotations

from collections import defaultdict
from itertools import pairwise
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from ortools.sat.python.cp_model import CpModel, IntervalVar, IntVar

    from scheduler.domain.instance import Circuit, Instance, Machine
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
            interval = _warm_up(model, machine.machine, node, node.cold, node.warm_up_start)
            if machine.machine.circuit is not None and machine.machine.watts:
                heating[machine.machine.circuit].append((interval, machine.machine.watts))
    for circuit in instance.circuits:
        for start, end, watts in _begun(circuit, instance.machines):
            interval = model.new_fixed_size_interval_var(start, end - start, f"{circuit.id}.warming{start}")
            heating[circuit.id].append((interval, watts))
    draws = {circuit.id: 0 for circuit in instance.circuits}
    for each in instance.machines:
        if each.circuit is not None:
            draws[each.circuit] += each.watts
    for circuit in instance.circuits:
        loads = heating[circuit.id]
        if loads and draws[circuit.id] > circuit.limit_w:
            model.add_cumulative([load[0] for load in loads], [load[1] for load in loads], circuit.limit_w)


def _warm_up(model: CpModel, machine: Machine, node: NodeVar, cold: IntVar, start: IntVar) -> IntervalVar:
    """The warm-up of one run; what was switched on before the first day is hot from then."""
    ticks = node.warm_up
    entries = [link for link in node.entries if link.cold]
    model.add(sum(link.literal for link in entries) == cold)
    model.add(start + ticks <= node.task.start).only_enforce_if(cold)
    own = cold
    first_day = [day for day in node.task.days if day.number == 0]
    if machine.warming is not None and not machine.hot and first_day:
        first = sum(link.literal for link in entries if link.before is None)
        begun = model.new_bool_var(f"{cold.name}.begun")
        model.add(begun <= first)
        model.add_implication(begun, first_day[0].literal)
        model.add(begun >= first + first_day[0].literal - 1)
        model.add(start == machine.warming[0]).only_enforce_if(begun)
        own = model.new_bool_var(f"{cold.name}.own")
        model.add(own == cold - begun)
    for day in node.task.days:
        if day.day.start > 0:
            model.add(start >= day.day.start).only_enforce_if([own, day.literal])
    for link in entries:
        if link.before is not None:
            model.add(start >= link.before.task.end).only_enforce_if(link.literal)
        elif machine.free_from > 0:
            model.add(start >= machine.free_from).only_enforce_if([own, link.literal])
    return model.new_optional_fixed_size_interval_var(start, ticks, own, f"{cold.name}.interval")


def _begun(circuit: Circuit, machines: tuple[Machine, ...]) -> list[tuple[int, int, int]]:
    """Stretches (start, end, watts) of the warm-ups that were begun before, at most what the circuit bears.

    What was switched on is on: a circuit that was overloaded then bears nothing more, that is all.
    """
    warming = [
        (*each.warming, each.watts) for each in machines if each.circuit == circuit.id and each.warming
    ]
    moments = sorted({moment for start, end, _ in warming for moment in (start, end)})
    loads = []
    for first, last in pairwise(moments):
        watts = sum(draw for start, end, draw in warming if start <= first < end)
        if watts:
            loads.append((first, last, min(watts, circuit.limit_w)))
    return loads
