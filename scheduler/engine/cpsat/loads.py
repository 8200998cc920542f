"""The work of a cover: each way of a task with its person, and between which ticks it must lie."""

from __future__ import annotations

from collections import defaultdict
from dataclasses import dataclass
from functools import lru_cache
from typing import TYPE_CHECKING

from scheduler.engine.bounds import worked
from scheduler.engine.windows import LeastSetup, LeastWarmUp, hot_at

if TYPE_CHECKING:
    from collections.abc import Iterable, Sequence

    from ortools.sat.python.cp_model import IntVar

    from scheduler.domain.instance import Instance, Mode, Task
    from scheduler.engine.cpsat.cover import Cover
    from scheduler.engine.cpsat.families import Artwork, Families
    from scheduler.engine.cpsat.needs import Need, Needs

Span = tuple[int, int]


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Load:
    """A task done in one way by one person.

    Attributes
    ----------
    mates
        Numbers of second machines that some mode of this way holds.
    artwork
        What must be lined up for it; None where that costs nothing.
    work, hands
        Ticks of pressing, and of set-up by hand whatever was there before.
    begin, end
        Pressing lies in [begin, end).
    literal
        Whether it is so.
    """

    task: Task
    machine: int
    mates: frozenset[int]
    day: int
    family: int
    artwork: Artwork | None
    person: str | None
    platen: str | None
    work: int
    hands: int
    begin: int
    end: int
    literal: IntVar


def time_in(spans: Iterable[Span], begin: int, end: int) -> int:
    """Ticks of disjoint spans inside [begin, end)."""
    return sum(max(0, min(last, end) - max(first, begin)) for first, last in spans)


def union(spans: Iterable[Span]) -> list[Span]:
    """The stretches that at least one span covers."""
    joined: list[Span] = []
    for first, last in sorted(spans):
        if joined and first <= joined[-1][1]:
            joined[-1] = (joined[-1][0], max(joined[-1][1], last))
        else:
            joined.append((first, last))
    return joined


class Hours:
    """When people work, breaks left out and overtime included."""

    def __init__(self, instance: Instance) -> None:
        self.spans: dict[str, list[Span]] = {
            person.id: [span for shift in person.shifts for span in worked(shift)]
            for person in instance.operators
        }

    def of(self, people: Iterable[str]) -> list[Span]:
        """When at least one of them works."""
        return union(span for person in people for span in self.spans[person])


def loads_of(
    instance: Instance, cover: Cover, needs: Needs, families: Families, latest: dict[str, int]
) -> list[Load]:
    """All loads of a cover, in the order of tasks and ways; says in its model that each way has one person.

    Parameters
    ----------
    needs
        Of all tasks, nothing put aside.
    latest
        Ends by which tasks must be done; the horizon where there is none.
    """
    begins = _Begins(instance)
    numbers = {machine.id: at for at, machine in enumerate(instance.machines)}
    tasks = {task.id: task for task in instance.tasks}
    loads: list[Load] = []
    for need in needs.tasks:
        task = tasks[need.task]
        ways = _modes_of(task, need, families)
        for number, ((machine, day, family), artwork) in enumerate(need.ways):
            modes = ways[machine, family]
            literal = cover.ways[task.id][number]
            works: dict[str | None, int] = {}
            for mode in modes:
                who: Sequence[tuple[str | None, int]] = mode.operators or ((None, mode.work),)
                for person, work in who:
                    works[person] = min(work, works.get(person, work))
            chosen = [literal]
            if len(works) > 1:
                chosen = [cover.model.new_bool_var(f"{task.id}.{number}.{person}") for person in works]
                cover.model.add(sum(chosen) == literal)
            begin = max(task.release, min(begins.first(task, mode, day) for mode in modes))
            end = min(latest.get(task.id, instance.horizon), instance.heating_days[day].end)
            hands = min(begins.hands_on(task, mode) for mode in modes)
            mates = frozenset(numbers[mode.mate] for mode in modes if mode.mate is not None)
            for (person, work), each in zip(works.items(), chosen, strict=True):
                loads.append(
                    Load(
                        task=task,
                        machine=machine,
                        mates=mates,
                        day=day,
                        family=family,
                        artwork=artwork,
                        person=person,
                        platen=modes[0].platen,
                        work=work,
                        hands=hands,
                        begin=begin,
                        end=end,
                        literal=each,
                    )
                )
    return loads


def _modes_of(task: Task, need: Need, families: Families) -> dict[tuple[int, int], list[Mode]]:
    """Modes by machine and family; those of a family have the same platen."""
    modes: dict[tuple[int, int], list[Mode]] = defaultdict(list)
    for mode, visit in zip(task.modes, families.visits[need.task], strict=True):
        modes[visit.machine, visit.family].append(mode)
    return modes


class _Begins:
    """Earliest pressing starts by machine and day, releases left out."""

    def __init__(self, instance: Instance) -> None:
        self._days = instance.heating_days
        self._machines = {machine.id: machine for machine in instance.machines}
        self._shifts = {person.id: person.shifts for person in instance.operators}
        self._setup = LeastSetup(instance)
        self._warm_up = LeastWarmUp(instance)
        self.shift_start = lru_cache(maxsize=None)(self._shift_start)

    def hands_on(self, task: Task, mode: Mode) -> int:
        return self._setup.hands_on(task, mode)

    def first(self, task: Task, mode: Mode, day: int) -> int:
        start = self._days[day].start
        machine = self._machines[mode.machine]
        hands = self._setup.hands_on(task, mode)
        warm_up = self._warm_up.ticks(task, mode)
        first = max(max(start, machine.free_from) + hands, hot_at(machine, day, start, warm_up))
        if not mode.operators:
            return first
        return max(first, hands + min(self.shift_start(person, day) for person, _ in mode.operators))

    def _shift_start(self, person: str, day: int) -> int:
        """When a person first works on a day; the day's end when never."""
        start, end = self._days[day].start, self._days[day].end
        starts = (
            max(start, shift.start)
            for shift in self._shifts[person]
            if shift.overtime_end >= start and shift.start < end
        )
        return min(starts, default=end)
