"""One question of the exact search, walked by two threads in step.

Each has its own place in the tree and its own memory. After every so many states both are looked at, and
who has nothing left takes over half of what the other still has at its shallowest open depth. So the answer,
and the plan when there is one, hang on the number of states only, never on which thread was faster.
"""

from __future__ import annotations

from collections.abc import Callable
from concurrent.futures import ThreadPoolExecutor
from typing import Any

from scheduler.engine.backend import Backend
from scheduler.engine.exact.day import ExactDay
from scheduler.engine.exact.plan import Run
from scheduler.engine.kernel.exact import layout

WALKERS = 2

Budgets = tuple[int, int | None, int | None, int | None]
"""Lateness, changeover ticks, how many changeovers, overtime; None for any."""

STATES = 500
"""States that each walks on between two looks at the clock and at each other."""


class Walk:
    """A question under way.

    Parameters
    ----------
    day
        The day of the question.
    budgets
        What a plan may cost at most.
    larger
        Whether a larger memory can be had: then a full one ends the walk.
    backend, ready
        The copy of the kernel to begin with, and where the compiled one comes from when that is plain.

    Attributes
    ----------
    states
        States looked at so far, by both.
    """

    def __init__(
        self,
        day: ExactDay,
        budgets: Budgets,
        larger: bool,
        backend: Backend,
        ready: Callable[[], Backend | None],
    ) -> None:
        self.backend = backend
        self.states = 0
        self._ready = ready
        size = day.day[layout.SLOTS] * layout.SLOT_SIZE
        size += day.day[layout.VECTORS] * (day.day[layout.WORDS] + 1)
        self._memory_size = size
        self._day = backend.frozen(day.day)
        self._cover = backend.zeros(day.covers)
        self._works = [backend.vector(_work(day, budgets, larger))]
        self._memories = [backend.zeros(size)]
        backend.exact.begin_exact(self._day, self._works[0], self._cover)

    def on(self, most: int, over: Callable[[], bool]) -> tuple[int, tuple[Run, ...]]:
        """Walk until the question is answered; returns how it ended, and the plan found.

        Parameters
        ----------
        most
            States after which it ends unanswered.
        """
        with ThreadPoolExecutor(max_workers=WALKERS) as pool:
            while True:
                self._switch()
                busy = [k for k, work in enumerate(self._works) if work[layout.DEPTH] >= 0]
                if not busy:
                    return layout.EXHAUSTED, ()
                share = min(STATES, (most - self.states) // len(busy))
                if share <= 0 or over():
                    return layout.LIMIT, ()
                before = sum(self._works[k][layout.NODES] for k in busy)
                if len(busy) == 1 or self.backend.name == "plain":
                    ends = [self._step(k, share) for k in busy]
                else:
                    ends = list(pool.map(self._step, busy, [share] * len(busy)))
                self.states += sum(self._works[k][layout.NODES] for k in busy) - before
                for k, ended in zip(busy, ends, strict=True):
                    if ended == layout.FOUND:
                        return ended, _path(self._works[k])
                if layout.FULL in ends:
                    return layout.FULL, ()
                self._share_out()

    def _step(self, number: int, states: int) -> int:
        work, memory = self._works[number], self._memories[number]
        ended: int = self.backend.exact.run_exact(self._day, work, self._cover, memory, states)
        return ended

    def _share_out(self) -> None:
        """Give one that has nothing left a part of the other's."""
        busy = [work for work in self._works if work[layout.DEPTH] >= 0]
        if len(busy) != 1:
            return
        giver = busy[0]
        depth = next((d for d in range(giver[layout.DEPTH] + 1) if _open(giver, d)), None)
        if depth is None:
            return
        if len(self._works) < WALKERS:
            self._works.append(self.backend.vector(list(giver)))
            self._works[-1][layout.USED] = 0
            self._memories.append(self.backend.zeros(self._memory_size))
            taker = self._works[-1]
        else:
            taker = next(work for work in self._works if work[layout.DEPTH] < 0)
            used = taker[layout.USED]
            taker[:] = giver
            taker[layout.USED] = used
        first = giver[giver[layout.W_NEXT] + depth]
        cut = first + _open(giver, depth) // 2
        giver[giver[layout.W_CANDIDATES] + depth] = cut
        for shallower in range(depth):
            taker[taker[layout.W_NEXT] + shallower] = taker[taker[layout.W_CANDIDATES] + shallower]
        taker[taker[layout.W_NEXT] + depth] = cut
        taker[layout.DEPTH] = depth

    def _switch(self) -> None:
        """Go over to the compiled copy as soon as that is there."""
        ready = self._ready() if self.backend.name == "plain" else None
        if ready is None:
            return
        self.backend = ready
        self._day = ready.frozen(list(self._day))
        self._cover = ready.vector(list(self._cover))
        self._works = [ready.vector(list(work)) for work in self._works]
        self._memories = [ready.vector(list(memory)) for memory in self._memories]


def _open(work: Any, depth: int) -> int:
    """Candidates of a depth that nobody has looked at."""
    open_ones: int = work[work[layout.W_CANDIDATES] + depth] - work[work[layout.W_NEXT] + depth]
    return open_ones


def _path(work: Any) -> tuple[Run, ...]:
    path, size = work[layout.W_PATH], layout.PATH_SIZE
    begins = range(path, path + size * work[layout.DEPTH], size)
    return tuple(Run(*(int(number) for number in work[at : at + size])) for at in begins)


def _work(day: ExactDay, budgets: Budgets, larger: bool) -> list[int]:
    """What the search writes, before it begins."""
    most, state = day.day[layout.MOST], day.day[layout.STATE]
    deep, jobs = day.depth + 2, day.day[layout.JOBS]
    things = day.day[layout.MACHINES] + day.day[layout.PEOPLE] + day.day[layout.PLATENS]
    weighed = day.day[layout.RELEASES] * day.day[layout.WEIGHTS]
    work = [0] * layout.WORK_HEAD
    columns = (layout.LATE_MOST, layout.TICKS_MOST, layout.COUNT_MOST, layout.OVERTIME_MOST)
    for at, budget in zip(columns, budgets, strict=True):
        work[at] = layout.LOTS if budget is None else budget
    work[layout.COUNTED] = int(budgets[2] is not None)
    work[layout.LARGER] = int(larger)
    for at, size in (
        (layout.W_STATE, deep * state),
        (layout.W_CANDIDATES, deep),
        (layout.W_NEXT, deep),
        (layout.W_CANDIDATE, deep * most * layout.CANDIDATE_SIZE),
        (layout.W_SETS, layout.SETS),
        (layout.W_VECTOR, day.day[layout.WORDS]),
        (layout.W_PLACED, layout.PLACED_SIZE),
        (layout.W_PATH, deep * layout.PATH_SIZE),
        (layout.W_NEED, day.day[layout.WEIGHTS]),
        (layout.W_ROOM, things),
        (layout.W_AHEAD, day.day[layout.MACHINES]),
        (layout.W_HELD, day.day[layout.MACHINES]),
        (layout.W_BEGIN, things),
        (layout.W_OPEN, jobs),
        (layout.W_CHAIN, 2 * jobs),
        (layout.W_JOB_NEED, jobs * weighed),
        (layout.W_SET_NEED, weighed << jobs),
        (layout.W_TILL, 1 << jobs),
        (layout.W_LEAST, 1 << jobs),
        (layout.W_LATER, day.day[layout.RELEASES]),
        (layout.W_TAILS, day.day[layout.CHOICES] * layout.TAIL_SIZE),
        (layout.W_SERIES, 2 << layout.MOST_SERIES),
    ):
        work[at] = len(work)
        work += [0] * size
    begin = work[layout.W_STATE]
    work[begin : begin + state] = day.state
    return work
