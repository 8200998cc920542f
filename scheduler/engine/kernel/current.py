"""The current sequence: what is known of it, its order, and the best one so far."""

from __future__ import annotations

from typing import Any

from .decode import compare, decode_keeping
from .jit import copy, kernel
from .layout import (
    AT_COST,
    AT_JOB_READY,
    BEST_COUNT,
    CHANGEOVER,
    CHASE,
    CHOICES,
    COUNT,
    DONE,
    DUE,
    END,
    HITS,
    JOB,
    JOBS,
    LAST_GAIN,
    LATENESS,
    LEFT_OVER,
    MOVE,
    PACKING,
    PLACED,
    SLOTS,
    T_COOLING,
    TASK_RECORD,
    TASK_SIZE,
    TASKS,
    TOGGLED,
    W_BEST_COST,
    W_BEST_OPTIONS,
    W_BEST_TASKS,
    W_CANDIDATE_OPTIONS,
    W_CANDIDATE_PLACE,
    W_CANDIDATE_PRESENT,
    W_CANDIDATE_TASKS,
    W_CANDIDATE_WAY,
    W_CHANGES,
    W_COST,
    W_ENERGY,
    W_HITS,
    W_JOB_LATE,
    W_KEPT_COST,
    W_LATE_AFTER,
    W_OPTIONS,
    W_PLACE,
    W_PRESENT,
    W_ROWS,
    W_TASKS,
    W_WAY,
    WAY_FROM,
    WAY_TASK,
    WAY_TASK_FROM,
    WEIGHT,
)
from .reckon import note_order
from .replay import SNAPSHOT_EVERY

NEVER = 1 << 60
"""End of what is left over."""


@kernel
def copy_column(work: Any, target: int, source: int, size: int) -> None:
    """Copy one column of the memory over another."""
    copy(work, target, work, source, size)


@kernel
def settle(flat: Any, work: Any, state: Any, snapshots: Any, first: int, anew: bool) -> None:
    """Decode the current sequence from position `first` and note its cost and its late jobs."""
    decode_keeping(flat, state, work, snapshots, first, anew)
    note_order(flat, work)
    for slot in range(SLOTS):
        work[work[W_COST] + slot] = state[flat[AT_COST] + slot]
    for job in range(flat[JOBS]):
        ready = state[flat[AT_JOB_READY] + job]
        late = ready >= 0 and ready + flat[flat[PACKING] + job] > flat[flat[DUE] + job]
        work[work[W_JOB_LATE] + job] = 1 if late else 0
    note_late(flat, work, state)
    note_hits(flat, work)


@kernel
def note_late(flat: Any, work: Any, state: Any) -> None:
    """Sum up, for every snapshot, the weights of the jobs that what follows it makes late."""
    late = 0
    for k in range(work[COUNT] - 1, -1, -1):
        task = work[work[W_TASKS] + k]
        job = flat[flat[JOB] + task]
        t = flat[TASK_RECORD] + task * TASK_SIZE
        ready = work[work[W_ROWS] + task * PLACED + END] + flat[t + T_COOLING]
        if work[work[W_JOB_LATE] + job] and ready == state[flat[AT_JOB_READY] + job]:
            late += flat[flat[WEIGHT] + job]
        if k % SNAPSHOT_EVERY == 0:
            work[work[W_LATE_AFTER] + k // SNAPSHOT_EVERY] = late


@kernel
def note_hits(flat: Any, work: Any) -> None:
    """List the positions that cost something: late or left over, else changing over, else last to end."""
    hits = work[W_HITS]
    count = work[COUNT]
    found = 0
    work[CHASE] = 1
    if work[work[W_COST] + LATENESS] > 0 or work[work[W_COST] + LEFT_OVER] > 0:
        for k in range(count):
            late = work[work[W_JOB_LATE] + flat[flat[JOB] + work[work[W_TASKS] + k]]]
            if late or work[work[W_CHANGES] + k] < 0:
                work[hits + found] = k
                found += 1
    elif work[work[W_ENERGY] + CHANGEOVER] > 0 and work[work[W_COST] + CHANGEOVER] > 0:
        work[CHASE] = 0
        for k in range(count):
            if work[work[W_CHANGES] + k] > 0:
                work[hits + found] = k
                found += 1
    elif count > 0:
        last = 0
        for k in range(1, count):
            if ends_at(work, work[work[W_TASKS] + k]) > ends_at(work, work[work[W_TASKS] + last]):
                last = k
        work[hits] = last
        found = 1
    work[HITS] = found


@kernel
def ends_at(work: Any, task: int) -> int:
    """When a task of the current plan ends; after all others when it is left over."""
    row = work[W_ROWS] + task * PLACED
    return work[row + END] if work[row + DONE] else NEVER


@kernel
def by_time(flat: Any, work: Any, state: Any, snapshots: Any) -> None:
    """Bring the sequence into the order in which the runs end, which leaves the plan as it is.

    Then what stands near in the sequence is near in time, and a move changes little before its place.
    """
    count = work[COUNT]
    tasks = work[W_TASKS]
    options = work[W_OPTIONS]
    copy_column(work, work[W_CANDIDATE_TASKS], tasks, count)
    copy_column(work, work[W_CANDIDATE_OPTIONS], options, count)
    copy_column(work, work[W_KEPT_COST], work[W_COST], SLOTS)
    first = count
    for k in range(1, count):
        task = work[tasks + k]
        option = work[options + k]
        end = ends_at(work, task)
        j = k
        while j > 0 and ends_at(work, work[tasks + j - 1]) > end:
            work[tasks + j] = work[tasks + j - 1]
            work[options + j] = work[options + j - 1]
            j -= 1
        if j < k:
            work[tasks + j] = task
            work[options + j] = option
            first = min(first, j)
    if first == count:
        return
    place_all(flat, work, state, snapshots, first)
    if compare(flat, work, work[W_COST], work, work[W_KEPT_COST]) > 0:
        # Rare: platens on the shelf are handed out in the order of the sequence.
        copy_column(work, tasks, work[W_CANDIDATE_TASKS], count)
        copy_column(work, options, work[W_CANDIDATE_OPTIONS], count)
        place_all(flat, work, state, snapshots, first)
    elif compare(flat, work, work[W_COST], work, work[W_BEST_COST]) < 0:
        keep_best(work)


@kernel
def place_all(flat: Any, work: Any, state: Any, snapshots: Any, first: int) -> None:
    """Note where every task stands, and decode from the first changed position."""
    for k in range(first, work[COUNT]):
        work[work[W_PLACE] + work[work[W_TASKS] + k]] = k
    copy_column(work, work[W_CANDIDATE_PLACE], work[W_PLACE], flat[TASKS])
    settle(flat, work, state, snapshots, first, True)


@kernel
def keep_best(work: Any) -> None:
    """Remember the current sequence as the best."""
    work[BEST_COUNT] = work[COUNT]
    work[LAST_GAIN] = work[MOVE]
    copy_column(work, work[W_BEST_TASKS], work[W_TASKS], work[COUNT])
    copy_column(work, work[W_BEST_OPTIONS], work[W_OPTIONS], work[COUNT])
    copy_column(work, work[W_BEST_COST], work[W_COST], SLOTS)


@kernel
def back_to_best(flat: Any, work: Any, state: Any, snapshots: Any) -> None:
    """Make the best sequence the current one."""
    present = work[W_PRESENT]
    for k in range(flat[TASKS]):
        work[work[W_PLACE] + k] = -1
        work[present + k] = 0
    count = work[BEST_COUNT]
    work[COUNT] = count
    copy_column(work, work[W_TASKS], work[W_BEST_TASKS], count)
    copy_column(work, work[W_OPTIONS], work[W_BEST_OPTIONS], count)
    for k in range(count):
        task = work[work[W_TASKS] + k]
        work[work[W_PLACE] + task] = k
        work[present + task] = 1
    for choice in range(flat[CHOICES]):
        ways = flat[flat[WAY_FROM] + choice]
        for way in range(ways, flat[flat[WAY_FROM] + choice + 1]):
            whole = True
            for k in range(flat[flat[WAY_TASK_FROM] + way], flat[flat[WAY_TASK_FROM] + way + 1]):
                whole = whole and work[present + flat[flat[WAY_TASK] + k]] == 1
            if whole:
                work[work[W_WAY] + choice] = way - ways
    work[TOGGLED] = -1
    copy_column(work, work[W_CANDIDATE_PRESENT], present, flat[TASKS])
    copy_column(work, work[W_CANDIDATE_PLACE], work[W_PLACE], flat[TASKS])
    copy_column(work, work[W_CANDIDATE_WAY], work[W_WAY], flat[CHOICES])
    settle(flat, work, state, snapshots, 0, True)
