"""The moves of the local search: each turns the current sequence into a candidate.

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
    CHOICES,
    COUNT,
    EDITS,
    GOES_WITH_PLATEN,
    HANDS_OFF,
    JOB,
    LATENESS,
    LEFT_OVER,
    OPTION_FROM,
    OPTION_MACHINE,
    OPTION_OPERATOR,
    OPTION_PLATEN,
    OPTION_STATE,
    PARTS,
    PRECEDENCES,
    RANDOM,
    TOGGLED,
    W_CANDIDATE_OPTIONS,
    W_CANDIDATE_PLACE,
    W_CANDIDATE_PRESENT,
    W_CANDIDATE_TASKS,
    W_CANDIDATE_WAY,
    W_CHANGES,
    W_COST,
    W_EDIT_AT,
    W_EDIT_OPTION,
    W_EDIT_TASK,
    W_JOB_LATE,
    W_OPTIONS,
    W_OUT,
    W_PLACE,
    W_TASKS,
    W_WAY,
    WAY_FROM,
    WAY_TASK,
    WAY_TASK_FROM,
)
from .steps import table_ticks


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
    return task  # type: ignore[no-any-return]


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


@kernel
def follow_ticks(flat: Any, before: int, after: int) -> int:
    """Changeover cost when one option directly follows another on the same machine, platen kept."""
    machine = flat[flat[OPTION_MACHINE] + after]
    parts = flat[PARTS]
    hands_on = 0
    hands_off = 0
    swap = flat[flat[OPTION_PLATEN] + before] != flat[flat[OPTION_PLATEN] + after]
    for part in range(parts):
        was = flat[flat[OPTION_STATE] + before * parts + part]
        if swap and flat[flat[GOES_WITH_PLATEN] + part]:
            was = -1
        ticks = table_ticks(flat, machine, part, was, flat[flat[OPTION_STATE] + after * parts + part])
        if flat[flat[HANDS_OFF] + part]:
            hands_off += ticks
        else:
            hands_on += ticks
    return max(hands_on, hands_off)


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
    machine = flat[flat[OPTION_MACHINE] + like]
    operator = flat[flat[OPTION_OPERATOR] + like]
    first = flat[flat[OPTION_FROM] + task]
    size = flat[flat[OPTION_FROM] + task + 1] - first
    offset = random_below(work, size)
    best = -1
    best_same = 0
    best_ticks = 0
    for k in range(size):
        option = first + (k + offset) % size
        if flat[flat[OPTION_MACHINE] + option] != machine:
            continue
        same = 1 if flat[flat[OPTION_OPERATOR] + option] == operator else 0
        ticks = follow_ticks(flat, like, option)
        if best < 0 or same > best_same or (same == best_same and ticks < best_ticks):
            best = option
            best_same = same
            best_ticks = ticks
    return best


@kernel
def focus(flat: Any, work: Any) -> int:
    """A position worth touching: half the time any, else a late run (or what holds it up) or a changeover."""
    count = work[COUNT]
    position = random_below(work, count)
    if random_below(work, 2) == 0:
        return position
    late = work[work[W_COST] + LATENESS] > 0 or work[work[W_COST] + LEFT_OVER] > 0
    for _ in range(8):
        if late:
            hit = (
                work[work[W_CHANGES] + position] < 0
                or work[work[W_JOB_LATE] + flat[flat[JOB] + work[work[W_TASKS] + position]]] > 0
            )
        else:
            hit = work[work[W_CHANGES] + position] > 0
        if hit:
            break
        position = random_below(work, count)
    if late and random_below(work, 2) == 0:
        option = work[work[W_OPTIONS] + position]
        for k in range(position - 1, -1, -1):
            other = work[work[W_OPTIONS] + k]
            shares = flat[flat[OPTION_MACHINE] + other] == flat[flat[OPTION_MACHINE] + option]
            if not shares and flat[flat[OPTION_OPERATOR] + option] >= 0:
                shares = flat[flat[OPTION_OPERATOR] + other] == flat[flat[OPTION_OPERATOR] + option]
            if shares and random_below(work, 2) == 0:
                return k
    return position


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
def neighbour(flat: Any, work: Any, task: int) -> int:
    """Position of a run, out of a random handful, that the task could follow most cheaply; -1: none."""
    count = work[COUNT]
    best = -1
    best_ticks = 0
    for _ in range(2 + random_below(work, 8)):
        position = random_below(work, count)
        other = work[work[W_TASKS] + position]
        if work[work[W_OUT] + other] or other == task:
            continue
        option = option_like(flat, work, task, work[work[W_OPTIONS] + position])
        if option < 0:
            continue
        ticks = follow_ticks(flat, work[work[W_OPTIONS] + position], option)
        if best < 0 or ticks < best_ticks:
            best = position
            best_ticks = ticks
    return best


@kernel
def join(flat: Any, work: Any, position: int) -> None:
    """Move a run right behind (or before) one that it suits, on the same press and with the same person."""
    task = take_out(work, position)
    other = neighbour(flat, work, task)
    if other < 0:
        edit(work, task, random_option(flat, work, task), near(work, position))
        return
    option = option_like(flat, work, task, work[work[W_OPTIONS] + other])
    edit(work, task, option, other + 1 if random_below(work, 4) else other)


@kernel
def swap(flat: Any, work: Any, position: int) -> None:
    """Let two runs change places; half the time each takes the other's press and person where it can."""
    other = random_below(work, work[COUNT])
    if random_below(work, 2) == 0:
        other = max(0, min(work[COUNT] - 1, position - 3 + random_below(work, 7)))
    if other == position:
        other = (position + 1) % work[COUNT]
    a = work[work[W_OPTIONS] + position]
    b = work[work[W_OPTIONS] + other]
    if random_below(work, 2) == 0:
        like_b = option_like(flat, work, work[work[W_TASKS] + position], b)
        like_a = option_like(flat, work, work[work[W_TASKS] + other], a)
        if like_a >= 0 and like_b >= 0:
            a, b = like_b, like_a
    task = take_out(work, position)
    if other != position:
        rival = take_out(work, other)
        edit(work, rival, b, position)
        edit(work, task, a, other)
    else:
        edit(work, task, a, position)


@kernel
def move_block(flat: Any, work: Any, position: int) -> None:
    """Move a stretch of runs of one press to another place, and half the time to another press or person."""
    count = work[COUNT]
    machine = flat[flat[OPTION_MACHINE] + work[work[W_OPTIONS] + position]]
    length = 2 + random_below(work, 6)
    last = work[work[W_OPTIONS] + position]
    target = last
    if random_below(work, 2) == 0:
        target = work[work[W_OPTIONS] + random_below(work, count)]
    at = near(work, position)
    taken = 0
    for k in range(position, count):
        option = work[work[W_OPTIONS] + k]
        if flat[flat[OPTION_MACHINE] + option] != machine:
            continue
        # A block is what belongs together: it ends where changing over costs more than new artwork.
        if taken and (
            taken >= length or flat[flat[OPTION_PLATEN] + option] != flat[flat[OPTION_PLATEN] + last]
        ):
            break
        task = take_out(work, k)
        moved = option
        if target != work[work[W_OPTIONS] + position]:
            like = option_like(flat, work, task, target)
            if like >= 0:
                moved = like
        edit(work, task, moved, at)
        last = option
        taken += 1


@kernel
def change_person(flat: Any, work: Any, position: int) -> None:
    """Hand a run, and sometimes the next ones of that press, to another person on the same press."""
    count = work[COUNT]
    option = work[work[W_OPTIONS] + position]
    machine = flat[flat[OPTION_MACHINE] + option]
    other = random_option(flat, work, work[work[W_TASKS] + position])
    person = flat[flat[OPTION_OPERATOR] + other]
    length = 1 + random_below(work, 4)
    taken = 0
    for k in range(position, count):
        if flat[flat[OPTION_MACHINE] + work[work[W_OPTIONS] + k]] != machine:
            continue
        task = work[work[W_TASKS] + k]
        for candidate in range(flat[flat[OPTION_FROM] + task], flat[flat[OPTION_FROM] + task + 1]):
            same = flat[flat[OPTION_MACHINE] + candidate] == machine
            same = (
                same
                and flat[flat[OPTION_PLATEN] + candidate]
                == flat[flat[OPTION_PLATEN] + work[work[W_OPTIONS] + k]]
            )
            if same and flat[flat[OPTION_OPERATOR] + candidate] == person:
                take_out(work, k)
                edit(work, task, candidate, k)
                break
        taken += 1
        if taken >= length:
            break


@kernel
def toggle(flat: Any, work: Any) -> bool:
    """Carry a choice out another way (together or apart, whole or in lots); False when there is none."""
    if flat[CHOICES] == 0:
        return False
    choice = random_below(work, flat[CHOICES])
    first = flat[flat[WAY_FROM] + choice]
    ways = flat[flat[WAY_FROM] + choice + 1] - first
    if ways < 2:
        return False
    old = work[work[W_WAY] + choice]
    new = (old + 1 + random_below(work, ways - 1)) % ways
    work[TOGGLED] = choice
    work[work[W_CANDIDATE_WAY] + choice] = new
    start = work[COUNT]
    like = 0
    for k in range(flat[flat[WAY_TASK_FROM] + first + old], flat[flat[WAY_TASK_FROM] + first + old + 1]):
        position = work[work[W_PLACE] + flat[flat[WAY_TASK] + k]]
        take_out(work, position)
        work[work[W_CANDIDATE_PRESENT] + flat[flat[WAY_TASK] + k]] = 0
        if position < start:
            start = position
            like = work[work[W_OPTIONS] + position]
    for k in range(flat[flat[WAY_TASK_FROM] + first + new], flat[flat[WAY_TASK_FROM] + first + new + 1]):
        task = flat[flat[WAY_TASK] + k]
        work[work[W_CANDIDATE_PRESENT] + task] = 1
        pick = random_below(work, 3)
        option = -1
        at = near(work, start) if pick else start
        if pick == 1:
            other = neighbour(flat, work, task)
            if other >= 0:
                option = option_like(flat, work, task, work[work[W_OPTIONS] + other])
                at = other + 1
        elif pick == 0:
            option = option_like(flat, work, task, like)
        if option < 0:
            option = random_option(flat, work, task)
        edit(work, task, option, at)
    return True


@kernel
def propose(flat: Any, work: Any) -> int:
    """Note one random move and build its candidate; the first changed position, or -1."""
    work[EDITS] = 0
    work[TOGGLED] = -1
    kind = random_below(work, 20)
    if kind < 2 and toggle(flat, work):
        return build(flat, work)
    position = focus(flat, work)
    if kind < 7:
        join(flat, work, position)
    elif kind < 10:
        task = take_out(work, position)
        edit(work, task, work[work[W_OPTIONS] + position], near(work, position))
    elif kind < 12:
        task = take_out(work, position)
        edit(work, task, random_option(flat, work, task), position)
    elif kind < 14:
        task = take_out(work, position)
        edit(work, task, random_option(flat, work, task), near(work, position))
    elif kind < 16:
        swap(flat, work, position)
    elif kind < 18:
        move_block(flat, work, position)
    else:
        change_person(flat, work, position)
    return build(flat, work)
