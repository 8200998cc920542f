"""What dispatching by apparent tardiness cost reads of an instance, and the index itself; see `atcs`."""

from __future__ import annotations

import math
from collections.abc import Container
from dataclasses import dataclass
from itertools import product

from scheduler.domain.instance import Machine, Mode
from scheduler.engine.cpsat.changes import Changes
from scheduler.engine.dispatching import first_way
from scheduler.engine.flat import Flattened

MODES_SEEN = 60
"""Modes of a machine between which the mean setup is taken, evenly spread over all."""


def log_index(
    *, weight: float, work: float, slack: float, setup: float, k1_work: float, k2_setup: float
) -> float:
    """Logarithm of the index, which itself would be rounded to nothing for jobs that are due late.

    Parameters
    ----------
    slack
        `d - p - t`.
    k1_work, k2_setup
        `k1 * mean p`, `k2 * mean s`; a mean setup of 0 leaves the setups out.
    """
    if weight <= 0:
        return -math.inf
    index = math.log(weight / max(work, 1)) - max(slack, 0) / k1_work
    return index - setup / k2_setup if k2_setup else index


@dataclass(slots=True)
class Option:
    """A way to do a task, with where it stands in the flat data."""

    task: int
    number: int
    machine: int
    operator: int
    work: int
    mode: Mode


class Data:
    """What the rule reads of an instance, worked out once.

    Attributes
    ----------
    tasks, carried
        Tasks that are carried out; and 1 for each of them, by task.
    mean_work, mean_setup
        Over all tasks, and over pairs of tasks that may follow each other on a machine, the setup of a
        machine's first task included.
    """

    def __init__(self, flattened: Flattened) -> None:
        self.flattened = flattened
        instance = self._instance = flattened.instance
        self._changes = Changes(instance)
        present = first_way(flattened)
        self.tasks = [task for task in range(len(instance.tasks)) if present[task]]
        self.carried = present
        self._options = self._all_options()
        self._least = {task: min(option.work for option in self._options[task]) for task in self.tasks}
        self._tail: dict[int, int] = {}
        self._partners = self._by_garments()
        self.mean_work = sum(self._least.values()) / max(1, len(self.tasks)) or 1.0
        self.mean_setup = self._mean_setup()
        self._due = self._dues()

    def _all_options(self) -> dict[int, list[Option]]:
        flattened, columns = self.flattened, self.flattened.columns
        modes = {(task.id, mode.id): mode for task in self._instance.tasks for mode in task.modes}
        found: dict[int, list[Option]] = {}
        for task in self.tasks:
            numbers = range(columns["option_from"][task], columns["option_from"][task + 1])
            found[task] = [
                Option(
                    task=task,
                    number=number,
                    machine=columns["option_machine"][number],
                    operator=columns["option_operator"][number],
                    work=columns["option_work"][number],
                    mode=modes[flattened.options[number].task, flattened.options[number].mode],
                )
                for number in numbers
            ]
        return found

    def options(self, task: int) -> list[Option]:
        return self._options[task]

    def setup(self, machine: Machine, before: Mode | None, after: Mode) -> int:
        """Length of the changeover; a platen is mounted unless the last task left it there."""
        there = machine.mounted if before is None else before.platen
        mounts = after.platen is not None and there != after.platen
        return self._changes.between(machine, before, after, mounts, before is None).cost

    def tail(self, task: int) -> int:
        """Least ticks from the task's end to when its job is complete."""
        if task not in self._tail:
            columns = self.flattened.columns
            after = columns["after"][columns["after_from"][task] : columns["after_from"][task + 1]]
            later = [self._least[other] + self.tail(other) for other in after if other in self._least]
            packing = self._instance.jobs[columns["job"][task]].packing
            self._tail[task] = self._instance.tasks[task].cooling + max(later, default=packing)
        return self._tail[task]

    def due(self, task: int, waiting: Container[int]) -> int:
        """Tick by which the task must end for its job to be in time, given what isn't put down yet."""
        job = self.flattened.columns["job"][task]
        others = sum(self._least[other] for other in self._partners[task] if other in waiting)
        closing = self._instance.tasks[task].cooling + self._instance.jobs[job].packing
        return self._due[job] - max(self.tail(task), others + closing)

    def weight(self, task: int) -> int:
        return self._instance.jobs[self.flattened.columns["job"][task]].weight

    def _by_garments(self) -> dict[int, list[int]]:
        """For each task the others on any of its garments."""
        on: dict[str, list[int]] = {}
        for task in self.tasks:
            for bundle in self._instance.tasks[task].bundles:
                on.setdefault(bundle, []).append(task)
        found = {}
        for task in self.tasks:
            near = [other for bundle in self._instance.tasks[task].bundles for other in on[bundle]]
            found[task] = [other for other in dict.fromkeys(near) if other != task]
        return found

    def _dues(self) -> list[int]:
        jobs = self._instance.jobs
        if "lateness" in self._instance.levels and any(job.due is not None for job in jobs):
            return [self._instance.horizon if job.due is None else job.due for job in jobs]
        longest = max((self._least[task] + self.tail(task) for task in self.tasks), default=0)
        load = sum(self._least.values()) // max(1, len(self._instance.machines))
        return [max(longest, load)] * len(jobs)

    def _mean_setup(self) -> float:
        setups: list[int] = []
        for number, machine in enumerate(self._instance.machines):
            modes = [
                (task, option.mode)
                for task in self.tasks
                for option in {o.mode.id: o for o in self._options[task] if o.machine == number}.values()
            ]
            seen = modes[:: len(modes) // MODES_SEEN + 1]
            setups += [self.setup(machine, None, mode) for _, mode in seen]
            setups += [
                self.setup(machine, before, after)
                for (one, before), (other, after) in product(seen, repeat=2)
                if one != other
            ]
        return sum(setups) / len(setups) if setups else 0.0
