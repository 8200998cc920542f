"""What a run waited for in a schedule: since when, and how full presses, platens and people were."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction

from scheduler.domain.instance import Instance, Task
from scheduler.planning.calendar import working_ticks
from scheduler.planning.trail import Step


@dataclass(frozen=True, slots=True, kw_only=True)
class Use:
    """How some presses, platens or people were used while a run waited.

    Attributes
    ----------
    kind
        "press", "platen" or "crew".
    used, available
        Ticks.
    scarce
        A single press or kind of platen, or not all of the crew.
    last
        The tick at which the last use in that stretch ends; the begin of the stretch when there is none.
    """

    kind: str
    names: tuple[str, ...]
    used: int
    available: int
    orders: tuple[str, ...]
    scarce: bool
    last: int

    @property
    def share(self) -> Fraction:
        return Fraction(self.used, self.available) if self.available else Fraction(0)


class Waiting:
    """Waiting times in one schedule, read off its steps (`scheduler.planning.trail.steps`)."""

    def __init__(self, instance: Instance, trail: Sequence[Step]) -> None:
        self.instance = instance
        self.trail = sorted(trail, key=lambda step: (step.done.start, step.task.id))
        self.people = {person.id: person.shifts for person in instance.operators}

    def longest_wait(self, step: Step) -> tuple[Step, int]:
        """Back along the garments from a run: the one that waited longest, and from when on.

        Hours in which the shop is closed are no waiting.
        """
        best, since = step, self._ready(step)
        at = step
        while True:
            before = self._before(at)
            if not before:
                return best, since
            at = max(before, key=lambda other: (other.done.end + other.task.cooling, other.task.id))
            ready = self._ready(at)
            if self.open_ticks(ready, at.done.setup_start) > self.open_ticks(since, best.done.setup_start):
                best, since = at, ready

    def _before(self, step: Step) -> list[Step]:
        """The runs that had the same garments before it, or had to come before it."""
        return [
            other
            for other in self.trail
            if other.task.id != step.task.id
            and other.done.start < step.done.start
            and self._tied(other.task, step.task)
        ]

    def _tied(self, before: Task, after: Task) -> bool:
        return not set(before.bundles).isdisjoint(after.bundles) or any(
            pair.before == before.id and pair.after == after.id for pair in self.instance.precedences
        )

    def _ready(self, step: Step) -> int:
        """When a run could have begun, as far as its garments, its transfers and the shop go."""
        free = [other.done.end + other.task.cooling for other in self._before(step)]
        ready = max([0, step.task.release, *free])
        opens = min(
            (max(ready, day.start) for day in self.instance.heating_days if day.end > ready), default=0
        )
        return min(max(ready, opens), step.done.setup_start)

    def open_ticks(self, start: int, end: int) -> int:
        """Ticks of a stretch in which the shop is open, overtime with them."""
        return sum(max(0, min(end, day.end) - max(start, day.start)) for day in self.instance.heating_days)

    def uses(self, task: Task, start: int, end: int) -> tuple[Use, ...]:
        """How what a run could use was used in a stretch of time: scarce things first."""
        presses = tuple(dict.fromkeys(name for mode in task.modes for name, _ in mode.places))
        platens = tuple(dict.fromkeys(mode.platen for mode in task.modes if mode.platen is not None))
        able = tuple(dict.fromkeys(person for mode in task.modes for person, _ in mode.operators))
        everybody = tuple(person.id for person in self.instance.operators)
        owned = sum(platen.count for platen in self.instance.platens if platen.id in platens)
        open_ticks = self.open_ticks(start, end)
        found = [
            self._use("press", presses, len(presses) * open_ticks, start, end),
            self._use("platen", platens, owned * open_ticks, start, end),
            self._use("crew", able, self.paid(able, start, end), start, end),
        ]
        if set(able) != set(everybody):
            whole = self._use("crew", everybody, self.paid(everybody, start, end), start, end)
            # When all hands are as full, it is not the skill that is short.
            if whole.share > found[-1].share:
                found.pop()
            found.append(whole)
        return tuple(sorted(found, key=lambda use: not use.scarce))

    def paid(self, people: tuple[str, ...], start: int, end: int) -> int:
        """Ticks in which people are there, overtime left out."""
        return sum(
            working_ticks(shift, start, min(end, shift.end)) for name in people for shift in self.people[name]
        )

    def _use(self, kind: str, names: tuple[str, ...], available: int, start: int, end: int) -> Use:
        used, latest, orders = 0, start, []
        for step in self.trail:
            if kind == "crew" and not step.first:
                continue
            which = {"press": step.machine, "platen": step.mode.platen, "crew": step.done.operator}[kind]
            first, last = max(start, step.done.setup_start), min(end, step.done.end)
            if which not in names or first >= last:
                continue
            orders.append(step.task.job)
            latest = max(latest, last)
            if kind == "crew":
                used += sum(working_ticks(shift, first, last) for shift in self.people[str(which)])
            else:
                used += last - first
        scarce = len(names) < len(self.instance.operators) if kind == "crew" else len(names) == 1
        return Use(
            kind=kind,
            names=names,
            used=used,
            # Overtime comes on top where it is used, so that a share never passes the whole.
            available=max(available, used),
            orders=tuple(dict.fromkeys(orders)),
            scarce=scarce,
            last=latest,
        )
