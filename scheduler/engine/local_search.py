"""First sequences and chains of local search, on either copy of the kernel."""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from itertools import pairwise
from typing import Any

from scheduler.engine.backend import Backend
from scheduler.engine.flat import Flattened, presence
from scheduler.engine.kernel import layout
from scheduler.engine.kernel.layout import SLOTS
from scheduler.engine.kernel.replay import SNAPSHOT_EVERY

Cost = tuple[int, ...]

RANK_WEIGHTS = (160, 16, 4, 2, 1, 1)
"""Energy of a unit of each level by rank, left-over apart: a late minute weighs ten of changeover."""

LEFT_OVER_WEIGHT = 1_000_000
FIRST_CYCLE = 4_000
"""Moves of the first cycle of cooling; each further one is twice as long."""

COLDEST = 1 / 100
"""Last temperature of a cycle, in shares of the first."""

RISES = 200
"""Moves tried to find the first temperature."""


@dataclass(frozen=True, slots=True)
class Line:
    """A sequence of task and option indices for the decoder."""

    tasks: tuple[int, ...]
    options: tuple[int, ...]


def cost_key(flattened: Flattened, cost: Sequence[int]) -> Cost:
    """A cost vector in the order in which it is compared."""
    return tuple(int(cost[slot]) for slot in flattened.columns["order"])


class Chain:
    """One local search: a seed, a start, and as many moves as it is asked for.

    It may change from the plain to the compiled kernel between two calls of `run`, and how its moves
    are divided over calls makes no difference. With `greedy` it takes nothing that is worse, so that it
    stays near its start.
    """

    def __init__(
        self, flattened: Flattened, start: Line, *, seed: int, backend: Backend, greedy: bool = False
    ) -> None:
        self.flattened = flattened
        work = _new_work(flattened, start, seed)
        state_size = flattened.flat[layout.STATE]
        snapshots = [0] * ((flattened.flat[layout.TASKS] // SNAPSHOT_EVERY + 1) * state_size)
        snapshots[:state_size] = flattened.start
        memory: list[Any] = [work, list(flattened.start), snapshots]
        self.backend = backend
        self._memory = [_flat_for(flattened, backend), *map(backend.vector, memory)]
        backend.search.settle(*self._memory, 0, True)
        backend.search.keep_best(*self._memory[:2])
        self._memory[1][layout.HEAT] = 0 if greedy else self._first_heat()

    def _first_heat(self) -> int:
        """A temperature to begin with: a share of a small rise, or a very small rise, by trying moves.

        Measured on days of 30 and 75 runs at 2 million moves: 30 times as hot ended 3 to 15 % worse.
        """
        if self._memory[1][layout.COUNT] < 2:
            return 1
        rises = self.backend.vector([0] * RISES)
        found = self.backend.search.sample_rises(*self._memory, rises, RISES)
        self.backend.search.settle(*self._memory, 0, True)
        known = sorted(int(rise) for rise in rises[:found])
        return max(1, known[len(known) // 5] // 30, known[len(known) // 20]) if known else 1

    def switch(self, backend: Backend) -> None:
        """Go on with another copy of the kernel."""
        if backend.name != self.backend.name:
            self._memory = [_flat_for(self.flattened, backend), *map(backend.vector, self._memory[1:])]
            self.backend = backend

    def run(self, moves: int) -> None:
        """Try so many moves."""
        if self._memory[1][layout.COUNT] >= 1:
            self.backend.search.run_moves(*self._memory, moves)

    @property
    def moves(self) -> int:
        return int(self._memory[1][layout.MOVE])

    def _column(self, column: int, size: int) -> list[int]:
        work = self._memory[1]
        at = int(work[column])
        return [int(value) for value in work[at : at + size]]

    @property
    def cost(self) -> Cost:
        """Best cost so far, in the order of the levels."""
        return cost_key(self.flattened, self._column(layout.W_BEST_COST, SLOTS))

    @property
    def best(self) -> Line:
        """Best sequence so far."""
        count = int(self._memory[1][layout.BEST_COUNT])
        return Line(
            tuple(self._column(layout.W_BEST_TASKS, count)), tuple(self._column(layout.W_BEST_OPTIONS, count))
        )


def _flat_for(flattened: Flattened, backend: Backend) -> Any:
    """The flat data as a copy of the kernel reads it: one for all chains, large as it may be."""
    if backend.name not in flattened.vectors:
        flattened.vectors[backend.name] = backend.frozen(flattened.flat)
    return flattened.vectors[backend.name]


def _new_work(flattened: Flattened, start: Line, seed: int) -> list[int]:
    """The search's memory, set up with a start."""
    size = flattened.flat[layout.TASKS]
    count = len(start.tasks)
    place = [-1] * size
    for position, task in enumerate(start.tasks):
        place[task] = position
    present = presence(flattened, start.tasks)
    ways = _ways(flattened, present)
    work = [0] * layout.WORK_HEAD
    work[layout.COUNT] = count
    work[layout.RANDOM] = _seed(seed)
    work[layout.CYCLE_LENGTH] = FIRST_CYCLE
    work[layout.TOGGLED] = -1
    tasks = list(start.tasks) + [0] * (size - count)
    options = list(start.options) + [0] * (size - count)
    nothing = [0] * size
    for slot, values in (
        (layout.W_TASKS, tasks),
        (layout.W_OPTIONS, options),
        (layout.W_PRESENT, present),
        (layout.W_PLACE, place),
        (layout.W_CHANGES, nothing),
        (layout.W_COST, [0] * SLOTS),
        (layout.W_CANDIDATE_TASKS, tasks),
        (layout.W_CANDIDATE_OPTIONS, options),
        (layout.W_CANDIDATE_PRESENT, present),
        (layout.W_CANDIDATE_PLACE, place),
        (layout.W_BEST_TASKS, tasks),
        (layout.W_BEST_OPTIONS, options),
        (layout.W_BEST_COST, [0] * SLOTS),
        (layout.W_ENERGY, _energy(flattened)),
        (layout.W_COOLING, _cooling()),
        (layout.W_LOGARITHM, _logarithms()),
        (layout.W_JOB_LATE, [0] * flattened.flat[layout.JOBS]),
        (layout.W_WAY, ways),
        (layout.W_CANDIDATE_WAY, ways),
        (layout.W_EDIT_TASK, nothing),
        (layout.W_EDIT_OPTION, nothing),
        (layout.W_EDIT_AT, nothing),
        (layout.W_OUT, nothing),
        (layout.W_ROWS, nothing * layout.PLACED),
        (layout.W_TRIAL_ROWS, nothing * layout.PLACED),
        (layout.W_PLACED_ANEW, nothing),
        (layout.W_MOVED, nothing),
        (layout.W_OTHER_TASK, nothing),
        (layout.W_OTHER_MACHINE, [0] * flattened.flat[layout.MACHINES]),
        (layout.W_OTHER_OPERATOR, [0] * (flattened.flat[layout.OPERATORS] + 1)),
        (layout.W_OTHER_BUNDLE, [0] * flattened.flat[layout.BUNDLES]),
    ):
        work[slot] = len(work)
        work.extend(values)
    return work


def _energy(flattened: Flattened) -> list[int]:
    """Weight of each slot: each level by its rank, what is left over above all."""
    weights = [0] * SLOTS
    ranks = iter(RANK_WEIGHTS)
    for slot in flattened.columns["order"]:
        weights[slot] = LEFT_OVER_WEIGHT if slot == layout.LEFT_OVER else next(ranks)
    return weights


def _cooling() -> list[int]:
    """Temperatures over a cycle in 1/4096 of the first, falling evenly in the logarithm."""
    last = layout.COOLING_STEPS - 1
    return [round(4096 * COLDEST ** (step / last)) for step in range(layout.COOLING_STEPS)]


def _logarithms() -> list[int]:
    """-ln(u) in 1/1024 for evenly spread u: so many temperatures a rise may be worth."""
    return [round(-1024 * math.log((k + 0.5) / layout.CHANCES)) for k in range(layout.CHANCES)]


def _seed(seed: int) -> int:
    """A 32-bit state, never 0, that differs well between neighbouring seeds."""
    return ((seed * 2654435761 + 0x9E3779B9) & 0xFFFFFFFF) or 1


def _ways(flattened: Flattened, present: Sequence[int]) -> list[int]:
    """The way in use of every choice."""
    return [
        next(number for number, tasks in enumerate(ways) if all(present[task] for task in tasks))
        for ways in all_ways(flattened)
    ]


def all_ways(flattened: Flattened) -> list[list[list[int]]]:
    """By choice and way: the tasks."""
    columns = flattened.columns
    begin, tasks = columns["way_task_from"], columns["way_task"]
    return [
        [tasks[begin[way] : begin[way + 1]] for way in range(first, last)]
        for first, last in pairwise(columns["way_from"])
    ]


class _Tails:
    """Least ticks that must still follow a task in its job: what urgency is measured by."""

    def __init__(self, flattened: Flattened) -> None:
        self._columns = flattened.columns
        self._memo: dict[int, int] = {}

    def least_work(self, task: int) -> int:
        columns = self._columns
        first, last = columns["option_from"][task], columns["option_from"][task + 1]
        return min(columns["option_work"][first:last])

    def of(self, task: int) -> int:
        """Cooling, packing, and the work of later tasks on the same garments."""
        columns = self._columns
        if task not in self._memo:
            first, last = columns["after_from"][task], columns["after_from"][task + 1]
            later = [self.least_work(other) + self.of(other) for other in columns["after"][first:last]]
            packing = columns["packing"][columns["job"][task]]
            self._memo[task] = columns["cooling"][task] + max(later, default=packing)
        return self._memo[task]


RULES: tuple[tuple[int, int, int, int], ...] = (
    # urgency, changeover, start, candidates
    (1, 4, 2, 16),
    (1, 6, 4, 24),
    (2, 4, 2, 16),
    (1, 6, 2, 24),
    (1, 2, 1, 16),
)
"""Weights of the dispatching rule, tried in this order."""


def first_way(flattened: Flattened, *, most: bool = False) -> list[int]:
    """Tasks to carry out: of every choice the way with the fewest tasks (or the most), then least work."""
    present = [1 if choice < 0 else 0 for choice in flattened.columns["choice"]]
    tails = _Tails(flattened)
    for ways in all_ways(flattened):
        ranked = [
            (-len(tasks) if most else len(tasks), sum(map(tails.least_work, tasks)), number)
            for number, tasks in enumerate(ways)
        ]
        for task in ways[min(ranked)[2]]:
            present[task] = 1
    return present


def first_lines(
    flattened: Flattened,
    backend: Backend,
    *,
    limit: int = len(RULES),
    over: Callable[[], bool] = lambda: False,
) -> list[Line]:
    """Sequences by dispatching rules, best first; at least one, and no more once `over()` says so."""
    flat = _flat_for(flattened, backend)
    tails = _Tails(flattened)
    size = flattened.flat[layout.TASKS]
    tail = [tails.of(task) for task in range(size)]
    due, job = flattened.columns["due"], flattened.columns["job"]
    urgency = sorted(range(size), key=lambda t: (due[job[t]] - tail[t] - tails.least_work(t), t))
    found = []
    vector = backend.vector
    for number, rule in enumerate(RULES[:limit]):
        tasks, options = vector([0] * size), vector([0] * size)
        state = vector(flattened.start)
        count = backend.dispatch.dispatch(
            flat,
            state,
            vector(first_way(flattened)),
            vector(tail),
            vector(urgency),
            vector(list(rule)),
            tasks,
            options,
            vector([0] * layout.PLACED),
            vector([0] * layout.PLACED),
            vector([0] * size),
        )
        at = flattened.flat[layout.AT_COST]
        key = cost_key(flattened, state[at : at + SLOTS])
        line = Line(tuple(int(t) for t in tasks[:count]), tuple(int(o) for o in options[:count]))
        found.append((key, number, line))
        if over():
            break
    return [line for _, _, line in sorted(found, key=lambda item: item[:2])]
