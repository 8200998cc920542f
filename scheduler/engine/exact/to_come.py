"""Work still to come on a small day: what it weighs at least, to be set against the hours that are left.

With a weight for each machine and person, what must be done by a tick weighs no more than their hours
until then; whatever the weights are.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from scheduler.domain.instance import Instance
from scheduler.engine.exact.changeovers import Changeovers
from scheduler.engine.exact.classes import Classes
from scheduler.engine.kernel.exact import layout

UNIT = 1000
"""Weight of a tick of the most pressing machine or person."""

TIMES, MOST_TIMES = 5, 8.0
"""How many weights people have beside a machine, and the most of them."""

MOST_RELEASES = 4
"""Releases from which on work is set against the hours, the beginning counted."""

MOST_PLATENS = 2
"""Kinds of platens whose hours count."""


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
        By weighting: of each machine, then of each person, then of each of the platens.
    by_hand
        By weighting: what a tick of setting up by hand weighs at least, where all that is to come is
        reckoned together; 0 where each task's own least share is part of its need.
    releases
        Ticks from which on work is set against the hours, the first 0.
    platens
        Kinds owned once that some task can't do without, those with most work.
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
    by_hand: tuple[int, ...]
    releases: tuple[int, ...]
    platens: tuple[int, ...]
    person_of: dict[str, int]
    entries: dict[tuple[int, int], tuple[int, int]]

    def needs(self, open_ways: Sequence[frozenset[int]], done: Iterable[int]) -> list[int]:
        """By release, deadline and weighting: the least weighted work that must lie between them.

        Parameters
        ----------
        open_ways
            Sets of tasks of which one must still be carried out.
        done
            Tasks of the same choice that are.
        """
        entered = {self.classes.of[task] for task in done}
        return [
            min(self._need(way, entered, release, deadline, number) for way in open_ways)
            for release in self.releases
            for deadline in self.deadlines
            for number in range(len(self.weights))
        ]

    def _need(self, way: frozenset[int], entered: set[int], release: int, deadline: int, number: int) -> int:
        weights = self.weights[number]
        machines = len(self.instance.machines)
        platens = machines + len(self.person_of)
        entered = set(entered)
        total = 0
        for task in sorted(way):
            if self.latest[task] > deadline or self.instance.tasks[task].release < release:
                continue
            # Its machine may be set up before a task's garments are there.
            first = self.classes.of[task] not in entered and release == 0
            entered.add(self.classes.of[task])
            least = layout.LOTS
            for mode in self.instance.tasks[task].modes:
                machine, setup = self.changeovers.number(mode)
                still, by_hand = self.entries[machine, setup] if first else (0, 0)
                if self.by_hand[number]:
                    by_hand = 0
                kind = self.changeovers.kind(mode)
                held = weights[platens + self.platens.index(kind)] if kind in self.platens else 0
                for name, work in mode.operators:
                    person = weights[machines + self.person_of[name]]
                    weight = weights[machine] * (work + still) + person * (work + by_hand) + held * work
                    least = min(least, weight)
            total += least
        return total

    def rates(self, tasks: Iterable[int]) -> list[int]:
        """By weighting: the least that a task's weighted work is, by tick of its quickest way."""
        quickest = {
            task: min(work for mode in self.instance.tasks[task].modes for _, work in mode.operators)
            for task in tasks
        }
        return [
            min(self._work(task, weights) // ticks for task, ticks in quickest.items())
            for weights in self.weights
        ]

    def _work(self, task: int, weights: Sequence[int]) -> int:
        machines = len(self.instance.machines)
        platens = machines + len(self.person_of)
        least = layout.LOTS
        for mode in self.instance.tasks[task].modes:
            machine, _ = self.changeovers.number(mode)
            kind = self.changeovers.kind(mode)
            held = weights[platens + self.platens.index(kind)] if kind in self.platens else 0
            for name, work in mode.operators:
                person = weights[machines + self.person_of[name]]
                least = min(least, (weights[machine] + person + held) * work)
        return least

    def first_at(self, machine: int) -> int:
        """When the first work of a machine may count from; setting up may come while it heats."""
        spared = max((still for (k, _), (still, _) in self.entries.items() if k == machine), default=0)
        return max(0, self.instance.heating_days[0].start + self.warm_up(machine) - spared)

    def warm_up(self, machine: int) -> int:
        """The shortest warm-up of a machine."""
        name = self.instance.machines[machine].id
        modes = (mode for task in self.instance.tasks for mode in task.modes)
        return min((mode.warm_up for mode in modes if mode.machine == name), default=0)

    def anybody_from(self) -> int:
        """When anybody can begin anything: to set up a machine while it heats."""
        found = []
        for machine, rows in enumerate(self.changeovers.cells):
            longest = max(cell[0] for row in rows for cell in row)
            found.append(self.instance.heating_days[0].start + self.warm_up(machine) - longest)
        return max(0, min(found))

    def platen_from(self, kind: int) -> int:
        """When anything can be pressed with a kind of platen at the earliest."""
        modes = (mode for task in self.instance.tasks for mode in task.modes)
        warm_ups = [mode.warm_up for mode in modes if self.changeovers.kind(mode) == kind]
        return self.instance.heating_days[0].start + min(warm_ups)

    def classes_by(self, deadline: int) -> int:
        """Classes of which every task must be done by a deadline, as bits."""
        late = {self.classes.of[task] for task, tick in enumerate(self.latest) if tick > deadline}
        return sum(1 << number for number in range(len(self.classes.setups)) if number not in late)


def to_come_on(
    instance: Instance, changeovers: Changeovers, classes: Classes, latest: Sequence[int]
) -> ToCome:
    """What may be asked of the work to come on a day."""
    platens = _platens(instance, changeovers)
    weights = _weights(instance, changeovers, platens)
    machines, people = len(instance.machines), len(instance.operators)
    return ToCome(
        instance=instance,
        changeovers=changeovers,
        classes=classes,
        latest=latest,
        deadlines=tuple(sorted(set(latest))),
        weights=weights,
        by_hand=tuple(min(of[machines : machines + people]) for of in weights),
        releases=_releases(instance),
        platens=platens,
        person_of={person.id: k for k, person in enumerate(instance.operators)},
        entries=_entries(instance, changeovers, classes),
    )


def _weights(
    instance: Instance, changeovers: Changeovers, platens: Sequence[int]
) -> tuple[tuple[int, ...], ...]:
    """The crew by pace; each machine and platen alone and with the crew; each person alone.

    Alone only where some task can't do without.
    """
    machines, people, kinds = len(instance.machines), len(instance.operators), len(platens)
    pace = _paces(instance)
    none, nobody, no_platen = (0,) * machines, (0,) * people, (0,) * kinds
    found = [(*none, *pace, *no_platen)]
    for machine, own in enumerate(instance.machines):
        press = tuple(UNIT if k == machine else 0 for k in range(machines))
        if any(all(mode.machine == own.id for mode in task.modes) for task in instance.tasks):
            found.append((*press, *nobody, *no_platen))
        for times in _times(instance, own.id):
            found.append((*press, *(round(times * weight) for weight in pace), *no_platen))
    for platen in range(kinds):
        kind = tuple(UNIT if k == platen else 0 for k in range(kinds))
        found += [(*none, *nobody, *kind), (*none, *pace, *kind)]
    for person, each in enumerate(instance.operators):
        if any(
            {name for mode in task.modes for name, _ in mode.operators} == {each.id}
            for task in instance.tasks
        ):
            found.append((*none, *(UNIT if k == person else 0 for k in range(people)), *no_platen))
    return tuple(found)


def _times(instance: Instance, machine: str) -> list[float]:
    """Weights of people beside a machine at which some task weighs the same on it and elsewhere."""
    work: Counter[float] = Counter()
    for task in instance.tasks:
        here = [work for mode in task.modes if mode.machine == machine for _, work in mode.operators]
        elsewhere = [work for mode in task.modes if mode.machine != machine for _, work in mode.operators]
        if here and elsewhere and min(here) < min(elsewhere):
            work[round(min(here) / (min(elsewhere) - min(here)), 1)] += min(here)
    heaviest = sorted(work, key=lambda times: (-work[times], times))
    found = [times for times in heaviest if times <= MOST_TIMES]
    return sorted(found[:TIMES])


def _releases(instance: Instance) -> tuple[int, ...]:
    """The beginning, and of the later releases those that most tasks have."""
    later = Counter(task.release for task in instance.tasks if task.release > instance.heating_days[0].start)
    most = sorted(later, key=lambda release: (-later[release], release))[: MOST_RELEASES - 1]
    return (0, *sorted(most))


def _platens(instance: Instance, changeovers: Changeovers) -> tuple[int, ...]:
    """Kinds owned once that some task can't do without, those with most work."""
    work: Counter[int] = Counter()
    for task in instance.tasks:
        kinds = {changeovers.kind(mode) for mode in task.modes}
        kind = min(kinds)
        if len(kinds) == 1 and kind >= 0 and instance.platens[kind].count == 1:
            work[kind] += min(work for mode in task.modes for _, work in mode.operators)
    return tuple(sorted(sorted(work, key=lambda kind: (-work[kind], kind))[:MOST_PLATENS]))


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
