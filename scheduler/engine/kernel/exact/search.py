"""Exact search of a small day: whether any plan costs no more than so much.

Depth first over sequences by set-up start, each task put down as early as `place.py` allows. A state is
left when what is certainly to come doesn't fit the budget of changeovers or the hours, or when a state
seen before has done the same and is ahead of it everywhere. The search can be broken off and taken up again
after any number of states, since all it knows is in `work` and `memory`.
"""

from __future__ import annotations

from typing import Any

from ..jit import kernel
from .cover import fill_cover
from .descend import enter, spread
from .fits import hopeful
from .late import least_late
from .layout import (
    CHOICES,
    DEPTH,
    EXHAUSTED,
    FOUND,
    FULL,
    G_DONE,
    LARGER,
    LATE_MOST,
    LIMIT,
    NODES,
    STAGE,
    STAGE_SIZE,
    STATE,
    USED,
    VECTORS,
    W_CANDIDATES,
    W_NEXT,
    W_STATE,
)
from .memory import seen_before
from .state import stage_at
from .tails import fill_tails


@kernel
def run_exact(day: Any, work: Any, cover: Any, memory: Any, most: int) -> int:
    """Search on for at most so many states; returns how it ended, see `LIMIT` in the layout.

    After `FOUND` the sequence is in `work[W_PATH]`, as long as the depth; the search can't go on then.
    """
    until = work[NODES] + most
    while work[DEPTH] >= 0:
        if work[NODES] >= until:
            return LIMIT
        depth = work[DEPTH]
        if work[work[W_NEXT] + depth] >= work[work[W_CANDIDATES] + depth]:
            work[DEPTH] = depth - 1
            continue
        number = work[work[W_NEXT] + depth]
        work[work[W_NEXT] + depth] = number + 1
        enter(day, work, depth, number)
        at = work[W_STATE] + (depth + 1) * day[STATE]
        if not hopeful(day, work, cover, at):
            continue
        if seen_before(day, work, memory, at):
            continue
        if least_late(day, work, cover, at) > work[LATE_MOST]:
            continue
        work[NODES] += 1
        work[DEPTH] = depth + 1
        if complete(day, work, at):
            return FOUND
        spread(day, work, cover, depth + 1)
        if work[LARGER] and work[USED] + 1 >= day[VECTORS]:
            return FULL
    return EXHAUSTED


@kernel
def begin_exact(day: Any, work: Any, cover: Any) -> int:
    """Fill the tables of covers and look at the empty state; returns 1 unless nothing is to be hoped for."""
    fill_cover(day, cover)
    fill_tails(day, work, cover)
    work[NODES] = 0
    work[DEPTH] = 0
    if (
        not hopeful(day, work, cover, work[W_STATE])
        or least_late(day, work, cover, work[W_STATE]) > work[LATE_MOST]
    ):
        work[DEPTH] = -1
        return 0
    spread(day, work, cover, 0)
    return 1


@kernel
def complete(day: Any, work: Any, at: int) -> bool:
    """Whether every choice is carried out."""
    for choice in range(day[CHOICES]):
        stage = day[STAGE] + work[stage_at(day, at, choice)] * STAGE_SIZE
        if not day[stage + G_DONE]:
            return False
    return True
