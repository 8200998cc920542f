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
from scheduler.engine.cpsat.values import values_of
from scheduler.engine.exact.day import lay_out
from scheduler.engine.exact.refused import NotSmallError
from scheduler.engine.exact.walk import Walk
from scheduler.engine.flat import Flattened, flatten, to_schedule
from scheduler.engine.kernel.exact import layout
from scheduler.engine.line import line_cost
from scheduler.engine.local_search import Line

log = logging.getLogger(__name__)

ASKED: tuple[Level, ...] = ("changeover", "changeovers", "overtime", "finish")
"""Levels that are asked, in order."""

MEMORIES = ((1 << 10, 1 << 10), (1 << 15, 1 << 15), (1 << 21, 1 << 21))
"""Room for states, slots and vectors, of each walker; when one is full, the next one begins anew."""


@dataclass(slots=True)
class Shown:
    """What the exact search came to.

    Attributes
    ----------
    schedule, values
        The best schedule, and its levels.
    proven
        Levels at which nothing better is possible, given those before.
    states
        States looked at.
    """

    schedule: Schedule
    values: dict[Level, int]
    proven: set[Level] = field(default_factory=set)
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
        Bounds known already, by level; what stands before the changeovers must be settled by them.
    most
        States to look at, of all levels together.
    over
        Asked now and then; True ends the search.
    ready
        The compiled copy of the kernel once it can be had; until then the plain one works.
    """
    found = Shown(schedule, values_of(instance, schedule))
    if instance.levels != LEVELS:
        return found
    settled = all(shown[level] >= found.values[level] for level in ("left_over", "lateness"))
    if not settled or found.values["left_over"] or found.values["lateness"] or most <= 0:
        return found
    asking = _Asking(instance, found, most, over, ready)
    try:
        for level in ASKED:
            while shown[level] < found.values[level]:
                better = asking.better_at(level)
                if better is None:
                    found.proven.add(level)
                    break
                if not asking.taken(better):
                    raise _OverError("a sequence found is no better plan")
            else:
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
        self.states = 0

    def better_at(self, level: Level) -> Line | None:
        """A sequence that keeps the levels before this one and is better at it; None: there is none.

        Raises
        ------
        NotSmallError, _OverError
            When there is no answer.
        """
        limits: dict[Level, int | None] = dict.fromkeys(ASKED)
        for known in ASKED[: ASKED.index(level) + 1]:
            limits[known] = self.found.values[known] - int(known == level)
        budgets = limits["changeover"], limits["changeovers"], limits["overtime"]
        latest = self._latest(limits["finish"])
        for slots, vectors in MEMORIES:
            day = lay_out(self.instance, latest, slots=slots, vectors=vectors)
            larger = (slots, vectors) != MEMORIES[-1]
            walk = Walk(day, budgets, larger, self.backend, self.ready)
            ended, path = walk.on(self.most - self.states, self.over)
            self.states += walk.states
            self.backend = walk.backend
            if ended == layout.LIMIT:
                raise _OverError("states or seconds are used up")
            if ended != layout.FULL:
                log.info("%s: %s after %s states", level, "better" if path else "none", walk.states)
                return Line(*zip(*path, strict=True)) if path else None
        raise AssertionError("the largest memory is never full")

    def taken(self, line: Line) -> bool:
        """Whether a sequence that was found is a better plan by the rules in full; it is taken then."""
        before = tuple(self.found.values[level] for level in self.instance.levels)
        if tuple(line_cost(self.flattened, line)) >= before:
            return False
        self.found.schedule = to_schedule(self.flattened, line.tasks, line.options)
        self.found.values = values_of(self.instance, self.found.schedule)
        return True

    def _latest(self, finish: int | None) -> list[int]:
        """By task: the latest end with which its order is on time and done by the finish."""
        jobs = {job.id: job for job in self.instance.jobs}
        last = self.instance.heating_days[-1].end
        found = []
        for task in self.instance.tasks:
            job = jobs[task.job]
            ends = [tick - job.packing - task.cooling for tick in (finish, job.due) if tick is not None]
            found.append(max(0, min([last, *ends])))
        return found
