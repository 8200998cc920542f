"""How the engine's parts are combined: first plan, local search, CP-SAT, bounds."""

from __future__ import annotations

import logging
import time
from collections.abc import Callable, Sequence
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass

from scheduler.domain.instance import Instance, Level
from scheduler.domain.schedule import Result, Schedule, status_of
from scheduler.engine.apart import ApartChain, apart
from scheduler.engine.backend import Backend, Compiler, plain
from scheduler.engine.baseline import as_they_come_line
from scheduler.engine.bounds import known_bounds, least_over_options
from scheduler.engine.chains import OrderChains
from scheduler.engine.clock import Clock
from scheduler.engine.dispatching import first_lines, rules_for
from scheduler.engine.effort import EFFORTS, Effort
from scheduler.engine.flat import Flattened, flatten, to_schedule
from scheduler.engine.insert import inserted
from scheduler.engine.judged import judged
from scheduler.engine.line import line_cost, line_of
from scheduler.engine.local_search import Chain, Cost, Line
from scheduler.engine.pace import AnyChain, Pace
from scheduler.engine.prove import job_shop, prove
from scheduler.engine.tempering import TemperedChain, worth_tempering
from scheduler.engine.tidy import tidied, tidy

log = logging.getLogger(__name__)


CORES = 2
"""Chains that run at a time, once compiled."""

LARGE = 200_000
"""Options (a task, one of its modes, an operator) beyond which the first plan waits for machine code to be
loaded, and what arithmetic says of the day waits for the search."""

SEARCH_SHARE = 0.8
"""Share of the seconds after which the search stops, to leave time for bounds."""

SEARCH_SHARE_SHORT = 0.95
"""The same where what is left would not do to load the constraint model."""

MODEL_S = 0.4
"""Seconds that loading the constraint model takes."""

SEARCH_SHARE_ALONE = 0.4
"""The same on job shops whose finish counts, where CP-SAT gets further than the search."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Progress:
    """What the search knows at a moment; `values` and `bounds` are in the levels' own units."""

    elapsed_s: float
    values: dict[Level, int]
    bounds: dict[Level, int]
    moves: int
    note: str = ""


Listener = Callable[[Progress], None]


def solve(
    instance: Instance,
    *,
    effort: str | Effort = "normal",
    seconds: float | None = None,
    seed: int = 1,
    near: Schedule | None = None,
    known: Schedule | None = None,
    progress: Listener | None = None,
    stop: Callable[[], bool] | None = None,
) -> Result:
    """The best schedule that the effort finds, with a bound for each level.

    Parameters
    ----------
    effort
        "quick", "normal" or "thorough": amounts of moves and of CP-SAT's deterministic units. With
        the same instance and seed the same effort gives the same schedule. Or amounts of one's own.
    seconds
        Wall-clock safety stop; None: that of the effort. A search that it ends is marked
        `stopped_early`.
    seed
        At least 0.
    near
        A schedule of some of the tasks that obeys the rules, such as the rest of what is printed: the
        search begins with what is missing put into it, and one chain never leaves it for anything worse.
    known
        A schedule of the whole instance that obeys the rules: a start like those of the dispatching rules,
        and nothing worse comes out.
    progress
        Called now and then from this thread.
    stop
        Asked now and then; True ends the search, and the best schedule so far is returned.

    Raises
    ------
    ValueError
        When the effort has no such name.
    """
    if isinstance(effort, str) and effort not in EFFORTS:
        raise ValueError(f"effort {effort!r}: one of {', '.join(EFFORTS)}")
    chosen, name = (EFFORTS[effort], effort) if isinstance(effort, str) else (effort, "")
    first_of_all = next((level for level in instance.levels if level != "left_over"), None)
    by_model = job_shop(instance) and first_of_all == "finish"
    limit_s = chosen.seconds if seconds is None else seconds
    share = SEARCH_SHARE if (1 - SEARCH_SHARE) * limit_s > MODEL_S else SEARCH_SHARE_SHORT
    clock = Clock(limit_s, stop, SEARCH_SHARE_ALONE if by_model else share)
    return _Search(instance, chosen, name, seed, clock, progress, near, known).run()


class _Search:
    """One call of `solve`."""

    def __init__(
        self,
        instance: Instance,
        effort: Effort,
        name: str,
        seed: int,
        clock: Clock,
        progress: Listener | None,
        near: Schedule | None = None,
        known: Schedule | None = None,
    ) -> None:
        self.instance = instance
        self.near = near
        self.known = known
        self.chains: OrderChains | None = None
        self.effort = effort
        self.name = name
        self.seed = seed
        self.clock = clock
        self.progress = progress
        self.flattened: Flattened = flatten(instance)
        self.bounds: dict[Level, int] = {}
        self.best: Line = Line((), ())
        self.cost: Cost = ()
        self.moves = 0
        size = len(self.flattened.tasks)
        self.large = len(self.flattened.columns["option_work"]) > LARGE
        runs = sum(least_over_options(instance, {task.id: 1 for task in instance.tasks}).values())
        self.most_chains, budget = effort.chains_and_moves(size, size if near else runs)
        self.pace = Pace(budget, size, clock)
        self.first_plan_s = 0.0

    def run(self) -> Result:
        self._start()
        self._search()
        self.best, self.cost = tidy(self.flattened, self.best, self.cost, self.clock.over)
        searched = to_schedule(self.flattened, self.best.tasks, self.best.options)
        self._tell("proving")
        units = self.effort.deterministic if self.clock.left_s() > MODEL_S else 0.0
        found = prove(
            self.instance,
            searched,
            units,
            self.seed,
            self.clock.over,
            self.chains,
            states=self.effort.states,
            ready=self.compiler.backend,
        )
        if found[0] != searched:
            found = tidied(self.flattened, *found, self.clock.over)
        schedule, levels = judged(self.instance, searched, *found)
        # Who watches sees the result last, and not a plan on the way to it.
        self._tell_of(
            {level.name: level.value for level in levels},
            {level.name: level.bound for level in levels},
            "ended",
        )
        return Result(
            status=status_of(levels),
            schedule=schedule,
            levels=levels,
            seed=self.seed,
            effort=self.name,
            moves=self.moves,
            first_plan_s=self.first_plan_s,
            runtime_s=self.clock.elapsed_s,
            stopped_early=self.clock.stopped,
            time_limit_s=self.clock.limit_s,
        )

    def _keep(self, line: Line, cost: Cost) -> bool:
        if self.cost and cost >= self.cost:
            return False
        self.best, self.cost = line, cost
        return True

    def _tell(self, note: str) -> None:
        self._tell_of(dict(zip(self.instance.levels, self.cost, strict=True)), dict(self.bounds), note)

    def _tell_of(self, values: dict[Level, int], bounds: dict[Level, int], note: str) -> None:
        if self.progress is not None:
            self.progress(
                Progress(
                    elapsed_s=self.clock.elapsed_s,
                    values=values,
                    bounds=bounds,
                    moves=self.moves,
                    note=note,
                )
            )

    def _start(self) -> None:
        """The orders as they come, then dispatching rules."""
        self.compiler = Compiler()
        # Loading machine code takes longer than a small day's first plan, and less than a large one's.
        ready = self.compiler.backend() if self.large else None
        if self.near is None:
            line = as_they_come_line(self.flattened, ready)
        else:
            line = inserted(self.flattened, self.near, self.clock.search_over)
        self._keep(line, line_cost(self.flattened, line))
        if self.known is not None:
            others = line_of(self.flattened, self.known)
            self._keep(others, line_cost(self.flattened, others))
        self.first_plan_s = self.clock.elapsed_s
        self._look_at_bounds()
        self._tell("first plan")
        self.backend: Backend = ready or self.compiler.backend() or plain()
        self.starts = [line] if self.known is None else [line, others]
        if len(self.flattened.tasks) > 1 and self.near is None:
            before = self.cost
            found = first_lines(
                self.flattened,
                self.backend,
                limit=rules_for(self.flattened, self.effort.rules),
                over=self.clock.search_over,
                switch=lambda backend: self.compiler.backend() or backend,
            )
            for line in found:
                self._keep(line, line_cost(self.flattened, line))
            lines = [*found, *self.starts]
            self.starts = sorted(lines, key=lambda line: line_cost(self.flattened, line))
            # Plans that leave less over have tighter bounds.
            left_over = self.instance.levels.index("left_over")
            if self.cost[left_over] < before[left_over]:
                self._look_at_bounds()
            self._tell("dispatched")

    def _look_at_bounds(self) -> None:
        """What arithmetic says of the plan so far; on a large day only once the search is under way."""
        if not self.large:
            self.bounds = self._known_bounds()

    def _look_at_bounds_at_last(self) -> None:
        """The same, put off until now."""
        if not self.bounds:
            self.bounds = self._known_bounds()

    def _known_bounds(self) -> dict[Level, int]:
        if self.chains is None:
            self.chains = OrderChains(self.instance)
        values = dict(zip(self.instance.levels, self.cost, strict=True))
        return known_bounds(self.instance, values, self.chains)

    def _search(self) -> None:
        """Chains of local search; on two threads once the compiled kernel is there."""
        if len(self.flattened.tasks) < 2 or self.clock.search_over():
            return
        backend = self.backend
        chains = self._chains(backend)
        with ThreadPoolExecutor(max_workers=CORES) as pool:
            while not self.clock.search_over():
                left = [chain for chain in chains if chain.moves < self.pace.budget]
                if not left:
                    break
                if backend.name == "plain":
                    backend = self.compiler.backend() or backend
                    for chain in left:
                        chain.switch(backend)
                running = left[:CORES]
                before = [chain.moves for chain in running]
                seconds = self._one_round(running, pool)
                if seconds and (backend.name != "plain" or self.compiler.hopeless):
                    self.pace.aim(running, before, seconds)
                self.moves = sum(chain.moves for chain in chains)
                for chain in chains:
                    self._keep(chain.best, chain.cost)
                self._tell("searching")
        # Not what was kept on the way: which of two equals came first depends on how the moves were cut up.
        first = min(chains, key=lambda chain: chain.cost)
        if first.cost <= self.cost:
            self.best, self.cost = first.best, first.cost

    def _chains(self, backend: Backend) -> Sequence[AnyChain]:
        """The chains of the effort, of the kind that suits the instance.

        Later ones begin from other rules, so that they don't all climb the same hill.
        """
        starts = [self.starts[number % len(self.starts)] for number in range(self.most_chains)]
        machines = apart(self.flattened) if self.near is None else None
        left_over = self.instance.levels.index("left_over")
        if machines is not None and not any(line_cost(self.flattened, start)[left_over] for start in starts):
            return [
                ApartChain(machines, start, seed=self.seed + number, backend=backend)
                for number, start in enumerate(starts)
            ]
        if self.near is None and worth_tempering(self.flattened, self.pace.foreseen, len(starts[0].tasks)):
            return [
                TemperedChain(
                    self.flattened,
                    self.starts[number:] + self.starts[:number],
                    seed=self.seed + number,
                    backend=backend,
                    budget=self.pace.budget,
                )
                for number in range(self.most_chains)
            ]
        return [
            Chain(
                self.flattened,
                start,
                seed=self.seed + number,
                backend=backend,
                greedy=self.near is not None and number == 0,
                budget=self.pace.budget,
            )
            for number, start in enumerate(starts)
        ]

    def _one_round(self, chains: Sequence[AnyChain], pool: ThreadPoolExecutor) -> float:
        """Some moves of each chain.

        Returns how many seconds they took; 0 when something else went on beside, which slows them.
        """
        pieces = list(zip(chains, self.pace.moves(chains), strict=True))
        alone = bool(self.bounds)
        begun = time.perf_counter()
        if chains[0].backend.name == "plain":
            # The interpreter runs one thread at a time: taking turns is faster.
            for chain, moves in pieces:
                chain.run(moves)
        else:
            rounds = [pool.submit(chain.run, moves) for chain, moves in pieces]
            self._look_at_bounds_at_last()  # compiled chains leave the interpreter to this thread
            for running in rounds:
                running.result()
        seconds = time.perf_counter() - begun
        self._look_at_bounds_at_last()
        return seconds if alone else 0.0


__all__ = ["EFFORTS", "Effort", "Progress", "solve"]
