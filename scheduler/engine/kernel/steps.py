"""One step of the decoder for each rule: how a task is put behind what is already there.

Each `step_<rule>` is the decoder's reading of the rule of that name in docs/model.md. `place` finds
the earliest start by all of them, `put_down` makes it part of the state.
"""

from __future__ import annotations

from typing import Any

from .jit import kernel
from .layout import (
    AT_BUNDLE_FREE,
    AT_COST,
    AT_JOB_READY,
    AT_MACHINE_DAY,
    AT_MACHINE_FREE,
    AT_MACHINE_LAST,
    AT_MACHINE_TOKEN,
    AT_OPERATOR_FREE,
    AT_TASK_READY,
    AT_TOKEN_FREE,
    AT_TOKEN_PLACE,
    AT_WARM,
    AT_WARM_COUNT,
    BEFORE,
    BEFORE_FROM,
    BREAK_END,
    BREAK_FROM,
    BREAK_START,
    BUNDLE,
    BUNDLE_FROM,
    CHANGE,
    CHANGEOVER,
    CHANGEOVERS,
    CIRCUIT,
    COOLING,
    DAY,
    DAY_START,
    DONE,
    DUE,
    END,
    ENDS_WHEN_COLD,
    FINISH,
    GOES_WITH_PLATEN,
    HANDS_OFF,
    INITIAL,
    JOB,
    LATENESS,
    LEFT_OVER,
    LIMIT_W,
    MOUNTS,
    NOT_YET,
    OPERATORS,
    OPTION_MACHINE,
    OPTION_OPERATOR,
    OPTION_PLATEN,
    OPTION_STATE,
    OPTION_WARM_UP,
    OPTION_WORK,
    OVERTIME,
    OVERTIME_TICKS,
    PACKING,
    PARTS,
    PRESSINGS,
    RELEASE,
    SETUP_START,
    START,
    TABLE,
    TABLE_AT,
    TABLE_DENSE,
    TABLE_SIZE,
    TOKEN,
    TOKEN_FROM,
    TOKEN_KIND,
    WARM_AT,
    WARM_END,
    WARM_START,
    WATTS,
    WEIGHT,
    WINDOW_DAY,
    WINDOW_END,
    WINDOW_FROM,
    WINDOW_PAID,
    WINDOW_START,
)


@kernel
def step_coverage(flat: Any, state: Any, present: Any, present_at: int, task: int) -> bool:
    """A task goes down once, and only when everything before it that is carried out did."""
    at = flat[AT_TASK_READY]
    if state[at + task] != NOT_YET:
        return False
    for k in range(flat[flat[BEFORE_FROM] + task], flat[flat[BEFORE_FROM] + task + 1]):
        before = flat[flat[BEFORE] + k]
        if present[present_at + before] and state[at + before] == NOT_YET:
            return False
    return True


@kernel
def step_release(flat: Any, task: int) -> int:
    """Pressing starts no earlier than garments and transfers are there."""
    return flat[flat[RELEASE] + task]  # type: ignore[no-any-return]


@kernel
def step_precedence(flat: Any, state: Any, present: Any, present_at: int, task: int, start: int) -> int:
    """Pressing starts when what must come first has ended and cooled."""
    at = flat[AT_TASK_READY]
    for k in range(flat[flat[BEFORE_FROM] + task], flat[flat[BEFORE_FROM] + task + 1]):
        before = flat[flat[BEFORE] + k]
        if present[present_at + before]:
            start = max(start, state[at + before])
    return start


@kernel
def step_garments(flat: Any, state: Any, task: int, start: int) -> int:
    """Pressing starts when its garments are back from their last pressing, cooled."""
    at = flat[AT_BUNDLE_FREE]
    for k in range(flat[flat[BUNDLE_FROM] + task], flat[flat[BUNDLE_FROM] + task + 1]):
        start = max(start, state[at + flat[flat[BUNDLE] + k]])
    return start


@kernel
def step_press(flat: Any, state: Any, machine: int) -> int:
    """Setting up starts when the machine's last run has ended."""
    return state[flat[AT_MACHINE_FREE] + machine]  # type: ignore[no-any-return]


@kernel
def step_changeover(flat: Any, state: Any, option: int, mounts: int, cold: int, hands_off: int) -> int:
    """Ticks of the hands-on (or hands-off) parts between the machine's state and the option's."""
    parts = flat[PARTS]
    machine = flat[flat[OPTION_MACHINE] + option]
    last = state[flat[AT_MACHINE_LAST] + machine]
    ticks = 0
    for part in range(parts):
        if flat[flat[HANDS_OFF] + part] != hands_off or (
            cold and hands_off and flat[flat[ENDS_WHEN_COLD] + part]
        ):
            continue
        if mounts and flat[flat[GOES_WITH_PLATEN] + part]:
            before = -1
        elif last >= 0:
            before = flat[flat[OPTION_STATE] + last * parts + part]
        else:
            before = flat[flat[INITIAL] + machine * parts + part]
        ticks += table_ticks(flat, machine, part, before, flat[flat[OPTION_STATE] + option * parts + part])
    return ticks


@kernel
def table_ticks(flat: Any, machine: int, part: int, before: int, after: int) -> int:
    """Look one change up in a machine's table for a setup part."""
    cell = machine * flat[PARTS] + part
    at = flat[flat[TABLE_AT] + cell]
    size = flat[flat[TABLE_SIZE] + part]
    if before < 0:
        return flat[flat[TABLE] + at + after]  # type: ignore[no-any-return]
    if flat[flat[TABLE_DENSE] + cell]:
        return flat[flat[TABLE] + at + (before + 1) * size + after]  # type: ignore[no-any-return]
    if before == after:
        return 0
    return flat[flat[TABLE] + at + size + after]  # type: ignore[no-any-return]


@kernel
def step_platens(flat: Any, state: Any, machine: int, platen: int, earliest: int) -> int:
    """The platen to use: the one kept on the machine, else the one of its kind that is free first.

    Among those free by `earliest` one that lies on the shelf goes before one that idles on another
    machine, which would have to mount it again. Returns the token, or -1 when none is owned.
    """
    mounted = state[flat[AT_MACHINE_TOKEN] + machine]
    if mounted >= 0 and flat[flat[TOKEN_KIND] + mounted] == platen:
        return mounted  # type: ignore[no-any-return]
    best = -1
    best_free = 0
    best_idle = 0
    for token in range(flat[flat[TOKEN_FROM] + platen], flat[flat[TOKEN_FROM] + platen + 1]):
        free = max(earliest, state[flat[AT_TOKEN_FREE] + token])
        idle = 1 if state[flat[AT_TOKEN_PLACE] + token] >= 0 else 0
        if best < 0 or free < best_free or (free == best_free and idle < best_idle):
            best = token
            best_free = free
            best_idle = idle
    return best


@kernel
def step_operators(flat: Any, state: Any, operator: int) -> int:
    """Setting up starts when the operator's last run has ended."""
    if operator < 0:
        return 0
    return state[flat[AT_OPERATOR_FREE] + operator]  # type: ignore[no-any-return]


@kernel
def step_calendar(flat: Any, window: int, setup_start: int, hands_on: int) -> int:
    """The earliest set-up start in the window at which no break meets set-up or first pressing."""
    for k in range(flat[flat[BREAK_FROM] + window], flat[flat[BREAK_FROM] + window + 1]):
        if setup_start < flat[flat[BREAK_END] + k] and setup_start + hands_on >= flat[flat[BREAK_START] + k]:
            setup_start = flat[flat[BREAK_END] + k]
    return setup_start


@kernel
def working_end(flat: Any, window: int, start: int, work: int) -> int:
    """When `work` ticks from `start` are done, pausing over breaks; may lie past the window."""
    end = start + work
    if work == 0:
        return end
    for k in range(flat[flat[BREAK_FROM] + window], flat[flat[BREAK_FROM] + window + 1]):
        if start <= flat[flat[BREAK_START] + k] < end:
            end += flat[flat[BREAK_END] + k] - flat[flat[BREAK_START] + k]
    return end


@kernel
def overtime_ticks(flat: Any, window: int, setup_start: int, end: int) -> int:
    """Ticks of [setup_start, end), breaks left out, after the paid hours."""
    start = max(setup_start, flat[flat[WINDOW_PAID] + window])
    if end <= start:
        return 0
    ticks: int = end - start
    for k in range(flat[flat[BREAK_FROM] + window], flat[flat[BREAK_FROM] + window + 1]):
        ticks -= max(0, min(end, flat[flat[BREAK_END] + k]) - max(start, flat[flat[BREAK_START] + k]))
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
def place(flat: Any, state: Any, present: Any, present_at: int, task: int, option: int, row: Any) -> bool:
    """Find the earliest place for a task behind what is there; fills `row`; False: it fits nowhere."""
    row[DONE] = 0
    if not step_coverage(flat, state, present, present_at, task):
        return False
    machine = flat[flat[OPTION_MACHINE] + option]
    operator = flat[flat[OPTION_OPERATOR] + option]
    platen = flat[flat[OPTION_PLATEN] + option]
    work = flat[flat[OPTION_WORK] + option]
    warm_up = flat[flat[OPTION_WARM_UP] + option]
    last = state[flat[AT_MACHINE_LAST] + machine]

    lower = max(step_press(flat, state, machine), step_operators(flat, state, operator))
    ready = step_garments(flat, state, task, step_release(flat, task))
    ready = step_precedence(flat, state, present, present_at, task, ready)

    token = -1
    mounts = 0
    if platen >= 0:
        token = step_platens(flat, state, machine, platen, lower)
        if token < 0:
            return False
        if token != state[flat[AT_MACHINE_TOKEN] + machine]:
            mounts = 1
            lower = max(lower, state[flat[AT_TOKEN_FREE] + token])
    hands_on = step_changeover(flat, state, option, mounts, 0, 0)

    owner = operator if operator >= 0 else flat[OPERATORS]
    for window in range(flat[flat[WINDOW_FROM] + owner], flat[flat[WINDOW_FROM] + owner + 1]):
        if flat[flat[WINDOW_END] + window] <= lower:
            continue
        day = flat[flat[WINDOW_DAY] + window]
        cold = 1 if last < 0 or state[flat[AT_MACHINE_DAY] + machine] != day else 0
        hands_off = step_changeover(flat, state, option, mounts, cold, 1)
        first = ready
        if last >= 0:
            first = max(first, state[flat[AT_MACHINE_FREE] + machine] + hands_off)
        heat_from = max(flat[flat[DAY_START] + day], state[flat[AT_MACHINE_FREE] + machine])
        if cold and warm_up > 0:
            heating = step_warm_up(flat, state, machine, warm_up, heat_from, -1)
            first = max(first, heating + warm_up)
        setup_start = max(max(lower, flat[flat[WINDOW_START] + window]), first - hands_on)
        setup_start = step_calendar(flat, window, setup_start, hands_on)
        start = setup_start + hands_on
        end = working_end(flat, window, start, work)
        if end > flat[flat[WINDOW_END] + window]:
            continue
        row[DONE] = 1
        row[SETUP_START] = setup_start
        row[START] = start
        row[END] = end
        row[MOUNTS] = mounts
        row[TOKEN] = token
        row[CHANGE] = max(hands_on, hands_off)
        row[OVERTIME_TICKS] = overtime_ticks(flat, window, setup_start, end) if operator >= 0 else 0
        row[DAY] = day
        row[WARM_START] = -1
        row[WARM_END] = -1
        if cold and warm_up > 0:
            heating = step_warm_up(flat, state, machine, warm_up, heat_from, start)
            row[WARM_START] = heating
            row[WARM_END] = heating + warm_up
        return True
    return False


@kernel
def put_down(flat: Any, state: Any, task: int, option: int, row: Any) -> None:
    """Make a placed task part of the state, and count its cost; a task that fits nowhere is left over."""
    cost = flat[AT_COST]
    if not row[DONE]:
        state[cost + LEFT_OVER] += flat[flat[PRESSINGS] + task]
        return
    machine = flat[flat[OPTION_MACHINE] + option]
    operator = flat[flat[OPTION_OPERATOR] + option]
    end = row[END]
    state[flat[AT_MACHINE_FREE] + machine] = end
    state[flat[AT_MACHINE_LAST] + machine] = option
    state[flat[AT_MACHINE_DAY] + machine] = row[DAY]
    if operator >= 0:
        state[flat[AT_OPERATOR_FREE] + operator] = end
    token = row[TOKEN]
    mounted = state[flat[AT_MACHINE_TOKEN] + machine]
    if mounted >= 0 and mounted != token:
        state[flat[AT_TOKEN_PLACE] + mounted] = -1
    if token >= 0:
        idle_on = state[flat[AT_TOKEN_PLACE] + token]
        if idle_on >= 0 and idle_on != machine:
            state[flat[AT_MACHINE_TOKEN] + idle_on] = -1
        state[flat[AT_TOKEN_PLACE] + token] = machine
        state[flat[AT_TOKEN_FREE] + token] = end
    state[flat[AT_MACHINE_TOKEN] + machine] = token
    ready = end + flat[flat[COOLING] + task]
    for k in range(flat[flat[BUNDLE_FROM] + task], flat[flat[BUNDLE_FROM] + task + 1]):
        state[flat[AT_BUNDLE_FREE] + flat[flat[BUNDLE] + k]] = ready
    state[flat[AT_TASK_READY] + task] = ready
    if row[WARM_START] >= 0 and flat[flat[CIRCUIT] + machine] >= 0:
        circuit = flat[flat[CIRCUIT] + machine]
        count = state[flat[AT_WARM_COUNT] + circuit]
        at = flat[AT_WARM] + 3 * (flat[flat[WARM_AT] + circuit] + count)
        state[at] = row[WARM_START]
        state[at + 1] = row[WARM_END]
        state[at + 2] = flat[flat[WATTS] + machine]
        state[flat[AT_WARM_COUNT] + circuit] = count + 1
    job = flat[flat[JOB] + task]
    was = state[flat[AT_JOB_READY] + job]
    if ready > was:
        state[flat[AT_JOB_READY] + job] = ready
        finished = ready + flat[flat[PACKING] + job]
        late = max(0, finished - flat[flat[DUE] + job])
        late_before = max(0, was + flat[flat[PACKING] + job] - flat[flat[DUE] + job]) if was >= 0 else 0
        state[cost + LATENESS] += flat[flat[WEIGHT] + job] * (late - late_before)
        state[cost + FINISH] = max(state[cost + FINISH], finished)
    if row[CHANGE] > 0:
        state[cost + CHANGEOVER] += row[CHANGE]
        state[cost + CHANGEOVERS] += 1
    state[cost + OVERTIME] += row[OVERTIME_TICKS]
