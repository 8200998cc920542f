"""Where a move may pay: what costs something, what holds it up, what a run suits."""

from __future__ import annotations

from typing import Any

from .between import follow_ticks
from .edits import random_below
from .jit import kernel
from .layout import (
    AFTER,
    AFTER_FROM,
    BEFORE,
    BEFORE_FROM,
    CHASE,
    COUNT,
    DONE,
    END,
    FAMILY_FROM,
    FAMILY_SHARE,
    FAMILY_SHARES,
    FAMILY_TASK,
    HITS,
    JOB,
    MACHINES,
    OPTION_FAMILY,
    OPTION_FROM,
    OPTION_MACHINE,
    OPTION_OPERATOR,
    OPTIONS_ON,
    OPTIONS_ON_FROM,
    PLACED,
    PRECEDENCES,
    W_HITS,
    W_OPTIONS,
    W_OUT,
    W_PLACE,
    W_ROWS,
    W_TASKS,
)


@kernel
def random_option(flat: Any, work: Any, task: int) -> int:
    """Any option of a task."""
    first = flat[flat[OPTION_FROM] + task]
    return first + random_below(work, flat[flat[OPTION_FROM] + task + 1] - first)  # type: ignore[no-any-return]


@kernel
def option_like(flat: Any, work: Any, task: int, like: int) -> int:
    """An option of the task on the machine of option `like`, with its operator when one has it; -1: none.

    Among several the one with the cheapest changeover after `like`, first by a random start.
    """
    operator = flat[flat[OPTION_OPERATOR] + like]
    on = flat[OPTIONS_ON_FROM] + task * flat[MACHINES] + flat[flat[OPTION_MACHINE] + like]
    first = flat[on]
    size = flat[on + 1] - first
    if size == 0:
        return -1
    offset = random_below(work, size)
    best = -1
    best_same = 0
    best_ticks = 0
    for k in range(size):
        option = flat[flat[OPTIONS_ON] + first + (k + offset) % size]
        same = 1 if flat[flat[OPTION_OPERATOR] + option] == operator else 0
        if same < best_same:
            continue
        ticks = follow_ticks(flat, like, option, False)
        if best < 0 or same > best_same or ticks < best_ticks:
            best = option
            best_same = same
            best_ticks = ticks
    return best


@kernel
def shares(flat: Any, work: Any, position: int, option: int, by_person: int) -> bool:
    """Whether the run at a position is on the machine (or by the operator) of the option."""
    other = work[work[W_OPTIONS] + position]
    if by_person:
        return flat[flat[OPTION_OPERATOR] + other] == flat[flat[OPTION_OPERATOR] + option]  # type: ignore[no-any-return]
    return flat[flat[OPTION_MACHINE] + other] == flat[flat[OPTION_MACHINE] + option]  # type: ignore[no-any-return]


@kernel
def holds_up(flat: Any, work: Any, position: int) -> int:
    """The run that ends last of those right before this one: on its machine, by its operator, of its job.

    Returns the position itself when there is none.
    """
    option = work[work[W_OPTIONS] + position]
    job = flat[flat[JOB] + work[work[W_TASKS] + position]]
    machine_open = 1
    person_open = 1 if flat[flat[OPTION_OPERATOR] + option] >= 0 else 0
    job_open = 1
    best = position
    latest = -1
    for k in range(position - 1, -1, -1):
        seen = 0
        if machine_open and shares(flat, work, k, option, 0):
            machine_open = 0
            seen = 1
        if person_open and shares(flat, work, k, option, 1):
            person_open = 0
            seen = 1
        if job_open and flat[flat[JOB] + work[work[W_TASKS] + k]] == job:
            job_open = 0
            seen = 1
        row = work[W_ROWS] + work[work[W_TASKS] + k] * PLACED
        if seen and work[row + DONE] and work[row + END] > latest:
            latest = work[row + END]
            best = k
        if not machine_open and not person_open and not job_open:
            break
    return best


@kernel
def focus(flat: Any, work: Any) -> int:
    """A position worth touching: half the time any, else one that costs something, or what holds that up."""
    if work[HITS] == 0 or random_below(work, 2) == 0:
        return random_below(work, work[COUNT])
    position = work[work[W_HITS] + random_below(work, work[HITS])]
    if work[CHASE]:
        while random_below(work, 3):
            before = holds_up(flat, work, position)
            if before == position:
                break
            position = before
    return position  # type: ignore[no-any-return]


@kernel
def along(flat: Any, work: Any, position: int, option: int, steps: int, by_person: int) -> int:
    """Position of the run so many steps on in the order of the option's machine (or operator).

    Negative steps go back. What a move takes out doesn't count. Ends at the last one there is; the
    position itself when there is none.
    """
    found = position
    k = position
    ahead = 1 if steps > 0 else -1
    left = abs(steps)
    while left > 0:
        k += ahead
        if k < 0 or k >= work[COUNT]:
            break
        if not work[work[W_OUT] + work[work[W_TASKS] + k]] and shares(flat, work, k, option, by_person):
            found = k
            left -= 1
    return found


@kernel
def gap_ticks(flat: Any, work: Any, option: int, at: int) -> int:
    """Estimated changeover ticks that a run adds when it is put in before a position, its platen kept."""
    before = -1
    for k in range(at - 1, -1, -1):
        if not work[work[W_OUT] + work[work[W_TASKS] + k]] and shares(flat, work, k, option, 0):
            before = work[work[W_OPTIONS] + k]
            break
    after = -1
    for k in range(at, work[COUNT]):
        if not work[work[W_OUT] + work[work[W_TASKS] + k]] and shares(flat, work, k, option, 0):
            after = work[work[W_OPTIONS] + k]
            break
    ticks = 0
    if before >= 0:
        ticks += follow_ticks(flat, before, option, False)
    if after >= 0:
        ticks += follow_ticks(flat, option, after, False)
    if before >= 0 and after >= 0:
        ticks -= follow_ticks(flat, before, after, False)
    return ticks


@kernel
def within(flat: Any, work: Any, task: int, at: int) -> int:
    """The nearest position behind all that must come before the task and before all that must follow."""
    if flat[PRECEDENCES] == 0:
        return at
    for k in range(flat[flat[AFTER_FROM] + task], flat[flat[AFTER_FROM] + task + 1]):
        place = work[work[W_PLACE] + flat[flat[AFTER] + k]]
        if 0 <= place < at:
            at = place
    for k in range(flat[flat[BEFORE_FROM] + task], flat[flat[BEFORE_FROM] + task + 1]):
        at = max(at, work[work[W_PLACE] + flat[flat[BEFORE] + k]] + 1)
    return at


@kernel
def near(work: Any, position: int) -> int:
    """A position to move to: half the time within an eighth of the sequence, else anywhere."""
    count = work[COUNT]
    if random_below(work, 2) == 0:
        return random_below(work, count + 1)
    reach = 2 + count // 8
    at: int = max(0, min(count, position - reach + random_below(work, 2 * reach + 1)))
    return at


@kernel
def neighbour(flat: Any, work: Any, task: int, own: int) -> int:
    """Position of a run, out of a random handful, that the task could follow most cheaply; -1: none.

    Now and then the handful is of the family of the task's option `own` only.
    """
    count = work[COUNT]
    family = flat[FAMILY_FROM] + flat[flat[OPTION_FAMILY] + own]
    members = 0
    if random_below(work, FAMILY_SHARES) < work[FAMILY_SHARE]:
        members = flat[family + 1] - flat[family]
    best = -1
    best_ticks = 0
    for _ in range(2 + random_below(work, 3 if members else 8)):
        if members:
            position = work[
                work[W_PLACE] + flat[flat[FAMILY_TASK] + flat[family] + random_below(work, members)]
            ]
        else:
            position = random_below(work, count)
        if position < 0:
            continue
        other = work[work[W_TASKS] + position]
        if work[work[W_OUT] + other] or other == task:
            continue
        option = option_like(flat, work, task, work[work[W_OPTIONS] + position])
        if option < 0:
            continue
        ticks = follow_ticks(flat, work[work[W_OPTIONS] + position], option, False)
        if best < 0 or ticks < best_ticks:
            best = position
            best_ticks = ticks
    return best
