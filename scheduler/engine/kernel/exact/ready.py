"""When what is open of an order can be done at the earliest, all else that is to come left out."""

from __future__ import annotations

from typing import Any

from ..calendar import step_calendar, working_end
from ..jit import kernel
from ..layout import N_BREAK_FROM, N_BREAK_TO, N_DAY, N_DAY_START, N_END, N_START, WINDOW_SIZE
from .layout import (
    BREAK,
    BUNDLE,
    G_WAY_FROM,
    G_WAY_TO,
    LEAST,
    LEAST_AT,
    LEAST_SIZE,
    LOTS,
    M_DAY,
    M_FREE,
    M_ROW,
    MACHINE_SIZE,
    MACHINES,
    O_MACHINE,
    O_PERSON,
    O_SETUP,
    O_WORK,
    OPTION,
    OPTION_FROM,
    OPTION_SIZE,
    P_FREE,
    P_WINDOW,
    PEOPLE,
    PERSON_SIZE,
    S_MACHINE,
    S_SINCE,
    SETUPS,
    STAGE,
    STAGE_SIZE,
    T_BUNDLE_FROM,
    T_BUNDLE_TO,
    T_COOLING,
    T_RELEASE,
    TASK,
    TASK_SIZE,
    W_SERIES,
    WARM_UP,
    WAY,
    WAY_SIZE,
    WAY_TASK,
    WINDOW,
    WINDOW_FROM,
)


@kernel
def choice_ready(day: Any, work: Any, at: int, stage: int) -> int:
    """When a choice can be done and cooled at the earliest, in the best of its open ways."""
    best = LOTS
    s = day[STAGE] + stage * STAGE_SIZE
    for k in range(day[s + G_WAY_FROM], day[s + G_WAY_TO]):
        way = day[WAY] + k * WAY_SIZE
        best = min(best, way_ready(day, work, at, day[way], day[way + 1], day[way + 2]))
    return best


@kernel
def way_ready(day: Any, work: Any, at: int, first: int, last: int, one_by_one: int) -> int:
    """The same of one way: its tasks beside each other, or one after the other in the best order."""
    tasks = day[WAY_TASK] + first
    count = last - first
    ready = 0
    cooling = LOTS
    for k in range(count):
        task = day[tasks + k]
        mine = day[day[TASK] + task * TASK_SIZE + T_COOLING]
        cooling = min(cooling, mine)
        ready = max(ready, earliest(day, work, at, task, 0) + mine)
    if not one_by_one or count == 1:
        return ready
    ends = work[W_SERIES]
    work[ends] = 0
    for some in range(1, 1 << count):
        best = LOTS
        for k in range(count):
            if some >> k & 1:
                best = min(best, earliest(day, work, at, day[tasks + k], work[ends + (some ^ 1 << k)]))
        work[ends + some] = best
    return max(ready, work[ends + (1 << count) - 1] + cooling)  # type: ignore[no-any-return]


@kernel
def earliest(day: Any, work: Any, at: int, task: int, since: int) -> int:
    """The earliest end of a task that begins no earlier than that, whatever comes before it."""
    machines = day[MACHINES]
    t = day[TASK] + task * TASK_SIZE
    people = at + S_MACHINE + machines * MACHINE_SIZE
    ready = max(since, day[t + T_RELEASE])
    for k in range(day[t + T_BUNDLE_FROM], day[t + T_BUNDLE_TO]):
        ready = max(ready, work[people + day[PEOPLE] * PERSON_SIZE + day[day[BUNDLE] + k]])
    best = LOTS
    for option in range(day[day[OPTION_FROM] + task], day[day[OPTION_FROM] + task + 1]):
        o = day[OPTION] + option * OPTION_SIZE
        machine, setup, person = day[o + O_MACHINE], day[o + O_SETUP], day[o + O_PERSON]
        m = at + S_MACHINE + machine * MACHINE_SIZE
        p = people + person * PERSON_SIZE
        # Whoever sets the machine up for it, by whatever way, does so before.
        by_hand = day[LEAST] + 2 * day[LEAST_SIZE] + day[day[LEAST_AT] + machine]
        by_hand += work[m + M_ROW] // 2 * day[day[SETUPS] + machine] + setup
        lower = max(work[m + M_FREE], work[at + S_SINCE]) + day[by_hand]
        lower = max(max(lower, ready), work[p + P_FREE])
        if lower >= best:
            continue
        for window in range(work[p + P_WINDOW], day[day[WINDOW_FROM] + person + 1]):
            n = day[WINDOW] + window * WINDOW_SIZE
            start = max(lower, day[n + N_START])
            if start >= best:
                break
            if work[m + M_DAY] != day[n + N_DAY]:
                start = max(start, day[n + N_DAY_START] + day[day[WARM_UP] + machine])
            breaks_from = day[BREAK] + 2 * day[n + N_BREAK_FROM]
            breaks_to = day[BREAK] + 2 * day[n + N_BREAK_TO]
            start = step_calendar(day, breaks_from, breaks_to, start, 0)
            end = working_end(day, breaks_from, breaks_to, start, day[o + O_WORK])
            if end <= day[n + N_END]:
                best = min(best, end)
                break
    return best
