"""Decoding a sequence of (task, option) by appending, with snapshots and an early stop."""

from __future__ import annotations

from typing import Any

from .jit import kernel
from .layout import AT_COST, CHANGE, LEVELS, PLACED, STATE, Flat
from .steps import place, put_down

SNAPSHOT_EVERY = 16


@kernel
def compare(flat: Flat, a: Any, a_at: int, b: Any, b_at: int) -> int:
    """-1, 0 or 1: cost vector `a` (at an offset) is better than, equal to or worse than `b`, level by level."""
    for k in range(flat.head[LEVELS]):
        slot = flat.order[k]
        if a[a_at + slot] < b[b_at + slot]:
            return -1
        if a[a_at + slot] > b[b_at + slot]:
            return 1
    return 0


@kernel
def decode(
    flat: Flat,
    state: Any,
    present: Any,
    tasks: Any,
    options: Any,
    count: int,
    first: int,
    snapshots: Any,
    limit: Any,
    limit_at: int,
    row: Any,
) -> bool:
    """Decode from the snapshot before position `first`; False as soon as the cost passes the limit.

    Costs only grow while tasks are put down, so a part that is worse than the limit stays worse.
    """
    size = flat.head[STATE]
    cost = flat.head[AT_COST]
    begin = first // SNAPSHOT_EVERY
    state[:] = snapshots[begin * size : (begin + 1) * size]
    for k in range(begin * SNAPSHOT_EVERY, count):
        place(flat, state, present, tasks[k], options[k], row)
        put_down(flat, state, tasks[k], options[k], row)
        if compare(flat, state, cost, limit, limit_at) > 0:
            return False
    return True


@kernel
def decode_keeping(
    flat: Flat,
    state: Any,
    present: Any,
    tasks: Any,
    options: Any,
    count: int,
    first: int,
    snapshots: Any,
    changes: Any,
    row: Any,
) -> None:
    """Decode like `decode`, without a limit, storing snapshots and each position's changeover."""
    size = flat.head[STATE]
    begin = first // SNAPSHOT_EVERY
    state[:] = snapshots[begin * size : (begin + 1) * size]
    for k in range(begin * SNAPSHOT_EVERY, count):
        if k % SNAPSHOT_EVERY == 0:
            at = (k // SNAPSHOT_EVERY) * size
            snapshots[at : at + size] = state
        done = place(flat, state, present, tasks[k], options[k], row)
        changes[k] = row[CHANGE] if done else 0
        put_down(flat, state, tasks[k], options[k], row)
    if count % SNAPSHOT_EVERY == 0:
        at = (count // SNAPSHOT_EVERY) * size
        snapshots[at : at + size] = state


@kernel
def decode_rows(
    flat: Flat, state: Any, present: Any, tasks: Any, options: Any, count: int, rows: Any, row: Any
) -> None:
    """Decode from the initial `state`, keeping the placed row of every position."""
    for k in range(count):
        place(flat, state, present, tasks[k], options[k], row)
        rows[k * PLACED : (k + 1) * PLACED] = row
        put_down(flat, state, tasks[k], options[k], row)
