"""The hours of people, presses and platens in weights, and what orders weigh at least.

Every run takes one of its ways; runs are independent of each other but for the hours of each person, each
press and each scarce kind of platen. With a weight for each of these, what is done by some tick weighs no
more than their hours until then. That holds for any weights of 0 or more; so they are integers, found by a
plain subgradient rule.

Sources: M. L. Fisher, "The Lagrangian relaxation method for solving integer programming problems", Management
Science 27(1), 1981; F. Glover, "Surrogate constraints", Operations Research 16(4), 1968.
"""

from __future__ import annotations

from bisect import bisect_left
from collections import defaultdict
from dataclasses import dataclass
from typing import TYPE_CHECKING

from scheduler.engine.bounds import worked
from scheduler.engine.windows import LeastSetup

if TYPE_CHECKING:
    from collections.abc import Callable, Collection, Iterable, Iterator

    from scheduler.domain.instance import Instance, Operator

ONE = 1024
"""The weight of a person's tick before anything is priced; of a press's where there are no people."""

ROUNDS = 40
"""Rounds in which weights are sought for one due date."""

MOST_WAYS = 200_000
"""Ways looked at in all rounds: a large day gets fewer of them."""


@dataclass(frozen=True, slots=True)
class Way:
    """Ticks of work of a way, and the numbers of what is used over them."""

    work: int
    uses: tuple[int, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Weighed:
    """Some orders in weights.

    Attributes
    ----------
    weights
        Of each person's and press's tick.
    cost
        By order: what its work weighs at least.
    """

    weights: tuple[int, ...]
    cost: dict[str, int]


class WeighedHours:
    """The hours of an instance's people, presses and scarce platens, and what its orders weigh in them.

    A press or platen is used while somebody is at work; where some way at it needs nobody, all through the
    heating days.

    Parameters
    ----------
    setup
        The instance's, where it is made already.

    Attributes
    ----------
    options
        By order: of each of its choices the options, and of each of its other tasks the only one.
    start
        The weights to begin with.
    crewed
        Whether there are people.
    """

    def __init__(self, instance: Instance, setup: LeastSetup | None = None) -> None:
        self._instance = instance
        setup = setup or LeastSetup(instance)
        numbers: dict[tuple[str, str], int] = {}
        self._ways: dict[str, tuple[Way, ...]] = {}
        alone: set[tuple[str, str]] = set()
        scarce = {kind.id: kind.count for kind in instance.platens if kind.count < len(instance.machines)}
        for task in instance.tasks:
            ways = []
            for mode in task.modes:
                hands_on = setup.hands_on(task, mode)
                things = [("press", press) for press, _ in mode.places]
                if mode.platen in scarce:
                    things += [("platen", str(mode.platen))] * len(mode.places)
                for name, work in mode.operators:
                    used = [("person", name), *things]
                    uses = tuple(numbers.setdefault(one, len(numbers)) for one in used)
                    ways.append(Way(work + hands_on, uses))
                if not mode.operators:
                    alone.update(things)
                    uses = tuple(numbers.setdefault(one, len(numbers)) for one in things)
                    ways.append(Way(mode.work + hands_on, uses))
            self._ways[task.id] = tuple(ways)
        people = {person.id: _spans([person]) for person in instance.operators}
        anybody = _spans(instance.operators)
        free = {machine.id: machine.free_from for machine in instance.machines}
        self._spans = [
            people[name]
            if kind == "person"
            else _heated(instance, free.get(name, 0) if kind == "press" else 0)
            if (kind, name) in alone
            else anybody
            for kind, name in numbers
        ]
        self._count = [scarce[name] if kind == "platen" else 1 for kind, name in numbers]
        self.crewed = any(kind == "person" for kind, _ in numbers)
        first = "person" if self.crewed else "press"
        self.start = tuple(ONE if kind == first else 0 for kind, _ in numbers)
        job = {task.id: task.job for task in instance.tasks}
        self.options: dict[str, list[tuple[tuple[str, ...], ...]]] = defaultdict(list)
        chosen = set()
        for choice in instance.choices:
            named = {task for option in choice.options for task in option}
            chosen |= named
            if len({job[task] for task in named}) == 1:
                self.options[job[min(named)]].append(choice.options)
        for task in instance.tasks:
            if task.id not in chosen:
                self.options[task.job].append(((task.id,),))

    def tightest(self, jobs: Collection[str], latest: int) -> Weighed:
        """The weights by which some orders are hardest to get into the hours until a tick."""
        nothing = (0,) * len(self._spans)
        best = Weighed(weights=nothing, cost=dict.fromkeys(jobs, 0))
        work, room = 0, 1
        for weighed in self.rounds(jobs, latest, floor=nothing):
            own_work, own_room = sum(weighed.cost.values()), self.room(weighed.weights, latest)
            if own_work * room > work * own_room:
                best, work, room = weighed, own_work, own_room
        return best

    def rounds(self, jobs: Collection[str], latest: int, floor: tuple[int, ...]) -> Iterator[Weighed]:
        """Weights that go up where more is used than there is, and down to `floor` where less."""
        rooms = self.rooms(latest)
        weights = self.start
        size = sum(len(ways) for ways in self._ways.values())
        for number in range(1, min(ROUNDS, 1 + MOST_WAYS // max(1, size)) + 1):
            cost, used = self.costs(weights, jobs)
            yield Weighed(weights=weights, cost=cost)
            weights = tuple(
                max(least, weight + ONE * (one - room) // (max(1, room) * number))
                for weight, least, one, room in zip(weights, floor, used, rooms, strict=True)
            )

    def costs(self, weights: tuple[int, ...], jobs: Iterable[str]) -> tuple[dict[str, int], list[int]]:
        """By order what its lightest ways weigh; and the ticks that they use of everything."""
        cost: dict[str, int] = {}
        used = [0] * len(weights)
        for job in jobs:
            total = 0
            for options in self.options[job]:
                found = [self.lightest(option, weights) for option in options]
                weight, ways = min(found, key=lambda one: one[0])
                total += weight
                for way in ways:
                    for one in way.uses:
                        used[one] += way.work
            cost[job] = total
        return cost, used

    def lightest(self, tasks: tuple[str, ...], weights: tuple[int, ...]) -> tuple[int, list[Way]]:
        """What the lightest ways of some tasks weigh together, and these ways."""
        total, ways = 0, []
        for task in tasks:
            own = self._ways[task]
            weight, number = min(
                (way.work * sum(weights[one] for one in way.uses), at) for at, way in enumerate(own)
            )
            total += weight
            ways.append(own[number])
        return total, ways

    def room(self, weights: tuple[int, ...], latest: int) -> int:
        """What all hours until a tick weigh."""
        return sum(weight * room for weight, room in zip(weights, self.rooms(latest), strict=True))

    def rooms(self, latest: int) -> list[int]:
        """Ticks until a tick, by what is used."""
        return [count * _until(spans, latest) for count, spans in zip(self._count, self._spans, strict=True)]

    def fits(self, weights: tuple[int, ...]) -> Callable[[int], int]:
        """By weight of work, the first tick by which the hours weigh as much; the horizon when none is."""
        ticks = sorted({tick for spans in self._spans for span in spans for tick in span})
        rooms = [self.room(weights, tick) for tick in ticks]

        def fits(work: int) -> int:
            if work <= 0:
                return 0
            at = bisect_left(rooms, work)
            if at == len(rooms):
                return self._instance.horizon
            if at == 0:
                return 0
            # Between two ticks at which nothing begins or ends it grows evenly.
            grown = rooms[at] - rooms[at - 1]
            return ticks[at - 1] - -(work - rooms[at - 1]) * (ticks[at] - ticks[at - 1]) // grown

        return fits


def _spans(people: Iterable[Operator]) -> tuple[tuple[int, int], ...]:
    """When at least one of some people works, overtime included, breaks not."""
    spans: list[tuple[int, int]] = []
    for begin, end in sorted(span for person in people for shift in person.shifts for span in worked(shift)):
        if spans and begin <= spans[-1][1]:
            spans[-1] = (spans[-1][0], max(end, spans[-1][1]))
        else:
            spans.append((begin, end))
    return tuple(spans)


def _heated(instance: Instance, free_from: int) -> tuple[tuple[int, int], ...]:
    """The heating days as far as they come after a tick."""
    days = [(max(day.start, free_from), min(day.end, instance.horizon)) for day in instance.heating_days]
    return tuple((begin, end) for begin, end in days if begin < end)


def _until(spans: Iterable[tuple[int, int]], latest: int) -> int:
    return sum(min(end, latest) - begin for begin, end in spans if begin < latest)
