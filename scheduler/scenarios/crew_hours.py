"""What the hours of people and presses don't allow: bounds for days whose parts fit, but not together.

Every run takes one of its ways; runs are independent of each other but for the hours of each person and each
press. With a weight for each of them, what is done by some tick weighs no more than their hours until then.
That holds for any weights of 0 or more; so they are integers, found by a plain subgradient rule.

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
    from collections.abc import Collection, Iterable, Iterator, Mapping

    from scheduler.domain.instance import Instance, Operator

ONE = 1024
"""The weight of a person's tick before anything is priced."""

ROUNDS = 40
MOST_WAYS = 200_000
"""Ways looked at in all rounds: a large day gets fewer of them."""

SLACK = 0.5
"""Where people's hours are needed to a smaller share, nothing is expected of weighing further."""


@dataclass(frozen=True, slots=True)
class _Way:
    """Ticks of work of a way with an operator, and the numbers of what is used over them."""

    work: int
    uses: tuple[int, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class _Weighed:
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


class CrewHours:
    """The hours of an instance's people and presses, and what its orders take of them."""

    def __init__(self, instance: Instance) -> None:
        self._instance = instance
        setup = LeastSetup(instance)
        numbers: dict[tuple[str, str], int] = {}
        self._ways: dict[str, tuple[_Way, ...]] = {}
        for task in instance.tasks:
            ways = []
            for mode in task.modes:
                hands_on = setup.hands_on(task, mode)
                presses = [("press", press) for press, _ in mode.places]
                for name, work in mode.operators:
                    used = [("person", name), *presses]
                    uses = tuple(numbers.setdefault(one, len(numbers)) for one in used)
                    ways.append(_Way(work + hands_on, uses))
                if not mode.operators:
                    ways.append(_Way(0, ()))
            self._ways[task.id] = tuple(ways)
        people = {person.id: _spans([person]) for person in instance.operators}
        anybody = _spans(instance.operators)
        self._spans = [people[name] if kind == "person" else anybody for kind, name in numbers]
        self._start = tuple(ONE if kind == "person" else 0 for kind, _ in numbers)
        job = {task.id: task.job for task in instance.tasks}
        self._options: dict[str, list[tuple[tuple[str, ...], ...]]] = defaultdict(list)
        chosen = set()
        for choice in instance.choices:
            self._options[job[choice.options[0][0]]].append(choice.options)
            chosen |= {task for option in choice.options for task in option}
        for task in instance.tasks:
            if task.id not in chosen:
                self._options[task.job].append(((task.id,),))

    def least_work(self, latest: int) -> int:
        """Ticks that people set up and press at least when all is done by a tick."""
        rooms = [_until(spans, latest) for spans in self._spans]
        bounds = []
        for weighed in self._rounds(self._options, latest, floor=self._start):
            priced = zip(weighed.weights, self._start, rooms, strict=True)
            held = sum((weight - start) * room for weight, start, room in priced)
            bounds.append(sum(weighed.cost.values()) - held)
        return -(-max(0, *bounds) // ONE)

    def late(self) -> tuple[int, int]:
        """Orders that are late at least, and weighted ticks that they are late, when nothing is left over.

        For each due date: the orders due by then that can be done by then are at most as many as the lightest
        that fit into the hours; and the last of all of them is done no earlier than all their work fits.
        """
        orders = lateness = 0
        jobs = {job.id: job for job in self._instance.jobs if job.due is not None and job.id in self._options}
        for due in sorted({job.due for job in jobs.values() if job.due is not None}):
            some = [job for job in jobs.values() if job.due is not None and job.due <= due]
            by = max(due if job.due is None else job.due - job.packing for job in some)
            ids = [job.id for job in some]
            people = sum(self._costs(self._start, ids)[0].values())
            if people < SLACK * self._room(self._start, by):
                continue
            weighed = self._tightest(ids, by)
            room = self._room(weighed.weights, by)
            on_time = 0
            for cost in sorted(weighed.cost.values()):
                room -= cost
                if room < 0:
                    break
                on_time += 1
            orders = max(orders, len(some) - on_time)
            if on_time < len(some):
                done = self._fits_by(weighed.weights, sum(weighed.cost.values()))
                over = done + min(job.packing for job in some) - due
                lateness = max(lateness, min(job.weight for job in some) * over)
        return orders, lateness

    def most_packed(self, garments: Mapping[str, int], latest: int) -> int:
        """Garments of whole orders that can be pressed by a tick at the most.

        Parameters
        ----------
        garments
            By order, of those that can be done by then at all.
        """
        jobs = [job for job in self._options if job in garments]
        weighed = self._tightest(jobs, latest)
        room = self._room(weighed.weights, latest)
        most = sum(garments[job] for job in garments if job not in self._options)
        for job in sorted(jobs, key=lambda job: (weighed.cost[job] / max(1, garments[job]), job)):
            if weighed.cost[job] > room:
                # A part of the order counts as its part of the garments: more than any choice of whole ones.
                return most + garments[job] * room // weighed.cost[job]
            room -= weighed.cost[job]
            most += garments[job]
        return most

    def _tightest(self, jobs: Collection[str], latest: int) -> _Weighed:
        """The weights by which some orders are hardest to get into the hours until a tick."""
        nothing = (0,) * len(self._spans)
        best = _Weighed(weights=nothing, cost=dict.fromkeys(jobs, 0))
        work, room = 0, 1
        for weighed in self._rounds(jobs, latest, floor=nothing):
            own_work, own_room = sum(weighed.cost.values()), self._room(weighed.weights, latest)
            if own_work * room > work * own_room:
                best, work, room = weighed, own_work, own_room
        return best

    def _rounds(self, jobs: Collection[str], latest: int, floor: tuple[int, ...]) -> Iterator[_Weighed]:
        """Weights that go up where more is used than there is, and down to `floor` where less."""
        rooms = [_until(spans, latest) for spans in self._spans]
        weights = self._start
        size = sum(len(ways) for ways in self._ways.values())
        for number in range(1, min(ROUNDS, 1 + MOST_WAYS // max(1, size)) + 1):
            cost, used = self._costs(weights, jobs)
            yield _Weighed(weights=weights, cost=cost)
            weights = tuple(
                max(least, weight + ONE * (one - room) // (max(1, room) * number))
                for weight, least, one, room in zip(weights, floor, used, rooms, strict=True)
            )

    def _costs(self, weights: tuple[int, ...], jobs: Iterable[str]) -> tuple[dict[str, int], list[int]]:
        """By order what its lightest ways weigh; and the ticks that they use of everything."""
        cost: dict[str, int] = {}
        used = [0] * len(weights)
        for job in jobs:
            total = 0
            for options in self._options[job]:
                found = [self._lightest(option, weights) for option in options]
                weight, ways = min(found, key=lambda one: one[0])
                total += weight
                for way in ways:
                    for one in way.uses:
                        used[one] += way.work
            cost[job] = total
        return cost, used

    def _lightest(self, tasks: tuple[str, ...], weights: tuple[int, ...]) -> tuple[int, list[_Way]]:
        total, ways = 0, []
        for task in tasks:
            own = self._ways[task]
            weight, number = min(
                (way.work * sum(weights[one] for one in way.uses), at) for at, way in enumerate(own)
            )
            total += weight
            ways.append(own[number])
        return total, ways

    def _room(self, weights: tuple[int, ...], latest: int) -> int:
        """What all hours until a tick weigh."""
        return sum(weight * _until(spans, latest) for weight, spans in zip(weights, self._spans, strict=True))

    def _fits_by(self, weights: tuple[int, ...], cost: int) -> int:
        """The first tick by which the hours weigh as much; the horizon when they never do."""
        end = self._instance.horizon
        return bisect_left(range(end), cost, key=lambda tick: self._room(weights, tick))


def _spans(people: Iterable[Operator]) -> tuple[tuple[int, int], ...]:
    """When at least one of some people works, overtime included, breaks not."""
    spans: list[tuple[int, int]] = []
    for begin, end in sorted(span for person in people for shift in person.shifts for span in worked(shift)):
        if spans and begin <= spans[-1][1]:
            spans[-1] = (spans[-1][0], max(end, spans[-1][1]))
        else:
            spans.append((begin, end))
    return tuple(spans)


def _until(spans: Iterable[tuple[int, int]], latest: int) -> int:
    return sum(min(end, latest) - begin for begin, end in spans if begin < latest)
