"""A schedule laid out for the rules: what each run meets on its press, by whom, in which state.

Nothing in a schedule is believed. Entries that name something unknown are set apart for the
`coverage` and `warm_up` rules to report, so that every other rule sees only known objects.
"""

from __future__ import annotations

import operator
from bisect import bisect_right
from collections import defaultdict
from dataclasses import dataclass

from scheduler.domain.instance import Day, Instance, Machine, Mode, Operator, Task
from scheduler.domain.schedule import Schedule, ScheduledTask, WarmUp


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Run:
    """One scheduled task at one machine, with everything that the rules ask about it. Times in ticks.

    Attributes
    ----------
    warm_up
        Ticks from cold that its mode states for the machine.
    operator
        None when the mode needs nobody, or when the schedule names nobody that is known.
    work
        Ticks of pressing; None when the schedule names an operator whom the mode doesn't list.
    predecessor
        The run before it on its press, of whatever day.
    day
        Index of the last heating day that has begun at `setup_start`; -1 before the first.
    cold
        True for the first run of its press in its day, unless the press was hot when that began.
    hands_on, hands_off
        What the changeover before it takes, by the setup tables.
    hold
        First and last tick plus one of the stretch over which its platen has been on the press up
        to the end of this run; None without a platen.
    """

    task: Task
    mode: Mode
    machine: Machine
    warm_up: int
    operator: Operator | None
    work: int | None
    setup_start: int
    start: int
    end: int
    mounts: bool
    predecessor: Run | None
    day: int
    cold: bool
    hands_on: int
    hands_off: int
    hold: tuple[int, int] | None

    @property
    def id(self) -> str:
        return self.task.id

    @property
    def ready(self) -> int:
        """Tick from which its garments may be pressed again or packed."""
        return self.end + self.task.cooling

    @property
    def keeps(self) -> bool:
        """True when it uses a platen that its press still holds, and rightly so."""
        if self.mode.platen is None or self.mounts:
            return False
        before = self.machine.mounted if self.predecessor is None else self.predecessor.mode.platen
        return before == self.mode.platen


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class View:
    """What the rules read.

    Attributes
    ----------
    runs
        Each once, at the (first) machine of its mode.
    by_machine, by_operator
        Runs by id, in order of start; by machine those with a mate stand at both.
    mates
        By run of `runs`: the same at the second machine of its mode, where that has one.
    by_task
        Runs by task id; more than one only when the schedule doubles a task.
    warm_ups
        Readable warm-ups by machine id, in order of start.
    left_over
        Known tasks that the schedule leaves over.
    unreadable, unreadable_warm_ups
        Entries with an unknown task, mode or machine, or a time that is no whole number.
    """

    instance: Instance
    schedule: Schedule
    days: tuple[Day, ...]
    runs: tuple[Run, ...]
    mates: dict[Run, Run]
    by_machine: dict[str, tuple[Run, ...]]
    by_operator: dict[str, tuple[Run, ...]]
    by_task: dict[str, tuple[Run, ...]]
    warm_ups: dict[str, tuple[WarmUp, ...]]
    left_over: frozenset[str]
    unreadable: tuple[ScheduledTask, ...]
    unreadable_warm_ups: tuple[WarmUp, ...]


def whole(*values: object) -> tuple[int, ...] | None:
    """The values as plain whole numbers; None when one of them isn't whole."""
    try:
        return tuple(operator.index(value) for value in values)  # type: ignore[arg-type]
    except TypeError:
        return None


def view_of(instance: Instance, schedule: Schedule) -> View:
    """Lay out a schedule for the rules; never raises on what the schedule says."""
    tasks = {task.id: task for task in instance.tasks}
    machines = {machine.id: machine for machine in instance.machines}
    operators = {person.id: person for person in instance.operators}
    days = instance.heating_days
    entries: dict[str, list[_Entry]] = defaultdict(list)
    unreadable = []
    for scheduled in schedule.tasks:
        entry = _read(scheduled, tasks, operators)
        if entry is None:
            unreadable.append(scheduled)
        else:
            for name, _ in entry.mode.places:
                entries[name].append(entry)

    day_starts = [day.start for day in days]
    by_machine = {}
    first_of: list[tuple[_Entry, Run]] = []
    second_of: dict[int, Run] = {}
    for machine in instance.machines:
        runs: list[Run] = []
        for entry in sorted(entries[machine.id], key=lambda e: (e.start, e.end, e.setup_start)):
            runs.append(_run(instance, machine, entry, runs[-1] if runs else None, day_starts))
            if machine.id == entry.mode.machine:
                first_of.append((entry, runs[-1]))
            else:
                second_of[id(entry)] = runs[-1]
        by_machine[machine.id] = tuple(runs)
    runs_in_order = tuple(run for _, run in first_of)

    by_operator: dict[str, list[Run]] = defaultdict(list)
    by_task: dict[str, list[Run]] = defaultdict(list)
    for run in runs_in_order:
        by_task[run.id].append(run)
        if run.operator is not None:
            by_operator[run.operator.id].append(run)
    for worked in by_operator.values():
        worked.sort(key=lambda run: (run.start, run.end, run.setup_start))

    warm_ups: dict[str, list[WarmUp]] = defaultdict(list)
    unreadable_warm_ups = []
    for warm_up in schedule.warm_ups:
        times = whole(warm_up.start, warm_up.end)
        if times is None or not _known(warm_up.machine, machines):
            unreadable_warm_ups.append(warm_up)
        else:
            warm_ups[warm_up.machine].append(WarmUp(machine=warm_up.machine, start=times[0], end=times[1]))
    for heated in warm_ups.values():
        heated.sort(key=lambda warm_up: (warm_up.start, warm_up.end))

    return View(
        instance=instance,
        schedule=schedule,
        days=days,
        runs=runs_in_order,
        mates={run: second_of[id(entry)] for entry, run in first_of if id(entry) in second_of},
        by_machine=by_machine,
        by_operator={name: tuple(worked) for name, worked in by_operator.items()},
        by_task={name: tuple(done) for name, done in by_task.items()},
        warm_ups={name: tuple(heated) for name, heated in warm_ups.items()},
        left_over=frozenset(name for name in schedule.left_over if _known(name, tasks)),
        unreadable=tuple(unreadable),
        unreadable_warm_ups=tuple(unreadable_warm_ups),
    )


@dataclass(frozen=True, slots=True)
class _Entry:
    """A readable entry of the schedule, not yet placed behind its predecessor."""

    task: Task
    mode: Mode
    operator: Operator | None
    work: int | None
    setup_start: int
    start: int
    end: int
    mounts: bool
    mate_mounts: bool


def _known(name: object, names: dict[str, Task] | dict[str, Machine] | dict[str, Operator]) -> bool:
    return isinstance(name, str) and name in names


def _read(scheduled: ScheduledTask, tasks: dict[str, Task], operators: dict[str, Operator]) -> _Entry | None:
    times = whole(scheduled.setup_start, scheduled.start, scheduled.end)
    if times is None or not _known(scheduled.task, tasks):
        return None
    task = tasks[scheduled.task]
    mode = next((mode for mode in task.modes if mode.id == scheduled.mode), None)
    if mode is None:
        return None
    person = None
    work: int | None = mode.work
    if mode.operators:
        work = next((ticks for name, ticks in mode.operators if name == scheduled.operator), None)
        if scheduled.operator is not None and _known(scheduled.operator, operators):
            person = operators[scheduled.operator]
    setup_start, start, end = times
    mounts, also = bool(scheduled.mounts_platen), bool(scheduled.mate_mounts)
    return _Entry(task, mode, person, work, setup_start, start, end, mounts, also)


def _run(
    instance: Instance, machine: Machine, entry: _Entry, before: Run | None, day_starts: list[int]
) -> Run:
    day = bisect_right(day_starts, entry.setup_start) - 1
    cold = before.day < day if before is not None else not (machine.hot and day == 0)
    state: tuple[int | None, ...] = machine.initial if before is None else before.mode.state
    mounts = entry.mounts if machine.id == entry.mode.machine else entry.mate_mounts
    hands_on = hands_off = 0
    for part, table, old, new in zip(
        instance.setup_parts, machine.tables, state, entry.mode.state, strict=True
    ):
        if mounts and part.goes_with_platen:
            old = None
        if part.hands_off:
            if not (cold and part.ends_when_cold):
                hands_off += part.tables[table].change(old, new)
        else:
            hands_on += part.tables[table].change(old, new)
    return Run(
        task=entry.task,
        mode=entry.mode,
        machine=machine,
        warm_up=dict(entry.mode.places)[machine.id],
        operator=entry.operator,
        work=entry.work,
        setup_start=entry.setup_start,
        start=entry.start,
        end=entry.end,
        mounts=mounts,
        predecessor=before,
        day=day,
        cold=cold,
        hands_on=hands_on,
        hands_off=hands_off,
        hold=_hold(machine, entry, mounts, before),
    )


def _hold(machine: Machine, entry: _Entry, mounts: bool, before: Run | None) -> tuple[int, int] | None:
    platen = entry.mode.platen
    if platen is None:
        return None
    if not mounts:
        if before is not None and before.mode.platen == platen and before.hold is not None:
            return before.hold[0], max(before.hold[1], entry.end)
        if before is None and machine.mounted == platen:
            return 0, entry.end
    return entry.setup_start, entry.end
