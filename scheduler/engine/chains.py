"""How early an order can be finished at all, and what lateness follows from that.

The order chain: an order's garments go from press to press, one at a time; each pressing needs its
release, a warm press, somebody's hours and its cooling. Lots that only one press can do, or only one
platen, come one after the other too. Every other order is left out, so the figure holds for every
plan, and the sum over orders does too.
"""

from __future__ import annotations

from collections import defaultdict
from dataclasses import dataclass
from itertools import product
from math import prod
from typing import TYPE_CHECKING

from scheduler.engine.windows import Windows, topological

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

    from scheduler.domain.instance import Instance, Job, Task

MOST_COMBINATIONS = 64
"""Combinations of alternatives tried for an order; with more, each choice goes alone beside what is in none.
Orders of the benchmark days have 12 at most."""

LONGEST_EXACT = 8
"""Runs on the same garments whose order is tried in full; with more, work is summed up."""


@dataclass(frozen=True, slots=True)
class OrderChain:
    """An earliest finish, every other order left out.

    Attributes
    ----------
    finish
        Tick at which an order's last piece can be packed; 0 when none of its tasks need be done.
    tasks
        The runs that decide it, in the order in which they are done.
    """

    finish: int
    tasks: tuple[str, ...] = ()


class OrderChains:
    """Earliest finishes of all jobs of an instance."""

    def __init__(self, instance: Instance) -> None:
        self.instance = instance
        self.windows = Windows(instance)
        self._tasks = {task.id: task for task in instance.tasks}
        self._only = only_things(instance)
        self._by_job: dict[str, list[str]] = defaultdict(list)
        for task in instance.tasks:
            self._by_job[task.job].append(task.id)
        self._before: dict[str, list[str]] = defaultdict(list)
        for pair in instance.precedences:
            self._before[pair.after].append(pair.before)
        self._choice_of = {
            task: at
            for at, choice in enumerate(instance.choices)
            for option in choice.options
            for task in option
        }

    def finish(self, job: Job) -> OrderChain | None:
        """Earliest packed finish of a job, or None when it can't be done within the days.

        At 0, with no task, when it may go without any: nothing is packed then, and nothing late.
        """
        best = OrderChain(0)
        for tried in self._combinations(self._by_job[job.id]):
            ways = [way for way in map(self._all_of, tried) if way is not None]
            if not ways:
                return None
            best = max(best, min(ways, key=lambda way: way.finish), key=lambda way: way.finish)
        return OrderChain(best.finish + job.packing, best.tasks) if best.tasks else best

    def _combinations(self, tasks: Sequence[str]) -> Iterator[list[list[str]]]:
        """Lists of task sets; of each list a plan carries out at least one set, or more than that.

        One list of all combinations of options, or, where these are too many, one for each choice.
        """
        fixed = [task for task in tasks if task not in self._choice_of]
        choices = dict.fromkeys(self._choice_of[task] for task in tasks if task in self._choice_of)
        inside = set(tasks)
        ways = [
            list(
                dict.fromkeys(
                    tuple(t for t in option if t in inside) for option in self.instance.choices[at].options
                )
            )
            for at in choices
        ]
        if prod(map(len, ways)) <= MOST_COMBINATIONS:
            yield [[*fixed, *(task for option in picked for task in option)] for picked in product(*ways)]
            return
        for options in ways:
            yield [[*fixed, *option] for option in options]

    def _all_of(self, chosen: list[str]) -> OrderChain | None:
        """All of some tasks done, each stack of garments in its best order."""
        heads: dict[str, int] = {}
        worst = OrderChain(0)
        order = topological(chosen, lambda name: self._before.get(name, ()))
        inside = set(order)
        for name in order:
            task = self._tasks[name]
            head = task.release
            for earlier in self._before.get(name, ()):
                if earlier in heads:
                    alone = self.windows.earliest(earlier, heads[earlier])
                    if alone is None:
                        return None
                    head = max(head, alone[1] + self._tasks[earlier].cooling)
            heads[name] = head
            alone = self.windows.earliest(name, head)
            if alone is None:
                return None
            if alone[1] + task.cooling > worst.finish:
                worst = OrderChain(alone[1] + task.cooling, (name,))
        stacks: dict[str, list[str]] = defaultdict(list)
        for name in order:
            for bundle in self._tasks[name].bundles:
                stacks[bundle].append(name)
        for stack in dict.fromkeys(tuple(stack) for stack in stacks.values() if len(stack) > 1):
            way = self._stack([self._tasks[name] for name in stack], heads, inside)
            if way is None:
                return None
            if way.finish > worst.finish:
                worst = way
        for queue in self._queues(order):
            way = self._stack([self._tasks[name] for name in queue], heads, inside, cooling=False)
            if way is None:
                return None
            if way.finish > worst.finish:
                worst = way
        return worst

    def _queues(self, order: Sequence[str]) -> Iterator[tuple[str, ...]]:
        """Tasks that all need one machine, or the one platen of a kind: they can't go on at a time."""
        waiting: dict[str, list[str]] = defaultdict(list)
        for name in order:
            for thing in self._only[name]:
                waiting[thing].append(name)
        yield from dict.fromkeys(tuple(queue) for queue in waiting.values() if len(queue) > 1)

    def _stack(
        self, tasks: list[Task], heads: dict[str, int], inside: set[str], *, cooling: bool = True
    ) -> OrderChain | None:
        """The best order of tasks one after the other: over all subsets that may come first.

        Without `cooling`, as on a press, each waits for the end of the one before it only.
        """
        if len(tasks) > LONGEST_EXACT:
            return self._summed(tasks, heads, cooling=cooling)
        index = {task.id: at for at, task in enumerate(tasks)}
        needs = []
        for task in tasks:
            earlier = {each for each in self._before.get(task.id, ()) if each in index and each in inside}
            needs.append(sum(1 << index[each] for each in sorted(earlier)))
        done: list[OrderChain | None] = [None] * (1 << len(tasks))
        done[0] = OrderChain(0)
        for before, way in enumerate(done):
            if way is None:
                continue
            for at, task in enumerate(tasks):
                if before >> at & 1 or needs[at] & ~before:
                    continue
                found = self.windows.earliest(task.id, max(way.finish, heads[task.id]))
                if found is None:
                    continue
                after = before | 1 << at
                finish = found[1] + (task.cooling if cooling else 0)
                known = done[after]
                if known is None or finish < known.finish:
                    done[after] = OrderChain(finish, (*way.tasks, task.id))
        last = done[-1]
        if last is None or cooling:
            return last
        return OrderChain(last.finish + min(task.cooling for task in tasks), last.tasks)

    def _summed(self, tasks: list[Task], heads: dict[str, int], *, cooling: bool) -> OrderChain:
        """Work one after the other by release: no plan is shorter, hours and breaks left out."""
        at = 0
        ordered = sorted(tasks, key=lambda task: heads[task.id])
        for task in ordered:
            at = (
                max(at, heads[task.id])
                + min(slot.work for slot in self.windows.slots[task.id])
                + (task.cooling if cooling else 0)
            )
        return OrderChain(at, tuple(task.id for task in ordered))


def only_things(instance: Instance) -> dict[str, tuple[str, ...]]:
    """By task: the machines, and the platens owned once, that every mode of it takes."""
    single = {platen.id for platen in instance.platens if platen.count == 1}
    found = {}
    for task in instance.tasks:
        taken = [
            {*(f"machine {name}" for name, _ in mode.places)}
            | ({f"platen {mode.platen}"} if mode.platen in single else set())
            for mode in task.modes
        ]
        found[task.id] = tuple(sorted(set.intersection(*taken)))
    return found
