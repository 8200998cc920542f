"""First sequences and chains of local search, on either copy of the kernel."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field
from typing import Any

from scheduler.engine.backend import Backend
from scheduler.engine.flat import Flattened, presence
from scheduler.engine.kernel import layout
from scheduler.engine.kernel.decode import SNAPSHOT_EVERY
from scheduler.engine.kernel.layout import SLOTS, Flat
from scheduler.engine.kernel.moves import (
    BEST_COUNT,
    COUNT,
    COUNTERS,
    HISTORY,
    KICK_AFTER,
    MOVE,
    RANDOM,
    Work,
)

Cost = tuple[int, ...]


@dataclass(frozen=True, slots=True)
class Sequence_:
    """A decodable sequence of task and option indices."""

    tasks: tuple[int, ...]
    options: tuple[int, ...]


def cost_key(flat: Flat, cost: Sequence[int]) -> Cost:
    """A cost vector in the order in which it is compared."""
    return tuple(int(cost[slot]) for slot in flat.order)


def flat_for(flattened: Flattened, backend: Backend) -> Any:
    """The flat data in the backend's own containers."""
    if backend.name == "plain":
        return flattened.flat
    return backend.layout.Flat(*(backend.vector(column) for column in flattened.flat))


class Chain:
    """One local search: a seed, a start, and as many moves as it is asked for.

    It may change from the plain to the compiled kernel between two calls of `run`, and how its moves
    are divided over calls makes no difference.
    """

    def __init__(
        self, flattened: Flattened, start: Sequence_, *, seed: int, backend: Backend, history: int = 0
    ) -> None:
        self.flattened = flattened
        self.backend = backend
        self.flat = flat_for(flattened, backend)
        count = len(start.tasks)
        self.work = _new_work(flattened, start, seed, history or (50 if count > 120 else 200))
        self.work = backend.moves.Work(*(backend.vector(column) for column in self.work))
        self.backend.search.settle(self.flat, self.work, 0)
        self.backend.search.keep_best(self.work)
        for k in range(self.work.counter[HISTORY]):
            self.work.history[k * SLOTS : (k + 1) * SLOTS] = self.work.cost

    def switch(self, backend: Backend) -> None:
        """Go on with another copy of the kernel."""
        if backend.name != self.backend.name:
            self.work = backend.moves.Work(*(backend.vector(column) for column in self.work))
            self.flat = flat_for(self.flattened, backend)
            self.backend = backend

    def run(self, moves: int) -> None:
        """Try so many moves."""
        if self.work.counter[COUNT] >= 1:
            self.backend.search.run_moves(self.flat, self.work, moves)

    @property
    def moves(self) -> int:
        return int(self.work.counter[MOVE])

    @property
    def cost(self) -> Cost:
        """Best cost so far, in the order of the levels."""
        return cost_key(self.flattened.flat, self.work.best_cost)

    @property
    def best(self) -> Sequence_:
        """Best sequence so far."""
        count = int(self.work.counter[BEST_COUNT])
        return Sequence_(
            tuple(int(t) for t in self.work.best_tasks[:count]),
            tuple(int(o) for o in self.work.best_options[:count]),
        )


def _new_work(flattened: Flattened, start: Sequence_, seed: int, history: int) -> Work:
    flat = flattened.flat
    size = flat.head[layout.TASKS]
    state_size = flat.head[layout.STATE]
    count = len(start.tasks)
    place = [-1] * size
    for position, task in enumerate(start.tasks):
        place[task] = position
    present = presence(flattened, start.tasks)
    ways = _ways(flat, present)
    counter = [0] * COUNTERS
    counter[COUNT] = count
    counter[RANDOM] = _seed(seed)
    counter[HISTORY] = history
    counter[KICK_AFTER] = 4000 + 60 * count
    snapshots = [0] * ((size // SNAPSHOT_EVERY + 1) * state_size)
    snapshots[:state_size] = flattened.start

    def padded(values: Sequence[int]) -> list[int]:
        return list(values) + [0] * (size - count)

    return Work(
        counter=counter,
        state=list(flattened.start),
        row=[0] * layout.PLACED,
        tasks=padded(start.tasks),
        options=padded(start.options),
        present=present,
        place=place,
        changes=[0] * size,
        cost=[0] * SLOTS,
        candidate_tasks=padded(start.tasks),
        candidate_options=padded(start.options),
        candidate_present=list(present),
        candidate_place=list(place),
        best_tasks=padded(start.tasks),
        best_options=padded(start.options),
        best_cost=[0] * SLOTS,
        snapshots=snapshots,
        history=[0] * (history * SLOTS),
        job_late=[0] * flat.head[layout.JOBS],
        way=ways,
        candidate_way=list(ways),
        edit_task=[0] * size,
        edit_option=[0] * size,
        edit_at=[0] * size,
        out=[0] * size,
    )


def _seed(seed: int) -> int:
    """A 32-bit state, never 0, that differs well between neighbouring seeds."""
    return ((seed * 2654435761 + 0x9E3779B9) & 0xFFFFFFFF) or 1


def _ways(flat: Flat, present: Sequence[int]) -> list[int]:
    ways = []
    for choice in range(flat.head[layout.CHOICES]):
        first, last = flat.way_from[choice], flat.way_from[choice + 1]
        chosen = [
            way - first
            for way in range(first, last)
            if all(present[flat.way_task[k]] for k in range(flat.way_task_from[way], flat.way_task_from[way + 1]))
        ]
        ways.append(chosen[0])
    return ways


@dataclass
class _Tails:
    """Least ticks that must still follow a task in its job: what urgency is measured by."""

    flat: Flat
    memo: dict[int, int] = field(default_factory=dict)

    def least_work(self, task: int) -> int:
        flat = self.flat
        return min(flat.option_work[o] for o in range(flat.option_from[task], flat.option_from[task + 1]))

    def of(self, task: int) -> int:
        """Cooling, packing, and the work of later tasks on the same garments."""
        flat = self.flat
        if task not in self.memo:
            self.memo[task] = 0
            later = [
                self.least_work(flat.after[k]) + self.of(flat.after[k])
                for k in range(flat.after_from[task], flat.after_from[task + 1])
            ]
            self.memo[task] = flat.cooling[task] + max(later, default=flat.packing[flat.job[task]])
        return self.memo[task]


RULES: tuple[tuple[int, int, int, int, int], ...] = (
    # urgency, changeover, start, lookahead, candidates
    (1, 2, 2, 600, 24),
    (1, 4, 2, 1200, 24),
    (2, 4, 4, 2400, 24),
    (1, 6, 2, 2400, 40),
    (1, 8, 1, 3000, 60),
    (2, 2, 4, 900, 16),
    (1, 3, 4, 4800, 24),
    (1, 12, 2, 3600, 80),
)
"""Weights of the dispatching rule, tried in this order; the first serves as the very first plan."""


def first_way(flattened: Flattened, *, most: bool) -> list[int]:
    """Tasks to carry out: of every choice the way with the fewest tasks (or the most)."""
    flat = flattened.flat
    present = [1 if choice < 0 else 0 for choice in flat.choice]
    tails = _Tails(flat)
    for choice in range(flat.head[layout.CHOICES]):
        ways = []
        for way in range(flat.way_from[choice], flat.way_from[choice + 1]):
            tasks = flat.way_task[flat.way_task_from[way] : flat.way_task_from[way + 1]]
            work = sum(tails.least_work(task) for task in tasks)
            ways.append((-len(tasks) if most else len(tasks), work, way, tasks))
        for task in min(ways)[3]:
            present[task] = 1
    return present


def first_sequences(flattened: Flattened, backend: Backend, *, limit: int = len(RULES)) -> list[Sequence_]:
    """Sequences by dispatching rules, best first; at least one."""
    flat = flat_for(flattened, backend)
    tails = _Tails(flattened.flat)
    size = flattened.flat.head[layout.TASKS]
    tail = [tails.of(task) for task in range(size)]
    urgency = sorted(
        range(size), key=lambda t: (flattened.flat.due[flattened.flat.job[t]] - tail[t] - tails.least_work(t), t)
    )
    found = []
    vector = backend.vector
    for number, rule in enumerate(RULES[:limit]):
        present = vector(first_way(flattened, most=False))
        tasks, options = vector([0] * size), vector([0] * size)
        state = vector(flattened.start)
        count = backend.dispatch.dispatch(
            flat,
            state,
            present,
            vector(tail),
            vector(urgency),
            vector(list(rule)),
            tasks,
            options,
            vector([0] * layout.PLACED),
            vector([0] * layout.PLACED),
            vector([0] * size),
        )
        at = flattened.flat.head[layout.AT_COST]
        key = cost_key(flattened.flat, state[at : at + SLOTS])
        sequence = Sequence_(tuple(int(t) for t in tasks[:count]), tuple(int(o) for o in options[:count]))
        found.append((key, number, sequence))
    return [sequence for _, _, sequence in sorted(found, key=lambda item: item[:2])]
