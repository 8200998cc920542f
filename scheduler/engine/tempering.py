"""Parallel tempering: replicas of the search at fixed temperatures that exchange what they hold.

Annealing decides early, while it is warm, which orders are late, and can't take that back: on a full day its
plans differ by it. Here the warm replicas go on asking for all of the moves, and each better answer
travels down to the cold ones, which work it out. What comes out at the end is cooled down.
"""

from __future__ import annotations

from collections.abc import Sequence

from scheduler.engine.backend import Backend
from scheduler.engine.flat import Flattened
from scheduler.engine.kernel import layout
from scheduler.engine.kernel.edits import random_below
from scheduler.engine.local_search import Chain, Cost, Line
from scheduler.engine.memory import CoolingPath, cooling_path, seed_state, trades_lateness

REPLICAS = 8
"""Replicas of one search, from the hottest to the coldest."""

HOTTEST, COOLEST = 0.15, 0.5
"""Where the hottest and the coldest stand on the way of a cooling, 0 being its begin and 1 its end.

Measured on days of 30 runs: the best plan known of one, warmed to 0.45 and cooled again, came back in 11 of
12 runs, warmed to 0.35 in four, to 0.15 in one. A ladder that began at 0.25 left a late day a fifth later;
one from 0 left 2 % more changeovers on days of 60 runs.
"""

LATE_SHARES = (4, 40)
"""Energy of a late tick over such a cooling, in sixteenths of a tick of changeover, as in `memory`."""

TURN = 500
"""Moves of each replica between two exchanges."""

STAGES = 3
"""Halvings of the moves: each stage ends with a cooling, for whoever stops the search."""

COOLED = 2
"""Plans that are cooled down at the end of a stage."""

COOLING_SHARE = 4
"""One in so many moves of a stage is for that; with a tenth of them there were 2 % more changeovers."""

MOVES_SQUARE = 300
"""Least moves, in runs squared. With so many, 30 s of one core on 120 runs, it was ahead by 0 to 5 %."""


def worth_tempering(flattened: Flattened, budget: int, runs: int) -> bool:
    """Whether a search is to temper: many moves, and lateness that is set against changeovers."""
    return trades_lateness(flattened) and budget >= MOVES_SQUARE * max(1, runs) ** 2


class TemperedChain:
    """One search by parallel tempering; like `local_search.Chain`, in the same units.

    Replicas stand at fixed temperatures. After each turn neighbours exchange their temperatures with such a
    chance that each temperature keeps the plans that belong to it (Geyer 1991). How the moves are divided
    over calls of `run` makes no difference.

    Parameters
    ----------
    starts
        First plans, of which the replicas take one after the other.
    budget
        Moves that are to be made in all.
    """

    def __init__(
        self, flattened: Flattened, starts: Sequence[Line], *, seed: int, backend: Backend, budget: int
    ) -> None:
        self.flattened = flattened
        self.backend = backend
        self._seed = seed
        self._random = [0] * layout.WORK_HEAD
        self._random[layout.RANDOM] = seed_state(seed)
        self._heat = Chain(flattened, starts[0], seed=seed, backend=backend).heat
        places = [HOTTEST + (COOLEST - HOTTEST) * k / (REPLICAS - 1) for k in range(REPLICAS)]
        self._levels = [
            (max(1, round(self._heat * path.heats[0] / 4096)), path.pressures[0])
            for path in (self._path(place, 1.0) for place in places)
        ]
        self._replicas = [
            Chain(
                flattened,
                starts[k % len(starts)],
                seed=seed * REPLICAS + k,
                backend=backend,
                greedy=True,
            )
            for k in range(REPLICAS)
        ]
        for chain, (heat, pressure) in zip(self._replicas, self._levels, strict=True):
            chain.hold(heat, pressure)
        self._cooled: list[Chain] = []
        self._best = min(self._replicas, key=lambda chain: chain.cost).best
        self._cost = min(chain.cost for chain in self._replicas)
        self._moves = 0
        self._odd = 0
        self._turn, self._turn_left = 0, TURN
        self._stages = [budget >> (STAGES - k) for k in range(STAGES)] + [budget]
        self._cooling_moves = 0
        self._stage_begin = self._stage_end = 0
        self._next_stage()

    def _path(self, first: float, last: float) -> CoolingPath:
        return cooling_path(self.flattened, first, last, LATE_SHARES)

    def run(self, moves: int) -> None:
        """Search for so many moves more."""
        while moves > 0:
            moves -= self._step(moves)

    def _step(self, moves: int) -> int:
        """Some moves of whichever chain has its turn; returns how many."""
        step = min(moves, self._turn_left)
        self._turn_left -= step
        self._moves += step
        if self._cooled:
            chain = self._cooled[0]
            chain.run(step)
            if not self._turn_left:
                self._take(chain)
                self._cool_next(self._cooled[1:])
            return step
        self._replicas[self._turn].run(step)
        if not self._turn_left:
            self._turn, self._turn_left = self._turn + 1, TURN
            if self._turn == REPLICAS:
                self._turn = 0
                self._exchange()
                if self._moves >= self._cooling_from:
                    self._cool()
        return step

    def _exchange(self) -> None:
        """Let neighbouring temperatures exchange their replicas, of which every other pair is asked in turn.

        The chance is exp(-d) with d the rise in energy over temperature, both replicas together.
        """
        logarithms = self._replicas[0].logarithms
        energies = [chain.energy_parts for chain in self._replicas]
        for k in range(self._odd, REPLICAS - 1, 2):
            (hot, hot_weight), (cold, cold_weight) = self._levels[k], self._levels[k + 1]
            (rest_a, late_a), (rest_b, late_b) = energies[k], energies[k + 1]
            rise_hot = rest_b - rest_a + hot_weight * (late_b - late_a)
            rise_cold = rest_a - rest_b + cold_weight * (late_a - late_b)
            chance = logarithms[random_below(self._random, layout.CHANCES)]
            if (rise_hot * cold + rise_cold * hot) * 1024 > chance * hot * cold:
                continue
            a, b = self._replicas[k], self._replicas[k + 1]
            a.hold(cold, cold_weight)
            b.hold(hot, hot_weight)
            self._replicas[k], self._replicas[k + 1] = b, a
            energies[k], energies[k + 1] = energies[k + 1], energies[k]
        self._odd = 1 - self._odd

    def _next_stage(self) -> None:
        """Aim at the end of the next stage; behind the last one half as much again, and so on."""
        self._stage_begin = self._moves
        later = (end for end in self._stages if end > self._moves)
        self._stage_end = next(later, self._moves + self._moves // 2 + 1)

    @property
    def _cooling_from(self) -> int:
        """Moves after which the stage has come to its cooling."""
        return self._stage_end - max(1, (self._stage_end - self._stage_begin) // COOLING_SHARE)

    def _cool(self) -> None:
        """Cool the best plans down, from where the coldest replicas are."""
        best = sorted(self._replicas, key=lambda chain: chain.cost)[:COOLED]
        moves = max(1, (self._stage_end - self._moves) // COOLED)
        path = self._path(COOLEST, 1.0)
        chains = []
        for chain in best:
            cooled = Chain(
                self.flattened, chain.best, seed=self._seed + self._moves, backend=self.backend, greedy=True
            )
            cooled.follow(self._heat, path, moves)
            chains.append(cooled)
        self._cooling_moves = moves
        self._cool_next(chains)

    def _cool_next(self, chains: list[Chain]) -> None:
        self._cooled = chains
        self._turn_left = self._cooling_moves if chains else TURN
        if not chains:
            self._next_stage()

    def _take(self, chain: Chain) -> None:
        if chain.cost < self._cost:
            self._best, self._cost = chain.best, chain.cost

    def switch(self, backend: Backend) -> None:
        """Go on with another copy of the kernel."""
        self.backend = backend
        for chain in (*self._replicas, *self._cooled):
            chain.switch(backend)

    def aim(self, moves: int) -> None:
        """Let the last cooling end after so many moves more."""
        if not self._cooled:
            self._stages = [self._moves + max(1, moves)]
            self._stage_end = self._stages[0]

    @property
    def moves(self) -> int:
        return self._moves

    @property
    def _leader(self) -> Chain | None:
        """The chain with the best plan, if that is better than what was kept."""
        chain = min((*self._cooled, *self._replicas), key=lambda chain: chain.cost)
        return chain if chain.cost < self._cost else None

    @property
    def cost(self) -> Cost:
        """Best cost so far, in the order of the levels."""
        leader = self._leader
        return self._cost if leader is None else leader.cost

    @property
    def best(self) -> Line:
        """Best sequence so far."""
        leader = self._leader
        return self._best if leader is None else leader.best
