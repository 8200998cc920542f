"""What may be put down next in the exact search, and the state once it is."""

from __future__ import annotations

from typing import Any

from ..jit import copy, kernel
from ..layout import N_DAY, N_START, WINDOW_SIZE
from .late import late_so_far, too_late
from .layout import (
    A_END,
    A_OPTION,
    A_SINCE,
    A_TASK,
    A_WINDOW,
    BUNDLE,
    C_COLD,
    C_OFF,
    C_ON,
    CANDIDATE,
    CANDIDATE_SIZE,
    CELL,
    CELL_AT,
    CELL_SIZE,
    CHOICE_JOB,
    CHOICES,
    COUNT_MOST,
    F_END,
    F_MOUNTS,
    F_OPTION,
    F_SETUP_START,
    F_START,
    F_TASK,
    G_CANDIDATE_FROM,
    G_CANDIDATE_TO,
    KIND,
    KIND_AT,
    M_DAY,
    M_FIRST,
    M_FREE,
    M_HOLDS,
    M_ROW,
    M_WARM_UP,
    MACHINE_SIZE,
    MACHINES,
    MOST,
    O_MACHINE,
    O_PERSON,
    O_SETUP,
    O_WARM_UP,
    OPTION,
    OPTION_FROM,
    OPTION_SIZE,
    OVERTIME_MOST,
    P_FREE,
    P_WINDOW,
    PATH_SIZE,
    PEOPLE,
    PERSON_SIZE,
    R_CHANGE,
    R_COLD,
    R_END,
    R_MOUNTS,
    R_OVERTIME,
    R_SETUP_START,
    R_START,
    R_WINDOW,
    RARE,
    S_COUNT,
    S_MACHINE,
    S_OVERTIME,
    S_SINCE,
    S_TICKS,
    SETUP_STATES,
    SETUPS,
    STAGE,
    STAGE_SIZE,
    STATE,
    STRIDE,
    T_BUNDLE_FROM,
    T_BUNDLE_TO,
    T_CHOICE,
    T_CLASS,
    T_COOLING,
    T_LATEST,
    TASK,
    TASK_SIZE,
    TICKS_MOST,
    W_CANDIDATE,
    W_CANDIDATES,
    W_NEXT,
    W_PATH,
    W_PLACED,
    W_SETS,
    W_STATE,
    WINDOW,
    WINDOW_FROM,
)
from .place import place
from .state import column_of, jobs_at, sets_to_come, stage_at


@kernel
def spread(day: Any, work: Any, cover: Any, depth: int) -> None:
    """List what may be put down next, by set-up start and end."""
    at = work[W_STATE] + depth * day[STATE]
    sets = sets_to_come(day, work, at)
    column = column_of(day, work, at)
    late = late_so_far(day, work, at)
    begin = work[W_CANDIDATE] + depth * day[MOST] * CANDIDATE_SIZE
    count = 0
    row = work[W_PLACED]
    for choice in range(day[CHOICES]):
        stage = day[STAGE] + work[stage_at(day, at, choice)] * STAGE_SIZE
        for k in range(day[stage + G_CANDIDATE_FROM], day[stage + G_CANDIDATE_TO]):
            task = day[day[CANDIDATE] + 2 * k]
            t = day[TASK] + task * TASK_SIZE
            for option in range(day[day[OPTION_FROM] + task], day[day[OPTION_FROM] + task + 1]):
                o = day[OPTION] + option * OPTION_SIZE
                if too_dear(day, work, cover, at, t, o, sets, column):
                    continue
                person = day[o + O_PERSON]
                p = at + S_MACHINE + day[MACHINES] * MACHINE_SIZE + person * PERSON_SIZE
                for window in range(work[p + P_WINDOW], day[day[WINDOW_FROM] + person + 1]):
                    if day[day[WINDOW] + window * WINDOW_SIZE + N_START] >= day[t + T_LATEST]:
                        break
                    if not place(day, work, at, t, o, window):
                        continue
                    if work[row + R_END] > day[t + T_LATEST]:
                        break
                    if too_late(day, work, at, t, work[row + R_END], late):
                        break
                    if work[row + R_SETUP_START] < work[at + S_SINCE]:
                        continue
                    if not affordable(work, at, row):
                        continue
                    to = begin + CANDIDATE_SIZE * count
                    since, end = work[row + R_SETUP_START], work[row + R_END]
                    # Sorted as they come: there are some dozens.
                    while to > begin and (
                        work[to - CANDIDATE_SIZE + A_SINCE] > since
                        or (
                            work[to - CANDIDATE_SIZE + A_SINCE] == since
                            and work[to - CANDIDATE_SIZE + A_END] > end
                        )
                    ):
                        copy(work, to, work, to - CANDIDATE_SIZE, CANDIDATE_SIZE)
                        to -= CANDIDATE_SIZE
                    work[to + A_SINCE] = since
                    work[to + A_END] = end
                    work[to + A_TASK] = task
                    work[to + A_OPTION] = option
                    work[to + A_WINDOW] = window
                    count += 1
    work[work[W_CANDIDATES] + depth] = count
    work[work[W_NEXT] + depth] = 0


@kernel
def too_dear(day: Any, work: Any, cover: Any, at: int, t: int, o: int, sets: int, column: int) -> bool:
    """Whether a task's changeover, and what must come behind it, is more than may be; whenever it is done.

    Most of what could be put down is seen off by this, before anything is reckoned in time.
    """
    machine, setup = day[o + O_MACHINE], day[o + O_SETUP]
    row = work[at + S_MACHINE + machine * MACHINE_SIZE + M_ROW]
    cell = day[CELL] + day[day[CELL_AT] + machine] + (row * day[day[SETUPS] + machine] + setup) * CELL_SIZE
    ticks = work[at + S_TICKS] + max(day[cell + C_ON], min(day[cell + C_OFF], day[cell + C_COLD]))
    column += (setup - row // 2) * day[day[STRIDE] + machine]
    size = day[SETUP_STATES]
    rest = ~(1 << day[t + T_CLASS])
    for k in range(sets):
        if ticks + cover[(work[work[W_SETS] + k] & rest) * size + column] <= work[TICKS_MOST]:
            return False
    return True


@kernel
def affordable(work: Any, at: int, row: int) -> bool:
    """Whether a placed task keeps the budgets."""
    ticks = work[at + S_TICKS] + work[row + R_CHANGE]
    count = work[at + S_COUNT] + (1 if work[row + R_CHANGE] > 0 else 0)
    over = work[at + S_OVERTIME] + work[row + R_OVERTIME]
    return (  # type: ignore[no-any-return]
        ticks <= work[TICKS_MOST] and count <= work[COUNT_MOST] and over <= work[OVERTIME_MOST]
    )


@kernel
def enter(day: Any, work: Any, depth: int, number: int) -> None:
    """Put a candidate down: the state one deeper."""
    before = work[W_STATE] + depth * day[STATE]
    at = before + day[STATE]
    a = work[W_CANDIDATE] + (depth * day[MOST] + number) * CANDIDATE_SIZE
    task, option, window = work[a + A_TASK], work[a + A_OPTION], work[a + A_WINDOW]
    t = day[TASK] + task * TASK_SIZE
    o = day[OPTION] + option * OPTION_SIZE
    place(day, work, before, t, o, window)
    row = work[W_PLACED]
    copy(work, at, work, before, day[STATE])
    path = work[W_PATH] + PATH_SIZE * depth
    work[path + F_TASK] = task
    work[path + F_OPTION] = option
    work[path + F_SETUP_START] = work[row + R_SETUP_START]
    work[path + F_START] = work[row + R_START]
    work[path + F_END] = work[row + R_END]
    work[path + F_MOUNTS] = work[row + R_MOUNTS]

    work[at + S_TICKS] += work[row + R_CHANGE]
    if work[row + R_CHANGE] > 0:
        work[at + S_COUNT] += 1
    work[at + S_OVERTIME] += work[row + R_OVERTIME]
    work[at + S_SINCE] = work[row + R_SETUP_START]

    machine = day[o + O_MACHINE]
    m = at + S_MACHINE + machine * MACHINE_SIZE
    kind = day[day[KIND] + day[day[KIND_AT] + machine] + day[o + O_SETUP]]
    give_up(day, work, at, machine, kind)
    work[m + M_FREE] = work[row + R_END]
    work[m + M_DAY] = day[day[WINDOW] + window * WINDOW_SIZE + N_DAY]
    work[m + M_ROW] = 2 * day[o + O_SETUP]
    work[m + M_HOLDS] = kind
    if work[row + R_COLD]:
        work[m + M_FIRST] = work[row + R_START]
        work[m + M_WARM_UP] = day[o + O_WARM_UP]
    p = at + S_MACHINE + day[MACHINES] * MACHINE_SIZE + day[o + O_PERSON] * PERSON_SIZE
    work[p + P_FREE] = work[row + R_END]
    work[p + P_WINDOW] = work[row + R_WINDOW]

    bundles = at + S_MACHINE + day[MACHINES] * MACHINE_SIZE + day[PEOPLE] * PERSON_SIZE
    for k in range(day[t + T_BUNDLE_FROM], day[t + T_BUNDLE_TO]):
        work[bundles + day[day[BUNDLE] + k]] = work[row + R_END] + day[t + T_COOLING]
    job = day[day[CHOICE_JOB] + day[t + T_CHOICE]]
    if job >= 0:
        j = jobs_at(day, at) + job
        work[j] = max(work[j], work[row + R_END] + day[t + T_COOLING])
    s = stage_at(day, at, day[t + T_CHOICE])
    stage = day[STAGE] + work[s] * STAGE_SIZE
    for k in range(day[stage + G_CANDIDATE_FROM], day[stage + G_CANDIDATE_TO]):
        if day[day[CANDIDATE] + 2 * k] == task:
            work[s] = day[day[CANDIDATE] + 2 * k + 1]
            break


@kernel
def give_up(day: Any, work: Any, at: int, machine: int, kind: int) -> None:
    """Take the only platen of a kind from the machine that it lies on."""
    if kind < 0 or not day[day[RARE] + kind]:
        return
    for other in range(day[MACHINES]):
        m = at + S_MACHINE + other * MACHINE_SIZE
        if other != machine and work[m + M_HOLDS] == kind:
            work[m + M_HOLDS] = -1
            work[m + M_ROW] = 2 * (work[m + M_ROW] // 2) + 1
