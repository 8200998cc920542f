"""Readers that state published benchmark files as instances.

Six sets, with numbers as in the files and a tick for their unit of time. No operators, no
platens, no days: a machine is always hot. Formats and origins: `tests/published/data/SOURCES.md`
for the sets kept here, the functions below for the others.
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from pathlib import Path

from scheduler.domain.instance import (
    Instance,
    Job,
    Level,
    Machine,
    Mode,
    Precedence,
    SetupPart,
    SetupTable,
    Task,
)
from scheduler.domain.schedule import Verdict

LATENESS: tuple[Level, ...] = ("left_over", "lateness")
FINISH: tuple[Level, ...] = ("left_over", "finish")

SETS = ("wtsds", "wt", "upmsp_sdst", "fjsp", "fjsp_sdst", "jsp_tt")

WT_JOBS = 40
"""Jobs of each instance in the file of set `wt`."""

NOT_ALLOWED = 1_000_000
"""Setup in `fjsp_sdst` files between operations that never meet on the machine."""

Table = tuple[tuple[int, ...], ...]
Operation = list[tuple[int, int]]
"""The machines that can do an operation, each with its duration."""


def read(set_name: str, file: Path | str, position: int | None = None) -> Instance:
    """State a benchmark file as an Instance.

    Parameters
    ----------
    set_name
        One of `SETS`.
    position
        Only for `wt`, where one file holds many instances: which, counted from 1.

    Raises
    ------
    ValueError
        When the set is unknown, the file isn't of its format, or `position` doesn't fit.
    """
    path = Path(file)
    text = path.read_text(encoding="utf-8")
    if (position is None) == (set_name == "wt"):
        raise ValueError(f"{path.name}: a position is needed for set wt, and only there")
    if set_name == "wt":
        return _wt(path, text, position or 0)
    readers = {
        "wtsds": _wtsds,
        "upmsp_sdst": _upmsp_sdst,
        "fjsp": _fjsp,
        "fjsp_sdst": _fjsp_sdst,
        "jsp_tt": _jsp_tt,
    }
    if set_name not in readers:
        raise ValueError(f"{set_name} is none of the sets {', '.join(SETS)}")
    return readers[set_name](path, text)


def objective(instance: Instance, verdict: Verdict) -> int:
    """The value that the benchmark publishes, from the independent check's verdict.

    Raises
    ------
    ValueError
        When the check was not passed or something is left over: then there is no such value.
    """
    if not verdict.passed:
        raise ValueError(f"{instance.name}: {verdict.breaks[0].message}")
    if verdict.values["left_over"]:
        raise ValueError(f"{instance.name}: not everything is scheduled")
    return verdict.values[instance.levels[-1]]


def _wtsds(path: Path, text: str) -> Instance:
    """One machine; blocks of durations, weights, due dates, and setups `a b s` (a = -1: b first)."""
    body = text.split("Begin Problem Specification")[1].split("End Problem Specification")[0]
    _, work, weights, dues, setups = re.split(r"[A-Za-z ]+:", body)
    durations = _numbers(work)
    count = len(durations)
    table = [[0] * count for _ in range(count)]
    first = [0] * count
    for before, after, ticks in _rows(_numbers(setups), 3):
        if before == -1:
            first[after] = ticks
        else:
            table[before][after] = ticks
    part = SetupPart(name="job", tables=(SetupTable(from_none=tuple(first), ticks=tuple(map(tuple, table))),))
    return _single_machine(path.stem, durations, _numbers(weights), _numbers(dues), part)


def _wt(path: Path, text: str, position: int) -> Instance:
    """One machine, no setups; a stream of numbers: durations, weights, due dates of each instance."""
    numbers = _numbers(text)
    size = 3 * WT_JOBS
    if not 1 <= position <= len(numbers) // size:
        raise ValueError(f"{path.name} has {len(numbers) // size} instances, not number {position}")
    work, weights, dues = _rows(numbers[(position - 1) * size : position * size], WT_JOBS)
    return _single_machine(f"{path.stem}-{position:03d}", work, weights, dues, None)


def _single_machine(
    name: str, work: Sequence[int], weights: Sequence[int], dues: Sequence[int], part: SetupPart | None
) -> Instance:
    jobs = tuple(
        Job(id=str(n), due=due, weight=weight)
        for n, (due, weight) in enumerate(zip(dues, weights, strict=True))
    )
    operations = [[[(0, ticks)]] for ticks in work]
    tables = [] if part is None else [part.tables[0]]
    return _shop(name, 1, operations, jobs, LATENESS, tables)


def _upmsp_sdst(path: Path, text: str) -> Instance:
    """Parallel machines; `n m 1`, `m`, n rows of pairs (machine, duration), and a table a machine.

    No setup before a machine's first job.
    """
    head, *blocks = re.split(r"SSD|M\d+", text)
    numbers = _numbers(head)
    count, machines = numbers[0], numbers[1]
    pairs = _rows(numbers[4:], 2 * machines)
    operations = [[[(row[2 * k], row[2 * k + 1]) for k in range(machines)]] for row in pairs]
    tables = [SetupTable(from_none=(0,) * count, ticks=_rows(_numbers(block), count)) for block in blocks[1:]]
    return _shop(path.stem, machines, operations, _plain_jobs(count), FINISH, tables)


def _fjsp(path: Path, text: str) -> Instance:
    """Flexible job shop; `jobs machines`, then a line a job; machines from 0."""
    head, *lines = [line for line in text.splitlines() if line.strip()]
    count, machines = _numbers(head)[:2]
    operations = [_operations(_numbers(line), 0) for line in lines[:count]]
    return _shop(path.stem, machines, operations, _plain_jobs(count), FINISH, [])


def _fjsp_sdst(path: Path, text: str) -> Instance:
    """As `_fjsp` with machines from 1, then for each machine a table over all operations.

    The diagonal is not used, there is no setup before a machine's first operation, and a setup
    may run while the job is still busy elsewhere.
    """
    head, *lines = [line for line in text.splitlines() if line.strip()]
    count, machines = (int(number) for number in head.split()[:2])
    operations = [_operations(_numbers(line), 1) for line in lines[:count]]
    size = sum(len(job) for job in operations)
    numbers = [0 if number == NOT_ALLOWED else number for number in _numbers(" ".join(lines[count:]))]
    tables = []
    for block in _rows(numbers, size * size):
        rows = [list(row) for row in _rows(block, size)]
        for n, row in enumerate(rows):
            row[n] = 0
        tables.append(SetupTable(from_none=(0,) * size, ticks=tuple(map(tuple, rows))))
    return _shop(path.stem, machines, operations, _plain_jobs(count), FINISH, tables)


def _jsp_tt(path: Path, text: str) -> Instance:
    """Job shop; `machines jobs`, durations by job and machine, routes, due dates; machines from 1."""
    head, work, routes, dues = re.split(r"[A-Za-z ]+:", text)
    machines, count = _numbers(head)
    durations = _rows(_numbers(work), machines)
    # Durations stand in machine order, not in the order of the route.
    operations = [
        [[(machine - 1, row[machine - 1])] for machine in route]
        for row, route in zip(durations, _rows(_numbers(routes), machines), strict=True)
    ]
    jobs = tuple(Job(id=str(n), due=due) for n, due in enumerate(_numbers(dues)))
    if len(jobs) != count:
        raise ValueError(f"{path.name} has {len(jobs)} due dates for {count} jobs")
    return _shop(path.stem, machines, operations, jobs, LATENESS, [])


def _operations(numbers: Sequence[int], first_machine: int) -> list[Operation]:
    """`operations`, and for each: `k` and k pairs (machine, duration)."""
    count, at = numbers[0], 1
    found = []
    for _ in range(count):
        width = numbers[at]
        pairs = _rows(numbers[at + 1 : at + 1 + 2 * width], 2)
        found.append([(machine - first_machine, ticks) for machine, ticks in pairs])
        at += 1 + 2 * width
    if at != len(numbers):
        raise ValueError(f"{len(numbers) - at} numbers too many in the line of a job")
    return found


def _plain_jobs(count: int) -> tuple[Job, ...]:
    return tuple(Job(id=str(n)) for n in range(count))


def _shop(
    name: str,
    machines: int,
    operations: Sequence[Sequence[Operation]],
    jobs: tuple[Job, ...],
    levels: tuple[Level, ...],
    tables: Sequence[SetupTable],
) -> Instance:
    """An instance of jobs with operations in order; setup tables by machine, or none.

    Machines with equal tables share one. A task's setup value is its number in reading order.
    The horizon is safe: the longest way of every task, and the worst setup before it.
    """
    shared = list(dict.fromkeys(tables))
    part = (SetupPart(name="job", tables=tuple(shared)),) if shared else ()
    tasks: list[Task] = []
    precedences = []
    horizon = 0
    for job, sequence in zip(jobs, operations, strict=True):
        for place, operation in enumerate(sequence):
            value = len(tasks)
            task_id = job.id if len(sequence) == 1 else f"{job.id}.{place}"
            modes = tuple(
                Mode(id=f"M{machine}", machine=f"M{machine}", state=(value,) if part else (), work=ticks)
                for machine, ticks in operation
            )
            worst = max(
                (max(table.from_none[value], *(row[value] for row in table.ticks)) for table in shared),
                default=0,
            )
            horizon += max(mode.work for mode in modes) + worst
            if place:
                precedences.append(Precedence(before=tasks[-1].id, after=task_id))
            tasks.append(Task(id=task_id, job=job.id, modes=modes))
    return Instance(
        name=name,
        horizon=horizon,
        tick_s=1,
        setup_parts=part,
        machines=tuple(
            Machine(
                id=f"M{m}",
                tables=(shared.index(tables[m]),) if part else (),
                initial=(None,) if part else (),
            )
            for m in range(machines)
        ),
        jobs=jobs,
        tasks=tuple(tasks),
        precedences=tuple(precedences),
        levels=levels,
    )


def _numbers(text: str) -> tuple[int, ...]:
    return tuple(int(word) for word in text.split())


def _rows(numbers: Sequence[int], width: int) -> Table:
    if len(numbers) % width:
        raise ValueError(f"{len(numbers)} numbers don't make rows of {width}")
    return tuple(tuple(numbers[at : at + width]) for at in range(0, len(numbers), width))
