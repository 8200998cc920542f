"""Edits: what a move changes, written down before the candidate is made from it.

A move takes some tasks out and puts some in, each before a position of the current sequence. It only
writes this edit down (`W_EDIT_...`); `build` makes the candidate from it and refuses one in which a
task stands before what must come first.
"""

from __future__ import annotations

from typing import Any

from .jit import kernel
from .layout import (
    AFTER,
    AFTER_FROM,
    BEFORE,
    BEFORE_FROM,
    CANDIDATE_COUNT,
    COUNT,
    EDITS,
    OUTS,
    PRECEDENCES,
    RANDOM,
    REST,
    W_CANDIDATE_OPTIONS,
    W_CANDIDATE_PLACE,
    W_CANDIDATE_TASKS,
    W_EDIT_AT,
    W_EDIT_OPTION,
    W_EDIT_TASK,
    W_OPTIONS,
    W_OUT,
    W_OUTS,
    W_TASKS,
)


@kernel
def random_below(work: Any, below: int) -> int:
    """A number in [0, below) from a 32-bit xorshift generator (Marsaglia 2003)."""
    x = work[RANDOM]
    x ^= (x << 13) & 0xFFFFFFFF
    x ^= x >> 17
    x ^= (x << 5) & 0xFFFFFFFF
    work[RANDOM] = x
    return x % below  # type: ignore[no-any-return]


@kernel
def edit(work: Any, task: int, option: int, at: int) -> None:
    """Put a task in before position `at`; edits are kept sorted by position."""
    k = work[EDITS]
    while k > 0 and work[work[W_EDIT_AT] + k - 1] > at:
        work[work[W_EDIT_TASK] + k] = work[work[W_EDIT_TASK] + k - 1]
        work[work[W_EDIT_OPTION] + k] = work[work[W_EDIT_OPTION] + k - 1]
        work[work[W_EDIT_AT] + k] = work[work[W_EDIT_AT] + k - 1]
        k -= 1
    work[work[W_EDIT_TASK] + k] = task
    work[work[W_EDIT_OPTION] + k] = option
    work[work[W_EDIT_AT] + k] = at
    work[EDITS] += 1


@kernel
def take_out(work: Any, position: int) -> int:
    """Take the task at a position out; returns the task."""
    task = work[work[W_TASKS] + position]
    work[work[W_OUT] + task] = 1
    work[work[W_OUTS] + work[OUTS]] = position
    work[OUTS] += 1
    return task  # type: ignore[no-any-return]


@kernel
def drop_edit(work: Any) -> None:
    """Forget the noted edit without making the candidate: no task is marked as out."""
    for k in range(work[OUTS]):
        work[work[W_OUT] + work[work[W_TASKS] + work[work[W_OUTS] + k]]] = 0


@kernel
def build(flat: Any, work: Any) -> int:
    """Make the candidate of the noted edit; the first changed position, or -1 when it may not be.

    Always ends with no task marked as out.
    """
    count = work[COUNT]
    edits = work[EDITS]
    first = count
    size = 0
    j = 0
    for k in range(count + 1):
        while j < edits and work[work[W_EDIT_AT] + j] == k:
            first = min(first, size)
            work[work[W_CANDIDATE_TASKS] + size] = work[work[W_EDIT_TASK] + j]
            work[work[W_CANDIDATE_OPTIONS] + size] = work[work[W_EDIT_OPTION] + j]
            size += 1
            j += 1
        if k < count:
            task = work[work[W_TASKS] + k]
            if work[work[W_OUT] + task]:
                first = min(first, size)
                work[work[W_OUT] + task] = 0
                work[work[W_CANDIDATE_PLACE] + task] = -1
            else:
                work[work[W_CANDIDATE_TASKS] + size] = task
                work[work[W_CANDIDATE_OPTIONS] + size] = work[work[W_OPTIONS] + k]
                size += 1
    work[CANDIDATE_COUNT] = size
    # Edits that only put things back where they were change nothing before the first difference.
    while first < size and first < count:
        same = work[work[W_CANDIDATE_TASKS] + first] == work[work[W_TASKS] + first]
        if not same or work[work[W_CANDIDATE_OPTIONS] + first] != work[work[W_OPTIONS] + first]:
            break
        first += 1
    if first == size and size == count:
        return -1
    rest = size
    if size == count:
        while (
            rest > first
            and work[work[W_CANDIDATE_TASKS] + rest - 1] == work[work[W_TASKS] + rest - 1]
            and work[work[W_CANDIDATE_OPTIONS] + rest - 1] == work[work[W_OPTIONS] + rest - 1]
        ):
            rest -= 1
    work[REST] = rest
    if flat[PRECEDENCES] > 0:
        for k in range(size):
            work[work[W_CANDIDATE_PLACE] + work[work[W_CANDIDATE_TASKS] + k]] = k
        for j in range(edits):
            if not in_order(flat, work, work[work[W_EDIT_TASK] + j]):
                return -1
    return first  # type: ignore[no-any-return]


@kernel
def in_order(flat: Any, work: Any, task: int) -> bool:
    """Whether a task of the candidate stands after all before it and before all after it."""
    at = work[work[W_CANDIDATE_PLACE] + task]
    for k in range(flat[flat[BEFORE_FROM] + task], flat[flat[BEFORE_FROM] + task + 1]):
        if work[work[W_CANDIDATE_PLACE] + flat[flat[BEFORE] + k]] > at:
            return False
    for k in range(flat[flat[AFTER_FROM] + task], flat[flat[AFTER_FROM] + task + 1]):
        other = work[work[W_CANDIDATE_PLACE] + flat[flat[AFTER] + k]]
        if 0 <= other < at:
            return False
    return True
