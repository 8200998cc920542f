"""One step of the decoder for each rule: what the rule says of a task put behind what is already there.

Each `step_<rule>` is the decoder's reading of the rule of that name in docs/model.md; `place.py` puts
them together. That of the calendar is in `calendar.py`, since the exact search has the same one.

`t`, `o`, `m` and `p` are where the records of a task, an option, a machine and an operator begin.
"""

from __future__ import annotations

from typing import Any

from .jit import kernel
from .layout import (
    AT_BUNDLE_FREE,
    AT_LOOSE,
    AT_TASK_READY,
    AT_TOKEN,
    AT_WARM,
    AT_WARM_COUNT,
    BEFORE,
    BUNDLE,
    CELL,
    CIRCUIT,
    GOES_WITH_PLATEN,
    K_FREE,
    K_PLACE,
    LIMIT_W,
    LOOSE,
    LOOSE_COUNTS,
    LOOSE_PART,
    M_FREE,
    M_KIND,
    M_ROW,
    M_ROW_GIVEN_UP,
    M_TOKEN,
    NOT_YET,
    OPTION_STATE,
    P_FREE,
    PAIR,
    PARTS,
    T_BEFORE_FROM,
    T_BEFORE_TO,
    T_BUNDLE_FROM,
    T_BUNDLE_TO,
    T_RELEASE,
    TABLE,
    TABLE_AT,
    TABLE_DENSE,
    TABLE_SIZE,
    TOKEN_FROM,
    TOKEN_SIZE,
    WARM_AT,
    WATTS,
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
def step_changeover(
    flat: Any, state: Any, machine: int, m: int, option: int, column: int, mounts: int, kind: int
) -> int:
    """Ticks between the machine's setup and the option's: `ON`, `OFF` or `OFF_WHEN_COLD`.

    `column` is the option's in the rows of PAIR of that machine.
    """
    row = state[m + (M_ROW_GIVEN_UP if mounts else M_ROW)]
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
def step_platens(flat: Any, state: Any, m: int, platen: int, earliest: int, taken: int) -> int:
    """The platen to use: the one kept on the machine, else the one of its kind that is free first.

    Among those free by `earliest` one that lies on the shelf goes before one that idles on another
    machine, which would have to mount it again. `taken` is one that the run has elsewhere, or -1.
    Returns the token, or -1 when none is owned.
    """
    if state[m + M_KIND] == platen:
        return state[m + M_TOKEN]  # type: ignore[no-any-return]
    best = -1
    best_free = 0
    best_idle = 0
    for token in range(flat[flat[TOKEN_FROM] + platen], flat[flat[TOKEN_FROM] + platen + 1]):
        at = flat[AT_TOKEN] + token * TOKEN_SIZE
        if token == taken:
            continue
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
