"""Chains of local search, on either copy of the kernel, and how they divide their moves into cycles."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

from scheduler.engine.backend import Backend
from scheduler.engine.flat import Flattened
from scheduler.engine.kernel import layout
from scheduler.engine.kernel.layout import SLOTS
from scheduler.engine.kernel.replay import SNAPSHOT_EVERY
from scheduler.engine.memory import CoolingPath, full_pressure, new_work

Cost = tuple[int, ...]

CYCLE = 40
"""Moves, in runs squared, that make a cycle of cooling; of the cube of `cycles` as many, that many cycles.

Measured on days of 30 runs with 16 million moves, four seeds each: 7 cycles left 2 to 5 % less changeover
than 21, by the square; on days of 60 with 6 million, 4 cycles no more than 6 or 7.
"""

DESCENT = 1_000
"""Moves downhill, not counted, before the first temperature is chosen: a dispatched plan says little."""

FIRST_CYCLE = 4_000
"""Least moves of the first cycle, where there are enough for more than one."""

HOTTEST = 4096
"""The first temperature in the units of `W_COOLING`."""

HOT_CHANGEOVERS = 6
"""First temperature of long cycles, in ordinary changeovers of the plan.

Measured by moves on days of 60 to 250 runs, six seeds each: half a percent less changeover than with 4; with
9 a tenth of a percent less again, for moves that take a twentieth longer.
"""

ENDLESS = 1 << 40
"""Moves of a cycle that never ends."""

RISES = 200
"""Moves tried to find the first temperature where there are no changeovers."""


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
        self,
        flattened: Flattened,
        start: Line,
        *,
        seed: int,
        backend: Backend,
        greedy: bool = False,
        budget: int | None = None,
    ) -> None:
        self.flattened = flattened
        work = new_work(flattened, start.tasks, start.options, seed)
        state_size = flattened.flat[layout.STATE]
        snapshots = [0] * ((flattened.flat[layout.TASKS] // SNAPSHOT_EVERY + 1) * state_size)
        snapshots[:state_size] = flattened.start
        memory: list[Any] = [work, list(flattened.start), snapshots]
        self.backend = backend
        self._memory = [flat_for(flattened, backend), *map(backend.vector, memory)]
        backend.search.settle(*self._memory, 0, True)
        backend.search.keep_best(self._memory[1])
        if greedy:
            at = self._memory[1][layout.W_PRESSURE]
            for step, weight in enumerate(full_pressure(flattened)):
                self._memory[1][at + step] = weight
            self._memory[1][layout.HEAT] = 0
        else:
            self._memory[1][layout.HEAT] = self._first_heat()
        self._size = len(start.tasks)
        self._aimed = False
        first, longest = first_cycles(budget or 2 * CYCLE * self._size**2, self._size)
        self._memory[1][layout.CYCLE_LENGTH], self._memory[1][layout.LONGEST] = first, longest

    def _first_heat(self) -> int:
        """A temperature to begin with: some ordinary changeovers, or a small rise of random moves.

        Rises of days with many cut-offs differ a thousandfold from one plan to the next.
        """
        work = self._memory[1]
        if work[layout.COUNT] < 2:
            return 1
        work[layout.HEAT] = 1
        work[layout.CYCLE_LENGTH] = 2 * DESCENT
        self.run(DESCENT)
        for slot in (layout.MOVE, layout.SORTED, layout.LAST_GAIN, layout.ACCEPTED, layout.DECODED):
            work[slot] = 0
        cost, weights = self._column(layout.W_COST, SLOTS), self._column(layout.W_ENERGY, SLOTS)
        if weights[layout.CHANGEOVER] and cost[layout.CHANGEOVERS]:
            work[layout.SQUARE] = work[layout.COUNT] ** 2
            hot = HOT_CHANGEOVERS * weights[layout.CHANGEOVER] * cost[layout.CHANGEOVER]
            return max(1, hot // cost[layout.CHANGEOVERS])
        rises = self.backend.vector([0] * RISES)
        found = self.backend.search.sample_rises(*self._memory, rises, RISES)
        self.backend.search.settle(*self._memory, 0, True)
        known = sorted(int(rise) for rise in rises[:found])
        return known[len(known) // 20] if known else 1

    def switch(self, backend: Backend) -> None:
        """Go on with another copy of the kernel."""
        if backend.name != self.backend.name:
            self._memory = [flat_for(self.flattened, backend), *map(backend.vector, self._memory[1:])]
            self.backend = backend

    def run(self, moves: int) -> None:
        """Try so many moves."""
        if self._memory[1][layout.COUNT] >= 1:
            self.backend.search.run_moves(*self._memory, moves)

    def aim(self, moves: int) -> None:
        """Let a cycle end after so many moves more: the current one, or one of equal length later.

        The first time a cycle begins anew, from the best plan: what has gone on so far was made for more
        moves, and hotter.
        """
        work = self._memory[1]
        moves = max(1, moves)
        length = cycle_length(work[layout.MOVE] + moves, self._size)
        if self._aimed:
            left = work[layout.MOVE] - work[layout.CYCLE_START] + moves
            work[layout.CYCLE_LENGTH] = -(-left // max(1, round(left / length)))
        else:
            self._aimed = True
            work[layout.CYCLE_LENGTH] = cycle_length(moves, self._size)
            work[layout.CYCLE_START] = work[layout.MOVE] - work[layout.CYCLE_LENGTH]
        work[layout.LONGEST] = work[layout.CYCLE_LENGTH]

    def hold(self, heat: int, pressure: int) -> None:
        """Go on at one temperature, a late tick having one energy, until told otherwise."""
        work = self._memory[1]
        work[layout.HEAT] = heat
        work[work[layout.W_COOLING]] = HOTTEST
        work[work[layout.W_PRESSURE]] = pressure
        self._one_cycle(ENDLESS)

    def follow(self, heat: int, path: CoolingPath, moves: int) -> None:
        """Cool in so many moves along a path, `heat` being the first temperature of a whole cooling."""
        work = self._memory[1]
        work[layout.HEAT] = heat
        for column, values in ((layout.W_COOLING, path.heats), (layout.W_PRESSURE, path.pressures)):
            at = work[column]
            for step, value in enumerate(values):
                work[at + step] = value
        self._one_cycle(moves + 1)

    def _one_cycle(self, length: int) -> None:
        work = self._memory[1]
        work[layout.SQUARE] = 0
        work[layout.CYCLE_START], work[layout.CYCLE_LENGTH] = work[layout.MOVE], length
        work[layout.LONGEST] = length

    @property
    def heat(self) -> int:
        """Temperature at which a long cooling begins, in energy."""
        return int(self._memory[1][layout.HEAT])

    @property
    def logarithms(self) -> list[int]:
        """-ln of evenly spread chances, in 1/1024."""
        return self._column(layout.W_LOGARITHM, layout.CHANCES)

    @property
    def energy_parts(self) -> tuple[int, int]:
        """Energy of the current plan without its lateness, and its weighted late ticks."""
        cost, weights = self._column(layout.W_COST, SLOTS), self._column(layout.W_ENERGY, SLOTS)
        rest = sum(
            weight * value
            for slot, (weight, value) in enumerate(zip(weights, cost, strict=True))
            if slot != layout.LATENESS
        )
        return rest, cost[layout.LATENESS]

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


def flat_for(flattened: Flattened, backend: Backend) -> Any:
    """The flat data as a copy of the kernel reads it: one for all chains, large as it may be."""
    if backend.name not in flattened.vectors:
        flattened.vectors[backend.name] = backend.frozen(flattened.flat)
    return flattened.vectors[backend.name]


def cycles_of(moves: int, runs: int) -> int:
    """Into how many cycles to divide so many moves: more and longer ones, the more moves there are."""
    return max(1, round(math.cbrt(moves / (CYCLE * max(1, runs) ** 2))))


def first_cycles(budget: int, runs: int) -> tuple[int, int]:
    """Moves of the first cycle and of the longest ones, to which they double; the last ends with the budget.

    A search may be stopped at any moment, and a long cycle has nothing to show before its end.
    """
    cycles = cycles_of(budget, runs)
    halvings = 0
    while budget // (cycles + 1) >> (halvings + 1) >= FIRST_CYCLE:
        halvings += 1
    # Halves, quarters and so on of a longest one make 1 - 1 / 2 ** halvings of it.
    shares = (cycles << halvings) + (1 << halvings) - 1
    first = max(1, -(-budget // shares))
    return first, first << halvings


def cycle_length(moves: int, runs: int) -> int:
    """Moves of each of some equal cycles, of which the last ends with the moves."""
    return max(1, -(-moves // cycles_of(moves, runs)))
