"""The earliest that a task can end, whatever else is in the plan: calendars and least set-up only.

Plain arithmetic over the instance, valid for every schedule that obeys `docs/model.md`. The order
chain of `bounds` and the domains of the CP-SAT model stand on it.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Hashable
from dataclasses import dataclass
from itertools import product
from typing import TYPE_CHECKING, TypeVar

if TYPE_CHECKING:
    from collections.abc import Callable, Iterable

    from scheduler.domain.instance import Instance, Machine, Mode, Task


NEVER = 1 << 60

Thing = TypeVar("Thing", bound=Hashable)

_Stretch = tuple[int, int, int, int, tuple[tuple[int, int], ...], int]
"""A slot's first start, last end, ticks by hand and of work, breaks and day."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Slot:
    """A stretch of one operator's presence in which a task can be done in one of its modes.

    Attributes
    ----------
    first_start
        Earliest pressing start, before breaks are looked at.
    last_end
        Latest pressing end.
    day
        Number of the heating day that it lies in; where days touch, its times don't tell.
    hands_on
        Least ticks of set-up right before the start, inside the same stretch and outside breaks.
    """

    first_start: int
    last_end: int
    hands_on: int
    work: int
    breaks: tuple[tuple[int, int], ...] = ()
    day: int = 0

    def start(self, ready: int) -> int:
        """Earliest pressing start at or after `ready`."""
        at = max(ready, self.first_start)
        for begin, end in self.breaks:
            if at < begin:
                break
            if at - self.hands_on < end:
                at = end + self.hands_on
        return at

    def end(self, start: int) -> int:
        """Pressing end for a pressing start, breaks left out of the work."""
        at, left = start, self.work
        for begin, end in self.breaks:
            if begin < at:
                continue
            if at + left <= begin:
                break
            left -= begin - at
            at = end
        return at + left


class Windows:
    """Slots of every task of an instance."""

    def __init__(self, instance: Instance) -> None:
        self.instance = instance
        self.least_setup = LeastSetup(instance)
        self._least_warm_up = LeastWarmUp(instance)
        self._machines = {machine.id: machine for machine in instance.machines}
        self._present = {
            (operator.id, number): [
                # A run of no length may lie where a shift ends as the day begins.
                shift
                for shift in operator.shifts
                if shift.overtime_end >= day.start and shift.start < day.end
            ]
            for operator in instance.operators
            for number, day in enumerate(instance.heating_days)
        }
        self._tasks = {task.id: task for task in instance.tasks}
        self.slots: dict[str, tuple[Slot, ...]] = {task.id: self._slots(task) for task in instance.tasks}

    def earliest(self, task: str, ready: int) -> tuple[int, int] | None:
        """(start, end) of the earliest end for a pressing start at or after `ready`.

        Never later for an earlier `ready`. None when the task fits nowhere from there.
        """
        best: tuple[int, int] | None = None
        for slot in self.slots[task]:
            if best is not None and max(ready, slot.first_start) + slot.work >= best[1]:
                if slot.first_start + slot.work >= best[1]:
                    break
                continue
            start = slot.start(ready)
            end = slot.end(start)
            if end <= slot.last_end and (best is None or end < best[1]):
                best = (start, end)
        return best

    def first_start(self, task: str) -> int | None:
        """Earliest pressing start of any schedule; None when the task fits nowhere."""
        ready = self._tasks[task].release
        starts = ((slot, slot.start(ready)) for slot in self.slots[task])
        return min((start for slot, start in starts if slot.end(start) <= slot.last_end), default=None)

    def days(self, task: str, latest: int) -> list[int]:
        """Numbers of the heating days in which the task can be done and end by `latest`."""
        ready = self._tasks[task].release
        found = set()
        for slot in self.slots[task]:
            start = slot.start(ready)
            if slot.end(start) <= min(slot.last_end, latest):
                found.add(slot.day)
        return sorted(found)

    def _slots(self, task: Task) -> tuple[Slot, ...]:
        found: set[_Stretch] = set()
        # Like machines make like modes: each kind once.
        kinds: dict[tuple[int, int, int, tuple[tuple[str, int], ...]], None] = {}
        for mode in task.modes:
            hands_on = self.least_setup.hands_on(task, mode)
            warm_up = self._least_warm_up.ticks(task, mode)
            machine = self._machines[mode.machine]
            for number, day in enumerate(self.instance.heating_days):
                heated = max(
                    max(day.start, machine.free_from) + hands_on, hot_at(machine, number, day.start, warm_up)
                )
                kinds[number, heated, hands_on, mode.operators] = None
                if not mode.operators:
                    last = min(day.end, self.instance.horizon)
                    found.add((heated, last, 0, mode.work, (), number))
        for number, heated, hands_on, operators in kinds:
            last = min(self.instance.heating_days[number].end, self.instance.horizon)
            for operator, work in operators:
                for shift in self._present[operator, number]:
                    first = max(shift.start + hands_on, heated)
                    end = min(shift.overtime_end, last)
                    if first + work <= end:
                        found.add((first, end, hands_on, work, shift.breaks, number))
        ordered = sorted(found, key=lambda slot: (slot[0] + slot[3], *slot))
        kept: list[_Stretch] = []
        for slot in ordered:
            if not any(_covers(other, slot) for other in kept):
                kept.append(slot)
        return tuple(
            Slot(first_start=first, last_end=last, hands_on=hands_on, work=work, breaks=breaks, day=day)
            for first, last, hands_on, work, breaks, day in kept
        )


def hot_at(machine: Machine, number: int, begin: int, warm_up: int) -> int:
    """From when a machine can be hot in a day, given the ticks from cold."""
    if number == 0 and machine.hot:
        return 0
    if number == 0 and machine.warming is not None:
        return machine.warming[0] + warm_up
    return begin + warm_up


def _covers(a: _Stretch, b: _Stretch) -> bool:
    """Whether slot `a` allows all that slot `b` does (same stretch, nothing longer)."""
    return a[4:] == b[4:] and a[0] <= b[0] and a[1] >= b[1] and a[2] <= b[2] and a[3] <= b[3]


class LeastSetup:
    """Least ticks of set-up that a mode can need, whatever runs before it on its machine."""

    def __init__(self, instance: Instance) -> None:
        self._instance = instance
        self._machines = {machine.id: machine for machine in instance.machines}
        self._least: dict[tuple[str, int, int, bool], tuple[tuple[int, str], ...]] = {}
        self._found: dict[tuple[str, str, bool, tuple[int, ...]], int] = {}
        self._by_hand = [
            (at, part.goes_with_platen) for at, part in enumerate(instance.setup_parts) if not part.hands_off
        ]
        parts = range(len(instance.setup_parts))
        # By machine and part: the values that tasks leave there, and up to two of those tasks: with
        # two the value is there to come from even for one of them.
        self._left: dict[tuple[str, int], dict[int, set[str]]] = defaultdict(dict)
        for task in instance.tasks:
            for mode in task.modes:
                for (machine, _), part in product(mode.places, parts):
                    tasks = self._left[machine, part].setdefault(mode.state[part], set())
                    if len(tasks) < 2:
                        tasks.add(task.id)

    def hands_on(self, task: Task, mode: Mode) -> int:
        """Sum over hands-on parts of the least change into the mode's value."""
        asked = (task.id, mode.machine, mode.platen is None, mode.state)
        known = self._found.get(asked)
        if known is not None:
            return known
        total = 0
        for at, goes_with_platen in self._by_hand:
            key = (mode.machine, at, mode.state[at], goes_with_platen and mode.platen is not None)
            least = self._least.get(key)
            if least is None:
                least = self._least[key] = self._changes(*key)
            total += min([ticks for ticks, only in least if only != task.id])
        self._found[asked] = total
        return total

    def _changes(self, machine: str, at: int, after: int, gives_up: bool) -> tuple[tuple[int, str], ...]:
        """The least change into a value, and the least from values that only one task leaves.

        With that task's id; two of those are enough, since a task asks but for itself.
        """
        part = self._instance.setup_parts[at]
        table = part.tables[self._machines[machine].tables[at]]
        left = self._left[machine, at]
        known = [self._machines[machine].initial[at], *([None] if gives_up else [])]
        if table.by_target:
            # From any other value it is the same: the value itself and some others tell all.
            values = [*([after] if after in left else []), *_some_others(left, after)]
        else:
            values = list(left)
        ticks = [(table.change(value, after), left[value]) for value in values]
        least = min(
            *(table.change(before, after) for before in known),
            *(change for change, tasks in ticks if len(tasks) > 1),
            NEVER,
        )
        alone = sorted((change, next(iter(tasks))) for change, tasks in ticks if len(tasks) == 1)
        return ((least, ""), *alone[:2])


def _some_others(left: dict[int, set[str]], after: int) -> list[int]:
    """Values other than `after`, of two tasks where there are two: one is left when a task is left out."""
    found: dict[str, int] = {}
    for value, tasks in left.items():
        if value == after:
            continue
        if len(tasks) > 1:
            return [value]
        found.setdefault(next(iter(tasks)), value)
        if len(found) == 2:
            break
    return list(found.values())


class LeastWarmUp:
    """Least ticks from the start of a day until a mode's machine can press the task."""

    def __init__(self, instance: Instance) -> None:
        # By machine: (warm-up and shortest work of a run that is first of the day, its task), the
        # two smallest from unlike tasks, so that a task is never its own forerunner.
        self._first: dict[str, list[tuple[int, str]]] = defaultdict(list)
        for task in instance.tasks:
            best: dict[str, int] = {}
            for mode in task.modes:
                for machine, warm_up in mode.places:
                    ticks = warm_up + shortest_work(mode)
                    best[machine] = min(ticks, best.get(machine, ticks))
            for machine, ticks in best.items():
                self._first[machine].append((ticks, task.id))
        for machine in self._first:
            self._first[machine] = sorted(self._first[machine])[:2]

    def ticks(self, task: Task, mode: Mode) -> int:
        """From cold by the task's own warm-up, or behind another run that had its own."""
        others = (ticks for ticks, other in self._first[mode.machine] if other != task.id)
        return min((mode.warm_up, *others))


def shortest_work(mode: Mode) -> int:
    """Ticks of pressing by the fastest operator of the mode."""
    return min([work for _, work in mode.operators], default=mode.work)


def topological(things: Iterable[Thing], before: Callable[[Thing], Iterable[Thing]]) -> list[Thing]:
    """Some things with all of them that must come before first; there is no ring.

    Parameters
    ----------
    before
        What must come before a thing; what is not among the things is passed over.
    """
    wanted = list(things)
    inside = set(wanted)
    done: set[Thing] = set()
    order: list[Thing] = []
    for thing in wanted:
        # Not by calls of itself: chains may be longer than Python's stack.
        trail = [(thing, iter(before(thing)))]
        while trail:
            last, rest = trail[-1]
            earlier = next((each for each in rest if each in inside and each not in done), None)
            if earlier is not None:
                trail.append((earlier, iter(before(earlier))))
                continue
            trail.pop()
            if last not in done:
                done.add(last)
                order.append(last)
    return order
