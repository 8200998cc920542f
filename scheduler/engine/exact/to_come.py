"""Work still to come on a small day: what it weighs at least, to be set against the hours that are left.

With a weight for each machine and person, what must be done by a tick weighs no more than their hours
until then; whatever the weights are.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from scheduler.domain.instance import Instance
from scheduler.engine.exact.changeovers import Changeovers
from scheduler.engine.exact.classes import Classes
from scheduler.engine.kernel.exact import layout

UNIT = 1000
"""Weight of a tick of the most pressing machine or person."""

PACES = (1, 2, 4)
"""How many times their weight people have beside a machine."""


@dataclass(frozen=True, slots=True, kw_only=True)
class ToCome:
    """What is asked of work to come.

    Attributes
    ----------
    latest
        By task: the latest end that counts.
    deadlines
        Those, each once, in order.
    weights
        By weighting: of each machine, then of each person.
    person_of
        Numbers of people by their ids.
    entries
        By machine and setup: ticks that it stands still at least when it is entered, and those by hand.
    """

    instance: Instance
    changeovers: Changeovers
    classes: Classes
    latest: Sequence[int]
    deadlines: tuple[int, ...]
    weights: tuple[tuple[int, ...], ...]
    person_of: dict[str, int]
    entries: dict[tuple[int, int], tuple[int, int]]

    def needs(self, open_ways: Sequence[frozenset[int]], done: Iterable[int]) -> list[int]:
        """By deadline and weighting: the least weighted work of what must still be done by then.

        Parameters
        ----------
        open_ways
            Sets of tasks of which one must still be carried out.
        done
            Tasks of the same choice that are.
        """
        entered = {self.classes.of[task] for task in done}
        return [
            min(self._need(way, entered, deadline, weights) for way in open_ways)
            for deadline in self.deadlines
            for weights in self.weights
        ]

    def _need(self, way: frozenset[int], entered: set[int], deadline: int, weights: Sequence[int]) -> int:
        machines = len(self.instance.machines)
        entered = set(entered)
        total = 0
        for task in sorted(way):
            if self.latest[task] > deadline:
                continue
            first = self.classes.of[task] not in entered
            entered.add(self.classes.of[task])
            least = layout.LOTS
            for mode in self.instance.tasks[task].modes:
                machine, setup = self.changeovers.number(mode)
                still, by_hand = self.entries[machine, setup] if first else (0, 0)
                for name, work in mode.operators:
                    person = weights[machines + self.person_of[name]]
                    least = min(least, weights[machine] * (work + still) + person * (work + by_hand))
            total += least
        return total

    def first_at(self, machine: int) -> int:
        """When the first work of a machine may count from; setting up may come while it heats."""
        name = self.instance.machines[machine].id
        warm_ups = [
            mode.warm_up for task in self.instance.tasks for mode in task.modes if mode.machine == name
        ]
        spared = max((still for (k, _), (still, _) in self.entries.items() if k == machine), default=0)
        return max(0, self.instance.heating_days[0].start + min(warm_ups, default=0) - spared)


def to_come_on(
    instance: Instance, changeovers: Changeovers, classes: Classes, latest: Sequence[int]
) -> ToCome:
    """What may be asked of the work to come on a day."""
    return ToCome(
        instance=instance,
        changeovers=changeovers,
        classes=classes,
        latest=latest,
        deadlines=tuple(sorted(set(latest))),
        weights=_weights(instance),
        person_of={person.id: k for k, person in enumerate(instance.operators)},
        entries=_entries(instance, changeovers, classes),
    )


def _weights(instance: Instance) -> tuple[tuple[int, ...], ...]:
    """The crew by pace; each machine alone and with the crew; each person alone."""
    machines, people = len(instance.machines), len(instance.operators)
    pace = _paces(instance)
    no_machine, nobody = (0,) * machines, (0,) * people
    found = [(*no_machine, *pace)]
    for machine in range(machines):
        alone = tuple(UNIT if k == machine else 0 for k in range(machines))
        found.append((*alone, *nobody))
        found += [(*alone, *(times * weight for weight in pace)) for times in PACES]
    for person in range(people):
        found.append((*no_machine, *(UNIT if k == person else 0 for k in range(people))))
    return tuple(found)


def _paces(instance: Instance) -> list[int]:
    """Weights by which a task weighs about the same whoever does it: hours of the quick weigh more."""
    shares: dict[str, list[float]] = {person.id: [] for person in instance.operators}
    for task in instance.tasks:
        for mode in task.modes:
            quickest = min(work for _, work in mode.operators)
            for name, work in mode.operators:
                shares[name].append(quickest / work)
    return [round(UNIT * sum(share) / len(share)) if share else UNIT for share in shares.values()]


def _entries(
    instance: Instance, changeovers: Changeovers, classes: Classes
) -> dict[tuple[int, int], tuple[int, int]]:
    """By machine and setup, see `ToCome`."""
    users: dict[tuple[int, int], set[int]] = {}
    for k, task in enumerate(instance.tasks):
        for mode in task.modes:
            users.setdefault(changeovers.number(mode), set()).add(classes.of[k])
    found = {}
    for (machine, setup), own in users.items():
        rows = changeovers.cells[machine]
        others = [rows[row][setup] for row in range(len(rows)) if row // 2 != setup]
        # Two classes that are set up alike may follow each other for nothing.
        shared = len(own) > 1
        still = 0 if shared else min(max(cell[0], min(cell[1], cell[2])) for cell in others)
        by_hand = 0 if shared else min(cell[0] for cell in others)
        found[machine, setup] = still, by_hand
    return found
