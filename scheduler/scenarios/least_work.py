"""What no plan can do without: people's work in all, and orders that don't fit into the planned day.

The work bound is the Lagrangian dual of choosing a way for every run: runs are independent of each other but
for the hours of each person and of each press, whose limits are priced into the ways. Any prices of 0 or more
give a valid bound, so they are integers and moved by a plain subgradient rule.

Source: M. L. Fisher, "The Lagrangian relaxation method for solving integer programming problems",
Management Science 27(1), 1981.
"""

from __future__ import annotations

from collections import defaultdict
from dataclasses import dataclass
from typing import TYPE_CHECKING

from scheduler.engine.bounds import worked
from scheduler.engine.windows import LeastSetup

if TYPE_CHECKING:
    from collections.abc import Iterable, Mapping

    from scheduler.domain.instance import Instance, Operator

SCALE = 1024
"""Prices are in so many parts of a tick a tick."""

ROUNDS = 40
MOST_WAYS = 2_000_000
"""Ways looked at in all rounds: a large day gets fewer of them."""


@dataclass(frozen=True, slots=True)
class _Way:
    """Ticks of work of a way with an operator, and the numbers of what it uses."""

    work: int
    uses: tuple[int, ...]


class LeastWork:
    """Least work of the runs of an instance.

    Parameters
    ----------
    latest
        Tick after which nothing is pressed in the plans that are meant.
    """

    def __init__(self, instance: Instance, latest: int) -> None:
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
                    used = [*presses, ("person", name)]
                    uses = tuple(numbers.setdefault(one, len(numbers)) for one in used)
                    ways.append(_Way(work + hands_on, uses))
                if not mode.operators:
                    ways.append(_Way(0, ()))
            self._ways[task.id] = tuple(ways)
        person = {one.id: _union([one], latest) for one in instance.operators}
        anybody = _union(instance.operators, latest)
        self._room = [person[name] if kind == "person" else anybody for kind, name in numbers]
        self._chosen = {task for choice in instance.choices for option in choice.options for task in option}

    def total(self) -> int:
        """Ticks that people work at least when nothing is left over."""
        prices = [0] * len(self._room)
        best = 0
        size = sum(map(len, self._ways.values()))
        for number in range(1, min(ROUNDS, 1 + MOST_WAYS // max(1, size)) + 1):
            priced, used = self._cheapest(prices)
            held = sum(price * room for price, room in zip(prices, self._room, strict=True))
            best = max(best, -((held - priced) // SCALE))
            over = [one - room for one, room in zip(used, self._room, strict=True)]
            if not any(more > 0 or (more < 0 and price) for more, price in zip(over, prices, strict=True)):
                break
            prices = [
                max(0, price + SCALE * more // (max(1, room) * number))
                for price, more, room in zip(prices, over, self._room, strict=True)
            ]
        return best

    def by_job(self) -> dict[str, int]:
        """Ticks that people work at least on each job, whatever is done by whom."""
        least = {name: min(way.work for way in ways) for name, ways in self._ways.items()}
        job = {task.id: task.job for task in self._instance.tasks}
        work: dict[str, int] = defaultdict(int)
        for name, ticks in least.items():
            if name not in self._chosen:
                work[job[name]] += ticks
        for choice in self._instance.choices:
            sums = [(sum(least[name] for name in option), option) for option in choice.options]
            ticks, option = min(sums)
            work[job[option[0]]] += ticks
        return dict(work)

    def _cheapest(self, prices: list[int]) -> tuple[int, list[int]]:
        """Every run in its cheapest way at these prices: the cost, and what it uses of everything."""
        best: dict[str, tuple[int, _Way]] = {}
        for name, ways in self._ways.items():
            best[name] = min(
                ((way.work * (SCALE + sum(prices[one] for one in way.uses)), way) for way in ways),
                key=lambda one: one[0],
            )
        names = [name for name in self._ways if name not in self._chosen]
        for choice in self._instance.choices:
            names += min(choice.options, key=lambda option: sum(best[name][0] for name in option))
        used = [0] * len(self._room)
        for name in names:
            way = best[name][1]
            for one in way.uses:
                used[one] += way.work
        return sum(best[name][0] for name in names), used


def _union(people: Iterable[Operator], latest: int) -> int:
    """Ticks until `latest` at which at least one of some people works, overtime included, breaks not."""
    spans = sorted(span for person in people for shift in person.shifts for span in worked(shift))
    total, at = 0, 0
    for begin, end in spans:
        begin, end = max(begin, at), min(end, latest)
        if begin < end:
            total += end - begin
            at = end
    return total


def most_that_day(
    instance: Instance, work: Mapping[str, int], garments: Mapping[str, int], *, until: int
) -> int:
    """Garments of whole orders that the crew can have pressed by a tick at the most.

    Parameters
    ----------
    work
        Least ticks of work by order, as `LeastWork.by_job` gives them, of the orders that can be done by
        then at all.
    garments
        By order.
    """
    room = sum(_union([person], until) for person in instance.operators)
    most = 0
    for job in sorted(work, key=lambda job: (work[job] / max(1, garments[job]), job)):
        if work[job] > room:
            # A part of the order counts as its part of the garments: more than any choice of whole orders.
            return most + garments[job] * room // work[job]
        room -= work[job]
        most += garments[job]
    return most


__all__ = ["LeastWork", "most_that_day"]
