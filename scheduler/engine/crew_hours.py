"""What the hours of people, presses and platens don't allow: bounds for days too full as a whole.

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
from fractions import Fraction
from math import ceil
from typing import TYPE_CHECKING

from scheduler.engine.bounds import worked
from scheduler.engine.late_orders import Due, fewer, last_late, least_late
from scheduler.engine.windows import LeastSetup

if TYPE_CHECKING:
    from collections.abc import Callable, Collection, Iterable, Iterator, Mapping, Sequence

    from scheduler.domain.instance import Instance, Operator

ONE = 1024
"""The weight of a person's tick before anything is priced; of a press's where there are no people."""

ROUNDS = 40
MOST_WAYS = 200_000
"""Ways looked at in all rounds: a large day gets fewer of them."""

MOST_DATES = 40
"""Dates by which hours may be short that are looked at; of more, some are passed over."""

SLACK = 0.5
"""Where people's hours are needed to a smaller share, nothing is expected of weighing further; presses' where
there are no people."""


@dataclass(frozen=True, slots=True)
class _Way:
    """Ticks of work of a way, and the numbers of what is used over them."""

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
    """The hours of an instance's people, presses and scarce platens, and what its orders take of them.

    A press or platen is used while somebody is at work; where some way at it needs nobody, all through the
    heating days.

    Parameters
    ----------
    setup
        The instance's, where it is made already.
    """

    def __init__(self, instance: Instance, setup: LeastSetup | None = None) -> None:
        self._instance = instance
        setup = setup or LeastSetup(instance)
        numbers: dict[tuple[str, str], int] = {}
        self._ways: dict[str, tuple[_Way, ...]] = {}
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
                    ways.append(_Way(work + hands_on, uses))
                if not mode.operators:
                    alone.update(things)
                    uses = tuple(numbers.setdefault(one, len(numbers)) for one in things)
                    ways.append(_Way(mode.work + hands_on, uses))
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
        self._crewed = any(kind == "person" for kind, _ in numbers)
        first = "person" if self._crewed else "press"
        self._start = tuple(ONE if kind == first else 0 for kind, _ in numbers)
        job = {task.id: task.job for task in instance.tasks}
        self._options: dict[str, list[tuple[tuple[str, ...], ...]]] = defaultdict(list)
        chosen = set()
        for choice in instance.choices:
            named = {task for option in choice.options for task in option}
            chosen |= named
            if len({job[task] for task in named}) == 1:
                self._options[job[min(named)]].append(choice.options)
        for task in instance.tasks:
            if task.id not in chosen:
                self._options[task.job].append(((task.id,),))

    def least_work(self, latest: int) -> int:
        """Ticks that people set up and press at least when all is done by a tick."""
        if not self._crewed:
            return 0
        rooms = self._rooms(latest)
        bounds = []
        for weighed in self._rounds(self._options, latest, floor=self._start):
            priced = zip(weighed.weights, self._start, rooms, strict=True)
            held = sum((weight - start) * room for weight, start, room in priced)
            bounds.append(sum(weighed.cost.values()) - held)
        return -(-max(0, *bounds) // ONE)

    def late_orders(self) -> int:
        """Orders that are late at least, when nothing is left over.

        For each due date: the orders due by then that can be done by then are at most as many as the lightest
        that fit into the hours.
        """
        most = 0
        for ids, by in self._deadlines():
            weighed = self._tightest(ids, by)
            room = self._room(weighed.weights, by)
            on_time = 0
            for cost in sorted(weighed.cost.values()):
                room -= cost
                if room < 0:
                    break
                on_time += 1
            most = max(most, len(ids) - on_time)
        return most

    def lateness(self, alone: Mapping[str, int], stop: Callable[[], bool] | None = None) -> int:
        """Weighted ticks late at least, when nothing is left over.

        In whatever sequence orders are done, the last of some is done no earlier than all their work fits
        into the hours.

        Parameters
        ----------
        alone
            By order, when it is finished at the earliest, packed, with all others left out.
        stop
            Asked before each due date, which on a large day takes seconds; what was shown till then holds.
        """
        jobs = [
            job
            for job in self._instance.jobs
            if job.due is not None and job.weight and job.id in self._options
        ]
        best = 0
        for ids, by in self._deadlines():
            if stop is not None and stop():
                break
            weights = self._tightest(ids, by).weights
            cost, _ = self._costs(weights, [job.id for job in jobs])
            orders = {
                job.id: Due(
                    cost=cost[job.id],
                    weight=job.weight,
                    due=(job.due or 0) - job.packing,
                    ready=alone.get(job.id, 0) - job.packing,
                )
                for job in jobs
            }
            due_by = [orders[name] for name in ids if name in orders]
            fits = self._fits(weights)
            best = max(best, last_late(due_by, fits), least_late(fewer(orders.values()), fits))
        return best

    def _deadlines(self) -> Iterator[tuple[list[str], int]]:
        """Dates by which hours may be short: the orders due by then, and when the last must be done."""
        jobs = {job.id: job for job in self._instance.jobs if job.due is not None and job.id in self._options}
        dates = sorted({job.due for job in jobs.values() if job.due is not None})
        for due in sorted(dates[:: -max(1, -(-len(dates) // MOST_DATES))]):
            some = [job for job in jobs.values() if job.due is not None and job.due <= due]
            by = max(due if job.due is None else job.due - job.packing for job in some)
            ids = [job.id for job in some]
            needed = sum(self._costs(self._start, ids)[0].values())
            if needed >= SLACK * self._room(self._start, by):
                yield ids, by

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

    def left_over(self, never: Collection[str] = ()) -> int:
        """Pressings that are left over at least, since there are no hours for them.

        With a price for a tick as it is weighed, what is left over counts no less than

            sum of min(pressings, price of the work) - price of all hours

        over the tasks of the best options, since what is done fits into the hours. That holds for any price;
        it is greatest where some task's work costs just its pressings.

        Parameters
        ----------
        never
            Tasks that can't be done at all, even alone.
        """
        latest = self._instance.horizon
        weights = self._tightest(list(self._options), latest).weights
        room = self._room(weights, latest)
        choices = [options for each in self._options.values() for options in each]
        pressings = {task.id: task.pressings for task in self._instance.tasks}
        weight = {
            task: self._lightest((task,), weights)[0]
            for options in choices
            for option in options
            for task in option
        }

        def unmet(price: Fraction) -> Fraction:
            count, ticks = price.numerator, price.denominator

            def least(task: str) -> int:
                left = ticks * pressings[task]
                return left if task in never else min(left, count * weight[task])

            total = sum(min(sum(map(least, option)) for option in options) for options in choices)
            return Fraction(total - count * room, ticks)

        prices = {Fraction(pressings[task], each) for task, each in weight.items() if each}
        return max(0, ceil(_highest(sorted(prices), unmet)))

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
        rooms = self._rooms(latest)
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
        return sum(weight * room for weight, room in zip(weights, self._rooms(latest), strict=True))

    def _rooms(self, latest: int) -> list[int]:
        """Ticks until a tick, by what is used."""
        return [count * _until(spans, latest) for count, spans in zip(self._count, self._spans, strict=True)]

    def _fits(self, weights: tuple[int, ...]) -> Callable[[int], int]:
        """By weight of work, the first tick by which the hours weigh as much; the horizon when none is."""
        ticks = sorted({tick for spans in self._spans for span in spans for tick in span})
        rooms = [self._room(weights, tick) for tick in ticks]

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


def _highest(prices: Sequence[Fraction], value: Callable[[Fraction], Fraction]) -> Fraction:
    """The greatest value at any of some prices in order, of what rises up to it and falls from there."""
    first, last = 0, len(prices) - 1
    while last - first > 2:
        third = (last - first) // 3
        if value(prices[first + third]) < value(prices[last - third]):
            first += third
        else:
            last -= third
    return max((value(prices[at]) for at in range(first, last + 1)), default=Fraction(0))
