"""How many moves the chains are given at a time, and how they come to an end with the seconds."""

from __future__ import annotations

from collections.abc import Sequence

from scheduler.engine.apart import ApartChain
from scheduler.engine.clock import Clock
from scheduler.engine.local_search import Chain
from scheduler.engine.tempering import TemperedChain

IN_TIME = 0.8
"""Share of a chain's moves; when it won't come that far, the seconds end its search and not the moves."""

BELIEVED = 0.03
"""Share of the seconds after which the pace of a round is believed: a busy machine may hold up the first
ones, and a plan that would have come by its moves would hang on the clock for it."""

SLACK = 1.03
"""How much longer than foreseen a cycle is made that is to end with the seconds, so that no other begins."""

PLAIN_SHARE = 50
"""Moves between two looks at the clock on the plain kernel."""

COMPILED_SHARE = 2_000_000
"""The same on the compiled one, divided by the number of runs."""

FIRST_ROUND = 8
"""How many times as short the first of the compiled rounds is, which tells how fast the machine is."""


STEPS_A_SECOND = 20_000_000
"""Moves of a chain times runs, as an ordinary machine makes them in a second."""

AnyChain = Chain | ApartChain | TemperedChain


class Pace:
    """The pace of one search.

    Parameters
    ----------
    budget
        Moves of each chain.
    runs
        Tasks of the instance.
    clock
        What ends the search, if the moves don't.
    """

    def __init__(self, budget: int, runs: int, clock: Clock) -> None:
        self.budget = budget
        self._runs = max(1, runs)
        self._clock = clock
        self._aimed = False

    @property
    def foreseen(self) -> int:
        """Moves that each chain is going to make, as far as that can be told before the first."""
        return min(self.budget, int(self._clock.search_s * STEPS_A_SECOND) // self._runs)

    def moves(self, chains: Sequence[AnyChain]) -> list[int]:
        """Moves of each chain till the next look at the clock: few enough to hear a stop in between."""
        share = PLAIN_SHARE
        if chains[0].backend.name != "plain":
            share = max(PLAIN_SHARE, COMPILED_SHARE // self._runs)
            if not any(chain.moves for chain in chains):
                share = max(PLAIN_SHARE, share // FIRST_ROUND)
        return [min(share, self.budget - chain.moves) for chain in chains]

    def aim(self, chains: Sequence[AnyChain], before: Sequence[int], seconds: float) -> None:
        """Where the seconds will end the search before the moves do, let the cycles under way end with them.

        A cycle that is broken off hot is worth little.

        Parameters
        ----------
        before, seconds
            Moves that each chain had made so many seconds ago.
        """
        if self._clock.gone() < BELIEVED:
            return
        for chain, moves in zip(chains, before, strict=True):
            ahead = (chain.moves - moves) / seconds * self._clock.search_left_s()
            self._aimed = self._aimed or chain.moves + ahead < IN_TIME * self.budget
            if self._aimed:
                self._clock.will_stop()
                chain.aim(int(SLACK * ahead))
