"""Lateness in the exact search: what it is so far, and the least that it can come to.

In whatever sequence the open orders are done, the last of some is done no earlier than all their work,
however weighted, fits into the hours. The best sequence is found over sets of orders (Held and Karp, as in
`engine/late_orders.py`).
"""

from __future__ import annotations

from typing import Any

from ..jit import kernel
from .layout import (
    CHOICE_JOB,
    CHOICES,
    DEADLINES,
    FIRST_AT,
    G_DONE,
    G_LONGEST,
    G_NEED,
    G_SHORTEST,
    HOURS,
    JOB_DUE,
    JOB_READY,
    JOB_WEIGHT,
    JOBS,
    LATE_MOST,
    LOTS,
    M_DAY,
    M_FREE,
    MACHINE_SIZE,
    MACHINES,
    NEED,
    P_FREE,
    PEOPLE,
    PERSON_SIZE,
    PRESENT,
    S_MACHINE,
    S_SINCE,
    STAGE,
    STAGE_SIZE,
    T_CHOICE,
    T_COOLING,
    TICKS,
    W_BEGIN,
    W_CHAIN,
    W_JOB_NEED,
    W_LEAST,
    W_OPEN,
    W_SET_NEED,
    W_TILL,
    WEIGHT,
    WEIGHT_SUM,
    WEIGHTS,
)
from .state import jobs_at, stage_at

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
def least_late(day: Any, work: Any, at: int) -> int:
    """The least that the lateness of all orders can come to; never more than it is in any plan."""
    jobs, weights = day[JOBS], day[WEIGHTS]
    if not jobs:
        return 0
    free_from(day, work, at)
    late, count = open_jobs(day, work, at)
    if late > work[LATE_MOST] or count == 0:
        return late
    jobs_open, ready, least, till = work[W_OPEN], work[W_CHAIN], work[W_LEAST], work[W_TILL]
    needs, own = work[W_SET_NEED], work[W_JOB_NEED]
    sure = 0
    for k in range(count):
        job = work[jobs_open + k]
        sure += day[day[JOB_WEIGHT] + job] * max(0, work[ready + job] - day[day[JOB_DUE] + job])
    late -= sure
    work[least] = 0
    work[till] = 0
    for w in range(weights):
        work[needs + w] = 0
    for some in range(1, 1 << count):
        low = 0
        while not some >> low & 1:
            low += 1
        rest = needs + (some & (some - 1)) * weights
        mine = own + work[jobs_open + low] * weights
        for w in range(weights):
            work[needs + some * weights + w] = work[rest + w] + work[mine + w]
        tick = 0
        for k in range(count):
            if some >> k & 1:
                tick = max(tick, work[till + (some ^ (1 << k))])
        tick = fits_by(day, work, needs + some * weights, tick)
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
    there.
    """
    jobs, weights = day[JOBS], day[WEIGHTS]
    chain, longest, own = work[W_CHAIN], work[W_CHAIN] + jobs, work[W_JOB_NEED]
    for k in range(2 * jobs):
        work[chain + k] = -1
    for k in range(jobs * weights):
        work[own + k] = 0
    last = (day[DEADLINES] - 1) * weights
    for choice in range(day[CHOICES]):
        job = day[day[CHOICE_JOB] + choice]
        stage = day[STAGE] + work[stage_at(day, at, choice)] * STAGE_SIZE
        if job < 0 or day[stage + G_DONE]:
            continue
        work[chain + job] = max(0, work[chain + job]) + day[stage + G_SHORTEST]
        work[longest + job] = max(work[longest + job], day[stage + G_LONGEST] - day[stage + G_SHORTEST])
        n = day[NEED] + day[stage + G_NEED] + last
        for w in range(weights):
            work[own + job * weights + w] += day[n + w]
    anybody = LOTS
    for person in range(day[PEOPLE]):
        begin = work[work[W_BEGIN] + day[MACHINES] + person]
        anybody = min(anybody, day[day[PRESENT] + person * day[TICKS] + begin])
    ends = jobs_at(day, at)
    count = late = 0
    for job in range(jobs):
        end = work[ends + job]
        if work[chain + job] >= 0:
            end = max(end, anybody + work[chain + job] + work[longest + job])
            end = max(end, day[day[JOB_READY] + job])
            work[chain + job] = end
            work[work[W_OPEN] + count] = job
            count += 1
        late += day[day[JOB_WEIGHT] + job] * max(0, end - day[day[JOB_DUE] + job])
    return late, count


@kernel
def free_from(day: Any, work: Any, at: int) -> None:
    """When each machine and person may begin something."""
    since = work[at + S_SINCE]
    begins = work[W_BEGIN]
    for machine in range(day[MACHINES]):
        m = at + S_MACHINE + machine * MACHINE_SIZE
        begin = max(work[m + M_FREE], since)
        if work[m + M_DAY] < 0:
            begin = max(begin, day[day[FIRST_AT] + machine])
        work[begins + machine] = begin
    for person in range(day[PEOPLE]):
        p = at + S_MACHINE + day[MACHINES] * MACHINE_SIZE + person * PERSON_SIZE
        work[begins + day[MACHINES] + person] = max(work[p + P_FREE], since)


@kernel
def fits_by(day: Any, work: Any, need: int, tick: int) -> int:
    """A tick before which some work doesn't fit into the hours, however weighted; no earlier than `tick`."""
    machines, people, ticks = day[MACHINES], day[PEOPLE], day[TICKS]
    begins = work[W_BEGIN]
    room = begins + machines + people
    for _ in range(STEPS):
        for machine in range(machines):
            work[room + machine] = max(0, tick - work[begins + machine])
        for person in range(people):
            hours = day[HOURS] + person * ticks
            before = day[hours + work[begins + machines + person]]
            work[room + machines + person] = max(0, day[hours + tick] - before)
        step = 0
        of = day[WEIGHT]
        for w in range(day[WEIGHTS]):
            lacks = work[need + w]
            for k in range(machines + people):
                lacks -= day[of + k] * work[room + k]
            of += machines + people
            if lacks > 0:
                step = max(step, (lacks + day[day[WEIGHT_SUM] + w] - 1) // day[day[WEIGHT_SUM] + w])
        if step == 0:
            return tick
        if tick + step >= ticks:
            return LOTS
        tick += step
    return tick
