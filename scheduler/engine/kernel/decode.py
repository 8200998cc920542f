"""Decoding a sequence of (task, option) by appending, with snapshots and an early stop."""

from __future__ import annotations

from typing import Any

from .beside import changes
from .jit import copy, kernel
from .layout import (
    AT_COST,
    CANDIDATE_COUNT,
    COUNT,
    DONE,
    LEVELS,
    ORDER,
    PLACED,
    REST,
    SLOTS,
    STATE,
    W_CHANGES,
    W_COST,
    W_ENERGY,
    W_OPTIONS,
    W_PRESENT,
    W_ROWS,
    W_TASKS,
)
from .place import place, put_down
from .replay import SNAPSHOT_EVERY, begin_trial, put_down_again, try_next
from .trial import hopeless

LOOK_EVERY = 8
"""Tasks that stand where they did, after which the cost is looked at."""


@kernel
def compare(flat: Any, a: Any, a_at: int, b: Any, b_at: int) -> int:
    """-1, 0 or 1: costs `a[a_at:]` are better than, as good as or worse than `b[b_at:]`, level by level."""
    order = flat[ORDER]
    for k in range(flat[LEVELS]):
        slot = flat[order + k]
        if a[a_at + slot] < b[b_at + slot]:
            return -1
        if a[a_at + slot] > b[b_at + slot]:
            return 1
    return 0


@kernel
def energy_of(work: Any, cost: Any, cost_at: int) -> int:
    """Weighted sum of a cost vector: what the search climbs over."""
    weights = work[W_ENERGY]
    total = 0
    for slot in range(SLOTS):
        total += work[weights + slot] * cost[cost_at + slot]
    return total


@kernel
def decode(flat: Any, state: Any, work: Any, snapshots: Any, first: int, limit: int) -> bool:
    """Decode the candidate from its first changed position; False once it passes the limit.

    A limit of 0 or more is an energy; below 0, the limit is the current plan's cost, level by level.
    Costs only grow while tasks are put down, so what is worse than the limit stays worse.
    """
    begin_trial(flat, state, work, snapshots, first)
    last = work[CANDIDATE_COUNT] - 1
    current = first
    rest = max(work[REST], first + 1)
    for k in range(first, last + 1):
        if k >= rest and k % SNAPSHOT_EVERY == 0 and hopeless(flat, work, state, snapshots, k, limit):
            return False
        current = try_next(flat, state, work, k, current)
        if current < 0:
            current = -1 - current
            if k % LOOK_EVERY and k < last:
                continue
        if limit >= 0:
            if energy_of(work, state, flat[AT_COST]) > limit:
                return False
        elif compare(flat, state, flat[AT_COST], work, work[W_COST]) > 0:
            return False
    return True


@kernel
def decode_keeping(flat: Any, state: Any, work: Any, snapshots: Any, first: int, anew: bool) -> None:
    """Decode the current sequence, storing snapshots and each position's changeover.

    With `anew`, tasks are placed from the snapshot before `first` on; without, their rows are known.
    """
    size = flat[STATE]
    begin = first // SNAPSHOT_EVERY
    copy(state, 0, snapshots, begin * size, size)
    count = work[COUNT]
    for k in range(begin * SNAPSHOT_EVERY, count):
        if k % SNAPSHOT_EVERY == 0:
            copy(snapshots, k // SNAPSHOT_EVERY * size, state, 0, size)
        task = work[work[W_TASKS] + k]
        option = work[work[W_OPTIONS] + k]
        row = work[W_ROWS] + task * PLACED
        if anew:
            place(flat, state, work, work[W_PRESENT], task, option, work, row)
        put_down_again(flat, state, work, task, option)
        work[work[W_CHANGES] + k] = changes(flat, work, row) if work[row + DONE] else -1
    if count % SNAPSHOT_EVERY == 0:
        copy(snapshots, count // SNAPSHOT_EVERY * size, state, 0, size)


@kernel
def decode_rows(flat: Any, state: Any, present: Any, tasks: Any, options: Any, count: int, rows: Any) -> None:
    """Decode from the state at tick 0, keeping the placed row of every position."""
    for k in range(count):
        place(flat, state, present, 0, tasks[k], options[k], rows, k * PLACED)
        put_down(flat, state, tasks[k], options[k], rows, k * PLACED)
