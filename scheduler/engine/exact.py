"""Small days proven: level by level, whether any plan is better.

Where a plan is on time and nothing is left over, each level after that is asked in turn: is there a plan
that keeps the levels before and is at least one better here? The exact search (`kernel/exact.py`) finds one
or shows that there is none.
"""

from __future__ import annotations

import logging
from collections.abc import Callable
from dataclasses import dataclass, field
from typing import Any

from scheduler.domain.instance import Instance, Level
from scheduler.domain.schedule import Schedule
from scheduler.engine.backend import Backend, plain
from scheduler.engine.cpsat.values import values_of
from scheduler.engine.exact_day import ExactDay, NotSmallError, lay_out
from scheduler.engine.flat import Flattened, flatten, to_schedule
from scheduler.engine.kernel import exact_layout as layout
from scheduler.engine.line import line_cost
from scheduler.engine.local_search import Line

log = logging.getLogger(__name__)

ASKED: tuple[Level, ...] = ("changeover", "changeovers", "overtime", "finish")
"""Levels that are asked, in order."""

ANY = 1 << 40
"""A budget that holds for every plan."""

PLAIN_STATES, COMPILED_STATES = 100, 20_000
"""States between two looks at the clock."""

MEMORIES = ((1 << 10, 1 << 10), (1 << 15, 1 << 15), (1 << 22, 1 << 22))
"""Room for states, slots and vectors: the next one is taken, and begun from the first, when one is full."""


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
        """A sequence that keeps the levels before this one and is better at it; None: there is none."""
        limits = dict.fromkeys(ASKED, ANY)
        for known in ASKED[: ASKED.index(level) + 1]:
            limits[known] = self.found.values[known] - int(known == level)
        latest = self._latest(limits["finish"])
        for slots, vectors in MEMORIES:
            day = lay_out(self.instance, latest, slots=slots, vectors=vectors)
            last = (slots, vectors) == MEMORIES[-1]
            ended, line = self._run(day, limits, last)
            if ended != layout.FULL:
                return line
        raise _OverError("no more states")

    def taken(self, line: Line) -> bool:
        """Whether a sequence that was found is a better plan by the rules in full; it is taken then."""
        before = tuple(self.found.values[level] for level in self.instance.levels)
        if tuple(line_cost(self.flattened, line)) >= before:
            return False
        self.found.schedule = to_schedule(self.flattened, line.tasks, line.options)
        self.found.values = values_of(self.instance, self.found.schedule)
        return True

    def _latest(self, finish: int) -> list[int]:
        """By task: the latest end with which its order is on time and done by the finish."""
        jobs = {job.id: job for job in self.instance.jobs}
        last = self.instance.heating_days[-1].end
        found = []
        for task in self.instance.tasks:
            job = jobs[task.job]
            due = min(finish, ANY if job.due is None else job.due)
            found.append(max(0, min(last, due - job.packing - task.cooling)))
        return found

    def _run(self, day: ExactDay, limits: dict[Level, int], last: bool) -> tuple[int, Line | None]:
        """Search until something is found, all is looked at, or a memory that is not the last is full."""
        work = _work(day, limits)
        work[layout.LARGER] = int(not last)
        vectors = self._vectors(day, work)
        self.backend.exact.fill_cover(vectors[0], vectors[2])
        if not self.backend.exact.begin_exact(*vectors[:3]):
            return layout.EXHAUSTED, None
        used = 0
        while True:
            vectors = self._switched(vectors)
            chunk = PLAIN_STATES if self.backend.name == "plain" else COMPILED_STATES
            chunk = min(chunk, self.most - self.states - used)
            if chunk <= 0 or self.over():
                self.states += used
                raise _OverError("states or seconds are used up")
            ended = self.backend.exact.run_exact(*vectors, chunk)
            work = vectors[1]
            used = work[layout.NODES]
            if ended != layout.LIMIT:
                self.states += used
                log.info("exact: %s after %s states", ended, used)
                return ended, self._line(work) if ended == layout.FOUND else None

    def _line(self, work: Any) -> Line:
        path = work[layout.W_PATH]
        pairs = [(work[path + 2 * k], work[path + 2 * k + 1]) for k in range(work[layout.DEPTH])]
        return Line(tuple(task for task, _ in pairs), tuple(option for _, option in pairs))

    def _vectors(self, day: ExactDay, work: list[int]) -> tuple[Any, ...]:
        size = day.day[layout.SLOTS] * layout.SLOT_SIZE
        size += day.day[layout.VECTORS] * (day.day[layout.WORDS] + 1)
        backend = self.backend
        cover, memory = backend.zeros(day.covers), backend.zeros(size)
        return backend.frozen(day.day), backend.vector(work), cover, memory

    def _switched(self, vectors: tuple[Any, ...]) -> tuple[Any, ...]:
        """The vectors for the compiled copy, as soon as that is there."""
        ready = self.ready() if self.backend.name == "plain" else None
        if ready is None:
            return vectors
        self.backend = ready
        return (ready.frozen(list(vectors[0])), *(ready.vector(list(vector)) for vector in vectors[1:]))


def _work(day: ExactDay, limits: dict[Level, int]) -> list[int]:
    """What the search writes, before it begins."""
    most, state = day.day[layout.MOST], day.day[layout.STATE]
    deep = day.depth + 2
    work = [0] * layout.WORK_HEAD
    work[layout.TICKS_MOST] = limits["changeover"]
    work[layout.COUNT_MOST] = limits["changeovers"]
    work[layout.OVERTIME_MOST] = limits["overtime"]
    work[layout.COUNTED] = int(limits["changeovers"] < ANY)
    for at, size in (
        (layout.W_STATE, deep * state),
        (layout.W_CANDIDATES, deep),
        (layout.W_NEXT, deep),
        (layout.W_CANDIDATE, deep * most * layout.CANDIDATE_SIZE),
        (layout.W_SETS, layout.SETS),
        (layout.W_VECTOR, day.day[layout.WORDS]),
        (layout.W_PLACED, layout.PLACED_SIZE),
        (layout.W_PATH, 2 * deep),
        (layout.W_NEED, day.day[layout.WEIGHTS]),
        (layout.W_ROOM, day.day[layout.MACHINES] + day.day[layout.PEOPLE]),
    ):
        work[at] = len(work)
        work += [0] * size
    begin = work[layout.W_STATE]
    work[begin : begin + state] = day.state
    return work
