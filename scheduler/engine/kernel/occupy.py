"""What a placed task does to a machine: setup, platen, warm-up, and what differs from sheets in hand."""

from __future__ import annotations

from typing import Any

from scheduler.domain.instance import MOVED_LATER, MOVED_ORDER, MOVED_PLACE

from .jit import kernel
from .layout import (
    AT_LOOSE,
    AT_MACHINE,
    AT_TOKEN,
    AT_WARM,
    AT_WARM_COUNT,
    CIRCUIT,
    K_FREE,
    K_PLACE,
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
    NOT_PRINTED,
    OPTION_MOVED,
    OPTION_STATE,
    PARTS,
    PRINTED_BEFORE,
    PRINTED_START,
    TOKEN_SIZE,
    WARM_AT,
    WARMING,
    WATTS,
)


@kernel
def occupy(
    flat: Any,
    state: Any,
    machine: int,
    task: int,
    option: int,
    end: int,
    day: int,
    row: int,
    row_given_up: int,
    token: int,
    kind: int,
) -> None:
    """Leave a machine as a task does: free from its end, set up for it, with its platen (-1: none)."""
    m = flat[AT_MACHINE] + machine * MACHINE_SIZE
    state[m + M_FREE] = end
    state[m + M_DAY] = day
    state[m + M_ROW] = row
    state[m + M_ROW_GIVEN_UP] = row_given_up
    state[m + M_LAST] = task
    loose = flat[LOOSE]
    for k in range(loose):
        value = flat[flat[OPTION_STATE] + option * flat[PARTS] + flat[flat[LOOSE_PART] + k]]
        state[flat[AT_LOOSE] + machine * loose + k] = value
    move_token(flat, state, machine, m, token, kind, end)


@kernel
def moved(flat: Any, state: Any, m: int, task: int, option: int, start: int) -> int:
    """Points of a task for standing elsewhere than on the sheets in hand, before it is put down."""
    points = flat[flat[OPTION_MOVED] + option]
    before = flat[flat[PRINTED_BEFORE] + task]
    if points >= MOVED_PLACE or before == NOT_PRINTED:
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
    """Note a warm-up (-1: none) on the machine's circuit; one that was begun before is there already."""
    circuit = flat[flat[CIRCUIT] + machine]
    if circuit < 0 or start < 0 or start == flat[flat[WARMING] + machine]:
        return
    count = state[flat[AT_WARM_COUNT] + circuit]
    at = flat[AT_WARM] + 3 * (flat[flat[WARM_AT] + circuit] + count)
    state[at] = start
    state[at + 1] = end
    state[at + 2] = flat[flat[WATTS] + machine]
    state[flat[AT_WARM_COUNT] + circuit] = count + 1
