"""Lateness in the exact search: what it is so far, and the least that it can come to.

In whatever sequence the open orders are done, the last of some is done no earlier than all their work,
however weighted, fits into the hours. The best sequence is found over sets of orders (Held and Karp, as in
`engine/late_orders.py`).
"""

from __future__ import annotations

from typing import Any

from ..jit import kernel
from .fits import least_by_hand
from .free import room_between, weighed_room
from .layout import (
    CHOICE_JOB,
    CHOICES,
    DEADLINES,
    G_DONE,
    G_LONGEST,
    G_NEED,
    G_SHORTEST,
    HAND_WEIGHT,
    JOB_CLASSES,
    JOB_DUE,
    JOB_READY,
    JOB_WEIGHT,
    JOBS,
    LATE_MOST,
    LOTS,
    MACHINES,
    NEED,
    PEOPLE,
    PRESENT,
    RELEASE,
    RELEASES,
    STAGE,
    STAGE_SIZE,
    T_CHOICE,
    T_COOLING,
    TAIL,
    TAIL_RATE,
    TAIL_RELEASE,
    TAIL_SIZE,
    TICKS,
    W_BEGIN,
    W_CHAIN,
    W_JOB_NEED,
    W_LATER,
    W_LEAST,
    W_OPEN,
    W_SET_NEED,
    W_TAILS,
    W_TILL,
    WEIGHT_SUM,
    WEIGHTS,
)
from .ready import choice_ready
from .state import column_of, jobs_at, sets_to_come, stage_at
from .tails import tail_by

STEPS = 8
"""Steps in which the tick is looked for at which some work fits; fewer only make the bound weaker."""


@kernel
def late_so_far(day: Any, work: Any, at: int) -> int:
    """Weighted lateness of what is done."""
    late = 0
    ends = jobs_at(day, at)
    for job in range(day[JOBS]):
        late += day[day[JOB_WEIGHT] + job] * max(0, work[ends + job] - day[day[JOB_DUE] + job])
    return late


@kernel
def too_late(day: Any, work: Any, at: int, t: int, end: int, late: int) -> bool:
    """Whether a task that ends then makes its order so late that it is more than may be."""
    job = day[day[CHOICE_JOB] + day[t + T_CHOICE]]
    if job < 0:
        return False
    before = work[jobs_at(day, at) + job]
    due = day[day[JOB_DUE] + job]
    more = max(0, end + day[t + T_COOLING] - due) - max(0, before - due)
    return late + day[day[JOB_WEIGHT] + job] * more > work[LATE_MOST]  # type: ignore[no-any-return]


@kernel
def least_late(day: Any, work: Any, cover: Any, at: int) -> int:
    """The least that the lateness of all orders can come to; never more than it is in any plan.

    `free_from` comes before it.
    """
    jobs, weights = day[JOBS], day[WEIGHTS]
    if not jobs:
        return 0
    late, count = open_jobs(day, work, at)
    if late > work[LATE_MOST] or count == 0:
        return late
    size = day[RELEASES] * weights
    jobs_open, ready, least, till = work[W_OPEN], work[W_CHAIN], work[W_LEAST], work[W_TILL]
    needs, own = work[W_SET_NEED], work[W_JOB_NEED]
    sets, column = sets_to_come(day, work, at), column_of(day, work, at)
    sure = 0
    for k in range(count):
        job = work[jobs_open + k]
        sure += day[day[JOB_WEIGHT] + job] * max(0, work[ready + job] - day[day[JOB_DUE] + job])
    for release in range(day[RELEASES]):
        later = 0
        for k in range(count):
            if release == 0 or work[own + work[jobs_open + k] * size + release * weights] > 0:
                later |= 1 << k
        work[work[W_LATER] + release] = later
    tails = open_tails(day, work, at, count)
    late -= sure
    work[least] = 0
    work[till] = 0
    for k in range(size):
        work[needs + k] = 0
    for some in range(1, 1 << count):
        low = 0
        while not some >> low & 1:
            low += 1
        rest = needs + (some & (some - 1)) * size
        mine = own + work[jobs_open + low] * size
        for k in range(size):
            work[needs + some * size + k] = work[rest + k] + work[mine + k]
        tick = classes = 0
        before = LOTS
        for k in range(count):
            if some >> k & 1:
                tick = max(tick, work[till + (some ^ (1 << k))])
                before = min(before, work[least + (some ^ (1 << k))])
                classes |= day[day[JOB_CLASSES] + work[jobs_open + k]]
        if late + before > work[LATE_MOST]:
            # Whatever comes last of these, it is too late before.
            work[till + some] = tick
            work[least + some] = LOTS
            continue
        by_hand = least_by_hand(day, work, cover, sets, column, classes)
        for release in range(day[RELEASES]):
            # Without an order that has no work from then on it is the same.
            if some & ~work[work[W_LATER] + release]:
                continue
            tick = fits_by(
                day,
                work,
                cover,
                at,
                some,
                needs + some * size + release * weights,
                release,
                by_hand,
                tails,
                tick,
            )
            by_hand = 0
        best = LOTS
        for k in range(count):
            if some >> k & 1:
                job = work[jobs_open + k]
                over = max(0, max(tick, work[ready + job]) - day[day[JOB_DUE] + job])
                best = min(best, work[least + (some ^ (1 << k))] + day[day[JOB_WEIGHT] + job] * over)
        work[till + some] = tick
        work[least + some] = best
    return late + work[least + (1 << count) - 1]  # type: ignore[no-any-return]


@kernel
def open_jobs(day: Any, work: Any, at: int) -> tuple[int, int]:
    """Lateness for sure, and how many orders are open; what each still needs goes to the scratch columns.

    No order is ready before its chain of work could be done alone, from the first moment that somebody is
    there, nor before any of its choices could.
    """
    jobs, weights = day[JOBS], day[WEIGHTS]
    size = day[RELEASES] * weights
    chain, longest, own = work[W_CHAIN], work[W_CHAIN] + jobs, work[W_JOB_NEED]
    ends = jobs_at(day, at)
    for k in range(2 * jobs):
        work[chain + k] = -1
    for k in range(jobs * size):
        work[own + k] = 0
    anybody = LOTS
    for person in range(day[PEOPLE]):
        begin = work[work[W_BEGIN] + day[MACHINES] + person]
        anybody = min(anybody, day[day[PRESENT] + person * day[TICKS] + begin])
    for choice in range(day[CHOICES]):
        job = day[day[CHOICE_JOB] + choice]
        number = work[stage_at(day, at, choice)]
        stage = day[STAGE] + number * STAGE_SIZE
        if job < 0 or day[stage + G_DONE]:
            continue
        work[chain + job] = max(0, work[chain + job]) + day[stage + G_SHORTEST]
        work[longest + job] = max(work[longest + job], day[stage + G_LONGEST] - day[stage + G_SHORTEST])
        for release in range(day[RELEASES]):
            n = day[NEED] + day[stage + G_NEED] + ((release + 1) * day[DEADLINES] - 1) * weights
            to = own + job * size + release * weights
            for w in range(weights):
                work[to + w] += day[n + w]
    count = late = 0
    for job in range(jobs):
        end = work[ends + job]
        if work[chain + job] >= 0:
            end = max(end, anybody + work[chain + job] + work[longest + job])
            end = max(end, day[day[JOB_READY] + job])
            for choice in range(day[CHOICES]):
                if day[day[CHOICE_JOB] + choice] == job:
                    number = work[stage_at(day, at, choice)]
                    if not day[day[STAGE] + number * STAGE_SIZE + G_DONE]:
                        end = max(end, choice_ready(day, work, at, number))
            work[chain + job] = end
            work[work[W_OPEN] + count] = job
            count += 1
        late += day[day[JOB_WEIGHT] + job] * max(0, end - day[day[JOB_DUE] + job])
    return late, count


@kernel
def open_tails(day: Any, work: Any, at: int, count: int) -> int:
    """List the open choices whose tasks must come one after the other, and how many there are."""
    tails = work[W_TAILS]
    found = 0
    for k in range(count):
        job = work[work[W_OPEN] + k]
        for choice in range(day[CHOICES]):
            if day[day[CHOICE_JOB] + choice] != job or not day[day[TAIL] + choice]:
                continue
            if day[day[STAGE] + work[stage_at(day, at, choice)] * STAGE_SIZE + G_DONE]:
                continue
            t = tails + TAIL_SIZE * found
            work[t] = choice
            work[t + 1] = 1 << k
            found += 1
    return found


@kernel
def fits_by(
    day: Any,
    work: Any,
    cover: Any,
    at: int,
    some: int,
    need: int,
    release: int,
    by_hand: int,
    tails: int,
    tick: int,
) -> int:
    """A tick before which the work of some orders doesn't fit into the hours from a release on.

    However weighted, and no earlier than `tick`. Of other orders' work, what must be done one after the
    other and has no time for all of it behind that tick, must fit in too.
    """
    # The first weighting is the crew's: without work for them there is none.
    if work[need] == 0:
        return tick
    room_between(day, work, day[day[RELEASE] + release], tick)
    for w in range(day[WEIGHTS]):
        needed = work[need + w] + day[day[HAND_WEIGHT] + w] * by_hand
        if needed == 0:
            continue
        for _ in range(STEPS):
            lacks = needed - weighed_room(day, work, w)
            for k in range(tails):
                t = work[W_TAILS] + TAIL_SIZE * k
                if not work[t + 1] & some and day[day[TAIL_RELEASE] + work[t]] >= day[day[RELEASE] + release]:
                    least = tail_by(day, work, cover, at, work[t], tick)
                    lacks += least * day[day[TAIL_RATE] + work[t] * day[WEIGHTS] + w]
            if lacks <= 0:
                break
            tick += (lacks + day[day[WEIGHT_SUM] + w] - 1) // day[day[WEIGHT_SUM] + w]
            if tick >= day[TICKS]:
                return LOTS
            room_between(day, work, day[day[RELEASE] + release], tick)
    return tick
