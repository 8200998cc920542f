"""A small day laid out for the exact search: vectors of integers, and why a day can't be."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import combinations

from scheduler.domain.instance import LEVELS, Instance, Machine, Mode
from scheduler.engine.kernel import exact_layout as layout
from scheduler.engine.kernel.layout import N_BREAK_FROM, N_BREAK_TO, N_END, N_START, WINDOW_SIZE
from scheduler.engine.records import Rows, windows

MOST_TASKS, MOST_BUNDLES, MOST_SETUPS = 60, 60, 60
"""What fits the bits of a word."""

MOST_TOGETHER = 8
"""Tasks of one way to carry a choice out."""

MOST_COVERS = 1 << 22
"""Entries of the table of covers."""

MOST_TICKS = 1 << (layout.LANE_BITS - 1)
MOST_HOURS = 1 << 21
"""Entries of the working hours of all people."""

UNIT = 1000
"""Weight of a tick of the most pressing machine or person."""


class NotSmallError(ValueError):
    """Raised when the exact search doesn't know what a day holds, or the day is too large for it."""


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


@dataclass(frozen=True, slots=True)
class _Setup:
    """A platen kind with a value for each setup part; kind -1 and None where there is none."""

    kind: int
    values: tuple[int | None, ...]


def lay_out(instance: Instance, latest: Sequence[int], *, slots: int, vectors: int) -> ExactDay:
    """Lay a day out.

    Parameters
    ----------
    latest
        By task: the latest end that counts.
    slots, vectors
        Room in the memory of states; `slots` is a power of two.

    Raises
    ------
    NotSmallError
        When the day is none for the exact search.
    """
    _refuse(instance)
    return _Layout(instance, latest, slots, vectors).made()


def _refuse(instance: Instance) -> None:
    """Raise for what the search doesn't state."""
    modes = [mode for task in instance.tasks for mode in task.modes]
    unlike = {
        "levels": instance.levels != LEVELS or bool(instance.printed),
        "precedences": bool(instance.precedences),
        "machines side by side": any(mode.mate for mode in modes),
        "work that needs nobody": not all(mode.operators for mode in modes),
        "work of no length": any(work < 1 for mode in modes for _, work in mode.operators),
        "a day that has begun": any(m.free_from or m.hot or m.warming for m in instance.machines)
        or any(job.ready for job in instance.jobs),
        "size": len(instance.tasks) > MOST_TASKS
        or instance.horizon >= MOST_TICKS
        or len(instance.operators) * (instance.horizon + 1) > MOST_HOURS,
    }
    for what, found in unlike.items():
        if found:
            raise NotSmallError(what)


class _Layout:
    """The parts of the vector while it is made."""

    def __init__(self, instance: Instance, latest: Sequence[int], slots: int, vectors: int) -> None:
        self.instance = instance
        self.latest = latest
        self.slots, self.vectors = slots, vectors
        self.machine_of = {m.id: k for k, m in enumerate(instance.machines)}
        self.kind_of = {p.id: k for k, p in enumerate(instance.platens)}
        self.person_of = {o.id: k for k, o in enumerate(instance.operators)}
        self.task_of = {t.id: k for k, t in enumerate(instance.tasks)}
        self.ways = self._ways()
        self.bundle_of = self._bundles()
        self.setups = [self._setups(machine) for machine in instance.machines]
        self.cells = [self._cells(k) for k in range(len(instance.machines))]
        self.classes: dict[tuple[int, frozenset[tuple[int, int]]], int] = {}
        self.class_of = self._classes()
        self._keep_order()
        self.deadlines = sorted(set(latest))
        self.weights = self._weights()
        self.entries = self._entries()

    def made(self) -> ExactDay:
        """Head and columns behind each other."""
        machines, people = len(self.instance.machines), len(self.instance.operators)
        states = 1
        for setups in self.setups:
            states *= len(setups)
        covers = states << len(self.classes)
        if covers > MOST_COVERS:
            raise NotSmallError("setups")
        columns = self._columns()
        bundles, choices = len(self.bundle_of), len(self.ways)
        state = layout.S_MACHINE + machines * layout.MACHINE_SIZE + people * layout.PERSON_SIZE
        state += bundles + choices
        lanes = machines + people + bundles + 3
        options = sum(len(mode.operators) for task in self.instance.tasks for mode in task.modes)
        days = len(self.instance.heating_days)
        shifts = max((len(person.shifts) for person in self.instance.operators), default=0)
        sizes = {
            layout.MACHINES: machines,
            layout.PEOPLE: people,
            layout.BUNDLES: bundles,
            layout.CHOICES: choices,
            layout.CLASSES: len(self.classes),
            layout.DEADLINES: len(self.deadlines),
            layout.WEIGHTS: len(self.weights),
            layout.STATE: state,
            layout.MOST: options * max(1, days * shifts),
            layout.WORDS: -(-lanes // layout.LANES_A_WORD),
            layout.SLOTS: self.slots,
            layout.VECTORS: self.vectors,
            layout.TICKS: self.instance.horizon + 1,
            layout.SETUP_STATES: states,
            layout.COVERS: covers,
            layout.LEAST_SIZE: len(columns[layout.LEAST]) // 2,
            layout.LAST_DAY: self._last_day(),
        }
        day = [0] * layout.DAY_HEAD
        for at, size in sizes.items():
            day[at] = size
        for at, column in columns.items():
            day[at] = len(day)
            day.extend(column)
        depth = sum(max(len(way) for way in ways) for ways in self.ways)
        return ExactDay(day=day, covers=2 * covers, depth=depth, state=self._start(columns))

    def _ways(self) -> list[list[tuple[int, ...]]]:
        """By choice, and for each task that is in none: the sets of tasks of which one is carried out."""
        found = [
            [tuple(sorted(self.task_of[name] for name in option)) for option in choice.options]
            for choice in self.instance.choices
        ]
        chosen = {task for ways in found for way in ways for task in way}
        found += [[(task,)] for task in range(len(self.instance.tasks)) if task not in chosen]
        if any(len(way) > MOST_TOGETHER for ways in found for way in ways):
            raise NotSmallError("lots")
        return found

    def _bundles(self) -> dict[frozenset[int], int]:
        """Bundles by the tasks that wait for them; those that are alike count once."""
        choice_of = {task: k for k, ways in enumerate(self.ways) for way in ways for task in way}
        together = {pair for ways in self.ways for way in ways for pair in combinations(sorted(way), 2)}
        users: dict[str, set[int]] = {}
        for k, task in enumerate(self.instance.tasks):
            for bundle in task.bundles:
                users.setdefault(bundle, set()).add(k)
        found: dict[frozenset[int], int] = {}
        for tasks in users.values():
            pairs = combinations(sorted(tasks), 2)
            if any(choice_of[a] != choice_of[b] or (a, b) in together for a, b in pairs):
                found.setdefault(frozenset(tasks), len(found))
        if len(found) > MOST_BUNDLES:
            raise NotSmallError("bundles")
        return found

    def _setups(self, machine: Machine) -> list[_Setup]:
        first = _Setup(-1 if machine.mounted is None else self.kind_of[machine.mounted], machine.initial)
        found = [first]
        for task in self.instance.tasks:
            for mode in task.modes:
                # The first one is apart, even where it is like another: nothing may be cold behind that.
                if mode.machine == machine.id and self._setup(mode) not in found[1:]:
                    found.append(self._setup(mode))
        if len(found) > MOST_SETUPS:
            raise NotSmallError("setups")
        return found

    def _setup(self, mode: Mode) -> _Setup:
        return _Setup(-1 if mode.platen is None else self.kind_of[mode.platen], mode.state)

    def _number(self, mode: Mode) -> tuple[int, int]:
        """Machine and number of a mode's setup."""
        machine = self.machine_of[mode.machine]
        return machine, self.setups[machine].index(self._setup(mode), 1)

    def _cells(self, machine: int) -> list[list[tuple[int, int, int, int]]]:
        """By row and setup: hands-on, hands-off, hands-off when cold, whether a platen is mounted."""
        setups = self.setups[machine]
        rows = []
        for before in setups:
            for gone in (False, True):
                row = [(0, 0, 0, 0)]
                row += [self._cell(machine, before, gone, after) for after in setups[1:]]
                rows.append(row)
        return rows

    def _cell(self, machine: int, before: _Setup, gone: bool, after: _Setup) -> tuple[int, int, int, int]:
        mounts = after.kind >= 0 and (gone or before.kind != after.kind)
        ticks = [0, 0, 0]
        tables = self.instance.machines[machine].tables
        for k, part in enumerate(self.instance.setup_parts):
            value = None if mounts and part.goes_with_platen else before.values[k]
            target = after.values[k]
            assert target is not None
            change = part.tables[tables[k]].change(value, target)
            if not part.hands_off:
                ticks[0] += change
            else:
                ticks[1] += change
                ticks[2] += 0 if part.ends_when_cold else change
        return ticks[0], ticks[1], ticks[2], int(mounts)

    def _classes(self) -> list[int]:
        """By task: its class."""
        found = []
        choice_of = {task: k for k, ways in enumerate(self.ways) for way in ways for task in way}
        for k, task in enumerate(self.instance.tasks):
            setups = frozenset(self._number(mode) for mode in task.modes)
            found.append(self.classes.setdefault((choice_of[k], setups), len(self.classes)))
        return found

    def _keep_order(self) -> None:
        """Raise where a task may be set up before one of its garments that is pressed first.

        Sequences are searched in the order of set-up starts, which must be one in which garments wait.
        """
        most_on = max(cell[0] for rows in self.cells for row in rows for cell in row)
        waiting = {task for tasks in self.bundle_of for task in tasks}
        for k in waiting:
            shortest = min(work for mode in self.instance.tasks[k].modes for _, work in mode.operators)
            if shortest < most_on:
                raise NotSmallError("set-ups longer than a run")

    def _weights(self) -> list[list[int]]:
        """Weightings of machines and people for which work to come is set against the hours left."""
        machines, people = len(self.instance.machines), len(self.instance.operators)
        pace = self._paces()
        nobody = [0] * people
        found = [[*[0] * machines, *pace]]
        for machine in range(machines):
            alone = [UNIT if k == machine else 0 for k in range(machines)]
            found.append([*alone, *nobody])
            found += [[*alone, *(times * weight for weight in pace)] for times in (1, 2, 4)]
        for person in range(people):
            found.append([*[0] * machines, *(UNIT if k == person else 0 for k in range(people))])
        return found

    def _paces(self) -> list[int]:
        """Weights by which a task weighs about the same whoever does it: hours of the quick weigh more."""
        shares: list[list[float]] = [[] for _ in self.instance.operators]
        for task in self.instance.tasks:
            for mode in task.modes:
                quickest = min(work for _, work in mode.operators)
                for name, work in mode.operators:
                    shares[self.person_of[name]].append(quickest / work)
        return [round(UNIT * sum(share) / len(share)) if share else UNIT for share in shares]

    def _entries(self) -> dict[tuple[int, int], tuple[int, int]]:
        """By machine and setup: ticks that it stands still at least when it is entered, and those by hand."""
        users: dict[tuple[int, int], set[int]] = {}
        for k, task in enumerate(self.instance.tasks):
            for mode in task.modes:
                users.setdefault(self._number(mode), set()).add(self.class_of[k])
        found = {}
        for (machine, setup), classes in users.items():
            others = [
                self.cells[machine][row][setup]
                for row in range(len(self.cells[machine]))
                if row // 2 != setup
            ]
            # Two classes that are set up alike may follow each other for nothing.
            shared = len(classes) > 1
            still = 0 if shared else min(max(cell[0], min(cell[1], cell[2])) for cell in others)
            by_hand = 0 if shared else min(cell[0] for cell in others)
            found[machine, setup] = still, by_hand
        return found

    def _columns(self) -> dict[int, list[int]]:
        instance = self.instance
        options, tasks, bundles = Rows(), [], Rows()
        records: list[int] = []
        choice_of = {task: k for k, ways in enumerate(self.ways) for way in ways for task in way}
        for k, task in enumerate(instance.tasks):
            held = [number for users, number in self.bundle_of.items() if k in users]
            bundles.add(held)
            tasks += [
                task.release,
                task.cooling,
                self.latest[k],
                choice_of[k],
                *bundles.begin[-2:],
                self.class_of[k],
            ]
            mine = []
            for mode in task.modes:
                machine, setup = self._number(mode)
                for name, work in mode.operators:
                    mine.append(len(records) // layout.OPTION_SIZE)
                    records += [machine, setup, self.person_of[name], work, mode.warm_up]
            options.add(mine)
        cells, kinds = Rows(), Rows()
        for machine, rows in enumerate(self.cells):
            cells.add([number for row in rows for cell in row for number in cell])
            kinds.add([setup.kind for setup in self.setups[machine]])
        strides, stride = [], 1
        for setups in self.setups:
            strides.append(stride)
            stride *= len(setups)
        shifts = windows(instance)
        hours, present = self._hours(shifts)
        class_ways = Rows()
        for _, ways in sorted((number, ways) for (_, ways), number in self.classes.items()):
            class_ways.add([number for way in sorted(ways) for number in way])
        least_at, least = self._least()
        return {
            layout.OPTION_FROM: options.begin,
            layout.OPTION: records,
            layout.TASK: tasks,
            layout.BUNDLE: bundles.items,
            **self._stages(),
            layout.CLASS_FROM: [begin // 2 for begin in class_ways.begin],
            layout.CLASS_WAY: class_ways.items,
            layout.SETUPS: [len(setups) for setups in self.setups],
            layout.STRIDE: strides,
            layout.CELL_AT: cells.begin,
            layout.CELL: cells.items,
            layout.KIND_AT: kinds.begin,
            layout.KIND: kinds.items,
            layout.RARE: [int(platen.count == 1) for platen in instance.platens],
            layout.MOST_OFF: [max(cell[1] for row in rows for cell in row) for rows in self.cells],
            layout.AGAINST: [self._against(machine) for machine in instance.machines],
            layout.FIRST_AT: [self._first_at(machine) for machine in range(len(instance.machines))],
            layout.DEADLINE: self.deadlines,
            layout.WEIGHT: [weight for weights in self.weights for weight in weights],
            layout.WINDOW_FROM: shifts["window_from"],
            layout.WINDOW: shifts["window_record"],
            layout.BREAK: shifts["break"],
            layout.HOURS: hours,
            layout.PRESENT: present,
            layout.LEAST_AT: least_at,
            layout.LEAST: least,
        }

    def _against(self, machine: Machine) -> int:
        """Machines on the circuit that it leaves no power for while it heats up, as bits."""
        limits = {circuit.id: circuit.limit_w for circuit in self.instance.circuits}
        return sum(
            1 << k
            for k, other in enumerate(self.instance.machines)
            if other.id != machine.id
            and machine.circuit is not None
            and other.circuit == machine.circuit
            and machine.watts + other.watts > limits[machine.circuit]
        )

    def _first_at(self, machine: int) -> int:
        """When the first work of a machine may count from; setting up may come while it heats."""
        name = self.instance.machines[machine].id
        warm_ups = [
            mode.warm_up for task in self.instance.tasks for mode in task.modes if mode.machine == name
        ]
        spared = max((still for (k, _), (still, _) in self.entries.items() if k == machine), default=0)
        return max(0, self.instance.heating_days[0].start + min(warm_ups, default=0) - spared)

    def _hours(self, shifts: dict[str, list[int]]) -> tuple[list[int], list[int]]:
        """By person and tick: working ticks before it, and the next working tick."""
        hours, present = [], []
        ticks = self.instance.horizon + 1
        begin, records, breaks = shifts["window_from"], shifts["window_record"], shifts["break"]
        for person in range(len(self.instance.operators)):
            there = bytearray(ticks)
            for window in range(begin[person], begin[person + 1]):
                n = window * WINDOW_SIZE
                first, last = records[n + N_START], records[n + N_END]
                there[first:last] = b"\1" * (last - first)
                for rest in range(records[n + N_BREAK_FROM], records[n + N_BREAK_TO]):
                    first, last = (min(ticks, tick) for tick in breaks[2 * rest : 2 * rest + 2])
                    there[first:last] = bytes(last - first)
            total = 0
            for tick in range(ticks):
                hours.append(total)
                total += there[tick]
            following = [ticks - 1] * ticks
            for tick in range(ticks - 2, -1, -1):
                following[tick] = tick if there[tick] else following[tick + 1]
            present += following
        return hours, present

    def _least(self) -> tuple[list[int], list[int]]:
        """Least changeover between two setups by way of any others, in ticks; then each counted as one."""
        begin: list[int] = []
        ticks: list[int] = []
        counts: list[int] = []
        again = self._last_day() > 0
        for rows in self.cells:
            size = len(rows) // 2
            costs = [
                [
                    min(
                        max(cell[0], min(cell[1:3]) if again or before == 0 else cell[1])
                        for cell in (rows[2 * before][after], rows[2 * before + 1][after])
                    )
                    if after
                    else layout.LOTS
                    for after in range(size)
                ]
                for before in range(size)
            ]
            begin.append(len(ticks))
            ticks += _by_way(costs)
            counts += _by_way([[min(1, cost) if k else cost for k, cost in enumerate(row)] for row in costs])
        return begin, ticks + counts

    def _last_day(self) -> int:
        """Number of the last day on which anything may be done."""
        begun = [k for k, day in enumerate(self.instance.heating_days) if day.start < max(self.latest)]
        return max(begun, default=0)

    def _stages(self) -> dict[int, list[int]]:
        """How far every choice can have come."""
        stages: list[int] = []
        setups: list[int] = []
        candidates, alternatives = Rows(), Rows()
        needs: list[int] = []
        firsts = []
        for ways in self.ways:
            sets = sorted(
                {part for way in ways for part in _parts(way)}, key=lambda one: (len(one), sorted(one))
            )
            number = {done: len(stages) // layout.STAGE_SIZE + k for k, done in enumerate(sets)}
            firsts.append(number[frozenset()])
            for done in sets:
                open_ways = [frozenset(way) - done for way in ways if done <= frozenset(way)]
                complete = frozenset() in open_ways
                to_come = frozenset[int]() if complete else frozenset[int]().union(*open_ways)
                candidates.add([part for task in sorted(to_come) for part in (task, number[done | {task}])])
                classes = {sum(1 << c for c in {self.class_of[task] for task in way}) for way in open_ways}
                if complete:
                    classes = {0}
                alternatives.add(
                    sorted(a for a in classes if not any(b != a and b & a == b for b in classes))
                )
                modes = [mode for task in to_come for mode in self.instance.tasks[task].modes]
                kinds = {self._setup(mode).kind for mode in modes} - {-1}
                bundles = {n for users, n in self.bundle_of.items() if users & to_come}
                need = -1 if complete else len(needs)
                stages += [
                    int(complete),
                    *(at // 2 for at in candidates.begin[-2:]),
                    *alternatives.begin[-2:],
                ]
                stages += [sum(1 << b for b in bundles), sum(1 << k for k in kinds), need]
                wanted = {self._number(mode) for mode in modes}
                setups += [
                    sum(1 << setup for machine, setup in wanted if machine == k)
                    for k in range(len(self.instance.machines))
                ]
                if not complete:
                    needs += self._needs(open_ways, done)
        return {
            layout.STAGE: stages,
            layout.STAGE_SETUPS: setups,
            layout.FIRST_STAGE: firsts,
            layout.CANDIDATE: candidates.items,
            layout.ALTERNATIVE: alternatives.items,
            layout.NEED: needs,
        }

    def _needs(self, open_ways: Sequence[frozenset[int]], done: frozenset[int]) -> list[int]:
        """By deadline and weighting: the least weighted work of what must still be done by then."""
        found = []
        entered = {self.class_of[task] for task in done}
        for deadline in self.deadlines:
            for weights in self.weights:
                found.append(min(self._need(way, entered, deadline, weights) for way in open_ways))
        return found

    def _need(self, way: frozenset[int], entered: set[int], deadline: int, weights: Sequence[int]) -> int:
        machines = len(self.instance.machines)
        entered = set(entered)
        total = 0
        for task in sorted(way):
            if self.latest[task] > deadline:
                continue
            first = self.class_of[task] not in entered
            entered.add(self.class_of[task])
            least = layout.LOTS
            for mode in self.instance.tasks[task].modes:
                machine, setup = self._number(mode)
                still, by_hand = self.entries[machine, setup] if first else (0, 0)
                for name, work in mode.operators:
                    person = weights[machines + self.person_of[name]]
                    least = min(least, weights[machine] * (work + still) + person * (work + by_hand))
            total += least
        return total

    def _start(self, columns: dict[int, list[int]]) -> list[int]:
        state = [0] * layout.S_MACHINE
        for setups in self.setups:
            state += [0, -1, 0, setups[0].kind, -1, 0]
        for person in range(len(self.instance.operators)):
            state += [0, columns[layout.WINDOW_FROM][person]]
        return [*state, *[0] * len(self.bundle_of), *columns[layout.FIRST_STAGE]]


def _parts(way: Sequence[int]) -> list[frozenset[int]]:
    """Every subset of a way's tasks."""
    return [frozenset(part) for size in range(len(way) + 1) for part in combinations(way, size)]


def _by_way(costs: list[list[int]]) -> list[int]:
    """Shortest paths between setups, row behind row: a plan may visit others in between."""
    size = len(costs)
    least = [list(row) for row in costs]
    for via in range(1, size):
        for before in range(size):
            for after in range(1, size):
                least[before][after] = min(least[before][after], least[before][via] + least[via][after])
    return [cost for row in least for cost in row]


__all__ = ["ExactDay", "NotSmallError", "lay_out"]
