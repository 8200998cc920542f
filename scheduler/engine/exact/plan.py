"""A plan as the exact search found it: with its own times, which the decoder may not reach.

The decoder puts everything down as early as it can. A run that waits for another day, to save overtime, or a
press that heats up before one that is used earlier is found by the search alone.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import NamedTuple

from scheduler.domain.instance import Instance
from scheduler.domain.schedule import Schedule, ScheduledTask, WarmUp
from scheduler.engine.flat import Flattened


class Run(NamedTuple):
    """A task as it was put down: numbers of the task and its option, ticks, whether a platen is mounted."""

    task: int
    option: int
    setup_start: int
    start: int
    end: int
    mounts: int


def plan_of(instance: Instance, flattened: Flattened, runs: Sequence[Run]) -> Schedule | None:
    """The plan of some runs; None where machines can't be warm by then as far as pairs of them go."""
    warm_ups = _warm_ups(instance, flattened, runs)
    if warm_ups is None:
        return None
    tasks = []
    for run in runs:
        option = flattened.options[run.option]
        tasks.append(
            ScheduledTask(
                task=option.task,
                mode=option.mode,
                operator=option.operator,
                setup_start=run.setup_start,
                start=run.start,
                end=run.end,
                mounts_platen=bool(run.mounts),
            )
        )
    return Schedule(tasks=tuple(tasks), warm_ups=tuple(warm_ups))


def _warm_ups(instance: Instance, flattened: Flattened, runs: Sequence[Run]) -> list[WarmUp] | None:
    """Each as early as those of runs that begin before leave it room on the circuit."""
    modes = {(task.id, mode.id): mode for task in instance.tasks for mode in task.modes}
    machines = {machine.id: machine for machine in instance.machines}
    limits = {circuit.id: circuit.limit_w for circuit in instance.circuits}
    found: list[WarmUp] = []
    day_of: dict[str, int] = {}
    free = dict.fromkeys(machines, 0)
    for run in sorted(runs, key=lambda run: run.start):
        option = flattened.options[run.option]
        mode, machine = modes[option.task, option.mode], machines[option.machine]
        number, day = next(
            (number, day)
            for number, day in enumerate(instance.heating_days)
            if day.start <= run.setup_start < day.end
        )
        if mode.warm_up and day_of.get(machine.id) != number:
            against = [
                other
                for other in found
                if machine.circuit is not None
                and machines[other.machine].circuit == machine.circuit
                and machines[other.machine].watts + machine.watts > limits[machine.circuit]
            ]
            begin = max(day.start, free[machine.id])
            for other in sorted(against, key=lambda one: one.start):
                if begin < other.end and other.start < begin + mode.warm_up:
                    begin = other.end
            if begin + mode.warm_up > run.start:
                return None
            found.append(WarmUp(machine=machine.id, start=begin, end=begin + mode.warm_up))
        day_of[machine.id] = number
        free[machine.id] = run.end
    return found
