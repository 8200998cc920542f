"""What a cover of the families has to serve, without what follows from the rest.

A run that must be done is served wherever another one is that can be served in fewer places: it
needs nothing of its own then but its artwork's line-up. What all plans pay for line-ups is put aside
as well, and families that nothing needs are left out. On days of 75 runs that took nine tenths of the
time to the same bound.
"""

from __future__ import annotations

from collections import defaultdict
from dataclasses import dataclass
from typing import TYPE_CHECKING

from scheduler.engine.cpsat.families import FamilyGraph

if TYPE_CHECKING:
    from collections.abc import Sequence

    from scheduler.domain.instance import Instance, Task
    from scheduler.engine.cpsat.families import Artwork, Families

Place = tuple[int, int, int]
"""Machine, day and family."""


@dataclass(frozen=True, slots=True)
class Need:
    """A task to serve.

    Attributes
    ----------
    task
        Its id.
    ways
        Where it can be served, each with the artwork that is lined up there; None where its line-up
        is counted apart.
    pressings
        What leaving it over takes of the room for that; None when there is not as much room.
    """

    task: str
    ways: tuple[tuple[Place, Artwork | None], ...]
    pressings: int | None


@dataclass(frozen=True, slots=True)
class Costs:
    """What serving the needs costs by one measure.

    Attributes
    ----------
    graphs
        Of the families that something needs; places count within them.
    enter
        By artwork.
    constant
        Line-ups that every plan pays.
    line_ups
        By task of an option: what its line-up costs when it is carried out, and that no other shares.
    """

    graphs: list[FamilyGraph]
    enter: dict[Artwork, int]
    constant: int
    line_ups: dict[str, int]


@dataclass(frozen=True, slots=True)
class Needs:
    """The cover's demand.

    Attributes
    ----------
    tasks
        What must be served, in the order of the instance.
    costs
        By each measure, the first to be minimised.
    first_day
        The first day on which any task can be done, one put aside too.
    """

    tasks: list[Need]
    costs: tuple[Costs, ...]
    first_day: int


def all_needs(instance: Instance, measures: Sequence[Families], left_over: int = 0) -> Needs:
    """Every task for itself, nothing put aside. Parameters are those of `needs_of`."""
    return Needs(
        [_need(task, measures, False, left_over) for task in instance.tasks],
        tuple(Costs(each.graphs, each.enter, 0, {}) for each in measures),
        first_day_of(measures[0]),
    )


def needs_of(instance: Instance, measures: Sequence[Families], left_over: int = 0) -> Needs:
    """What plans that leave over at most so many pressings need.

    Parameters
    ----------
    measures
        The same families, by one measure or several.
    """
    optional = {task for choice in instance.choices for option in choice.options for task in option}
    sure = {task.id for task in instance.tasks if task.id not in optional and task.pressings > left_over}
    own = [_own_line_ups(instance, each) for each in measures]
    apart = {
        task.id
        for task in instance.tasks
        if all(task.id in each and (task.id in sure or not left_over or not each[task.id]) for each in own)
    }
    needs = [_need(task, measures, task.id in apart, left_over) for task in instance.tasks]
    kept = _least(needs, sure)
    used = sorted({place[::2] for need in kept for place, _ in need.ways})
    number: dict[tuple[int, int], int] = {}
    for machine in range(len(instance.machines)):
        mine = [family for each, family in used if each == machine]
        number.update({(machine, family): at for at, family in enumerate(mine)})
    costs = []
    for families, line_ups in zip(measures, own, strict=True):
        costs.append(
            Costs(
                graphs=[
                    _part_of(graph, [family for machine, family in used if machine == graph.machine])
                    for graph in families.graphs
                ],
                enter=families.enter,
                constant=sum(line_ups[name] for name in sorted(apart & sure)),
                line_ups={name: line_ups[name] for name in sorted(apart & optional) if line_ups[name]},
            )
        )
    tasks = [
        Need(
            need.task,
            tuple(((m, day, number[m, family]), artwork) for (m, day, family), artwork in need.ways),
            need.pressings,
        )
        for need in kept
    ]
    return Needs(tasks, tuple(costs), first_day_of(measures[0]))


def first_day_of(families: Families) -> int:
    """The first day on which any task can be done: a press that does nothing on it is its first later."""
    return min((day for days in families.days.values() for day in days), default=0)


def _own_line_ups(instance: Instance, families: Families) -> dict[str, int]:
    """Tasks whose line-up costs the same wherever they are done, and that share it with no other."""
    sharing: dict[Artwork, set[str]] = defaultdict(set)
    for name, ways in families.visits.items():
        for way in ways:
            sharing[way.artwork].add(name)
    own: dict[str, int] = {}
    for task in instance.tasks:
        ways = families.visits[task.id]
        costs = {families.enter[way.artwork] for way in ways}
        if costs == {0} or (len(costs) == 1 and all(len(sharing[way.artwork]) == 1 for way in ways)):
            own[task.id] = min(costs)
    return own


def _need(task: Task, measures: Sequence[Families], apart: bool, left_over: int) -> Need:
    families = measures[0]
    ways = [
        ((way.machine, day, way.family), way.artwork if _paid(way.artwork, measures, apart) else None)
        for way in families.visits[task.id]
        for day in families.days[task.id]
    ]
    return Need(task.id, tuple(dict.fromkeys(ways)), task.pressings if task.pressings <= left_over else None)


def _paid(artwork: Artwork, measures: Sequence[Families], apart: bool) -> bool:
    return not apart and any(families.enter[artwork] for families in measures)


def _least(needs: list[Need], sure: set[str]) -> list[Need]:
    """Those that don't follow from others; of like ones the first."""
    certain = [
        (at, frozenset(need.ways), frozenset((place, None) for place, _ in need.ways))
        for at, need in enumerate(needs)
        if need.task in sure
    ]
    kept = []
    for at, need in enumerate(needs):
        ways = frozenset(need.ways)
        plain = all(artwork is None for _, artwork in ways)
        follows = False
        for other, theirs, places in certain:
            served = places if plain else theirs
            follows = other != at and (
                served < ways or (served == ways and (other < at or need.task not in sure))
            )
            if follows:
                break
        if not follows:
            kept.append(need)
    return kept


def _part_of(graph: FamilyGraph, mine: list[int]) -> FamilyGraph:
    """The graph of some of the families: going by way of others is in its costs already."""
    return FamilyGraph(
        machine=graph.machine,
        members=[graph.members[at] for at in mine],
        start=[graph.start[at] for at in mine],
        start_later=[graph.start_later[at] for at in mine],
        warm=[[graph.warm[a][b] for b in mine] for a in mine],
        cold=[[graph.cold[a][b] for b in mine] for a in mine],
    )
