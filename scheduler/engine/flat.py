"""From an Instance to the flat integer data of the kernel, and from a decoded sequence back."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass, field
from typing import Any

from scheduler.domain.instance import Instance
from scheduler.domain.schedule import Schedule, ScheduledTask, WarmUp
from scheduler.engine.begun import begun_warm_ups, printed_columns
from scheduler.engine.kernel import layout
from scheduler.engine.kernel.decode import decode_rows
from scheduler.engine.options import Options, by_machine, families, option_columns
from scheduler.engine.records import NEVER_DUE, Rows, job_records, task_records, windows
from scheduler.engine.setups import Setups, pair_up

SLOT = {
    "left_over": layout.LEFT_OVER,
    "lateness": layout.LATENESS,
    "changeover": layout.CHANGEOVER,
    "changeovers": layout.CHANGEOVERS,
    "overtime": layout.OVERTIME,
    "finish": layout.FINISH,
    "moved": layout.MOVED,
}

LARGE = ("option_record", "option_state", "option_mate", "options_on", "option_family")
"""Columns that nobody reads but the kernel: they aren't kept twice."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Flattened:
    """The flat data (in lists), the state at tick 0, and the way back to ids.

    Attributes
    ----------
    flat
        The vector that the kernel reads.
    columns
        The same columns by name, and some more, for code outside the kernel.
    start
        State vector before anything is put down.
    tasks, options
        Ids by index.
    vectors
        `flat` as the copies of the kernel read it, by their names, for all to share.
    """

    instance: Instance
    flat: list[int]
    columns: dict[str, list[int]]
    start: list[int]
    tasks: tuple[str, ...]
    options: Options
    vectors: dict[str, Any] = field(default_factory=dict, compare=False, repr=False)


def flatten(instance: Instance) -> Flattened:
    """Lay an instance out for the kernel. Indices follow the instance's own order."""
    platen_of = {p.id: k for k, p in enumerate(instance.platens)}
    circuit_of = {c.id: k for k, c in enumerate(instance.circuits)}
    job_of = {j.id: k for k, j in enumerate(instance.jobs)}
    task_of = {t.id: k for k, t in enumerate(instance.tasks)}
    uses = Counter(bundle for task in instance.tasks for bundle in dict.fromkeys(task.bundles))
    bundle_of: dict[str, int] = {}
    for bundle, users in uses.items():
        if users > 1:  # what only one task holds, nothing waits for
            bundle_of[bundle] = len(bundle_of)

    options = Options(instance)
    before, after = _neighbours(instance, task_of)
    choice = [-1] * len(instance.tasks)
    ways, way_tasks = Rows(), Rows()
    for k, alternatives in enumerate(instance.choices):
        numbers = []
        for way in alternatives.options:
            numbers.append(len(way_tasks.begin) - 1)
            way_tasks.add([task_of[t] for t in way])
            for t in way:
                choice[task_of[t]] = k
        ways.add(numbers)
    bundles = Rows()
    for task in instance.tasks:
        bundles.add([bundle_of[b] for b in task.bundles if b in bundle_of])

    tokens, kinds, homes = _tokens(instance, platen_of)
    warm_at = Rows()
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
    presence_windows = windows(instance)
    setups = pair_up(instance)
    head, start = _state(
        sizes, instance, setups, presence_windows["window_from"], kinds, homes, warm_at.begin
    )
    by_name = {
        "order": [SLOT[level] for level in instance.levels],
        "option_from": options.begin_of_task,
        **option_columns(instance, setups),
        "task_record": task_records(instance, job_of, bundles.begin, before.begin),
        "cooling": [t.cooling for t in instance.tasks],
        "job": [job_of[t.job] for t in instance.tasks],
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
        "job_record": job_records(instance),
        "goes_with_platen": [int(p.goes_with_platen) for p in instance.setup_parts],
        **_tables(instance),
        "pair": setups.pair,
        "loose_part": setups.loose,
        "loose_counts": setups.counts,
        "circuit": [-1 if m.circuit is None else circuit_of[m.circuit] for m in instance.machines],
        "watts": [m.watts for m in instance.machines],
        "limit_w": [c.limit_w for c in instance.circuits],
        "warm_at": warm_at.begin,
        "token_from": tokens,
        **presence_windows,
        "warming": [-1 if m.hot or m.warming is None else m.warming[0] for m in instance.machines],
        **printed_columns(instance, task_of, options),
    }
    head[layout.MATED] = int(bool(by_name["option_mate"]))
    by_name["options_on_from"], by_name["options_on"] = by_machine(
        options.begin_of_task, by_name["option_machine"], len(instance.machines)
    )
    by_name |= families(instance)
    flat = _one_vector(head, by_name)
    for large in LARGE:
        del by_name[large]
    return Flattened(
        instance=instance,
        flat=flat,
        columns=by_name,
        start=start,
        tasks=tuple(t.id for t in instance.tasks),
        options=options,
    )


def _one_vector(head: list[int], columns: dict[str, list[int]]) -> list[int]:
    """Head and columns behind each other, with each column's begin noted in the head."""
    flat = list(head)
    for number, name in enumerate(layout.COLUMNS):
        flat[layout.ORDER + number] = len(flat)
        flat.extend(columns[name])
    return flat


def _neighbours(instance: Instance, task_of: dict[str, int]) -> tuple[Rows, Rows]:
    before: list[list[int]] = [[] for _ in instance.tasks]
    after: list[list[int]] = [[] for _ in instance.tasks]
    for pair in instance.precedences:
        before[task_of[pair.after]].append(task_of[pair.before])
        after[task_of[pair.before]].append(task_of[pair.after])
    rows = Rows(), Rows()
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


def _state(
    sizes: dict[int, int],
    instance: Instance,
    setups: Setups,
    window_from: Sequence[int],
    kinds: Sequence[int],
    homes: Sequence[int],
    warm_at: Sequence[int],
) -> tuple[list[int], list[int]]:
    """The head with its offsets, and the state vector before anything is put down."""
    head = [0] * layout.HEAD
    for slot, value in sizes.items():
        head[slot] = value
    head[layout.LOOSE] = len(setups.loose)
    head[layout.MINUTE] = max(1, 60 // instance.tick_s) if instance.printed else 0
    machines: list[int] = []
    for k, rows in enumerate(zip(setups.initial, setups.initial_given_up, strict=True)):
        token = homes.index(k) if k in homes else -1
        begun = instance.machines[k]
        day = 0 if begun.hot else -1
        machines += (begun.free_from, day, token, kinds[token] if token >= 0 else -1, *rows, -1, 0)
    warm_counts, warm = begun_warm_ups(instance, warm_at)
    cost = [0] * layout.SLOTS
    for job in instance.jobs:
        if job.ready:
            finished = job.ready + job.packing
            cost[layout.LATENESS] += job.weight * max(
                0, finished - (NEVER_DUE if job.due is None else job.due)
            )
            cost[layout.FINISH] = max(cost[layout.FINISH], finished)
    loose: list[int] = []
    for machine in instance.machines:
        known = (machine.initial[part] for part in setups.loose)
        loose.extend(-1 if value is None else value for value in known)
    state: list[int] = []
    for slot, values in (
        (layout.AT_MACHINE, machines),
        (layout.AT_LOOSE, loose),
        (layout.AT_OPERATOR, [part for window in window_from[:-1] for part in (0, window)]),
        (layout.AT_TOKEN, [part for home in homes for part in (_busy(instance, home), home)]),
        (layout.AT_BUNDLE_FREE, [0] * sizes[layout.BUNDLES]),
        (layout.AT_TASK_READY, [layout.NOT_YET] * sizes[layout.TASKS]),
        (layout.AT_JOB_READY, [job.ready or -1 for job in instance.jobs]),
        (layout.AT_COST, cost),
        (layout.AT_WARM_COUNT, warm_counts),
        (layout.AT_WARM, warm),
    ):
        head[slot] = len(state)
        state.extend(values)
    head[layout.STATE] = len(state)
    return head, state


def _busy(instance: Instance, home: int) -> int:
    """Until when a platen is held by what was begun on its machine before the instance."""
    return instance.machines[home].free_from if home >= 0 else 0


def to_schedule(flattened: Flattened, tasks: Sequence[int], options: Sequence[int]) -> Schedule:
    """Decode a sequence of task and option indices into a Schedule."""
    flat, count = flattened.flat, len(tasks)
    state = list(flattened.start)
    present = presence(flattened, tasks)
    rows = [0] * (count * layout.PLACED)
    decode_rows(flat, state, present, list(tasks), list(options), count, rows)
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
                mate_mounts=option.mate is not None and bool(row[layout.MATE_MOUNTS]),
            )
        )
        if row[layout.WARM_START] >= 0:
            warm_ups.append(
                WarmUp(machine=option.machine, start=row[layout.WARM_START], end=row[layout.WARM_END])
            )
        if option.mate is not None and row[layout.MATE_WARM_START] >= 0:
            start, end = row[layout.MATE_WARM_START], row[layout.MATE_WARM_END]
            warm_ups.append(WarmUp(machine=option.mate, start=start, end=end))
    return Schedule(tasks=tuple(done), warm_ups=tuple(warm_ups), left_over=tuple(left))


def presence(flattened: Flattened, tasks: Sequence[int]) -> list[int]:
    """1 for every task that is in the sequence, by task index."""
    present: list[Any] = [0] * len(flattened.tasks)
    for task in tasks:
        present[task] = 1
    return present
