"""Chains of local search for instances whose machines share nothing: nobody, no garments, no platens.

Published problems on one machine or on parallel machines are of this kind, and so is a day that is
planned by press only. See `kernel/apart.py` for the search.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import Any

from scheduler.domain.instance import Instance, Level
from scheduler.engine.backend import Backend
from scheduler.engine.flat import Flattened
from scheduler.engine.kernel import apart_layout as layout
from scheduler.engine.line import line_cost
from scheduler.engine.local_search import Cost, Line
from scheduler.engine.memory import seed_state
from scheduler.engine.records import NEVER_DUE
from scheduler.engine.setups import ticks_from

MOST_TASKS = 250
"""With more tasks whole neighbourhoods take too long, and the search for all instances gets further."""

MOST_SETUPS = 1_000_000
"""Setups tabulated, by machine and pair of tasks."""

LONGEST_BLOCK, LONGEST_ACROSS = 13, 2
"""Tasks of a block that is tried at every place of its machine, and at those of others."""

STALL = 50
"""Kicks without gain after which the search goes back to the best plan."""

LONGEST_KICK = 8
"""Tasks of each of the two stretches that a kick exchanges."""

RESTART = 15
"""Kicks at once when it goes back, so that it doesn't come to the same plans again."""

CHANGES_A_MOVE = 8
"""Changes reckoned that count as one move: about as much work as a move of the other search."""

MOST_COST = 1 << 60
"""A plan's cost by all levels, which must fit 64 bits with room to add."""


def share_nothing(instance: Instance) -> bool:
    """Whether every machine can be reckoned by itself, from the tasks on it alone."""
    jobs = [task.job for task in instance.tasks]
    bundles = [bundle for task in instance.tasks for bundle in task.bundles]
    return not (
        instance.operators
        or instance.choices
        or instance.precedences
        or instance.printed
        or len(instance.heating_days) != 1
        or len(jobs) != len(set(jobs))
        or len(bundles) != len(set(bundles))
        or any(job.ready for job in instance.jobs)
        or any(part.hands_off for part in instance.setup_parts)
        or any(
            mode.platen is not None or mode.warm_up or mode.mate
            for task in instance.tasks
            for mode in task.modes
        )
        or any(len({m.machine for m in task.modes}) != len(task.modes) for task in instance.tasks)
    )


class Apart:
    """What the search reads, made once for all chains.

    Attributes
    ----------
    shop
        The vector, see `kernel/apart_layout.py`.
    weights
        What a unit of each level costs; "ends": of the sum of the machines' ends.
    """

    def __init__(self, flattened: Flattened, horizon: int, weights: dict[str, int]) -> None:
        instance = flattened.instance
        self.flattened = flattened
        self.weights = weights
        size, machines = len(instance.tasks), len(instance.machines)
        number = {machine.id: k for k, machine in enumerate(instance.machines)}
        job_of = {job.id: job for job in instance.jobs}
        jobs = [job_of[task.job] for task in instance.tasks]
        pressing = [-1] * (machines * size)
        self._option = [-1] * (machines * size)
        states: list[list[Sequence[int]]] = [[()] * size for _ in instance.machines]
        begin = flattened.columns["option_from"]
        for k, task in enumerate(instance.tasks):
            for place, mode in enumerate(task.modes):
                cell = number[mode.machine] * size + k
                pressing[cell] = mode.work
                self._option[cell] = begin[k] + place
                states[number[mode.machine]][k] = mode.state
        shop = [0] * layout.SHOP_HEAD
        shop[layout.TASKS] = size
        shop[layout.MACHINES] = machines
        shop[layout.BLOCK] = LONGEST_BLOCK
        shop[layout.ACROSS] = LONGEST_ACROSS
        shop[layout.STALL] = STALL
        shop[layout.KICK] = LONGEST_KICK
        shop[layout.RESTART] = RESTART
        shop[layout.HORIZON] = horizon
        shop[layout.CHANGE] = weights.get("changeover", 0)
        shop[layout.CHANGES] = weights.get("changeovers", 0)
        shop[layout.LAST] = weights.get("finish", 0)
        shop[layout.ENDS] = weights["ends"]
        late = weights.get("lateness", 0)
        due = [NEVER_DUE if job.due is None else job.due - job.packing for job in jobs]
        tasks = instance.tasks
        for slot, column in (
            (layout.FREE, [machine.free_from for machine in instance.machines]),
            (layout.RELEASE, [task.release for task in tasks]),
            (layout.LATEST, [latest - task.cooling for latest, task in zip(due, tasks, strict=True)]),
            (layout.WEIGHT, [late * job.weight for job in jobs]),
            (layout.TAIL, [task.cooling + job.packing for task, job in zip(tasks, jobs, strict=True)]),
            (layout.PRESSING, pressing),
            (layout.SETUP, list(_setups(instance, states))),
        ):
            shop[slot] = len(shop)
            shop.extend(column)
        self.shop = shop
        self._vectors: dict[str, Any] = {}

    def vector(self, backend: Backend) -> Any:
        if backend.name not in self._vectors:
            self._vectors[backend.name] = backend.frozen(self.shop)
        return self._vectors[backend.name]

    def line(self, counts: Sequence[int], rows: Sequence[int]) -> Line:
        """The sequences of all machines, one behind the other."""
        size = self.shop[layout.TASKS]
        cells = [machine * size + place for machine, count in enumerate(counts) for place in range(count)]
        tasks = [rows[cell] for cell in cells]
        return Line(
            tuple(tasks),
            tuple(self._option[cell // size * size + task] for cell, task in zip(cells, tasks, strict=True)),
        )


def apart(flattened: Flattened) -> Apart | None:
    """The instance as machines that share nothing; None when they do, or when it is too large."""
    instance = flattened.instance
    size = len(instance.tasks)
    if not 2 <= size <= MOST_TASKS or not share_nothing(instance):
        return None
    if len(instance.machines) * (size + 1) * size > MOST_SETUPS:
        return None
    weights = _weights(instance)
    if weights is None:
        return None
    day = instance.heating_days[0]
    if day.start:
        return None
    return Apart(flattened, min(day.end, instance.horizon), weights)


def _weights(instance: Instance) -> dict[str, int] | None:
    """What a unit of each level costs, so that costs compare as the levels do; None when that gets too large.

    The least level is ours: the sum of the machines' ends, which tells plans apart that cost the same.
    """
    horizon = instance.horizon
    tails = max((job.packing for job in instance.jobs), default=0) + max(t.cooling for t in instance.tasks)
    most: dict[Level, int] = {
        "finish": horizon + tails,
        "changeovers": len(instance.tasks),
        "changeover": horizon * len(instance.machines),
        "lateness": sum(
            job.weight * (horizon + tails - min(0, job.due)) for job in instance.jobs if job.due is not None
        ),
    }
    weights = {"ends": 1}
    unit = horizon * len(instance.machines) + 1
    for level in reversed(instance.levels):
        if level in most:
            weights[level] = unit
            unit *= most[level] + 1
    return weights if unit < MOST_COST else None


def _setups(instance: Instance, states: Sequence[Sequence[Sequence[int]]]) -> Iterator[int]:
    """By machine and task before (at first none): ticks before every task; 0 where one isn't possible."""
    for machine, rows in zip(instance.machines, states, strict=True):
        initial = tuple(-1 if value is None else value for value in machine.initial)
        for before in (initial, *rows):
            known = [
                ticks_from(part.tables[table], before[number])
                for number, (part, table) in enumerate(zip(instance.setup_parts, machine.tables, strict=True))
                if before
            ]
            for after in rows:
                possible = before and after
                yield sum(ticks[value] for ticks, value in zip(known, after, strict=True)) if possible else 0


class ApartChain:
    """One iterated local search; like `local_search.Chain`, in the same units.

    Parameters
    ----------
    start
        A plan that leaves nothing over.
    """

    def __init__(self, apart: Apart, start: Line, *, seed: int, backend: Backend) -> None:
        self.backend = backend
        self._apart = apart
        size, machines = apart.shop[layout.TASKS], apart.shop[layout.MACHINES]
        counts, rows = [0] * machines, [0] * (machines * size)
        machine_of = apart.flattened.columns["option_machine"]
        for task, option in zip(start.tasks, start.options, strict=True):
            machine = machine_of[option]
            rows[machine * size + counts[machine]] = task
            counts[machine] += 1
        work = [0] * layout.WORK_HEAD
        work[layout.RANDOM] = seed_state(seed)
        work[layout.HOME] = work[layout.BEST] = 1 << 62
        for slot, values in (
            (layout.COUNT, counts),
            (layout.LINE, rows),
            (layout.END, rows),
            (layout.SPENT, rows),
            (layout.TOP, rows),
            (layout.STILL, rows),
            (layout.OWN, counts),
            (layout.OWN_LAST, counts),
            (layout.HOME_COUNT, counts),
            (layout.HOME_LINE, rows),
            (layout.BEST_COUNT, counts),
            (layout.BEST_LINE, rows),
            (layout.LIVE, [1] * size),
            (layout.WHERE, [0] * size),
            (layout.PLACE, [0] * size),
            (layout.BUFFER, [0] * size),
        ):
            work[slot] = len(work)
            work.extend(values)
        self._memory = [apart.vector(backend), backend.vector(work)]
        backend.apart.settle_all(*self._memory)
        self._goal = 0
        self._gains = 0
        self._best = start
        self._cost = line_cost(apart.flattened, start)

    def switch(self, backend: Backend) -> None:
        """Go on with another copy of the kernel."""
        if backend.name != self.backend.name:
            self._memory = [self._apart.vector(backend), backend.vector(self._memory[1])]
            self.backend = backend

    def run(self, moves: int) -> None:
        """Search for so many moves more."""
        self._goal += moves
        self.backend.apart.run_apart(*self._memory, self._goal * CHANGES_A_MOVE)
        self._look()

    def aim(self, moves: int) -> None:
        """Nothing to do: it knows no cycles."""

    @property
    def moves(self) -> int:
        return self._goal

    def _look(self) -> None:
        """Fetch the best plan, when there is a new one."""
        work = self._memory[1]
        if int(work[layout.GAINS]) == self._gains:
            return
        self._gains = int(work[layout.GAINS])
        size, machines = self._apart.shop[layout.TASKS], self._apart.shop[layout.MACHINES]
        counts, rows = int(work[layout.BEST_COUNT]), int(work[layout.BEST_LINE])
        line = self._apart.line(
            [int(value) for value in work[counts : counts + machines]],
            [int(value) for value in work[rows : rows + machines * size]],
        )
        cost = line_cost(self._apart.flattened, line)
        if cost <= self._cost:
            self._best, self._cost = line, cost

    @property
    def cost(self) -> Cost:
        """Best cost so far, in the order of the levels."""
        return self._cost

    @property
    def best(self) -> Line:
        """Best sequence so far."""
        return self._best
