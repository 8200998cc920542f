"""What a move costs in changeovers, known before it is carried out: most that cost too much go no further.

A move takes runs out of some gaps between two runs of a machine and puts runs into others. What is changed
over in such a gap follows from the runs at its ends and those inside, so a few looks into the table of
changeovers tell the rise; decoding would come to the same and take many times as long. It is not the whole
truth: platens that another machine takes meanwhile, or no longer takes, runs that end up left over, and
on which day a run ends up, only the decoder knows.
"""

from __future__ import annotations

from typing import Any

from .between import first_ticks, follow_ticks
from .edits import random_below
from .jit import kernel
from .layout import (
    AT_MACHINE,
    CHANGEOVER,
    CHANGEOVERS,
    COUNT,
    EDITS,
    FINISH,
    LEVELS,
    M_DAY,
    MACHINE_SIZE,
    MACHINES,
    MATED,
    N_DAY,
    NO_LIMIT,
    OPTION_MACHINE,
    ORDER,
    OUTS,
    OVERTIME,
    PLACED,
    RISE,
    RISE_COUNT,
    W_CHANGES,
    W_COST,
    W_EDIT_AT,
    W_EDIT_BEFORE,
    W_EDIT_OPTION,
    W_ENERGY,
    W_FIRST_ON,
    W_FORMER,
    W_LAST_ON,
    W_LATER,
    W_ON,
    W_OPTIONS,
    W_OUT,
    W_OUTS,
    W_ROWS,
    W_TASKS,
    WINDOW,
    WINDOW_RECORD,
    WINDOW_SIZE,
)

LET_THROUGH = 4
"""One in so many moves that cost too much goes on all the same where something else could make it good."""


@kernel
def too_dear(flat: Any, work: Any, start: Any, limit: int, energy: int) -> bool:
    """Whether the noted move costs more in changeovers than it may, so that it need not be carried out.

    Parameters
    ----------
    start
        The state at tick 0.
    limit, energy
        As for `decode`, and the energy of the current plan.
    """
    weights = work[W_ENERGY]
    if flat[MATED] or work[weights + CHANGEOVER] <= work[weights + FINISH]:
        return False
    reckon(flat, work, start)
    rise = work[RISE]
    slack = 0
    if limit >= 0:
        rise = work[weights + CHANGEOVER] * rise + work[weights + CHANGEOVERS] * work[RISE_COUNT]
        slack = limit - energy
    if rise <= slack:
        return False
    gain = gain_elsewhere(flat, work, limit)
    return gain == 0 or rise > slack + gain or random_below(work, LET_THROUGH) > 0


@kernel
def gain_elsewhere(flat: Any, work: Any, limit: int) -> int:
    """The most that a move could gain by what is late, left over or moved; level by level: anything at all.

    Overtime and the finish come behind changeovers, and are taken for nothing.
    """
    cost = work[W_COST]
    weights = work[W_ENERGY]
    gain = 0
    for k in range(flat[LEVELS]):
        slot = flat[flat[ORDER] + k]
        if slot == CHANGEOVER and limit < 0:
            break
        if slot not in (CHANGEOVER, CHANGEOVERS, FINISH, OVERTIME):
            gain += work[weights + slot] * work[cost + slot]
    if limit < 0 and gain > 0:
        gain = NO_LIMIT
    return gain


@kernel
def reckon(flat: Any, work: Any, start: Any) -> None:
    """Leave in RISE and RISE_COUNT by how much the noted move raises the ticks and number of changeovers."""
    work[RISE] = 0
    work[RISE_COUNT] = 0
    edits = work[EDITS]
    for j in range(edits):
        machine = flat[flat[OPTION_MACHINE] + work[work[W_EDIT_OPTION] + j]]
        work[work[W_EDIT_BEFORE] + j] = run_before(work, machine, work[work[W_EDIT_AT] + j])
    for j in range(edits):
        machine = flat[flat[OPTION_MACHINE] + work[work[W_EDIT_OPTION] + j]]
        before = work[work[W_EDIT_BEFORE] + j]
        if first_into(flat, work, machine, before) == j:
            reckon_gap(flat, work, start, machine, before)
    for k in range(work[OUTS]):
        position = work[work[W_OUTS] + k]
        if work[work[W_CHANGES] + position] < 0:
            continue
        before = work[work[W_FORMER] + position]
        if before >= 0 and work[work[W_OUT] + work[work[W_TASKS] + before]]:
            continue
        machine = work[work[W_ON] + position]
        if first_into(flat, work, machine, before) == edits:
            reckon_gap(flat, work, start, machine, before)


@kernel
def run_before(work: Any, machine: int, at: int) -> int:
    """Position of the last run of a machine before `at` that stays there; -1: none."""
    for k in range(at - 1, -1, -1):
        if work[work[W_ON] + k] == machine and not work[work[W_OUT] + work[work[W_TASKS] + k]]:
            return k
    return -1


@kernel
def first_into(flat: Any, work: Any, machine: int, before: int) -> int:
    """The first edit that puts a run into the gap of a machine behind a position; their number: none."""
    for j in range(work[EDITS]):
        if (
            work[work[W_EDIT_BEFORE] + j] == before
            and flat[flat[OPTION_MACHINE] + work[work[W_EDIT_OPTION] + j]] == machine
        ):
            return j
    return work[EDITS]  # type: ignore[no-any-return]


@kernel
def reckon_gap(flat: Any, work: Any, start: Any, machine: int, before: int) -> None:
    """Add what the move changes in the gap of a machine behind position `before` (-1: its begin)."""
    changes = work[W_CHANGES]
    after = work[work[W_LATER] + before] if before >= 0 else work[work[W_FIRST_ON] + machine]
    while after >= 0 and work[work[W_OUT] + work[work[W_TASKS] + after]]:
        note_change(work, work[changes + after], -1)
        after = work[work[W_LATER] + after]
    if after >= 0:
        note_change(work, work[changes + after], -1)
    option = work[work[W_OPTIONS] + before] if before >= 0 else -1
    day = (
        start[flat[AT_MACHINE] + machine * MACHINE_SIZE + M_DAY] if before < 0 else day_of(flat, work, before)
    )
    cold = day < 0 or (after >= 0 and day != day_of(flat, work, after))
    for j in range(work[EDITS]):
        own = work[work[W_EDIT_OPTION] + j]
        if work[work[W_EDIT_BEFORE] + j] == before and flat[flat[OPTION_MACHINE] + own] == machine:
            note_change(work, ticks_between(flat, start, option, own, cold), 1)
            cold = cold and day >= 0
            option = own
    if after >= 0:
        own = work[work[W_OPTIONS] + after]
        note_change(work, ticks_between(flat, start, option, own, cold), 1)


@kernel
def note_change(work: Any, ticks: int, times: int) -> None:
    """Count a changeover once more (`times` 1) or once less (-1)."""
    work[RISE] += times * ticks
    if ticks > 0:
        work[RISE_COUNT] += times


@kernel
def day_of(flat: Any, work: Any, position: int) -> int:
    """The day on which the run at a position of the current sequence is done."""
    window = work[work[W_ROWS] + work[work[W_TASKS] + position] * PLACED + WINDOW]
    return flat[flat[WINDOW_RECORD] + window * WINDOW_SIZE + N_DAY]  # type: ignore[no-any-return]


@kernel
def ticks_between(flat: Any, start: Any, before: int, after: int, cold: bool) -> int:
    """Changeover ticks from option `before` (-1: what its machine is set up for at first) to `after`."""
    if before < 0:
        return first_ticks(flat, start, after, cold)
    return follow_ticks(flat, before, after, cold)


@kernel
def note_order(flat: Any, work: Any) -> None:
    """Note which machine each position is on, and the run before it and after it there; -1: none."""
    first = work[W_FIRST_ON]
    last = work[W_LAST_ON]
    former = work[W_FORMER]
    later = work[W_LATER]
    for machine in range(flat[MACHINES]):
        work[first + machine] = -1
        work[last + machine] = -1
    for k in range(work[COUNT]):
        if work[work[W_CHANGES] + k] < 0:
            work[work[W_ON] + k] = -1
            continue
        machine = flat[flat[OPTION_MACHINE] + work[work[W_OPTIONS] + k]]
        before = work[last + machine]
        work[work[W_ON] + k] = machine
        work[former + k] = before
        work[later + k] = -1
        if before >= 0:
            work[later + before] = k
        else:
            work[first + machine] = k
        work[last + machine] = k
