"""Placing a task: `place` finds its earliest start by all rules, `put_down` makes it part of the state.

`t`, `o`, `m`, `p`, `n` and `j` are where the records of a task, an option, a machine, an operator, a
window and a job begin.
"""

from __future__ import annotations

from typing import Any

from scheduler.domain.instance import MOVED_LATER, MOVED_ORDER, MOVED_PLACE

from .jit import kernel
from .layout import (
    AT_BUNDLE_FREE,
    AT_COST,
    AT_JOB_READY,
    AT_LOOSE,
    AT_MACHINE,
    AT_OPERATOR,
    AT_TASK_READY,
    AT_TOKEN,
    AT_WARM,
    AT_WARM_COUNT,
    BUNDLE,
    CHANGE,
    CHANGEOVER,
    CHANGEOVERS,
    CIRCUIT,
    DONE,
    END,
    FINISH,
    J_LATEST,
    J_PACKING,
    J_WEIGHT,
    JOB_RECORD,
    JOB_SIZE,
    K_FREE,
    K_PLACE,
    LATENESS,
    LEFT_OVER,
    LOOSE,
    LOOSE_PART,
    M_DAY,
    M_FREE,
    M_KIND,
    M_LAST,
    M_ROW,
    M_ROW_GIVEN_UP,
    M_TOKEN,
    MACHINE_SIZE,
    MINUTE,
    MOUNTS,
    MOVED,
    N_DAY,
    N_DAY_START,
    N_END,
    N_START,
    NOT_PRINTED,
    O_MACHINE,
    O_OWNER,
    O_PLATEN,
    O_ROW,
    O_ROW_GIVEN_UP,
    O_WARM_UP,
    O_WORK,
    OFF,
    OFF_WHEN_COLD,
    ON,
    OPERATOR_SIZE,
    OPERATORS,
    OPTION_MOVED,
    OPTION_RECORD,
    OPTION_SIZE,
    OPTION_STATE,
    OVERTIME,
    OVERTIME_TICKS,
    P_FREE,
    P_WINDOW,
    PARTS,
    PRINTED_BEFORE,
    PRINTED_START,
    SETUP_START,
    START,
    T_BUNDLE_FROM,
    T_BUNDLE_TO,
    T_COOLING,
    T_JOB,
    T_PRESSINGS,
    TASK_RECORD,
    TASK_SIZE,
    TOKEN,
    TOKEN_SIZE,
    WARM_AT,
    WARM_END,
    WARM_START,
    WARMING,
    WATTS,
    WINDOW,
    WINDOW_FROM,
    WINDOW_RECORD,
    WINDOW_SIZE,
)
from .steps import (
    overtime_ticks,
    step_calendar,
    step_changeover,
    step_coverage,
    step_garments,
    step_operators,
    step_platens,
    step_precedence,
    step_press,
    step_release,
    step_warm_up,
    working_end,
)


@kernel
def place(
    flat: Any, state: Any, present: Any, present_at: int, task: int, option: int, rows: Any, at: int
) -> bool:
    """Find the earliest place for a task behind what is there; fills the row at `rows[at:]`.

    False: it fits nowhere.
    """
    rows[at + DONE] = 0
    t = flat[TASK_RECORD] + task * TASK_SIZE
    if not step_coverage(flat, state, present, present_at, task, t):
        return False
    o = flat[OPTION_RECORD] + option * OPTION_SIZE
    machine = flat[o + O_MACHINE]
    m = flat[AT_MACHINE] + machine * MACHINE_SIZE
    owner = flat[o + O_OWNER]
    p = flat[AT_OPERATOR] + owner * OPERATOR_SIZE
    platen = flat[o + O_PLATEN]
    work = flat[o + O_WORK]
    warm_up = flat[o + O_WARM_UP]

    machine_free = step_press(state, m)
    lower = max(machine_free, step_operators(state, p))
    ready = step_garments(flat, state, t, step_release(flat, t))
    ready = step_precedence(flat, state, present, present_at, t, ready)

    token = -1
    mounts = 0
    if platen >= 0:
        token = step_platens(flat, state, m, platen, lower)
        if token < 0:
            return False
        if token != state[m + M_TOKEN]:
            mounts = 1
            lower = max(lower, state[flat[AT_TOKEN] + token * TOKEN_SIZE + K_FREE])
    hands_on = step_changeover(flat, state, machine, m, option, mounts, ON)

    last_day = state[m + M_DAY]
    for window in range(state[p + P_WINDOW], flat[flat[WINDOW_FROM] + owner + 1]):
        n = flat[WINDOW_RECORD] + window * WINDOW_SIZE
        if flat[n + N_END] <= lower:
            continue
        cold = last_day != flat[n + N_DAY]
        hands_off = step_changeover(flat, state, machine, m, option, mounts, OFF_WHEN_COLD if cold else OFF)
        first = ready
        if last_day >= 0:
            first = max(first, machine_free + hands_off)
        heat_from = 0
        begun = -1
        if cold and warm_up > 0:
            if last_day < 0 and flat[n + N_DAY] == 0:
                begun = flat[flat[WARMING] + machine]
            heat_from = max(flat[n + N_DAY_START], machine_free)
            heating = begun if begun >= 0 else step_warm_up(flat, state, machine, warm_up, heat_from, -1)
            first = max(first, heating + warm_up)
        setup_start = max(max(lower, flat[n + N_START]), first - hands_on)
        setup_start = step_calendar(flat, n, setup_start, hands_on)
        start = setup_start + hands_on
        end = working_end(flat, n, start, work)
        if end > flat[n + N_END]:
            continue
        rows[at + DONE] = 1
        rows[at + SETUP_START] = setup_start
        rows[at + START] = start
        rows[at + END] = end
        rows[at + MOUNTS] = mounts
        rows[at + TOKEN] = token
        rows[at + CHANGE] = max(hands_on, hands_off)
        rows[at + OVERTIME_TICKS] = overtime_ticks(flat, n, setup_start, end)
        rows[at + WINDOW] = window
        rows[at + WARM_START] = -1
        rows[at + WARM_END] = -1
        if cold and warm_up > 0:
            heating = begun if begun >= 0 else step_warm_up(flat, state, machine, warm_up, heat_from, start)
            rows[at + WARM_START] = heating
            rows[at + WARM_END] = heating + warm_up
        return True
    return False


@kernel
def put_down(flat: Any, state: Any, task: int, option: int, rows: Any, at: int) -> None:
    """Make a placed task part of the state, and count its cost; a task that fits nowhere is left over."""
    cost = flat[AT_COST]
    t = flat[TASK_RECORD] + task * TASK_SIZE
    if not rows[at + DONE]:
        state[cost + LEFT_OVER] += flat[t + T_PRESSINGS]
        if flat[MINUTE] and flat[flat[PRINTED_BEFORE] + task] != NOT_PRINTED:
            state[cost + MOVED] += MOVED_PLACE
        return
    o = flat[OPTION_RECORD] + option * OPTION_SIZE
    machine = flat[o + O_MACHINE]
    m = flat[AT_MACHINE] + machine * MACHINE_SIZE
    owner = flat[o + O_OWNER]
    end = rows[at + END]
    if owner < flat[OPERATORS]:
        p = flat[AT_OPERATOR] + owner * OPERATOR_SIZE
        state[p + P_FREE] = end
        state[p + P_WINDOW] = rows[at + WINDOW]
    state[m + M_FREE] = end
    state[m + M_DAY] = flat[flat[WINDOW_RECORD] + rows[at + WINDOW] * WINDOW_SIZE + N_DAY]
    state[m + M_ROW] = flat[o + O_ROW]
    state[m + M_ROW_GIVEN_UP] = flat[o + O_ROW_GIVEN_UP]
    loose = flat[LOOSE]
    for k in range(loose):
        value = flat[flat[OPTION_STATE] + option * flat[PARTS] + flat[flat[LOOSE_PART] + k]]
        state[flat[AT_LOOSE] + machine * loose + k] = value
    move_token(flat, state, machine, m, rows[at + TOKEN], flat[o + O_PLATEN], end)
    if flat[MINUTE]:
        state[cost + MOVED] += moved(flat, state, m, task, option, rows[at + START])
    state[m + M_LAST] = task
    if rows[at + WARM_START] >= 0 and rows[at + WARM_START] != flat[flat[WARMING] + machine]:
        heat(flat, state, machine, rows[at + WARM_START], rows[at + WARM_END])

    ready = end + flat[t + T_COOLING]
    for k in range(flat[t + T_BUNDLE_FROM], flat[t + T_BUNDLE_TO]):
        state[flat[AT_BUNDLE_FREE] + flat[flat[BUNDLE] + k]] = ready
    state[flat[AT_TASK_READY] + task] = ready
    job = flat[t + T_JOB]
    was = state[flat[AT_JOB_READY] + job]
    if ready > was:
        state[flat[AT_JOB_READY] + job] = ready
        j = flat[JOB_RECORD] + job * JOB_SIZE
        since = flat[j + J_LATEST]
        if was >= 0:
            since = max(since, was)
        late = max(0, ready - since)
        state[cost + LATENESS] += flat[j + J_WEIGHT] * late
        state[cost + FINISH] = max(state[cost + FINISH], ready + flat[j + J_PACKING])
    if rows[at + CHANGE] > 0:
        state[cost + CHANGEOVER] += rows[at + CHANGE]
        state[cost + CHANGEOVERS] += 1
    state[cost + OVERTIME] += rows[at + OVERTIME_TICKS]


@kernel
def moved(flat: Any, state: Any, m: int, task: int, option: int, start: int) -> int:
    """Points of a task for standing elsewhere than on the sheets in hand, before it is put down."""
    points = flat[flat[OPTION_MOVED] + option]
    before = flat[flat[PRINTED_BEFORE] + task]
    if points > 0 or before == NOT_PRINTED:
        return points  # type: ignore[no-any-return]
    if state[m + M_LAST] != before:
        points += MOVED_ORDER
    later = max(0, start - flat[flat[PRINTED_START] + task]) // flat[MINUTE]
    return points + min(MOVED_LATER, later)  # type: ignore[no-any-return]


@kernel
def move_token(flat: Any, state: Any, machine: int, m: int, token: int, kind: int, end: int) -> None:
    """Leave a platen (or none, -1) on the machine, in use until `end`."""
    mounted = state[m + M_TOKEN]
    if token >= 0:
        at = flat[AT_TOKEN] + token * TOKEN_SIZE
        state[at + K_FREE] = end
        idle_on = state[at + K_PLACE]
        if idle_on >= 0 and idle_on != machine:
            other = flat[AT_MACHINE] + idle_on * MACHINE_SIZE
            state[other + M_TOKEN] = -1
            state[other + M_KIND] = -1
        state[at + K_PLACE] = machine
    if mounted != token:
        if mounted >= 0:
            state[flat[AT_TOKEN] + mounted * TOKEN_SIZE + K_PLACE] = -1
        state[m + M_TOKEN] = token
        state[m + M_KIND] = kind


@kernel
def heat(flat: Any, state: Any, machine: int, start: int, end: int) -> None:
    """Note a warm-up on the machine's circuit."""
    circuit = flat[flat[CIRCUIT] + machine]
    if circuit < 0:
        return
    count = state[flat[AT_WARM_COUNT] + circuit]
    at = flat[AT_WARM] + 3 * (flat[flat[WARM_AT] + circuit] + count)
    state[at] = start
    state[at + 1] = end
    state[at + 2] = flat[flat[WATTS] + machine]
    state[flat[AT_WARM_COUNT] + circuit] = count + 1
