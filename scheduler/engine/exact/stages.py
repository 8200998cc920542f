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
    stages: list[int] = []
    setups: list[int] = []
    candidates, alternatives = Rows(), Rows()
    open_tasks, way_records = Rows(), list[int]()
    only = only_things(instance)
    needs: list[int] = []
    tails = 0
    chained = [all(_one_by_one(instance, frozenset(way), only) for way in choice) for choice in ways.choices]
    firsts = []
    like = _like(instance, ways, to_come)
    serial = _serial(instance, ways)

    def least(task: int) -> int:
        return min(work for mode in instance.tasks[task].modes for _, work in mode.operators)

    for number_of, choice in enumerate(ways.choices):
        sets = sorted(
            {part for way in choice for part in _parts(way)}, key=lambda one: (len(one), sorted(one))
        )
        whole = [frozenset(way) for way in choice]
        # In whichever way a choice was carried out, it is done: one stage stands for all.
        sets = [done for done in sets if done == whole[0] or done not in whole]
        number = {done: len(stages) // layout.STAGE_SIZE + k for k, done in enumerate(sets)}
        number |= dict.fromkeys(whole, number[whole[0]])
        firsts.append(number[frozenset()])
        for done in sets:
            open_ways = [frozenset(way) - done for way in choice if done <= frozenset(way)]
            complete = frozenset() in open_ways
            following = frozenset[int]()
            if not complete:
                following = following.union(*(_first_of_like(way, like) for way in open_ways))
            candidates.add([part for task in sorted(following) for part in (task, number[done | {task}])])
            alternatives.add([0] if complete else _alternatives(open_ways, classes))
            left = frozenset[int]() if complete else frozenset[int]().union(*open_ways)
            modes = [mode for task in left for mode in instance.tasks[task].modes]
            kinds = {changeovers.kind(mode) for mode in modes} - {-1}
            bundles = {n for users, n in ways.bundle_of.items() if users & left}
            need = -1 if complete else len(needs)
            stages += [
                int(complete),
                *(at // 2 for at in candidates.begin[-2:]),
                *alternatives.begin[-2:],
            ]
            stages += [sum(1 << b for b in bundles), sum(1 << k for k in kinds), need]
            stages += [min(max(map(least, way), default=0) for way in open_ways)]
            stages += [0 if done or number_of not in serial else min(least(task) for task in left)]
            stages += [len(way_records) // layout.WAY_SIZE]
            for way in () if complete else sorted(set(open_ways), key=sorted):
                open_tasks.add(sorted(way))
                way_records += [*open_tasks.begin[-2:], int(_one_by_one(instance, way, only))]
            stages += [len(way_records) // layout.WAY_SIZE]
            tail = chained[number_of] and not complete
            stages += [tails if tail else -1]
            tails += tail
            wanted = {changeovers.number(mode) for mode in modes}
            setups += [
                sum(1 << setup for machine, setup in wanted if machine == k)
                for k in range(len(instance.machines))
            ]
            if not complete:
                needs += to_come.needs(open_ways, done)
    return {
        layout.STAGE: stages,
        layout.STAGE_SETUPS: setups,
        layout.CANDIDATE: candidates.items,
        layout.ALTERNATIVE: alternatives.items,
        layout.NEED: needs,
        layout.WAY: way_records,
        layout.TAIL: [int(one) for one in chained],
        layout.TAIL_LATEST: [
            min(to_come.latest[task] for way in choice for task in way) for choice in ways.choices
        ],
        layout.TAIL_RELEASE: [
            min(instance.tasks[task].release for way in choice for task in way) for choice in ways.choices
        ],
        layout.TAIL_RATE: [
            rate
            for choice in ways.choices
            for rate in to_come.rates({task for way in choice for task in way})
        ],
        layout.WAY_TASK: open_tasks.items,
    }, firsts


def _one_by_one(instance: Instance, way: frozenset[int], only: Mapping[str, tuple[str, ...]]) -> bool:
    """Whether any two tasks need the same garments, the same machine or the only platen of a kind."""
    things = [
        {*instance.tasks[task].bundles, *((thing,) for thing in only[instance.tasks[task].id])}
        for task in way
    ]
    return len(way) <= layout.MOST_SERIES and all(a & b for a, b in combinations(things, 2))


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
