"""Whether a state of the exact search may lead to a plan: what is certainly to come against what there is."""

from __future__ import annotations

from typing import Any

from ..jit import kernel
from .layout import (
    CHOICES,
    COUNT_MOST,
    COUNTED,
    COVERS,
    DEADLINE,
    DEADLINES,
    FIRST_AT,
    G_NEED,
    HOURS,
    M_DAY,
    M_FREE,
    MACHINE_SIZE,
    MACHINES,
    NEED,
    P_FREE,
    PEOPLE,
    PERSON_SIZE,
    S_COUNT,
    S_MACHINE,
    S_SINCE,
    S_TICKS,
    SETUP_STATES,
    STAGE,
    STAGE_SIZE,
    TICKS,
    TICKS_MOST,
    W_NEED,
    W_ROOM,
    W_SETS,
    WEIGHT,
    WEIGHTS,
)
from .state import column_of, sets_to_come, stage_at


@kernel
def hopeful(day: Any, work: Any, cover: Any, at: int) -> bool:
    """Whether what is certainly to come may fit the budgets and the hours."""
    count = sets_to_come(day, work, at)
    column = column_of(day, work, at)
    if work[at + S_TICKS] + least_cover(day, work, cover, count, column, 0) > work[TICKS_MOST]:
        return False
    if work[COUNTED]:
        table = day[COVERS]
        if work[at + S_COUNT] + least_cover(day, work, cover, count, column, table) > work[COUNT_MOST]:
            return False
    return in_time(day, work, at)


@kernel
def least_cover(day: Any, work: Any, cover: Any, count: int, column: int, table: int) -> int:
    """The least that any of the sets costs from here, by a table of `cover`."""
    sets = work[W_SETS]
    size = day[SETUP_STATES]
    least: int = cover[table + work[sets] * size + column]
    for k in range(1, count):
        least = min(least, cover[table + work[sets + k] * size + column])
    return least


@kernel
def in_time(day: Any, work: Any, at: int) -> bool:
    """Whether the work to come by each deadline is no more, however weighted, than the hours till then."""
    since = work[at + S_SINCE]
    machines, people, weights = day[MACHINES], day[PEOPLE], day[WEIGHTS]
    need, room = work[W_NEED], work[W_ROOM]
    for deadline in range(day[DEADLINES]):
        tick = day[day[DEADLINE] + deadline]
        for w in range(weights):
            work[need + w] = 0
        for choice in range(day[CHOICES]):
            stage = day[STAGE] + work[stage_at(day, at, choice)] * STAGE_SIZE
            n = day[stage + G_NEED]
            if n >= 0:
                n += day[NEED] + deadline * weights
                for w in range(weights):
                    work[need + w] += day[n + w]
        for machine in range(machines):
            m = at + S_MACHINE + machine * MACHINE_SIZE
            begin = max(work[m + M_FREE], since)
            if work[m + M_DAY] < 0:
                begin = max(begin, day[day[FIRST_AT] + machine])
            work[room + machine] = max(0, tick - begin)
        for person in range(people):
            p = at + S_MACHINE + machines * MACHINE_SIZE + person * PERSON_SIZE
            begin = max(work[p + P_FREE], since)
            hours = day[HOURS] + person * day[TICKS]
            work[room + machines + person] = max(0, day[hours + tick] - day[hours + begin])
        for w in range(weights):
            if work[need + w] == 0:
                continue
            fits = 0
            of = day[WEIGHT] + w * (machines + people)
            for k in range(machines + people):
                fits += day[of + k] * work[room + k]
            if work[need + w] > fits:
                return False
    return True
