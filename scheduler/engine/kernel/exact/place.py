"""Placing a task in the exact search: as early as the rules allow.

A reading of the rules that is never later than the decoder's (`kernel/place.py`), so that what it finds
impossible is so. It is narrower, for small days that begin in the morning: one machine a task, and no
task that must follow another. It lets two warm-ups change places, and takes no platen from anybody of
whose kind there are several.
"""

from __future__ import annotations

from typing import Any

from ..calendar import overtime_ticks, step_calendar, working_end
from ..jit import kernel
from ..layout import N_BREAK_FROM, N_BREAK_TO, N_DAY, N_DAY_START, N_END, N_PAID, N_START, WINDOW_SIZE
from .layout import (
    AGAINST,
    BREAK,
    BUNDLE,
    C_COLD,
    C_MOUNTS,
    C_OFF,
    C_ON,
    CELL,
    CELL_AT,
    CELL_SIZE,
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
    O_MACHINE,
    O_PERSON,
    O_SETUP,
    O_WARM_UP,
    O_WORK,
    P_FREE,
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
    S_MACHINE,
    SETUPS,
    T_BUNDLE_FROM,
    T_BUNDLE_TO,
    T_RELEASE,
    W_PLACED,
    WINDOW,
)


@kernel
def place(day: Any, work: Any, at: int, t: int, o: int, window: int) -> bool:
    """Fill the scratch row with the earliest place of an option within a window; False: none.

    `at`, `t` and `o` are where the state and the records of the task and the option begin.
    """
    machines = day[MACHINES]
    machine = day[o + O_MACHINE]
    setup = day[o + O_SETUP]
    m = at + S_MACHINE + machine * MACHINE_SIZE
    p = at + S_MACHINE + machines * MACHINE_SIZE + day[o + O_PERSON] * PERSON_SIZE
    bundles = at + S_MACHINE + machines * MACHINE_SIZE + day[PEOPLE] * PERSON_SIZE
    n = day[WINDOW] + window * WINDOW_SIZE

    ready = day[t + T_RELEASE]
    for k in range(day[t + T_BUNDLE_FROM], day[t + T_BUNDLE_TO]):
        ready = max(ready, work[bundles + day[day[BUNDLE] + k]])
    free = work[m + M_FREE]
    lower = max(free, work[p + P_FREE])
    cell = day[CELL] + day[day[CELL_AT] + machine]
    cell += (work[m + M_ROW] * day[day[SETUPS] + machine] + setup) * CELL_SIZE
    if day[cell + C_MOUNTS]:
        lower = max(lower, platen_free(day, work, at, machine, setup))
    if day[n + N_END] <= lower:
        return False
    hands_on = day[cell + C_ON]
    cold = work[m + M_DAY] != day[n + N_DAY]
    hands_off = day[cell + (C_COLD if cold else C_OFF)]
    if work[m + M_DAY] >= 0:
        ready = max(ready, free + hands_off)
    warm_up = day[o + O_WARM_UP]
    if cold and warm_up > 0:
        ready = max(ready, max(day[n + N_DAY_START], free) + warm_up)

    breaks_from = day[BREAK] + 2 * day[n + N_BREAK_FROM]
    breaks_to = day[BREAK] + 2 * day[n + N_BREAK_TO]
    setup_start = max(max(lower, day[n + N_START]), ready - hands_on)
    setup_start = step_calendar(day, breaks_from, breaks_to, setup_start, hands_on)
    if cold and warm_up > 0:
        heated = heated_by(day, work, at, machine, warm_up, n, setup_start + hands_on)
        if heated > setup_start + hands_on:
            setup_start = step_calendar(day, breaks_from, breaks_to, heated - hands_on, hands_on)
    start = setup_start + hands_on
    end = working_end(day, breaks_from, breaks_to, start, day[o + O_WORK])
    if end > day[n + N_END]:
        return False
    row = work[W_PLACED]
    work[row + R_SETUP_START] = setup_start
    work[row + R_START] = start
    work[row + R_END] = end
    work[row + R_CHANGE] = max(hands_on, hands_off)
    work[row + R_OVERTIME] = overtime_ticks(day, breaks_from, breaks_to, day[n + N_PAID], setup_start, end)
    work[row + R_WINDOW] = window
    work[row + R_COLD] = 1 if cold else 0
    work[row + R_MOUNTS] = day[cell + C_MOUNTS]
    return True


@kernel
def platen_free(day: Any, work: Any, at: int, machine: int, setup: int) -> int:
    """When the only platen of a setup's kind is out of use on another machine."""
    kind = day[day[KIND] + day[day[KIND_AT] + machine] + setup]
    tick = 0
    if kind >= 0 and day[day[RARE] + kind]:
        for other in range(day[MACHINES]):
            m = at + S_MACHINE + other * MACHINE_SIZE
            if other != machine and work[m + M_HOLDS] == kind:
                tick = max(tick, work[m + M_FREE])
    return tick


@kernel
def heated_by(day: Any, work: Any, at: int, machine: int, warm_up: int, n: int, start: int) -> int:
    """The earliest start of pressing that the circuit leaves to a cold machine, from `start` on.

    Of two that can't heat up together, the later one to press has waited for both; in whichever order.
    """
    for other in range(day[MACHINES]):
        m = at + S_MACHINE + other * MACHINE_SIZE
        if not day[day[AGAINST] + machine] >> other & 1 or work[m + M_DAY] != day[n + N_DAY]:
            continue
        both = day[n + N_DAY_START] + warm_up + work[m + M_WARM_UP]
        if max(start, work[m + M_FIRST]) < both:
            start = both
    return start
