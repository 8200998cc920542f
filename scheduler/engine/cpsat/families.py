"""Set-up families: what the changeovers of any plan cost at least, with all times left out.

A family is a machine, a platen kind and the values of all setup parts but the artwork-like ones:
hands-on parts with so many values that nearly every run has its own. A run that comes behind
another pays at least

    enter(artworks of j) + step(family of i, family of j)

where `enter` counts only when the artwork changes and is the least line-up from any other, and

    step = max(hands-on without artwork, hands-off - the greatest enter of j's family)

so that a line-up hidden behind a long heat-up is not counted on top of it. `step` is then replaced
by its shortest paths: going by way of a third family can be cheaper than directly, since a line-up may
hide behind each leg. With shortest paths a plan that comes back to a family later on the same day
costs no less than one that visits it once a day.
"""

from __future__ import annotations

from collections import defaultdict
from dataclasses import dataclass
from typing import TYPE_CHECKING

from scheduler.engine.cpsat.changes import ways_to_mount
from scheduler.engine.windows import Windows

if TYPE_CHECKING:
    from collections.abc import Callable, Sequence

    from scheduler.domain.instance import Instance, Machine, Mode

FEW_VALUES = 8
"""A part with no more values than this is part of the family, whatever its tables are."""

Artwork = tuple[int, tuple[int, ...]]
"""Machine number and the values of its artwork-like parts."""


@dataclass(slots=True)
class FamilyGraph:
    """Families of one machine and what it costs to get from one to another.

    Attributes
    ----------
    members
        A mode of each family; all modes of a family share what matters here.
    start
        By family: cost of being the machine's first, on the first day.
    start_later
        The same on a later day, once others have been there (not dearer).
    warm, cold
        By family and next family: within a day, and over a night (not dearer).
    """

    machine: int
    members: list[Mode]
    start: list[int]
    start_later: list[int]
    warm: list[list[int]]
    cold: list[list[int]]


@dataclass(frozen=True, slots=True)
class Visit:
    """A mode of a task: in a family, with an artwork."""

    machine: int
    family: int
    artwork: Artwork


@dataclass(slots=True)
class Families:
    """The time-free problem.

    Attributes
    ----------
    visits
        By task id, one for each of its modes.
    enter
        By artwork: least cost of changing to it on its machine; 0 where it may be there from the start.
    days
        By task id, numbers of the heating days on which it may be done.
    """

    graphs: list[FamilyGraph]
    visits: dict[str, list[Visit]]
    enter: dict[Artwork, int]
    days: dict[str, list[int]]


def artwork_parts(instance: Instance) -> tuple[int, ...]:
    """Hands-on parts whose cost hangs on the target alone and of which most runs have their own value."""
    modes = [mode for task in instance.tasks for mode in task.modes]
    parts = []
    for at, part in enumerate(instance.setup_parts):
        flat = all(table.by_target for table in part.tables)
        values = {mode.state[at] for mode in modes}
        of_platen = len({(mode.platen, mode.state[at]) for mode in modes}) == len(
            {mode.platen for mode in modes}
        )
        many = len(values) > max(FEW_VALUES, len(instance.tasks) // 4)
        if not part.hands_off and flat and many and not of_platen:
            parts.append(at)
    return tuple(parts)


def links_of(instance: Instance) -> int:
    """Links between families when every artwork is a family of its own."""
    families: dict[str, set[tuple[str | None, tuple[int, ...]]]] = defaultdict(set)
    for task in instance.tasks:
        for mode in task.modes:
            for machine, _ in mode.places:
                families[machine].add((mode.platen, mode.state))
    return sum(len(each) ** 2 for each in families.values())


def families_of(
    instance: Instance,
    *,
    count: bool = False,
    by_hand: bool = False,
    artworks: tuple[int, ...] | None = None,
    latest: dict[str, int] | None = None,
    windows: Windows | None = None,
) -> Families:
    """Families, and what getting from one to another costs at least.

    Parameters
    ----------
    count
        Count changeovers above 0 instead of their ticks.
    by_hand
        Ticks of what is done by hand alone.
    artworks
        Numbers of the parts to treat as artwork; None: by `artwork_parts`. Any hands-on parts give a
        valid bound.
    latest
        Ends by which tasks must be done in the plans that the bound is for; see `latest_ends`. They
        tell on which days.
    windows
        The instance's, where they are made already.
    """
    aside = artwork_parts(instance) if artworks is None else artworks
    weigh: Callable[[int], int] = (lambda ticks: min(1, ticks)) if count else (lambda ticks: ticks)
    numbers = {machine.id: at for at, machine in enumerate(instance.machines)}
    keys: list[dict[tuple[str | None, tuple[int, ...]], int]] = [{} for _ in instance.machines]
    members: list[list[Mode]] = [[] for _ in instance.machines]
    visits: dict[str, list[Visit]] = {}
    passing: list[Visit] = []
    for task in instance.tasks:
        ways = []
        for mode in task.modes:
            at = numbers[mode.machine]
            key = (mode.platen, tuple(v for part, v in enumerate(mode.state) if part not in aside))
            family = keys[at].setdefault(key, len(keys[at]))
            if family == len(members[at]):
                members[at].append(mode)
            ways.append(Visit(at, family, (at, tuple(mode.state[part] for part in aside))))
            if mode.mate is not None:
                # A cover asks for one machine only, but plans may come by this family on the other one.
                at = numbers[mode.mate]
                family = keys[at].setdefault(key, len(keys[at]))
                if family == len(members[at]):
                    members[at].append(mode)
                passing.append(Visit(at, family, (at, tuple(mode.state[part] for part in aside))))
        visits[task.id] = ways
    reached = [*(way for ways in visits.values() for way in ways), *passing]
    enter = _enters(instance, reached, aside, weigh)
    dearest: dict[tuple[int, int], int] = {}
    for way in reached:
        key_of = (way.machine, way.family)
        dearest[key_of] = max(dearest.get(key_of, 0), enter[way.artwork])
    step = _Steps(instance, aside, count, by_hand)
    windows = windows or Windows(instance)
    days = {
        task.id: windows.days(task.id, (latest or {}).get(task.id, instance.horizon))
        for task in instance.tasks
    }
    nights = len({day for each in days.values() for day in each}) > 1
    graphs = []
    for at, machine in enumerate(instance.machines):
        hidden = [dearest[at, family] for family in range(len(members[at]))]
        graphs.append(_graph(at, machine, members[at], hidden, step, nights))
    return Families(graphs, visits, enter, days)


def _enters(
    instance: Instance,
    reached: Sequence[Visit],
    aside: tuple[int, ...],
    weigh: Callable[[int], int],
) -> dict[Artwork, int]:
    """Least cost of a change to each artwork from any other that its machine may have.

    A sum over parts of which each may be unchanged would count nothing; so the whole tuple is
    compared with every other.
    """
    there: dict[int, set[tuple[int | None, ...]]] = {}
    for way in reached:
        there.setdefault(way.machine, set()).add(way.artwork[1])
    enter: dict[Artwork, int] = {}
    for at, machine in enumerate(instance.machines):
        first = tuple(machine.initial[part] for part in aside)
        befores = [*sorted(there.get(at, ()), key=str), first]
        if len(aside) == 1 and instance.setup_parts[aside[0]].tables[machine.tables[aside[0]]].by_target:
            # From any other value it is the same, so two of them tell all.
            befores = [*befores[:2], first]
        for after in there.get(at, ()):
            costs = [
                sum(
                    min(
                        _part(instance, machine, part, old, new),
                        # The platen, and the artwork with it, may have been given up.
                        _part(instance, machine, part, None, new)
                        if instance.setup_parts[part].goes_with_platen
                        else _part(instance, machine, part, old, new),
                    )
                    for part, old, new in zip(aside, before, after, strict=True)
                )
                for before in befores
                if before != after
            ]
            known = tuple(value for value in after if value is not None)
            enter[at, known] = 0 if first == after or not costs else weigh(min(costs))
    return enter


def _part(instance: Instance, machine: Machine, part: int, before: int | None, after: int | None) -> int:
    assert after is not None
    return instance.setup_parts[part].tables[machine.tables[part]].change(before, after)


class _Steps:
    """Cost between families, artwork left out."""

    def __init__(self, instance: Instance, aside: tuple[int, ...], count: bool, by_hand: bool) -> None:
        self._parts = [(at, part) for at, part in enumerate(instance.setup_parts) if at not in aside]
        self._count = count
        self._by_hand = by_hand

    def least(self, machine: Machine, before: Mode | None, after: Mode, cold: bool, hidden: int) -> int:
        """Least over the ways to mount; `hidden` is what a line-up may take of the hands-off time."""
        return min(
            self._one(machine, before, after, mounts, cold, hidden)
            for mounts in ways_to_mount(machine, before, after)
        )

    def _one(
        self, machine: Machine, before: Mode | None, after: Mode, mounts: bool, cold: bool, hidden: int
    ) -> int:
        state = machine.initial if before is None else before.state
        on = off = 0
        for at, part in self._parts:
            old = None if mounts and part.goes_with_platen else state[at]
            ticks = part.tables[machine.tables[at]].change(old, after.state[at])
            if not part.hands_off:
                on += ticks
            elif not self._by_hand and not (cold and part.ends_when_cold):
                off += ticks
        if self._count:
            # A changeover counts once, whether by hand or without, with a line-up or not.
            return max(min(1, max(on, off)) - hidden, 0)
        return max(on, off - hidden)


def _graph(
    number: int, machine: Machine, members: list[Mode], hidden: list[int], step: _Steps, nights: bool
) -> FamilyGraph:
    size = range(len(members))
    warm = [
        [0 if a == b else step.least(machine, members[a], members[b], False, hidden[b]) for b in size]
        for a in size
    ]
    cold = warm
    if nights:
        cold = [
            [min(warm[a][b], step.least(machine, members[a], members[b], True, hidden[b])) for b in size]
            for a in size
        ]
        _shorten(cold)
    first = [step.least(machine, None, members[b], True, hidden[b]) for b in size]
    _shorten(warm)
    start = [min(first[a] + warm[a][b] for a in size) for b in size]
    later = [min(first[a] + cold[a][b] for a in size) for b in size]
    return FamilyGraph(number, members, start, later, warm, cold)


def _shorten(costs: list[list[int]]) -> None:
    """Replace every cost by that of the shortest path."""
    for via, behind in enumerate(costs):
        for row in costs:
            first = row[via]
            if row is not behind:
                row[:] = [min(direct, first + rest) for direct, rest in zip(row, behind, strict=True)]
