"""From an Instance to the flat integer data of the kernel, and from a decoded sequence back."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

from scheduler.domain.instance import Instance, Task
from scheduler.domain.schedule import Schedule, ScheduledTask, WarmUp
from scheduler.engine.kernel import layout
from scheduler.engine.kernel.decode import decode_rows

NEVER_DUE = 1 << 50
SLOT = {
    "left_over": layout.LEFT_OVER,
    "lateness": layout.LATENESS,
    "changeover": layout.CHANGEOVER,
    "changeovers": layout.CHANGEOVERS,
    "overtime": layout.OVERTIME,
    "finish": layout.FINISH,
}


@dataclass(frozen=True, slots=True, kw_only=True)
class Option:
    """A mode with an operator, by id."""

    task: str
    mode: str
    machine: str
    operator: str | None


@dataclass(frozen=True, slots=True, kw_only=True)
class Flattened:
    """The flat data (in lists), the state at tick 0, and the way back to ids.

    Attributes
    ----------
    flat
        The vector that the kernel reads.
    columns
        The same columns by name, for code outside the kernel.
    start
        State vector before anything is put down.
    tasks, options
        Ids by index.
    """

    instance: Instance
    flat: list[int]
    columns: dict[str, list[int]]
    start: list[int]
    tasks: tuple[str, ...]
    options: tuple[Option, ...]

    def option_index(self) -> dict[tuple[str, str, str | None], int]:
        """Index of each (task, mode, operator)."""
        return {(o.task, o.mode, o.operator): k for k, o in enumerate(self.options)}


class _Rows:
    """Lists of lists under construction, stored as one list and where each begins."""

    def __init__(self) -> None:
        self.begin = [0]
        self.items: list[int] = []

    def add(self, row: Sequence[int]) -> None:
        self.items.extend(row)
        self.begin.append(len(self.items))


def flatten(instance: Instance) -> Flattened:
    """Lay an instance out for the kernel. Indices follow the instance's own order."""
    machine_of = {m.id: k for k, m in enumerate(instance.machines)}
    platen_of = {p.id: k for k, p in enumerate(instance.platens)}
    operator_of = {o.id: k for k, o in enumerate(instance.operators)}
    circuit_of = {c.id: k for k, c in enumerate(instance.circuits)}
    job_of = {j.id: k for k, j in enumerate(instance.jobs)}
    task_of = {t.id: k for k, t in enumerate(instance.tasks)}
    bundle_of: dict[str, int] = {}
    for task in instance.tasks:
        for bundle in task.bundles:
            bundle_of.setdefault(bundle, len(bundle_of))

    options: list[Option] = []
    columns: dict[str, list[int]] = defaultdict(list)
    option_rows = _Rows()
    for index, task in enumerate(instance.tasks):
        option_rows.add(_add_options(task, index, options, columns, machine_of, platen_of, operator_of))

    before, after = _neighbours(instance, task_of)
    choice = [-1] * len(instance.tasks)
    ways, way_tasks = _Rows(), _Rows()
    for k, alternatives in enumerate(instance.choices):
        numbers = []
        for way in alternatives.options:
            numbers.append(len(way_tasks.begin) - 1)
            way_tasks.add([task_of[t] for t in way])
            for t in way:
                choice[task_of[t]] = k
        ways.add(numbers)
    bundles = _Rows()
    for task in instance.tasks:
        bundles.add([bundle_of[b] for b in task.bundles])

    tokens, kinds, homes = _tokens(instance, platen_of)
    warm_at = _Rows()
    for circuit in instance.circuits:
        users = sum(1 for m in instance.machines if m.circuit == circuit.id)
        warm_at.add([0] * (users * len(instance.heating_days)))

    sizes = {
        layout.TASKS: len(instance.tasks),
        layout.MACHINES: len(instance.machines),
        layout.PARTS: len(instance.setup_parts),
        layout.OPERATORS: len(instance.operators),
        layout.TOKENS: len(kinds),
        layout.BUNDLES: len(bundle_of),
        layout.JOBS: len(instance.jobs),
        layout.CIRCUITS: len(instance.circuits),
        layout.CHOICES: len(instance.choices),
        layout.PRECEDENCES: len(instance.precedences),
        layout.LEVELS: len(instance.levels),
        layout.WARM_SLOTS: warm_at.begin[-1],
    }
    head, start = _state(sizes, homes)
    by_name = {
        "order": [SLOT[level] for level in instance.levels],
        "option_from": option_rows.begin,
        **{f"option_{name}": columns[name] for name in _OPTION_COLUMNS},
        "release": [t.release for t in instance.tasks],
        "cooling": [t.cooling for t in instance.tasks],
        "job": [job_of[t.job] for t in instance.tasks],
        "pressings": [t.pressings for t in instance.tasks],
        "bundle_from": bundles.begin,
        "bundle": bundles.items,
        "before_from": before.begin,
        "before": before.items,
        "after_from": after.begin,
        "after": after.items,
        "choice": choice,
        "way_from": ways.begin,
        "way_task_from": way_tasks.begin,
        "way_task": way_tasks.items,
        "due": [NEVER_DUE if j.due is None else j.due for j in instance.jobs],
        "weight": [j.weight for j in instance.jobs],
        "packing": [j.packing for j in instance.jobs],
        "hands_off": [int(p.hands_off) for p in instance.setup_parts],
        "goes_with_platen": [int(p.goes_with_platen) for p in instance.setup_parts],
        "ends_when_cold": [int(p.ends_when_cold) for p in instance.setup_parts],
        **_tables(instance),
        "initial": [-1 if v is None else v for m in instance.machines for v in m.initial],
        "circuit": [-1 if m.circuit is None else circuit_of[m.circuit] for m in instance.machines],
        "watts": [m.watts for m in instance.machines],
        "limit_w": [c.limit_w for c in instance.circuits],
        "warm_at": warm_at.begin,
        "token_from": tokens,
        "token_kind": kinds,
        "token_home": homes,
        **_windows(instance),
    }
    return Flattened(
        instance=instance,
        flat=_one_vector(head, by_name),
        columns=by_name,
        start=start,
        tasks=tuple(t.id for t in instance.tasks),
        options=tuple(options),
    )


_OPTION_COLUMNS = ("machine", "platen", "operator", "work", "warm_up", "state")


def _one_vector(head: list[int], columns: dict[str, list[int]]) -> list[int]:
    """Head and columns behind each other, with each column's begin noted in the head."""
    flat = list(head)
    for number, name in enumerate(layout.COLUMNS):
        flat[layout.ORDER + number] = len(flat)
        flat.extend(columns[name])
    return flat


def _add_options(
    task: Task,
    index: int,
    options: list[Option],
    columns: dict[str, list[int]],
    machine_of: dict[str, int],
    platen_of: dict[str, int],
    operator_of: dict[str, int],
) -> list[int]:
    """Append the task's options; returns their indices."""
    mine = []
    for mode in task.modes:
        people: tuple[tuple[str | None, int], ...] = mode.operators or ((None, mode.work),)
        for operator, work in people:
            mine.append(len(options))
            options.append(Option(task=task.id, mode=mode.id, machine=mode.machine, operator=operator))
            columns["machine"].append(machine_of[mode.machine])
            columns["platen"].append(-1 if mode.platen is None else platen_of[mode.platen])
            columns["operator"].append(-1 if operator is None else operator_of[operator])
            columns["work"].append(work)
            columns["warm_up"].append(mode.warm_up)
            columns["state"].extend(mode.state)
    return mine


def _neighbours(instance: Instance, task_of: dict[str, int]) -> tuple[_Rows, _Rows]:
    before: list[list[int]] = [[] for _ in instance.tasks]
    after: list[list[int]] = [[] for _ in instance.tasks]
    for pair in instance.precedences:
        before[task_of[pair.after]].append(task_of[pair.before])
        after[task_of[pair.before]].append(task_of[pair.after])
    rows = _Rows(), _Rows()
    for row, lists in zip(rows, (before, after), strict=True):
        for items in lists:
            row.add(items)
    return rows


def _tokens(instance: Instance, platen_of: dict[str, int]) -> tuple[list[int], list[int], list[int]]:
    """One token a platen owned; those mounted at tick 0 are the first of their kind."""
    rows, kinds, homes = [0], [], []
    for platen in instance.platens:
        at = [k for k, m in enumerate(instance.machines) if m.mounted == platen.id]
        # More than one a machine can never be in use at once.
        owned = min(platen.count, len(instance.machines))
        homes.extend((at + [-1] * owned)[:owned])
        kinds.extend([platen_of[platen.id]] * owned)
        rows.append(len(kinds))
    return rows, kinds, homes


def _windows(instance: Instance) -> dict[str, list[int]]:
    """Shifts cut by the heating days, by operator; then the days themselves for work without people."""
    owners, breaks = _Rows(), _Rows()
    pauses: list[tuple[int, int]] = []
    columns: dict[str, list[int]] = {name: [] for name in ("start", "paid", "end", "day")}

    def add(number: int, start: int, paid: int, end: int, rests: Sequence[tuple[int, int]]) -> int:
        day = instance.heating_days[number]
        start, end = max(start, day.start), min(end, day.end, instance.horizon)
        if start >= end:
            return -1
        for name, value in (("start", start), ("paid", min(paid, end)), ("end", end), ("day", number)):
            columns[name].append(value)
        mine = [(first, last) for first, last in rests if first < end and start < last]
        breaks.add(range(len(pauses), len(pauses) + len(mine)))
        pauses.extend(mine)
        return len(columns["start"]) - 1

    numbers = range(len(instance.heating_days))
    for operator in instance.operators:
        cut = [
            add(number, shift.start, shift.end, shift.overtime_end, shift.breaks)
            for shift in operator.shifts
            for number in numbers
        ]
        owners.add([window for window in cut if window >= 0])
    cut = [add(number, 0, instance.horizon, instance.horizon, ()) for number in numbers]
    owners.add([window for window in cut if window >= 0])
    return {
        "window_from": owners.begin,
        "window_start": columns["start"],
        "window_paid": columns["paid"],
        "window_end": columns["end"],
        "window_day": columns["day"],
        "break_from": breaks.begin,
        "break_start": [first for first, _ in pauses],
        "break_end": [last for _, last in pauses],
        "day_start": [day.start for day in instance.heating_days],
    }


def _tables(instance: Instance) -> dict[str, list[int]]:
    """All setup tables behind each other, and where each machine's table of each part begins."""
    items: list[int] = []
    place: dict[tuple[int, int], int] = {}
    for number, part in enumerate(instance.setup_parts):
        for k, table in enumerate(part.tables):
            place[number, k] = len(items)
            items.extend(table.from_none)
            for row in table.ticks or (table.by_target,):
                items.extend(row)
    at, dense = [], []
    for machine in instance.machines:
        for number, (part, k) in enumerate(zip(instance.setup_parts, machine.tables, strict=True)):
            at.append(place[number, k])
            dense.append(int(bool(part.tables[k].ticks)))
    return {
        "table_size": [len(part.tables[0].from_none) for part in instance.setup_parts],
        "table_dense": dense,
        "table_at": at,
        "table": items,
    }


def _state(sizes: dict[int, int], homes: Sequence[int]) -> tuple[list[int], list[int]]:
    """The head with its offsets, and the state vector at tick 0."""
    head = [0] * layout.HEAD
    for slot, value in sizes.items():
        head[slot] = value
    machines, tokens = sizes[layout.MACHINES], sizes[layout.TOKENS]
    mounted = [-1] * machines
    for token, home in enumerate(homes):
        if home >= 0:
            mounted[home] = token
    state: list[int] = []
    for slot, values in (
        (layout.AT_MACHINE_FREE, [0] * machines),
        (layout.AT_MACHINE_LAST, [-1] * machines),
        (layout.AT_MACHINE_DAY, [-1] * machines),
        (layout.AT_MACHINE_TOKEN, mounted),
        (layout.AT_OPERATOR_FREE, [0] * sizes[layout.OPERATORS]),
        (layout.AT_TOKEN_FREE, [0] * tokens),
        (layout.AT_TOKEN_PLACE, list(homes)),
        (layout.AT_BUNDLE_FREE, [0] * sizes[layout.BUNDLES]),
        (layout.AT_TASK_READY, [layout.NOT_YET] * sizes[layout.TASKS]),
        (layout.AT_JOB_READY, [-1] * sizes[layout.JOBS]),
        (layout.AT_COST, [0] * layout.SLOTS),
        (layout.AT_WARM_COUNT, [0] * sizes[layout.CIRCUITS]),
        (layout.AT_WARM, [0] * (3 * sizes[layout.WARM_SLOTS])),
    ):
        head[slot] = len(state)
        state.extend(values)
    head[layout.STATE] = len(state)
    return head, state


def to_schedule(flattened: Flattened, tasks: Sequence[int], options: Sequence[int]) -> Schedule:
    """Decode a sequence of task and option indices into a Schedule."""
    flat, count = flattened.flat, len(tasks)
    state = list(flattened.start)
    present = presence(flattened, tasks)
    rows = [0] * (count * layout.PLACED)
    decode_rows(flat, state, present, list(tasks), list(options), count, rows, [0] * layout.PLACED)
    done, left, warm_ups = [], [], []
    for k in range(count):
        row = rows[k * layout.PLACED : (k + 1) * layout.PLACED]
        option = flattened.options[options[k]]
        if not row[layout.DONE]:
            left.append(flattened.tasks[tasks[k]])
            continue
        done.append(
            ScheduledTask(
                task=option.task,
                mode=option.mode,
                operator=option.operator,
                setup_start=row[layout.SETUP_START],
                start=row[layout.START],
                end=row[layout.END],
                mounts_platen=bool(row[layout.MOUNTS]),
            )
        )
        if row[layout.WARM_START] >= 0:
            warm_ups.append(
                WarmUp(machine=option.machine, start=row[layout.WARM_START], end=row[layout.WARM_END])
            )
    return Schedule(tasks=tuple(done), warm_ups=tuple(warm_ups), left_over=tuple(left))


def presence(flattened: Flattened, tasks: Sequence[int]) -> list[int]:
    """1 for every task that is in the sequence, by task index."""
    present: list[Any] = [0] * len(flattened.tasks)
    for task in tasks:
        present[task] = 1
    return present
