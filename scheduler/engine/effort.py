"""How hard the search tries, in units that do not depend on the machine."""

from __future__ import annotations

from dataclasses import dataclass

FEW_RUNS = 10
"""Runs up to which a day is small: many short chains find what few long ones don't."""

FEW_MOVES, MOST_CHAINS = 1_000_000, 8
"""Moves of each chain there, and the most chains."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Effort:
    """How hard to try, in units that don't depend on the machine.

    Attributes
    ----------
    rules
        Dispatching rules tried for the start.
    moves
        Most moves of each chain of local search.
    moves_by_size
        The same, times the square of the number of runs: small days need no more.
    steps
        The same, moves times the number of runs: a move on a large day takes longer.
    chains
        Chains, with a seed each.
    seconds
        Safety stop by wall clock, for machines on which the compiled search can't be had.
    deterministic
        CP-SAT's own deterministic units, some seconds each: for bounds, and again for small days whole.
    states
        Most states that the exact search of a small day looks at; some 200,000 a second.
    """

    rules: int
    moves: int
    moves_by_size: int
    steps: int
    chains: int
    deterministic: float
    seconds: float
    states: int = 0

    def chains_and_moves(self, tasks: int, runs: int) -> tuple[int, int]:
        """How many chains, and the most moves of each.

        Parameters
        ----------
        tasks
            All tasks, lots and other ways included.
        runs
            Fewest tasks that a plan carries out.
        """
        moves = min(self.moves, self.moves_by_size * tasks**2, self.steps // max(1, tasks))
        if runs > FEW_RUNS or moves < FEW_MOVES or not self.states:
            return self.chains, moves
        return min(MOST_CHAINS, self.chains * (moves // FEW_MOVES)), FEW_MOVES


EFFORTS = {
    "quick": Effort(
        rules=8,
        moves=250_000,
        moves_by_size=400,
        steps=10**8,
        chains=2,
        deterministic=1.2,
        seconds=180,
        states=100_000,
    ),
    "normal": Effort(
        rules=32,
        moves=6_000_000,
        moves_by_size=2_000,
        steps=10**9,
        chains=2,
        deterministic=3.0,
        seconds=300,
        states=2_000_000,
    ),
    "thorough": Effort(
        rules=32,
        moves=60_000_000,
        moves_by_size=8_000,
        steps=10**10,
        chains=4,
        deterministic=40.0,
        seconds=1800,
        states=60_000_000,
    ),
}

BRIEF = Effort(
    rules=1,
    moves=60_000,
    moves_by_size=100,
    steps=2 * 10**7,
    chains=2,
    deterministic=0.0,
    seconds=30,
)
"""For questions about a plan: enough to say what some help is worth; no bounds by the constraint model."""

TRIAL = Effort(
    rules=8,
    moves=40_000,
    moves_by_size=400,
    steps=10**7,
    chains=2,
    deterministic=0.0,
    seconds=180,
)
"""How hard is looked for a plan within fewer hours before they are given up: 0.2 to 3 s up to 120 runs."""
