"""What each press goes through in a schedule: run after run, with the state before and the changes.

Read off the instance and the schedule by `docs/model.md`; the independent check has its own reading.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from scheduler.domain.instance import Instance, Mode, Shift, Task
from scheduler.domain.schedule import Schedule, ScheduledTask


@dataclass(frozen=True, slots=True, kw_only=True)
class Change:
    """One part of a press's state that takes time before a run.

    Attributes
    ----------
    part
        Index of the setup part.
    before
        Value before; None when there was no known one.
    """

    part: int
    before: int | None
    after: int
    ticks: int
    hands_off: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class Step:
    """One run at its press; one that holds two presses is a step at each.

    Attributes
    ----------
    machine
        The press.
    previous
        The scheduled run before it there, of whatever day.
    cold
        It is the first on its press in its heating day, or since the press was switched on again in it.
    changes
        The parts that change, hands-off ones first.
    """

    task: Task
    mode: Mode
    machine: str
    done: ScheduledTask
    previous: ScheduledTask | None
    cold: bool
    changes: tuple[Change, ...]

    @property
    def first(self) -> bool:
        """Whether this is the (first) press of its way."""
        return self.machine == self.mode.machine

    @property
    def mounts(self) -> bool:
        """Whether a platen is mounted on the press for it."""
        return mounts(self.done, self.mode, self.machine)

    @property
    def hands_on(self) -> int:
        return sum(change.ticks for change in self.changes if not change.hands_off)

    @property
    def hands_off(self) -> int:
        return sum(change.ticks for change in self.changes if change.hands_off)


def mounts(done: ScheduledTask, mode: Mode, machine: str) -> bool:
    """Whether a platen is mounted on one of a run's presses for it."""
    return done.mounts_platen if machine == mode.machine else done.mate_mounts


def day_of(instance: Instance, tick: int) -> int:
    """Index of the heating day that holds a tick; -1 when none does."""
    for index, day in enumerate(instance.heating_days):
        if day.start <= tick < day.end:
            return index
    return -1


def shift_of(instance: Instance, operator: str | None, tick: int) -> Shift | None:
    """The shift of a person in which a tick lies, overtime included."""
    for person in instance.operators:
        if person.id == operator:
            for shift in person.shifts:
                if shift.start <= tick < shift.overtime_end:
                    return shift
    return None


def steps(instance: Instance, schedule: Schedule) -> tuple[Step, ...]:
    """Every scheduled run with the changes before it: press by press, in order of pressing."""
    tasks = {task.id: task for task in instance.tasks}
    switched_on: dict[str, list[int]] = {}
    for warm in schedule.warm_ups:
        switched_on.setdefault(warm.machine, []).append(warm.start)
    modes = {(task.id, mode.id): mode for task in instance.tasks for mode in task.modes}
    found: list[Step] = []
    for machine in instance.machines:
        here = [done for done in schedule.tasks if machine.id in dict(modes[done.task, done.mode].places)]
        state: tuple[int | None, ...] = machine.initial
        previous: ScheduledTask | None = None
        for done in sorted(here, key=lambda done: (done.start, done.setup_start, done.end, done.task)):
            mode = modes[done.task, done.mode]
            day = day_of(instance, done.setup_start)
            cold = previous is None or day_of(instance, previous.setup_start) != day
            # A press that was down in between is cold once more.
            if previous is not None and not cold:
                cold = any(previous.end <= tick <= done.start for tick in switched_on.get(machine.id, ()))
            mounted = mounts(done, mode, machine.id)
            changes = tuple(_changes(instance, machine.tables, state, mode, mounted, cold))
            found.append(
                Step(
                    task=tasks[done.task],
                    mode=mode,
                    machine=machine.id,
                    done=done,
                    previous=previous,
                    cold=cold,
                    changes=tuple(sorted(changes, key=lambda change: not change.hands_off)),
                )
            )
            state, previous = mode.state, done
    return tuple(found)


def _changes(
    instance: Instance,
    tables: tuple[int, ...],
    state: tuple[int | None, ...],
    mode: Mode,
    mounted: bool,
    cold: bool,
) -> Iterator[Change]:
    for index, part in enumerate(instance.setup_parts):
        before = None if mounted and part.goes_with_platen else state[index]
        ticks = part.tables[tables[index]].change(before, mode.state[index])
        if part.hands_off and part.ends_when_cold and cold:
            ticks = 0
        if ticks:
            yield Change(
                part=index, before=before, after=mode.state[index], ticks=ticks, hands_off=part.hands_off
            )
