"""What the hours of people, presses and platens don't allow: bounds for days too full as a whole.

What is asked here is answered in weights: see `weighed_hours.py`.
"""

from __future__ import annotations

from fractions import Fraction
from math import ceil
from typing import TYPE_CHECKING

from scheduler.engine.late_orders import Due, fewer, last_late, least_late
from scheduler.engine.weighed_hours import ONE, WeighedHours

if TYPE_CHECKING:
    from collections.abc import Callable, Collection, Iterator, Mapping, Sequence

    from scheduler.domain.instance import Instance
    from scheduler.engine.windows import LeastSetup

MOST_DATES = 40
"""Dates by which hours may be short that are looked at; of more, some are passed over."""

SLACK = 0.5
"""Where people's hours are needed to a smaller share, nothing is expected of weighing further; presses' where
there are no people."""


class CrewHours:
    """What an instance's hours and orders say together.

    Parameters
    ----------
    setup
        The instance's, where it is made already.
    """

    def __init__(self, instance: Instance, setup: LeastSetup | None = None) -> None:
        self._instance = instance
        self._hours = WeighedHours(instance, setup)

    def least_work(self, latest: int) -> int:
        """Ticks that people set up and press at least when all is done by a tick."""
        if not self._hours.crewed:
            return 0
        rooms = self._hours.rooms(latest)
        bounds = []
        for weighed in self._hours.rounds(self._hours.options, latest, floor=self._hours.start):
            priced = zip(weighed.weights, self._hours.start, rooms, strict=True)
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
            weighed = self._hours.tightest(ids, by)
            room = self._hours.room(weighed.weights, by)
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
            if job.due is not None and job.weight and job.id in self._hours.options
        ]
        best = 0
        for ids, by in self._deadlines():
            if stop is not None and stop():
                break
            weights = self._hours.tightest(ids, by).weights
            cost, _ = self._hours.costs(weights, [job.id for job in jobs])
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
            fits = self._hours.fits(weights)
            best = max(best, last_late(due_by, fits), least_late(fewer(orders.values()), fits))
        return best

    def _deadlines(self) -> Iterator[tuple[list[str], int]]:
        """Dates by which hours may be short: the orders due by then, and when the last must be done."""
        jobs = {
            job.id: job
            for job in self._instance.jobs
            if job.due is not None and job.id in self._hours.options
        }
        dates = sorted({job.due for job in jobs.values() if job.due is not None})
        for due in sorted(dates[:: -max(1, -(-len(dates) // MOST_DATES))]):
            some = [job for job in jobs.values() if job.due is not None and job.due <= due]
            by = max(due if job.due is None else job.due - job.packing for job in some)
            ids = [job.id for job in some]
            needed = sum(self._hours.costs(self._hours.start, ids)[0].values())
            if needed >= SLACK * self._hours.room(self._hours.start, by):
                yield ids, by

    def most_packed(self, garments: Mapping[str, int], latest: int) -> int:
        """Garments of whole orders that can be pressed by a tick at the most.

        Parameters
        ----------
        garments
            By order, of those that can be done by then at all.
        """
        jobs = [job for job in self._hours.options if job in garments]
        weighed = self._hours.tightest(jobs, latest)
        room = self._hours.room(weighed.weights, latest)
        most = sum(garments[job] for job in garments if job not in self._hours.options)
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
        weights = self._hours.tightest(list(self._hours.options), latest).weights
        room = self._hours.room(weights, latest)
        choices = [options for each in self._hours.options.values() for options in each]
        pressings = {task.id: task.pressings for task in self._instance.tasks}
        weight = {
            task: self._hours.lightest((task,), weights)[0]
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
