"""Flat data of a day that has begun: warm-ups under way, and the sheets in hand."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from scheduler.domain.instance import MOVED_PLACE, MOVED_PLATEN, Instance
from scheduler.engine.kernel import layout
from scheduler.engine.options import Options


def begun_warm_ups(instance: Instance, warm_at: Sequence[int]) -> tuple[list[int], list[int]]:
    """By circuit, how many warm-ups are under way; and the (start, end, watts) of all slots."""
    counts = [0] * len(instance.circuits)
    slots = [0] * (3 * warm_at[-1])
    circuit_of = {circuit.id: k for k, circuit in enumerate(instance.circuits)}
    for machine in instance.machines:
        if machine.warming is None or machine.circuit is None:
            continue
        start, end = machine.warming
        circuit = circuit_of[machine.circuit]
        at = 3 * (warm_at[circuit] + counts[circuit])
        slots[at : at + 3] = start, end, machine.watts
        counts[circuit] += 1
    return counts, slots


def printed_columns(instance: Instance, task_of: Mapping[str, int], options: Options) -> dict[str, list[int]]:
    """Where the sheets in hand have each task, and what each option costs for being elsewhere."""
    size = len(task_of)
    before, start = [layout.NOT_PRINTED] * size, [0] * size
    printed = {each.task: each for each in instance.printed}
    for each in instance.printed:
        before[task_of[each.task]] = -1 if each.before is None else task_of[each.before]
        start[task_of[each.task]] = each.start
    other_ways: set[str] = set()
    for choice in instance.choices:
        tasks = {task for option in choice.options for task in option}
        if not tasks.isdisjoint(printed):
            other_ways |= tasks - printed.keys()
    moved = [0] * len(options)
    for number, option in enumerate(options if printed else ()):
        there = printed.get(option.task)
        if there is None:
            moved[number] = MOVED_PLACE if option.task in other_ways else 0
        elif (there.machine, there.mate, there.operator) != (option.machine, option.mate, option.operator):
            moved[number] = MOVED_PLACE
        elif there.platen is not None and there.platen != (option.platen or ""):
            moved[number] = MOVED_PLATEN
    return {"option_moved": moved, "printed_before": before, "printed_start": start}
