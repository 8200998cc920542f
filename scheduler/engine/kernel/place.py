"""Placing a task: `place` finds its earliest start by all rules, `put_down` makes it part of the state.

`t`, `o`, `m`, `p`, `n` and `j` are where the records of a task, an option, a machine, an operator, a
window and a job begin.
"""

from __future__ import annotations

from typing import Any

from scheduler.domain.instance import MOVED_PLACE

from .beside import mate_of, place_both, put_down_mate, without_mate
from .calendar import overtime_ticks, step_calendar, working_end
from .jit import kernel
from .layout import (
    AT_BUNDLE_FREE,
    AT_COST,
    AT_JOB_READY,
    AT_MACHINE,
    AT_OPERATOR,
    AT_TASK_READY,
    AT_TOKEN,
    BREAK,
    BUNDLE,
    CHANGE,
    CHANGEOVER,
    CHANGEOVERS,
    DONE,
    END,
    FINISH,
    J_LATEST,
    J_PACKING,
    J_WEIGHT,
    JOB_RECORD,
    JOB_SIZE,
    K_FREE,
    LATENESS,
    LEFT_OVER,
    M_DAY,
    M_TOKEN,
    MACHINE_SIZE,
    MATED,
    MINUTE,
    MOUNTS,
    MOVED,
    N_BREAK_FROM,
    N_BREAK_TO,
    N_DAY,
    N_DAY_START,
    N_END,
    N_PAID,
    N_START,
    NOT_PRINTED,
    O_COLUMN,
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
    OPTION_RECORD,
    OPTION_SIZE,
    OVERTIME,
    OVERTIME_TICKS,
    P_FREE,
    P_WINDOW,
    PRINTED_BEFORE,
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
    WARM_END,
    WARM_START,
    WARMING,
    WINDOW,
    WINDOW_FROM,
    WINDOW_RECORD,
    WINDOW_SIZE,
)
from .occupy import heat, moved, occupy
from .steps import (
    step_changeover,
    step_coverage,
    step_garments,
    step_operators,
    step_platens,
    step_precedence,
    step_press,
    step_release,
    step_warm_up,
)


@kernel
def place(
    flat: Any, state: Any, present: Any, present_at: int, task: int, option: int, rows: Any, at: int
) -> bool:
    """Find the earliest place for a task behind what is there; fills the row at `rows[at:]`.

    False: it fits nowhere.
    """
    rows[at + DONE] = 0
    if flat[MATED]:
        without_mate(rows, at)
    t = flat[TASK_RECORD] + task * TASK_SIZE
    if not step_coverage(flat, state, present, present_at, task, t):
        return False
    ready = step_garments(flat, state, t, step_release(flat, t))
    ready = step_precedence(flat, state, present, present_at, t, ready)
    if mate_of(flat, option) >= 0:
        return place_both(flat, state, option, ready, rows, at)
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
    token = -1
    mounts = 0
    if platen >= 0:
        token = step_platens(flat, state, m, platen, lower, -1)
        if token < 0:
            return False
        if token != state[m + M_TOKEN]:
            mounts = 1
            lower = max(lower, state[flat[AT_TOKEN] + token * TOKEN_SIZE + K_FREE])
    column = flat[o + O_COLUMN]
    hands_on = step_changeover(flat, state, machine, m, option, column, mounts, ON)

    last_day = state[m + M_DAY]
    for window in range(state[p + P_WINDOW], flat[flat[WINDOW_FROM] + owner + 1]):
        n = flat[WINDOW_RECORD] + window * WINDOW_SIZE
        if flat[n + N_END] <= lower:
            continue
        cold = last_day != flat[n + N_DAY]
        kind = OFF_WHEN_COLD if cold else OFF
        hands_off = step_changeover(flat, state, machine, m, option, column, mounts, kind)
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
        breaks_from = flat[BREAK] + 2 * flat[n + N_BREAK_FROM]
        breaks_to = flat[BREAK] + 2 * flat[n + N_BREAK_TO]
        setup_start = max(max(lower, flat[n + N_START]), first - hands_on)
        setup_start = step_calendar(flat, breaks_from, breaks_to, setup_start, hands_on)
        start = setup_start + hands_on
        end = working_end(flat, breaks_from, breaks_to, start, work)
        # A run of no length that begins as the day ends isn't in it.
        if end > flat[n + N_END] or setup_start >= flat[n + N_END]:
            continue
        rows[at + DONE] = 1
        rows[at + SETUP_START] = setup_start
        rows[at + START] = start
        rows[at + END] = end
        rows[at + MOUNTS] = mounts
        rows[at + TOKEN] = token
        rows[at + CHANGE] = max(hands_on, hands_off)
        rows[at + OVERTIME_TICKS] = overtime_ticks(
            flat, breaks_from, breaks_to, flat[n + N_PAID], setup_start, end
        )
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
    owner = flat[o + O_OWNER]
    end = rows[at + END]
    if owner < flat[OPERATORS]:
        p = flat[AT_OPERATOR] + owner * OPERATOR_SIZE
        state[p + P_FREE] = end
        state[p + P_WINDOW] = rows[at + WINDOW]
    if flat[MINUTE]:
        m = flat[AT_MACHINE] + machine * MACHINE_SIZE
        state[cost + MOVED] += moved(flat, state, m, task, option, rows[at + START])
    day = flat[flat[WINDOW_RECORD] + rows[at + WINDOW] * WINDOW_SIZE + N_DAY]
    row, row_given_up, token = flat[o + O_ROW], flat[o + O_ROW_GIVEN_UP], rows[at + TOKEN]
    occupy(flat, state, machine, task, option, end, day, row, row_given_up, token, flat[o + O_PLATEN])
    heat(flat, state, machine, rows[at + WARM_START], rows[at + WARM_END])
    if mate_of(flat, option) >= 0:
        put_down_mate(flat, state, task, option, rows, at)

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
