"""Stages of a small day's choices: which of a choice's tasks are done, and what may follow."""

from __future__ import annotations

from collections.abc import Hashable, Mapping, Sequence
from dataclasses import replace
from itertools import combinations

from scheduler.domain.instance import Instance
from scheduler.engine.chains import only_things
from scheduler.engine.exact.changeovers import Changeovers
from scheduler.engine.exact.classes import Classes
from scheduler.engine.exact.to_come import ToCome
from scheduler.engine.exact.ways import Ways
from scheduler.engine.kernel.exact import layout
from scheduler.engine.records import Rows


def stages_of(
    instance: Instance, ways: Ways, changeovers: Changeovers, classes: Classes, to_come: ToCome
) -> tuple[dict[int, list[int]], list[int]]:
    """How far every choice can have come: the layout's columns of that, and each choice's first stage."""
    stages = _Stages(instance, ways, changeovers, classes, to_come)
    firsts = [stages.add(choice) for choice in range(len(ways.choices))]
    return {**stages.columns(), **_tails(instance, ways, to_come, stages.one_by_one)}, firsts


class _Stages:
    """The stages of one choice after the other, under construction.

    Attributes
    ----------
    one_by_one
        By choice: whether in every way its tasks must come one after the other.
    """

    def __init__(
        self, instance: Instance, ways: Ways, changeovers: Changeovers, classes: Classes, to_come: ToCome
    ) -> None:
        self._tasks = instance.tasks
        self._machines = len(instance.machines)
        self._ways = ways
        self._changeovers = changeovers
        self._classes = classes
        self._to_come = to_come
        self._things = _things(instance)
        self._like = _like(instance, ways, to_come)
        self._serial = _serial(instance, ways)
        self.one_by_one = [
            all(_one_by_one(frozenset(way), self._things) for way in choice) for choice in ways.choices
        ]
        self._records: list[int] = []
        self._setups: list[int] = []
        self._candidates, self._alternatives = Rows(), Rows()
        self._open_tasks, self._open_ways = Rows(), list[int]()
        self._needs: list[int] = []
        self._tails = 0

    def columns(self) -> dict[int, list[int]]:
        """The columns of all stages added."""
        return {
            layout.STAGE: self._records,
            layout.STAGE_SETUPS: self._setups,
            layout.CANDIDATE: self._candidates.items,
            layout.ALTERNATIVE: self._alternatives.items,
            layout.NEED: self._needs,
            layout.WAY: self._open_ways,
            layout.WAY_TASK: self._open_tasks.items,
        }

    def add(self, choice: int) -> int:
        """Add the stages of a choice, by how many of its tasks are done; returns the number of the first."""
        ways = self._ways.choices[choice]
        whole = [frozenset(way) for way in ways]
        parts = {part for way in ways for part in _parts(way)}
        # In whichever way a choice was carried out, it is done: one stage stands for all.
        sets = [
            done
            for done in sorted(parts, key=lambda one: (len(one), sorted(one)))
            if done == whole[0] or done not in whole
        ]
        number = {done: len(self._records) // layout.STAGE_SIZE + k for k, done in enumerate(sets)}
        number |= dict.fromkeys(whole, number[whole[0]])
        for done in sets:
            if done == whole[0]:
                self._add_last()
            else:
                open_ways = [way - done for way in whole if done <= way]
                self._add_open(choice, done, open_ways, number)
        return number[frozenset()]

    def _add_last(self) -> None:
        """The stage of a choice that is carried out: nothing is to come."""
        self._candidates.add([])
        self._alternatives.add([0])
        self._add_record(done=True, need=-1, tail=-1, way_from=len(self._open_ways) // layout.WAY_SIZE)

    def _add_open(
        self,
        choice: int,
        done: frozenset[int],
        open_ways: list[frozenset[int]],
        number: Mapping[frozenset[int], int],
    ) -> None:
        """A stage at which some tasks of a choice are done, and those of one of some ways to come."""
        following = frozenset[int]().union(*(_first_of_like(way, self._like) for way in open_ways))
        self._candidates.add([part for task in sorted(following) for part in (task, number[done | {task}])])
        self._alternatives.add(_alternatives(open_ways, self._classes))
        left = frozenset[int]().union(*open_ways)
        way_from = len(self._open_ways) // layout.WAY_SIZE
        for way in sorted(set(open_ways), key=sorted):
            self._open_tasks.add(sorted(way))
            self._open_ways += [*self._open_tasks.begin[-2:], int(_one_by_one(way, self._things))]
        tail = self.one_by_one[choice]
        self._add_record(
            done=False,
            left=left,
            need=len(self._needs),
            longest=min(max(map(self._quickest, way)) for way in open_ways),
            shortest=0 if done or choice not in self._serial else min(map(self._quickest, left)),
            tail=self._tails if tail else -1,
            way_from=way_from,
        )
        self._tails += tail
        self._needs += self._to_come.needs(open_ways, done)

    def _quickest(self, task: int) -> int:
        return min(work for mode in self._tasks[task].modes for _, work in mode.operators)

    def _add_record(
        self,
        *,
        done: bool,
        need: int,
        tail: int,
        way_from: int,
        left: frozenset[int] = frozenset(),
        longest: int = 0,
        shortest: int = 0,
    ) -> None:
        """A record `layout.G_...`, and the setups that what is left may want; its lists are there already."""
        modes = [mode for task in left for mode in self._tasks[task].modes]
        kinds = {self._changeovers.kind(mode) for mode in modes} - {-1}
        bundles = {number for users, number in self._ways.bundle_of.items() if users & left}
        self._records += [
            int(done),
            *(at // 2 for at in self._candidates.begin[-2:]),
            *self._alternatives.begin[-2:],
            sum(1 << bundle for bundle in bundles),
            sum(1 << kind for kind in kinds),
            need,
            longest,
            shortest,
            way_from,
            len(self._open_ways) // layout.WAY_SIZE,
            tail,
        ]
        wanted = {self._changeovers.number(mode) for mode in modes}
        self._setups += [
            sum(1 << setup for machine, setup in wanted if machine == k) for k in range(self._machines)
        ]


def _tails(
    instance: Instance, ways: Ways, to_come: ToCome, one_by_one: Sequence[bool]
) -> dict[int, list[int]]:
    """Columns by choice of what `kernel/exact/tails.py` asks."""
    tasks = [sorted({task for way in choice for task in way}) for choice in ways.choices]
    return {
        layout.TAIL: [int(one) for one in one_by_one],
        layout.TAIL_LATEST: [min(to_come.latest[task] for task in own) for own in tasks],
        layout.TAIL_RELEASE: [min(instance.tasks[task].release for task in own) for own in tasks],
        layout.TAIL_RATE: [rate for own in tasks for rate in to_come.rates(own)],
    }


def _things(instance: Instance) -> list[frozenset[str]]:
    """By task: its garments, and the machine or only platen of a kind that every mode of it takes."""
    only = only_things(instance)
    return [
        frozenset((*(f"bundle {name}" for name in task.bundles), *only[task.id])) for task in instance.tasks
    ]


def _one_by_one(way: frozenset[int], things: Sequence[frozenset[str]]) -> bool:
    """Whether any two tasks need the same garments, the same machine or the only platen of a kind."""
    pairs = combinations(sorted(way), 2)
    return len(way) <= layout.MOST_SERIES and all(things[a] & things[b] for a, b in pairs)


def _alternatives(open_ways: Sequence[frozenset[int]], classes: Classes) -> list[int]:
    """Sets of classes that would complete a choice, as bits; of two the one in the other."""
    found = {sum(1 << c for c in {classes.of[task] for task in way}) for way in open_ways}
    return sorted(a for a in found if not any(b != a and b & a == b for b in found))


def _serial(instance: Instance, ways: Ways) -> set[int]:
    """Choices that in every way hold all garments of their order's other choices."""
    found = set()
    tasks = instance.tasks
    for k, choice in enumerate(ways.choices):
        job = tasks[choice[0][0]].job
        others = {
            bundle
            for other, own in enumerate(ways.choices)
            if other != k and tasks[own[0][0]].job == job
            for way in own
            for task in way
            for bundle in tasks[task].bundles
        }
        if all(others <= {bundle for task in way for bundle in tasks[task].bundles} for way in choice):
            found.add(k)
    return found


def _like(instance: Instance, ways: Ways, to_come: ToCome) -> list[Hashable]:
    """By task: what it has in common with those that might change places with it in any plan."""
    found: list[Hashable] = []
    for k, task in enumerate(instance.tasks):
        modes = tuple(replace(mode, id="") for mode in task.modes)
        bundles = tuple(number for users, number in ways.bundle_of.items() if k in users)
        found.append((modes, bundles, task.release, task.cooling, to_come.latest[k]))
    return found


def _first_of_like(way: frozenset[int], like: Sequence[Hashable]) -> frozenset[int]:
    """Of lots that are alike only the first is to follow: any order of them is the same."""
    return frozenset(task for task in way if all(other >= task or like[other] != like[task] for other in way))


def _parts(way: Sequence[int]) -> list[frozenset[int]]:
    """Every subset of a way's tasks."""
    return [frozenset(part) for size in range(len(way) + 1) for part in combinations(way, size)]
