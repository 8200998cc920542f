"""Small days proven: level by level, whether any plan is better.

Where a plan is on time and nothing is left over, each level after that is asked in turn: is there a plan
that keeps the levels before and is at least one better here? The exact search (`kernel/exact/search.py`)
finds one or shows that there is none.
"""

from __future__ import annotations

import logging
from collections.abc import Callable
from dataclasses import dataclass, field

from scheduler.domain.instance import LEVELS, Instance, Level
from scheduler.domain.schedule import Schedule
from scheduler.engine.backend import Backend, plain
from scheduler.engine.bounds import latest_ends, still_valid
from scheduler.engine.chains import OrderChains
from scheduler.engine.cpsat.values import values_of, vector
from scheduler.engine.exact.day import lay_out
from scheduler.engine.exact.plan import Run, plan_of
from scheduler.engine.exact.refused import MOST_TICKS, NotSmallError
from scheduler.engine.exact.walk import Walk
from scheduler.engine.flat import Flattened, flatten, to_schedule
from scheduler.engine.kernel.exact import layout
from scheduler.engine.line import line_cost
from scheduler.engine.local_search import Line

log = logging.getLogger(__name__)

ASKED: tuple[Level, ...] = ("lateness", "changeover", "changeovers", "overtime", "finish")
"""Levels that are asked, in order."""

AHEAD = 4
"""Of what lies between its bound and its value, a level of time is asked to be one part in so many better."""

STEPS = 8
"""The same of lateness, counted from its bound."""

LATE_NEAR = 40
"""Its last question is asked once a step is less than one part in so many of the lateness."""

LATE_SHARE, LATE_LAST = 128, 8
"""By what the states are divided for a question about lateness: one on the way, and the last."""

MEMORIES = ((1 << 10, 1 << 10), (1 << 15, 1 << 15), (1 << 21, 1 << 21))
"""Room for states, slots and vectors, of each walker; when one is full, the next one begins anew."""

MEMORY_LATE = 1 << 20
"""The most of both where orders may be late: vectors are longer then, and questions shorter."""


@dataclass(slots=True)
class Shown:
    """What the exact search came to.

    Attributes
    ----------
    schedule, values
        The best schedule, and its levels.
    proven
        Levels at which nothing better is possible, given those before.
    bounds
        What was shown of levels that were asked, proven or not.
    states
        States looked at.
    """

    schedule: Schedule
    values: dict[Level, int]
    proven: set[Level] = field(default_factory=set)
    bounds: dict[Level, int] = field(default_factory=dict)
    states: int = 0


def prove_small(
    instance: Instance,
    schedule: Schedule,
    shown: dict[Level, int],
    most: int,
    over: Callable[[], bool],
    ready: Callable[[], Backend | None] = lambda: None,
) -> Shown:
    """Ask the levels one after the other; returns a schedule that is no worse.

    Parameters
    ----------
    shown
        Bounds known already, by level, among plans that keep the levels before at the schedule's; nothing may
        be left over, and shown to be.
    most
        States to look at, of all levels together.
    over
        Asked now and then; True ends the search.
    ready
        The compiled copy of the kernel once it can be had; until then the plain one works.
    """
    given = values_of(instance, schedule)
    found = Shown(schedule, given)
    if instance.levels != LEVELS:
        return found
    settled = shown["left_over"] >= found.values["left_over"]
    fits_lanes = all(found.values[level] < MOST_TICKS for level in ASKED)
    if not settled or found.values["left_over"] or not fits_lanes or most <= 0:
        return found
    asking = _Asking(instance, found, most, over, ready)
    try:
        for level in ASKED:
            asking.settle(level, still_valid(instance, shown, given, found.values).get(level, 0))
            found.proven.add(level)
    except (NotSmallError, _OverError) as why:
        log.info("the exact search ends: %s", why)
    found.states = asking.states
    return found


class _OverError(Exception):
    """Raised when states or seconds are used up."""


class _Asking:
    """The search behind the questions about one day."""

    def __init__(
        self,
        instance: Instance,
        found: Shown,
        most: int,
        over: Callable[[], bool],
        ready: Callable[[], Backend | None],
    ) -> None:
        self.instance = instance
        self.found = found
        self.most = most
        self.over = over
        self.ready = ready
        self.backend = ready() or plain()
        self.flattened: Flattened = flatten(instance)
        self.chains = OrderChains(instance)
        self.states = 0

    def settle(self, level: Level, bound: int) -> None:
        """Ask a level until its value is the least; `bound` is known of it.

        Raises
        ------
        NotSmallError, _OverError
            When a question has no answer.
        """
        none_before = False
        while bound < self.found.values[level]:
            aim, share = self._aim(level, bound, none_before)
            better = self.better_at(level, aim, self.most // share)
            none_before = better is None
            if better is None:
                bound = aim + 1
                self.found.bounds[level] = bound
            elif not self.taken(better):
                raise _OverError("a sequence found is no better plan")

    def _aim(self, level: Level, bound: int, none_before: bool) -> tuple[int, int]:
        """What a level is asked to be at most, and by what to divide the states for that question.

        Lateness step by step from below, since most late days are never proven. The levels of time some way
        below their value, so that a much better plan saves questions; once, since nearly the same question
        twice costs twice as much. The others just below it: less changeover is no easier refuted.
        """
        best = self.found.values[level] - 1
        if level == "lateness":
            step = (best - bound) // STEPS
            return (best, LATE_LAST) if step < best // LATE_NEAR else (bound + step, LATE_SHARE)
        if level in ("overtime", "finish") and not none_before:
            return best - (best - bound) // AHEAD, 1
        return best, 1

    def better_at(self, level: Level, aim: int, most: int) -> tuple[Run, ...] | None:
        """A plan that keeps the levels before this one and is no more than `aim` at it; None: there is none.

        Parameters
        ----------
        most
            States for this question.

        Raises
        ------
        NotSmallError, _OverError
            When there is no answer.
        """
        most = min(self.most, self.states + most)
        limits: dict[Level, int | None] = dict.fromkeys(ASKED)
        for known in ASKED[: ASKED.index(level)]:
            limits[known] = self.found.values[known]
        limits[level] = aim
        late = limits["lateness"] or 0
        budgets = late, limits["changeover"], limits["changeovers"], limits["overtime"]
        latest = self._latest(limits["finish"], late)
        room = MEMORY_LATE if late else MEMORIES[-1][1]
        for slots, vectors in MEMORIES:
            day = lay_out(
                self.instance,
                latest,
                slots=min(slots, room),
                vectors=min(vectors, room),
                alone=self._alone() if late else None,
            )
            larger = (slots, vectors) != MEMORIES[-1]
            walk = Walk(day, budgets, larger, self.backend, self.ready)
            ended, path = walk.on(most - self.states, self.over)
            self.states += walk.states
            self.backend = walk.backend
            if ended == layout.LIMIT:
                raise _OverError("states or seconds are used up")
            if ended != layout.FULL:
                log.info("%s: %s after %s states", level, "better" if path else "none", walk.states)
                return path or None
        raise AssertionError("the largest memory is never full")

    def taken(self, runs: tuple[Run, ...]) -> bool:
        """Whether what was found is a better plan by the rules in full; it is taken then.

        As decoded, or with the times that the search found, where the decoder doesn't reach them.
        """
        line = Line(tuple(run.task for run in runs), tuple(run.option for run in runs))
        if tuple(line_cost(self.flattened, line)) < vector(self.instance, self.found.schedule):
            self._take(to_schedule(self.flattened, line.tasks, line.options))
            return True
        plan = plan_of(self.instance, self.flattened, runs)
        if plan is None or vector(self.instance, plan) >= vector(self.instance, self.found.schedule):
            return False

        from scheduler.engine.cpsat.solve import accepts

        if not accepts(self.instance, plan):
            return False
        self._take(plan)
        return True

    def _take(self, plan: Schedule) -> None:
        self.found.schedule, self.found.values = plan, values_of(self.instance, plan)

    def _alone(self) -> dict[str, int]:
        """When each order is finished at the earliest, all others left out."""
        ways = ((job.id, self.chains.finish(job)) for job in self.instance.jobs)
        return {name: 0 if way is None else way.finish for name, way in ways}

    def _latest(self, finish: int | None, late: int) -> list[int]:
        """By task: the latest end with which all orders are no later than that, and done by the finish."""
        by_task = latest_ends(self.instance, {"left_over": 0, "lateness": late}, self.chains)
        packing = {job.id: job.packing for job in self.instance.jobs}
        last = self.instance.heating_days[-1].end
        found = []
        for task in self.instance.tasks:
            ends = [last, by_task[task.id]]
            if finish is not None:
                ends.append(finish - packing[task.job] - task.cooling)
            found.append(max(0, min(ends)))
        return found
