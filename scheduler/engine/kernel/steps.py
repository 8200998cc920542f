"""One step of the decoder for each rule: how a task is put behind what is already there.

Each `step_<rule>` is the decoder's reading of the rule of that name in docs/model.md. `place` finds
the earliest start by all of them, `put_down` makes it part of the state.

`t`, `o`, `m`, `p` and `n` are where the records of a task, an option, a machine, an operator and a
window begin.
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
    BEFORE,
    BREAK,
    BUNDLE,
    CELL,
    CHANGE,
    CHANGEOVER,
    CHANGEOVERS,
    CIRCUIT,
    DONE,
    END,
    FINISH,
    GOES_WITH_PLATEN,
    J_LATEST,
    J_PACKING,
    J_WEIGHT,
    JOB_RECORD,
    JOB_SIZE,
    K_FREE,
    K_PLACE,
    LATENESS,
    LEFT_OVER,
    LIMIT_W,
    LOOSE,
    LOOSE_COUNTS,
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
    N_BREAK_FROM,
    N_BREAK_TO,
    N_DAY,
    N_DAY_START,
    N_END,
    N_PAID,
    N_START,
    NOT_PRINTED,
    NOT_YET,
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
    OPTION_MOVED,
    OPTION_RECORD,
    OPTION_SIZE,
    OPTION_STATE,
    OVERTIME,
    OVERTIME_TICKS,
    P_FREE,
    P_WINDOW,
    PAIR,
    PARTS,
    PRINTED_BEFORE,
    PRINTED_START,
    SETUP_START,
    START,
    T_BEFORE_FROM,
    T_BEFORE_TO,
    T_BUNDLE_FROM,
    T_BUNDLE_TO,
    T_COOLING,
    T_JOB,
    T_PRESSINGS,
    T_RELEASE,
    TABLE,
    TABLE_AT,
    TABLE_DENSE,
    TABLE_SIZE,
    TASK_RECORD,
    TASK_SIZE,
    TOKEN,
    TOKEN_FROM,
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


@kernel
def step_coverage(flat: Any, state: Any, present: Any, present_at: int, task: int, t: int) -> bool:
    """A task goes down once, and only when everything before it that is carried out did."""
    at = flat[AT_TASK_READY]
    if state[at + task] != NOT_YET:
        return False
    for k in range(flat[t + T_BEFORE_FROM], flat[t + T_BEFORE_TO]):
        before = flat[flat[BEFORE] + k]
        if present[present_at + before] and state[at + before] == NOT_YET:
            return False
    return True


@kernel
def step_release(flat: Any, t: int) -> int:
    """Pressing starts no earlier than garments and transfers are there."""
    return flat[t + T_RELEASE]  # type: ignore[no-any-return]


@kernel
def step_precedence(flat: Any, state: Any, present: Any, present_at: int, t: int, start: int) -> int:
    """Pressing starts when what must come first has ended and cooled."""
    for k in range(flat[t + T_BEFORE_FROM], flat[t + T_BEFORE_TO]):
        before = flat[flat[BEFORE] + k]
        if present[present_at + before]:
            start = max(start, state[flat[AT_TASK_READY] + before])
    return start


@kernel
def step_garments(flat: Any, state: Any, t: int, start: int) -> int:
    """Pressing starts when its garments are back from their last pressing, cooled."""
    for k in range(flat[t + T_BUNDLE_FROM], flat[t + T_BUNDLE_TO]):
        start = max(start, state[flat[AT_BUNDLE_FREE] + flat[flat[BUNDLE] + k]])
    return start


@kernel
def step_press(state: Any, m: int) -> int:
    """Setting up starts when the machine's last run has ended."""
    return state[m + M_FREE]  # type: ignore[no-any-return]


@kernel
def step_changeover(flat: Any, state: Any, machine: int, m: int, option: int, mounts: int, kind: int) -> int:
    """Ticks between the machine's setup and the option's: `ON`, `OFF` or `OFF_WHEN_COLD`."""
    row = state[m + (M_ROW_GIVEN_UP if mounts else M_ROW)]
    column = flat[flat[OPTION_RECORD] + option * OPTION_SIZE + O_COLUMN]
    ticks = flat[flat[PAIR] + row + column + kind]
    loose = flat[LOOSE]
    for k in range(loose):
        if flat[flat[LOOSE_COUNTS] + CELL * k + kind]:
            part = flat[flat[LOOSE_PART] + k]
            before = state[flat[AT_LOOSE] + machine * loose + k]
            if mounts and flat[flat[GOES_WITH_PLATEN] + part]:
                before = -1
            after = flat[flat[OPTION_STATE] + option * flat[PARTS] + part]
            ticks += table_ticks(flat, machine, part, before, after)
    return ticks  # type: ignore[no-any-return]


@kernel
def table_ticks(flat: Any, machine: int, part: int, before: int, after: int) -> int:
    """Look one change up in a machine's table for a setup part."""
    cell = machine * flat[PARTS] + part
    at = flat[TABLE] + flat[flat[TABLE_AT] + cell]
    size = flat[flat[TABLE_SIZE] + part]
    if before < 0:
        return flat[at + after]  # type: ignore[no-any-return]
    if flat[flat[TABLE_DENSE] + cell]:
        return flat[at + (before + 1) * size + after]  # type: ignore[no-any-return]
    if before == after:
        return 0
    return flat[at + size + after]  # type: ignore[no-any-return]


@kernel
def step_platens(flat: Any, state: Any, m: int, platen: int, earliest: int) -> int:
    """The platen to use: the one kept on the machine, else the one of its kind that is free first.

    Among those free by `earliest` one that lies on the shelf goes before one that idles on another
    machine, which would have to mount it again. Returns the token, or -1 when none is owned.
    """
    if state[m + M_KIND] == platen:
        return state[m + M_TOKEN]  # type: ignore[no-any-return]
    best = -1
    best_free = 0
    best_idle = 0
    for token in range(flat[flat[TOKEN_FROM] + platen], flat[flat[TOKEN_FROM] + platen + 1]):
        at = flat[AT_TOKEN] + token * TOKEN_SIZE
        free = max(earliest, state[at + K_FREE])
        idle = 1 if state[at + K_PLACE] >= 0 else 0
        if best < 0 or free < best_free or (free == best_free and idle < best_idle):
            best = token
            best_free = free
            best_idle = idle
    return best


@kernel
def step_operators(state: Any, p: int) -> int:
    """Setting up starts when the operator's last run has ended."""
    return state[p + P_FREE]  # type: ignore[no-any-return]


@kernel
def step_calendar(flat: Any, n: int, setup_start: int, hands_on: int) -> int:
    """The earliest set-up start in the window at which no break meets set-up or first pressing."""
    for k in range(flat[n + N_BREAK_FROM], flat[n + N_BREAK_TO]):
        at = flat[BREAK] + 2 * k
        if setup_start < flat[at + 1] and setup_start + hands_on >= flat[at]:
            setup_start = flat[at + 1]
    return setup_start


@kernel
def working_end(flat: Any, n: int, start: int, work: int) -> int:
    """When `work` ticks from `start` are done, pausing over breaks; may lie past the window."""
    end = start + work
    if work == 0:
        return end
    for k in range(flat[n + N_BREAK_FROM], flat[n + N_BREAK_TO]):
        at = flat[BREAK] + 2 * k
        if start <= flat[at] < end:
            end += flat[at + 1] - flat[at]
    return end


@kernel
def overtime_ticks(flat: Any, n: int, setup_start: int, end: int) -> int:
    """Ticks of [setup_start, end), breaks left out, after the paid hours."""
    start = max(setup_start, flat[n + N_PAID])
    if end <= start:
        return 0
    ticks: int = end - start
    for k in range(flat[n + N_BREAK_FROM], flat[n + N_BREAK_TO]):
        at = flat[BREAK] + 2 * k
        ticks -= max(0, min(end, flat[at + 1]) - max(start, flat[at]))
    return ticks


@kernel
def warm_up_fits(flat: Any, state: Any, circuit: int, watts: int, start: int, end: int) -> bool:
    """Whether the circuit carries one more machine heating over [start, end).

    The load only rises where a warm-up begins, so it is enough to look there.
    """
    count = state[flat[AT_WARM_COUNT] + circuit]
    at = flat[AT_WARM] + 3 * flat[flat[WARM_AT] + circuit]
    for k in range(-1, count):
        moment = start if k < 0 else max(start, state[at + 3 * k])
        if moment >= end:
            continue
        load = watts
        for j in range(count):
            if state[at + 3 * j] <= moment < state[at + 3 * j + 1]:
                load += state[at + 3 * j + 2]
        if load > flat[flat[LIMIT_W] + circuit]:
            return False
    return True


@kernel
def step_warm_up(flat: Any, state: Any, machine: int, ticks: int, earliest: int, before: int) -> int:
    """Begin of a warm-up: the earliest when `before` < 0, else the latest that ends by `before`.

    Heating late leaves the circuit to others and burns no power for nothing. Returns -1 when none
    ends by `before`.
    """
    circuit = flat[flat[CIRCUIT] + machine]
    if circuit < 0:
        return earliest if before < 0 else before - ticks
    watts = flat[flat[WATTS] + machine]
    count = state[flat[AT_WARM_COUNT] + circuit]
    at = flat[AT_WARM] + 3 * flat[flat[WARM_AT] + circuit]
    best = -1
    for k in range(-1, count):
        if before < 0:
            start = earliest if k < 0 else state[at + 3 * k + 1]
            if start < earliest or (best >= 0 and start >= best):
                continue
        else:
            start = (before if k < 0 else state[at + 3 * k]) - ticks
            if start < earliest or start + ticks > before or start <= best:
                continue
        if warm_up_fits(flat, state, circuit, watts, start, start + ticks):
            best = start
    return best


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
