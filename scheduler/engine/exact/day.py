"""A small day laid out for the exact search: vectors of integers, as `kernel/exact/layout.py` names them."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from scheduler.domain.instance import Instance, Job, Machine
from scheduler.engine.exact.changeovers import Changeovers, changeovers_of
from scheduler.engine.exact.classes import Classes, classes_of
from scheduler.engine.exact.hours import hours_of
from scheduler.engine.exact.refused import (
    refuse_changeovers,
    refuse_covers,
    refuse_late,
    refuse_unlike,
    refuse_ways,
)
from scheduler.engine.exact.stages import stages_of
from scheduler.engine.exact.to_come import ToCome, to_come_on
from scheduler.engine.exact.ways import Ways, ways_of
from scheduler.engine.kernel.exact import layout
from scheduler.engine.records import Rows, windows


@dataclass(frozen=True, slots=True, kw_only=True)
class ExactDay:
    """The vectors of a day.

    Attributes
    ----------
    day
        What is only read.
    covers
        Entries of the tables of covers, of both together.
    depth
        Most tasks that a plan carries out.
    state
        The state before anything is put down.
    """

    day: list[int]
    covers: int
    depth: int
    state: list[int]


@dataclass(frozen=True, slots=True, kw_only=True)
class _Parts:
    """What a day is laid out from."""

    instance: Instance
    ways: Ways
    changeovers: Changeovers
    classes: Classes
    to_come: ToCome
    late: tuple[Job, ...]
    alone: Mapping[str, int]
    shifts: dict[str, list[int]]
    stages: dict[int, list[int]]
    first_stages: list[int]


def lay_out(
    instance: Instance,
    latest: Sequence[int],
    *,
    slots: int,
    vectors: int,
    alone: Mapping[str, int] | None = None,
) -> ExactDay:
    """Lay a day out.

    Parameters
    ----------
    latest
        By task: the latest end that counts.
    slots, vectors
        Room in the memory of states; `slots` is a power of two.
    alone
        Where orders may be late: when each is finished at the earliest, packed, with all others left out.

    Raises
    ------
    NotSmallError
        When the day is none for the exact search.
    """
    refuse_unlike(instance)
    ways = ways_of(instance)
    refuse_ways(ways)
    changeovers = changeovers_of(instance)
    refuse_changeovers(instance, ways, changeovers)
    classes = classes_of(instance, ways, changeovers)
    refuse_covers(changeovers.states << len(classes.setups))
    may_be_late = _may_be_late(instance, alone or {})
    refuse_late(may_be_late)
    to_come = to_come_on(instance, changeovers, classes, latest)
    stages, first_stages = stages_of(instance, ways, changeovers, classes, to_come)
    parts = _Parts(
        instance=instance,
        ways=ways,
        changeovers=changeovers,
        classes=classes,
        to_come=to_come,
        late=may_be_late,
        alone=alone or {},
        shifts=windows(instance),
        stages=stages,
        first_stages=first_stages,
    )
    columns = _columns(parts)
    state = _start(parts)
    sizes = _sizes(parts, columns)
    sizes |= {layout.STATE: len(state), layout.SLOTS: slots, layout.VECTORS: vectors}
    day = [0] * layout.DAY_HEAD
    for at, size in sizes.items():
        day[at] = size
    for at, column in columns.items():
        day[at] = len(day)
        day.extend(column)
    depth = sum(max(len(way) for way in choice) for choice in ways.choices)
    tails = 1 + max(stages[layout.STAGE][layout.G_TAIL :: layout.STAGE_SIZE])
    covers = 3 * sizes[layout.COVERS] + tails * sizes[layout.TAIL_STEPS]
    return ExactDay(day=day, covers=covers, depth=depth, state=state)


def _sizes(parts: _Parts, columns: dict[int, list[int]]) -> dict[int, int]:
    """The head's sizes, but for the state's and the memory's."""
    instance = parts.instance
    machines, people, bundles = len(instance.machines), len(instance.operators), len(parts.ways.bundle_of)
    lanes = machines + people + bundles + len(parts.late) + 4
    options = sum(len(mode.operators) for task in instance.tasks for mode in task.modes)
    days = len(instance.heating_days)
    shifts = max((len(person.shifts) for person in instance.operators), default=0)
    return {
        layout.MACHINES: machines,
        layout.PEOPLE: people,
        layout.BUNDLES: bundles,
        layout.CHOICES: len(parts.ways.choices),
        layout.CLASSES: len(parts.classes.setups),
        layout.DEADLINES: len(parts.to_come.deadlines),
        layout.WEIGHTS: len(parts.to_come.weights),
        layout.MOST: options * max(1, days * shifts),
        layout.WORDS: -(-lanes // layout.LANES_A_WORD),
        layout.TICKS: instance.horizon + 1,
        layout.SETUP_STATES: parts.changeovers.states,
        layout.COVERS: parts.changeovers.states << len(parts.classes.setups),
        layout.LEAST_SIZE: len(columns[layout.LEAST]) // 3,
        layout.STAGES: len(parts.stages[layout.STAGE]) // layout.STAGE_SIZE,
        layout.TAIL_STEPS: max(parts.to_come.latest) // layout.TAIL_STEP + 1,
        layout.RELEASES: len(parts.to_come.releases),
        layout.PLATENS: len(parts.to_come.platens),
        layout.DAYS: days,
        layout.JOBS: len(parts.late),
        layout.LAST_DAY: _last_day(instance, parts.to_come.latest),
    }


def _columns(parts: _Parts) -> dict[int, list[int]]:
    """By number in the layout."""
    instance, changeovers = parts.instance, parts.changeovers
    cells, kinds = Rows(), Rows()
    for rows, setups in zip(changeovers.cells, changeovers.setups, strict=True):
        cells.add([number for row in rows for cell in row for number in cell])
        kinds.add([setup.kind for setup in setups])
    hours, present = hours_of(instance, parts.shifts)
    class_ways = Rows()
    for ways in parts.classes.setups:
        class_ways.add([number for way in sorted(ways) for number in way])
    least_at, least = changeovers.least(again=_last_day(instance, parts.to_come.latest) > 0)
    return {
        **_tasks(parts),
        **parts.stages,
        layout.CLASS_FROM: [begin // 2 for begin in class_ways.begin],
        layout.CLASS_WAY: class_ways.items,
        layout.SETUPS: [len(setups) for setups in changeovers.setups],
        layout.STRIDE: changeovers.strides(),
        layout.CELL_AT: cells.begin,
        layout.CELL: cells.items,
        layout.KEY: changeovers.keys(),
        layout.KIND_AT: kinds.begin,
        layout.KIND: kinds.items,
        layout.RARE: [int(platen.count == 1) for platen in instance.platens],
        layout.AGAINST: [_against(instance, machine) for machine in instance.machines],
        layout.HEATED_BY: [tick for machine in instance.machines for tick in _heated_by(instance, machine)],
        layout.FIRST_AT: [parts.to_come.first_at(machine) for machine in range(len(instance.machines))],
        layout.DEADLINE: list(parts.to_come.deadlines),
        layout.RELEASE: list(parts.to_come.releases),
        layout.HAND_WEIGHT: list(parts.to_come.by_hand),
        layout.DEADLINE_CLASSES: [parts.to_come.classes_by(tick) for tick in parts.to_come.deadlines],
        layout.HEATING: [instance.heating_days[0].start],
        layout.PERSON_FROM: [parts.to_come.anybody_from()],
        layout.PLATEN: list(parts.to_come.platens),
        layout.PLATEN_FROM: [parts.to_come.platen_from(kind) for kind in parts.to_come.platens],
        layout.WARM_UP: [parts.to_come.warm_up(machine) for machine in range(len(instance.machines))],
        layout.WEIGHT: [weight for weights in parts.to_come.weights for weight in weights],
        layout.JOB_CLASSES: _classes_of_jobs(parts),
        layout.WEIGHT_SUM: [sum(weights) for weights in parts.to_come.weights],
        layout.CHOICE_JOB: _jobs_of(parts),
        layout.JOB_DUE: [(job.due or 0) - job.packing for job in parts.late],
        layout.JOB_READY: [parts.alone[job.id] - job.packing for job in parts.late],
        layout.JOB_WEIGHT: [job.weight for job in parts.late],
        layout.WINDOW_FROM: parts.shifts["window_from"],
        layout.WINDOW: parts.shifts["window_record"],
        layout.BREAK: parts.shifts["break"],
        layout.HOURS: hours,
        layout.PRESENT: present,
        layout.LEAST_AT: least_at,
        layout.LEAST: least,
    }


def _tasks(parts: _Parts) -> dict[int, list[int]]:
    """Records of tasks and their options."""
    options, bundles = Rows(), Rows()
    tasks: list[int] = []
    records: list[int] = []
    for k, task in enumerate(parts.instance.tasks):
        bundles.add([number for users, number in parts.ways.bundle_of.items() if k in users])
        tasks += [task.release, task.cooling, parts.to_come.latest[k], parts.ways.choice_of[k]]
        tasks += [*bundles.begin[-2:], parts.classes.of[k]]
        mine = []
        for mode in task.modes:
            machine, setup = parts.changeovers.number(mode)
            for name, work in mode.operators:
                mine.append(len(records) // layout.OPTION_SIZE)
                records += [machine, setup, parts.to_come.person_of[name], work, mode.warm_up]
        options.add(mine)
    return {
        layout.OPTION_FROM: options.begin,
        layout.OPTION: records,
        layout.TASK: tasks,
        layout.BUNDLE: bundles.items,
    }


def _against(instance: Instance, machine: Machine) -> int:
    """Machines on the circuit that it leaves no power for while it heats up, as bits."""
    limits = {circuit.id: circuit.limit_w for circuit in instance.circuits}
    return sum(
        1 << k
        for k, other in enumerate(instance.machines)
        if other.id != machine.id
        and machine.circuit is not None
        and other.circuit == machine.circuit
        and machine.watts + other.watts > limits[machine.circuit]
    )


def _heated_by(instance: Instance, machine: Machine) -> list[int]:
    """By day: when, less its own warm-up, a machine keeps no other of its circuit from heating up."""
    others = [other.id for other in instance.machines if other.circuit == machine.circuit]
    warm_ups = [mode.warm_up for task in instance.tasks for mode in task.modes if mode.machine in others]
    return [day.start + max(warm_ups, default=0) for day in instance.heating_days]


def _may_be_late(instance: Instance, alone: Mapping[str, int]) -> tuple[Job, ...]:
    return tuple(job for job in instance.jobs if job.due is not None and job.weight and job.id in alone)


def _jobs_of(parts: _Parts) -> list[int]:
    """By choice: the number of its job among those that may be late, or -1."""
    number = {job.id: k for k, job in enumerate(parts.late)}
    tasks = parts.instance.tasks
    return [number.get(tasks[choice[0][0]].job, -1) for choice in parts.ways.choices]


def _classes_of_jobs(parts: _Parts) -> list[int]:
    """By job that may be late: the classes of its tasks, as bits."""
    found = dict.fromkeys((job.id for job in parts.late), 0)
    for k, task in enumerate(parts.instance.tasks):
        if task.job in found:
            found[task.job] |= 1 << parts.classes.of[k]
    return list(found.values())


def _last_day(instance: Instance, latest: Sequence[int]) -> int:
    """Number of the last day on which anything may be done."""
    begun = [k for k, day in enumerate(instance.heating_days) if day.start < max(latest)]
    return max(begun, default=0)


def _start(parts: _Parts) -> list[int]:
    """The state before anything is put down."""
    state = [0] * layout.S_MACHINE
    for setups in parts.changeovers.setups:
        state += [0, -1, 0, setups[0].kind, -1, 0]
    for person in range(len(parts.instance.operators)):
        state += [0, parts.shifts["window_from"][person]]
    return [*state, *[0] * len(parts.ways.bundle_of), *parts.first_stages, *[0] * len(parts.late)]


__all__ = ["ExactDay", "lay_out"]
