"""Trying a candidate out: decoded only as far as it can still be taken.

From some position on a candidate is the current sequence again. Once the presses hold the same
settings there as they did in the current plan, what follows costs as much as it did, unless it comes
earlier; so what the candidate lost before is lost, and it is given up long before its end.
"""

from __future__ import annotations

from typing import Any

from .jit import kernel
from .layout import (
    AT_BUNDLE_FREE,
    AT_COST,
    AT_LOOSE,
    AT_MACHINE,
    AT_OPERATOR,
    AT_TASK_READY,
    AT_TOKEN,
    BUNDLES,
    FINISH,
    K_FREE,
    LATENESS,
    LEFT_OVER,
    LEVELS,
    LOOSE,
    M_DAY,
    M_FREE,
    M_KIND,
    M_ROW,
    MACHINE_SIZE,
    MACHINES,
    OPERATOR_SIZE,
    OPERATORS,
    ORDER,
    OVERTIME,
    P_FREE,
    PRECEDENCES,
    SLOTS,
    STATE,
    TASKS,
    TOKEN_SIZE,
    TOKENS,
    W_COST,
    W_ENERGY,
    W_LATE_AFTER,
)
from .replay import SNAPSHOT_EVERY


@kernel
def hopeless(flat: Any, work: Any, state: Any, snapshots: Any, position: int, limit: int) -> bool:
    """Whether the rest, which is as in the current sequence, won't make good what was lost before it.

    An estimate: of what is late in the rest, each job gains at most by what the plan is ahead.
    """
    at = position // SNAPSHOT_EVERY * flat[STATE]
    ahead = ahead_by(flat, state, snapshots, at)
    if ahead < 0:
        return False
    cost = flat[AT_COST]
    total = work[W_COST]
    late_after = work[work[W_LATE_AFTER] + position // SNAPSHOT_EVERY]
    if ahead > 0 and work[total + LEFT_OVER] > snapshots[at + cost + LEFT_OVER]:
        return False
    weights = work[W_ENERGY]
    if limit >= 0:
        rise = 0
        for slot in range(SLOTS):
            rise += work[weights + slot] * work[total + slot]
            if slot == FINISH:
                lost = max(0, state[cost + slot] - work[total + slot])
            else:
                lost = state[cost + slot] - snapshots[at + cost + slot]
            rise += work[weights + slot] * lost
        gain = work[weights + LATENESS] * late_after + work[weights + FINISH]
        if work[total + OVERTIME] > snapshots[at + cost + OVERTIME]:
            gain += work[weights + OVERTIME] * flat[OPERATORS]
        return rise - ahead * gain > limit  # type: ignore[no-any-return]
    for k in range(flat[LEVELS]):
        slot = flat[flat[ORDER] + k]
        if slot == FINISH:
            lost = max(0, state[cost + slot] - work[total + slot])
        else:
            lost = state[cost + slot] - snapshots[at + cost + slot]
        if slot == LATENESS:
            lost -= ahead * late_after
        elif slot in (FINISH, OVERTIME):
            lost -= ahead * max(1, flat[OPERATORS])
        if lost != 0:
            return lost > 0  # type: ignore[no-any-return]
    return False


@kernel
def ahead_by(flat: Any, state: Any, snapshots: Any, at: int) -> int:
    """Most ticks by which anything is free earlier than in the snapshot; -1: a machine's setup differs."""
    ahead = 0
    for machine in range(flat[MACHINES]):
        m = flat[AT_MACHINE] + machine * MACHINE_SIZE
        if (
            state[m + M_ROW] != snapshots[at + m + M_ROW]
            or state[m + M_KIND] != snapshots[at + m + M_KIND]
            or state[m + M_DAY] != snapshots[at + m + M_DAY]
        ):
            return -1
        ahead = max(ahead, snapshots[at + m + M_FREE] - state[m + M_FREE])
    for k in range(flat[AT_LOOSE], flat[AT_LOOSE] + flat[MACHINES] * flat[LOOSE]):
        if state[k] != snapshots[at + k]:
            return -1
    for operator in range(flat[OPERATORS]):
        p = flat[AT_OPERATOR] + operator * OPERATOR_SIZE + P_FREE
        ahead = max(ahead, snapshots[at + p] - state[p])
    for token in range(flat[TOKENS]):
        t = flat[AT_TOKEN] + token * TOKEN_SIZE + K_FREE
        ahead = max(ahead, snapshots[at + t] - state[t])
    for k in range(flat[AT_BUNDLE_FREE], flat[AT_BUNDLE_FREE] + flat[BUNDLES]):
        ahead = max(ahead, snapshots[at + k] - state[k])
    if flat[PRECEDENCES] > 0:
        for k in range(flat[AT_TASK_READY], flat[AT_TASK_READY] + flat[TASKS]):
            ahead = max(ahead, snapshots[at + k] - state[k])
    return ahead
