"""Decoding a candidate by what changes: where nothing differs, its rows are those of the current plan.

A task stands where it stands now when its machine, its operator, its garments and what must come before
it are as they are now; then its row is put down as it is. What a move puts elsewhere makes a difference,
which spreads from task to task, and ends where a task ends up as it is now after all. The result is
that of placing every task anew.
"""

from __future__ import annotations

from typing import Any

from .beside import mate_of, mounts_any
from .jit import copy, kernel
from .layout import (
    AT_TOKEN,
    BEFORE,
    BUNDLE,
    COUNT,
    DONE,
    EDITS,
    END,
    K_PLACE,
    MATE_MOUNTS,
    MATE_TOKEN,
    MATE_WARM_START,
    MATED,
    MOUNTS,
    O_MACHINE,
    O_OWNER,
    OPERATORS,
    OPTION_RECORD,
    OPTION_SIZE,
    PLACED,
    PLACED_ANEW,
    STATE,
    T_BEFORE_FROM,
    T_BEFORE_TO,
    T_BUNDLE_FROM,
    T_BUNDLE_TO,
    TASK_RECORD,
    TASK_SIZE,
    TOKEN,
    TOKEN_SIZE,
    TRIAL,
    W_CANDIDATE_OPTIONS,
    W_CANDIDATE_PRESENT,
    W_CANDIDATE_TASKS,
    W_EDIT_TASK,
    W_MOVED,
    W_OPTIONS,
    W_OTHER_BUNDLE,
    W_OTHER_MACHINE,
    W_OTHER_OPERATOR,
    W_OTHER_TASK,
    W_PLACED_ANEW,
    W_ROWS,
    W_TASKS,
    W_TRIAL_ROWS,
    WARM_START,
    WINDOW,
)
from .place import place, put_down

SNAPSHOT_EVERY = 16
"""Positions between two kept states: a candidate is decoded from the last one before its first change."""


@kernel
def begin_trial(flat: Any, state: Any, work: Any, snapshots: Any, first: int) -> None:
    """Bring the state to the candidate's first changed position."""
    work[TRIAL] += 1
    work[PLACED_ANEW] = 0
    for k in range(work[EDITS]):
        work[work[W_MOVED] + work[work[W_EDIT_TASK] + k]] = work[TRIAL]
    size = flat[STATE]
    begin = first // SNAPSHOT_EVERY
    copy(state, 0, snapshots, begin * size, size)
    for k in range(begin * SNAPSHOT_EVERY, first):
        put_down_again(flat, state, work, work[work[W_TASKS] + k], work[work[W_OPTIONS] + k])


@kernel
def put_down_again(flat: Any, state: Any, work: Any, task: int, option: int) -> None:
    """Put a task down where it stands in the current plan."""
    put_down(flat, state, task, option, work, work[W_ROWS] + task * PLACED)


@kernel
def try_next(flat: Any, state: Any, work: Any, position: int, current: int) -> int:
    """Put the candidate's task at a position down.

    `current` is how far the current sequence was followed; returns how far it is now, -1 - that when the
    task stands where it does now.
    """
    trial = work[TRIAL]
    count = work[COUNT]
    tasks = work[W_TASKS]
    while current < count and gone(work, work[tasks + current]):
        note_gone(flat, state, work, work[tasks + current], work[work[W_OPTIONS] + current])
        current += 1
    task = work[work[W_CANDIDATE_TASKS] + position]
    option = work[work[W_CANDIDATE_OPTIONS] + position]
    moved = work[work[W_MOVED] + task] == trial
    if not moved:
        current += 1
        if unchanged(flat, work, task, option):
            put_down_again(flat, state, work, task, option)
            return -1 - current
    row = work[W_TRIAL_ROWS] + task * PLACED
    place(flat, state, work, work[W_CANDIDATE_PRESENT], task, option, work, row)
    work[work[W_PLACED_ANEW] + work[PLACED_ANEW]] = task
    work[PLACED_ANEW] += 1
    was = work[W_ROWS] + task * PLACED
    if moved:
        if work[row + DONE]:
            note_other(flat, work, task, option, trial)
            note_taken(flat, state, work, row)
    elif work[row + DONE] or work[was + DONE]:
        same = (
            work[row + DONE] == work[was + DONE]
            and work[row + END] == work[was + END]
            and work[row + WINDOW] == work[was + WINDOW]
            and work[row + TOKEN] == work[was + TOKEN]
            and (not flat[MATED] or work[row + MATE_TOKEN] == work[was + MATE_TOKEN])
        )
        note_other(flat, work, task, option, 0 if same else trial)
        if not (same and mounts_any(flat, work, was)):
            note_taken(flat, state, work, row)
            note_taken(flat, state, work, was)
    put_down(flat, state, task, option, work, row)
    return current


@kernel
def gone(work: Any, task: int) -> bool:
    """Whether the candidate has a task of the current sequence elsewhere, or not at all."""
    return (  # type: ignore[no-any-return]
        work[work[W_MOVED] + task] == work[TRIAL] or work[work[W_CANDIDATE_PRESENT] + task] == 0
    )


@kernel
def unchanged(flat: Any, work: Any, task: int, option: int) -> bool:
    """Whether placing a task that didn't move would give the row that it has now.

    Taking a platen from elsewhere and heating up depend on more than is looked at here.
    """
    trial = work[TRIAL]
    row = work[W_ROWS] + task * PLACED
    o = flat[OPTION_RECORD] + option * OPTION_SIZE
    mate = mate_of(flat, option)
    if mate >= 0 and (
        work[work[W_OTHER_MACHINE] + mate] == trial
        or work[row + MATE_MOUNTS]
        or work[row + MATE_WARM_START] >= 0
    ):
        return False
    if (
        work[work[W_OTHER_MACHINE] + flat[o + O_MACHINE]] == trial
        or work[work[W_OTHER_OPERATOR] + flat[o + O_OWNER]] == trial
        or not work[row + DONE]
        or work[row + MOUNTS]
        or work[row + WARM_START] >= 0
    ):
        return False
    t = flat[TASK_RECORD] + task * TASK_SIZE
    for k in range(flat[t + T_BUNDLE_FROM], flat[t + T_BUNDLE_TO]):
        if work[work[W_OTHER_BUNDLE] + flat[flat[BUNDLE] + k]] == trial:
            return False
    for k in range(flat[t + T_BEFORE_FROM], flat[t + T_BEFORE_TO]):
        if work[work[W_OTHER_TASK] + flat[flat[BEFORE] + k]] == trial:
            return False
    return True


@kernel
def note_other(flat: Any, work: Any, task: int, option: int, trial: int) -> None:
    """Mark what a task changes as other than it is now, or, with `trial` 0, as the same again."""
    o = flat[OPTION_RECORD] + option * OPTION_SIZE
    owner = flat[o + O_OWNER]
    work[work[W_OTHER_MACHINE] + flat[o + O_MACHINE]] = trial
    mate = mate_of(flat, option)
    if mate >= 0:
        work[work[W_OTHER_MACHINE] + mate] = trial
    if owner < flat[OPERATORS]:
        work[work[W_OTHER_OPERATOR] + owner] = trial
    work[work[W_OTHER_TASK] + task] = trial
    t = flat[TASK_RECORD] + task * TASK_SIZE
    for k in range(flat[t + T_BUNDLE_FROM], flat[t + T_BUNDLE_TO]):
        work[work[W_OTHER_BUNDLE] + flat[flat[BUNDLE] + k]] = trial


@kernel
def note_taken(flat: Any, state: Any, work: Any, row: int) -> None:
    """Mark the machines that a task's platens are taken from."""
    if not work[row + DONE]:
        return
    if work[row + MOUNTS]:
        note_place(flat, state, work, work[row + TOKEN])
    if flat[MATED] and work[row + MATE_MOUNTS]:
        note_place(flat, state, work, work[row + MATE_TOKEN])


@kernel
def note_place(flat: Any, state: Any, work: Any, token: int) -> None:
    """Mark the machine that a platen is on."""
    machine = state[flat[AT_TOKEN] + token * TOKEN_SIZE + K_PLACE]
    if machine >= 0:
        work[work[W_OTHER_MACHINE] + machine] = work[TRIAL]


@kernel
def note_gone(flat: Any, state: Any, work: Any, task: int, option: int) -> None:
    """Mark what a task changes now, at a place where the candidate hasn't got it."""
    row = work[W_ROWS] + task * PLACED
    if work[row + DONE]:
        note_other(flat, work, task, option, work[TRIAL])
        note_taken(flat, state, work, row)
    else:
        work[work[W_OTHER_TASK] + task] = work[TRIAL]


@kernel
def keep_trial(work: Any) -> None:
    """Make the trial's rows those of the current plan."""
    for k in range(work[PLACED_ANEW]):
        task = work[work[W_PLACED_ANEW] + k]
        copy(work, work[W_ROWS] + task * PLACED, work, work[W_TRIAL_ROWS] + task * PLACED, PLACED)
