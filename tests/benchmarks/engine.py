"""The engine under measurement: the very call that plans a day, and nothing else."""

from __future__ import annotations

import time
from collections.abc import Sequence
from typing import Any

from scheduler.domain.instance import Instance
from scheduler.domain.schedule import Result, Status
from scheduler.engine.solve import Progress, solve
from tests.benchmarks.peers.outcome import Outcome

LAST_SHARE = 0.05
"""Of the seconds: less than this left over is not worth another call."""

PATIENCE = 20
"""Wall seconds to a processor second, at most, before the engine is stopped all the same."""

THIN = 1.1
"""Least factor between the times of two stages that are kept of how a plan got better."""

APART = 1000
"""Between the seeds of two calls for the same row; rows themselves have neighbouring seeds."""


class _Watch:
    """Listens to the engine: when plans got better, and how long the local search took."""

    def __init__(self, levels: Sequence[str]) -> None:
        self._levels = levels
        self._begin = (time.perf_counter(), time.process_time())
        self._search_from = self._search_to = 0.0
        self._best: tuple[int, ...] | None = None
        self.reached: list[list[Any]] = []
        self.search_s = 0.0

    def __call__(self, progress: Progress) -> None:
        if progress.note == "dispatched":
            self._search_from = progress.elapsed_s
        elif progress.note == "searching":
            self._search_to = progress.elapsed_s
        elif progress.note == "proving":
            self.search_s += max(0.0, self._search_to - self._search_from)
            self._search_from = self._search_to = 0.0
        self.note(tuple(progress.values[level] for level in progress.values))

    def note(self, values: tuple[int, ...]) -> None:
        """Take down a better plan; of several in quick succession the last."""
        if self._best is not None and values >= self._best:
            return
        self._best = values
        wall, cpu = self._begin
        now = [round(time.perf_counter() - wall, 3), round(time.process_time() - cpu, 3)]
        if len(self.reached) > 1 and now[0] < THIN * self.reached[-2][0]:
            self.reached.pop()
        self.reached.append([*now, list(values)])


def by_effort(instance: Instance, seed: int, effort: str) -> Outcome:
    """One call with a budget in moves and deterministic units."""
    watch = _Watch(instance.levels)
    result = solve(instance, effort=effort, seed=seed, progress=watch)
    return _outcome(result, watch, result.moves, 0)


def by_seconds(instance: Instance, seed: int, seconds: float, *, of_cpu: bool = False) -> Outcome:
    """As many calls as it takes to use the seconds, of the clock or of the processor; the best plan counts.

    The greatest effort is spent before the seconds are on small instances; then the engine is called
    again with another seed for the rest. What one call proves ends it.
    """
    clock = time.process_time if of_cpu else time.perf_counter
    begin = clock()
    watch = _Watch(instance.levels)

    def over() -> bool:
        return clock() - begin >= seconds

    def call(left: float, with_seed: int) -> Result:
        wall = PATIENCE * left if of_cpu else left
        return solve(instance, effort="thorough", seconds=wall, seed=with_seed, progress=watch, stop=over)

    best = call(seconds, seed)
    moves, restarts, first_plan_s = best.moves, 0, best.first_plan_s
    bounds = _bounds(best)
    while best.status is not Status.PROVEN:
        left = seconds - (clock() - begin)
        if left <= LAST_SHARE * seconds:
            break
        restarts += 1
        other = call(left, seed + APART * restarts)
        moves += other.moves
        bounds = _joined(best, bounds, other)
        if _values(other) < _values(best):
            best = other
    outcome = _outcome(best, watch, moves, restarts)
    proven = all(bounds[level.name] >= level.value for level in best.levels)
    return Outcome(
        schedule=outcome.schedule,
        bounds=bounds,
        proven=proven,
        first_plan_s=first_plan_s,
        moves=moves,
        moves_s=outcome.moves_s,
        restarts=restarts,
        reached=outcome.reached,
    )


def _values(result: Result) -> tuple[int, ...]:
    return tuple(level.value for level in result.levels)


def _bounds(result: Result) -> dict[str, int]:
    return {str(level.name): level.bound for level in result.levels}


def _joined(best: Result, bounds: dict[str, int], other: Result) -> dict[str, int]:
    """Bounds that hold for the better of two results.

    A bound holds among plans that keep the levels before it, so the bounds of both count for a level
    as long as both have the same values before; from there on those of the better one alone.
    """
    better = other if _values(other) < _values(best) else best
    own = _bounds(other) if better is other else bounds
    joined: dict[str, int] = {}
    same = True
    for mine, theirs in zip(best.levels, other.levels, strict=True):
        name = str(mine.name)
        joined[name] = max(bounds[name], theirs.bound) if same else own[name]
        same = same and mine.value == theirs.value
    return joined


def _outcome(result: Result, watch: _Watch, moves: int, restarts: int) -> Outcome:
    watch.note(_values(result))
    return Outcome(
        schedule=result.schedule,
        bounds=_bounds(result),
        proven=result.status is Status.PROVEN,
        first_plan_s=result.first_plan_s,
        moves=moves,
        moves_s=moves / watch.search_s if watch.search_s > 0 else None,
        restarts=restarts,
        reached=watch.reached,
    )
