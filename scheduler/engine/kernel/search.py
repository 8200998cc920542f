"""Simulated annealing in cycles, in chunks that don't change its course."""

from __future__ import annotations

from typing import Any

from .current import back_to_best, by_time, copy_column, keep_best, settle
from .decode import compare, decode, energy_of
from .edits import build, drop_edit, random_below
from .jit import kernel
from .layout import (
    ACCEPTED,
    AT_COST,
    CANDIDATE_COUNT,
    CHANCES,
    CHOICES,
    COOLING_STEPS,
    COUNT,
    CYCLE_LENGTH,
    CYCLE_START,
    DECODED,
    HEAT,
    LATENESS,
    LONGEST,
    MOVE,
    NO_LIMIT,
    SORTED,
    SQUARE,
    TASKS,
    TOGGLED,
    W_BEST_COST,
    W_CANDIDATE_OPTIONS,
    W_CANDIDATE_PLACE,
    W_CANDIDATE_PRESENT,
    W_CANDIDATE_TASKS,
    W_CANDIDATE_WAY,
    W_COOLING,
    W_COST,
    W_ENERGY,
    W_LOGARITHM,
    W_OPTIONS,
    W_PLACE,
    W_PRESENT,
    W_PRESSURE,
    W_TASKS,
    W_WAY,
    WAY_FROM,
    WAY_TASK,
    WAY_TASK_FROM,
)
from .moves import propose
from .reckon import too_dear
from .replay import keep_trial

SORT_EVERY = 500
"""Moves after which the sequence is brought into order of time again."""

SHARES = 16
"""Parts in which the first temperature of a cycle is told, of that of long ones."""

COOLEST = 4
"""So many of them for the shortest cycles."""

HOT_SQUARE, HOT_MOVES = 25, 16
"""A cycle begins with `share` of `SHARES` when `HOT_SQUARE * share ** 2 * runs ** 2 <= HOT_MOVES * moves`."""


@kernel
def run_moves(flat: Any, work: Any, state: Any, snapshots: Any, moves: int) -> None:
    """Try so many moves.

    The search goes in cycles, each from the best plan so far. A cycle is simulated annealing
    (Kirkpatrick, Gelatt & Vecchi 1983) on the energy, a weighted sum of the levels, since a plan that is
    a little late for a while is often on the way to a better one. Its last part takes only what is no
    worse level by level: the levels are what counts.
    """
    cost = work[W_COST]
    hot = first_temperature(work)
    for _ in range(moves):
        work[MOVE] += 1
        age = work[MOVE] - work[CYCLE_START]
        if age >= work[CYCLE_LENGTH]:
            work[CYCLE_START] = work[MOVE]
            work[CYCLE_LENGTH] = min(2 * work[CYCLE_LENGTH], work[LONGEST])
            hot = first_temperature(work)
            age = 0
            back_to_best(flat, work, state, snapshots)
        if work[MOVE] - work[SORTED] >= SORT_EVERY:
            work[SORTED] = work[MOVE]
            by_time(flat, work, state, snapshots)
        energy = 0
        step = age * (COOLING_STEPS + COOLING_STEPS // 8) // work[CYCLE_LENGTH]
        if step < COOLING_STEPS:
            work[work[W_ENERGY] + LATENESS] = work[work[W_PRESSURE] + step]
            heat = hot * work[work[W_COOLING] + step] // 4096
            chance = work[work[W_LOGARITHM] + random_below(work, CHANCES)]
            energy = energy_of(work, work, cost)
            limit = energy + heat * chance // 1024
        else:
            limit = -1
            if age * (COOLING_STEPS + COOLING_STEPS // 8) < COOLING_STEPS * work[CYCLE_LENGTH] + (
                COOLING_STEPS + COOLING_STEPS // 8
            ):
                back_to_best(flat, work, state, snapshots)
        if not propose(flat, work):
            continue
        if too_dear(flat, work, snapshots, limit, energy):
            drop_edit(work)
            undo(flat, work)
            continue
        first = build(flat, work)
        if first < 0:
            undo(flat, work)
            continue
        work[DECODED] += 1
        if decode(flat, state, work, snapshots, first, limit):
            work[ACCEPTED] += 1
            accept(flat, work, state, snapshots, first)
            if compare(flat, work, cost, work, work[W_BEST_COST]) < 0:
                keep_best(work)
        else:
            undo(flat, work)


@kernel
def first_temperature(work: Any) -> int:
    """How hot the current cycle begins: the longer, the hotter; a short one can't cool what it melts."""
    if work[SQUARE] == 0:
        return work[HEAT]  # type: ignore[no-any-return]
    share = COOLEST
    while (
        share < SHARES
        and HOT_SQUARE * (share + 1) * (share + 1) * work[SQUARE] <= HOT_MOVES * work[CYCLE_LENGTH]
    ):
        share += 1
    return work[HEAT] * share // SHARES  # type: ignore[no-any-return]


@kernel
def sample_rises(flat: Any, work: Any, state: Any, snapshots: Any, rises: Any, wanted: int) -> int:
    """Fill `rises` with rises in energy of random moves, changing nothing; returns how many it found."""
    found = 0
    before = energy_of(work, work, work[W_COST])
    for _ in range(4 * wanted):
        if found == wanted:
            break
        first = build(flat, work) if propose(flat, work) else -1
        if first >= 0:
            decode(flat, state, work, snapshots, first, NO_LIMIT)
            rise = energy_of(work, state, flat[AT_COST]) - before
            if rise > 0:
                rises[found] = rise
                found += 1
        undo(flat, work)
    return found


@kernel
def undo(flat: Any, work: Any) -> None:
    """Forget a candidate: what a choice's move changed goes back."""
    choice = work[TOGGLED]
    if choice < 0:
        return
    work[work[W_CANDIDATE_WAY] + choice] = work[work[W_WAY] + choice]
    for way in range(flat[flat[WAY_FROM] + choice], flat[flat[WAY_FROM] + choice + 1]):
        for k in range(flat[flat[WAY_TASK_FROM] + way], flat[flat[WAY_TASK_FROM] + way + 1]):
            task = flat[flat[WAY_TASK] + k]
            work[work[W_CANDIDATE_PRESENT] + task] = work[work[W_PRESENT] + task]
            work[work[W_CANDIDATE_PLACE] + task] = work[work[W_PLACE] + task]
    work[TOGGLED] = -1


@kernel
def accept(flat: Any, work: Any, state: Any, snapshots: Any, first: int) -> None:
    """Make the candidate the current sequence, and renew its snapshots."""
    size = work[CANDIDATE_COUNT]
    tasks = work[W_TASKS]
    place = work[W_PLACE]
    for k in range(first, work[COUNT]):
        work[place + work[tasks + k]] = -1
    work[COUNT] = size
    copy_column(work, tasks + first, work[W_CANDIDATE_TASKS] + first, size - first)
    copy_column(work, work[W_OPTIONS] + first, work[W_CANDIDATE_OPTIONS] + first, size - first)
    for k in range(first, size):
        work[place + work[tasks + k]] = k
    if work[TOGGLED] >= 0:
        copy_column(work, work[W_PRESENT], work[W_CANDIDATE_PRESENT], flat[TASKS])
        copy_column(work, work[W_WAY], work[W_CANDIDATE_WAY], flat[CHOICES])
        work[TOGGLED] = -1
    copy_column(work, work[W_CANDIDATE_PLACE], place, flat[TASKS])
    keep_trial(work)
    settle(flat, work, state, snapshots, first, False)
