"""Decoding a sequence of (task, option) by appending, with snapshots and an early stop."""

from __future__ import annotations

from typing import Any

from .jit import copy, kernel
from .layout import (
    AT_COST,
    CHANGE,
    LEVELS,
    ORDER,
    PLACED,
    SLOTS,
    STATE,
    W_COST,
    W_ENERGY,
)
from .steps import place, put_down

SNAPSHOT_EVERY = 16


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
def decode(
    flat: Any,
    state: Any,
    work: Any,
    present_at: int,
    tasks_at: int,
    options_at: int,
    count: int,
    first: int,
    snapshots: Any,
    limit: int,
    row: Any,
) -> bool:
    """Decode a sequence of `work` from the snapshot before `first`; False once it passes the limit.

    A limit of 0 or more is an energy; below 0, the limit is the current plan's cost, level by level.
    Costs only grow while tasks are put down, so what is worse than the limit stays worse.
    """
    size = flat[STATE]
    begin = first // SNAPSHOT_EVERY
    copy(state, 0, snapshots, begin * size, size)
    for k in range(begin * SNAPSHOT_EVERY, count):
        task = work[tasks_at + k]
        option = work[options_at + k]
        place(flat, state, work, present_at, task, option, row)
        put_down(flat, state, task, option, row)
        if limit >= 0:
            if energy_of(work, state, flat[AT_COST]) > limit:
                return False
        elif compare(flat, state, flat[AT_COST], work, work[W_COST]) > 0:
            return False
    return True


@kernel
def decode_keeping(
    flat: Any,
    state: Any,
    work: Any,
    present_at: int,
    tasks_at: int,
    options_at: int,
    count: int,
    first: int,
    snapshots: Any,
    changes_at: int,
    row: Any,
) -> None:
    """Decode like `decode`, without a limit, storing snapshots and each position's changeover."""
    size = flat[STATE]
    begin = first // SNAPSHOT_EVERY
    copy(state, 0, snapshots, begin * size, size)
    for k in range(begin * SNAPSHOT_EVERY, count):
        if k % SNAPSHOT_EVERY == 0:
            at = (k // SNAPSHOT_EVERY) * size
            copy(snapshots, at, state, 0, size)
        task = work[tasks_at + k]
        option = work[options_at + k]
        done = place(flat, state, work, present_at, task, option, row)
        work[changes_at + k] = row[CHANGE] if done else -1
        put_down(flat, state, task, option, row)
    if count % SNAPSHOT_EVERY == 0:
        at = (count // SNAPSHOT_EVERY) * size
        copy(snapshots, at, state, 0, size)


@kernel
def decode_rows(
    flat: Any, state: Any, present: Any, tasks: Any, options: Any, count: int, rows: Any, row: Any
) -> None:
    """Decode from the state at tick 0, keeping the placed row of every position."""
    for k in range(count):
        place(flat, state, present, 0, tasks[k], options[k], row)
        copy(rows, k * PLACED, row, 0, PLACED)
        put_down(flat, state, tasks[k], options[k], row)
