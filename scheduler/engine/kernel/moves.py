"""The moves of the local search: each turns the current sequence into a candidate.

A move takes some tasks out and puts some in, each before a position of the current sequence. It only
writes this edit down (`Work.edit_*`); `build` makes the candidate from it and refuses one in which a
task stands before what must come first.
"""

from __future__ import annotations

from typing import Any, NamedTuple

from .jit import kernel
from .layout import AT_COST, CHOICES, JOBS, LATENESS, LEFT_OVER, Flat
from .steps import table_ticks

# Work.counter
(
    COUNT,
    CANDIDATE_COUNT,
    BEST_COUNT,
    MOVE,
    LAST_GAIN,
    ACCEPTED,
    DECODED,
    RANDOM,
    HISTORY,
    KICK_AFTER,
    EDITS,
    KICKS,
) = range(12)
COUNTERS = 12

KINDS = 8
"""Kinds of move; see `propose`."""


class Work(NamedTuple):
    """What the search writes: sequences, costs, snapshots, counters."""

    counter: Any
    state: Any
    row: Any
    tasks: Any
    options: Any
    present: Any
    place: Any  # by task: position in the sequence, -1 when not in it
    changes: Any  # by position: changeover ticks, -1 when left over
    cost: Any
    candidate_tasks: Any
    candidate_options: Any
    candidate_present: Any
    candidate_place: Any
    best_tasks: Any
    best_options: Any
    best_cost: Any
    snapshots: Any
    history: Any
    job_late: Any
    way: Any  # by choice: the way in use
    candidate_way: Any
    edit_task: Any
    edit_option: Any
    edit_at: Any
    out: Any  # by task: 1 while a move takes it out


@kernel
def random_below(work: Work, below: int) -> int:
    """A number in [0, below) from a 32-bit xorshift generator (Marsaglia 2003)."""
    x = work.counter[RANDOM]
    x ^= (x << 13) & 0xFFFFFFFF
    x ^= x >> 17
    x ^= (x << 5) & 0xFFFFFFFF
    work.counter[RANDOM] = x
    return x % below  # type: ignore[no-any-return]


@kernel
def edit(work: Work, task: int, option: int, at: int) -> None:
    """Put a task in before position `at`; edits are kept sorted by position."""
    k = work.counter[EDITS]
    while k > 0 and work.edit_at[k - 1] > at:
        work.edit_task[k] = work.edit_task[k - 1]
        work.edit_option[k] = work.edit_option[k - 1]
        work.edit_at[k] = work.edit_at[k - 1]
        k -= 1
    work.edit_task[k] = task
    work.edit_option[k] = option
    work.edit_at[k] = at
    work.counter[EDITS] += 1


@kernel
def take_out(work: Work, position: int) -> int:
    """Take the task at a position out; returns the task."""
    task = work.tasks[position]
    work.out[task] = 1
    return task  # type: ignore[no-any-return]


@kernel
def build(flat: Flat, work: Work) -> int:
    """Make the candidate of the noted edit; the first changed position, or -1 when it may not be.

    Always ends with no task marked as out.
    """
    count = work.counter[COUNT]
    edits = work.counter[EDITS]
    first = count
    size = 0
    j = 0
    for k in range(count + 1):
        while j < edits and work.edit_at[j] == k:
            first = min(first, size)
            work.candidate_tasks[size] = work.edit_task[j]
            work.candidate_options[size] = work.edit_option[j]
            size += 1
            j += 1
        if k < count:
            task = work.tasks[k]
            if work.out[task]:
                first = min(first, size)
                work.out[task] = 0
                work.candidate_place[task] = -1
            else:
                work.candidate_tasks[size] = task
                work.candidate_options[size] = work.options[k]
                size += 1
    work.counter[CANDIDATE_COUNT] = size
    # Edits that only put things back where they were change nothing before the first difference.
    while first < size and first < count:
        same = work.candidate_tasks[first] == work.tasks[first]
        if not same or work.candidate_options[first] != work.options[first]:
            break
        first += 1
    if first == size and size == count:
        return -1
    if len(flat.before) > 0:
        for k in range(size):
            work.candidate_place[work.candidate_tasks[k]] = k
        for j in range(edits):
            if not in_order(flat, work, work.edit_task[j]):
                return -1
    return first  # type: ignore[no-any-return]


@kernel
def in_order(flat: Flat, work: Work, task: int) -> bool:
    """Whether a task of the candidate stands after all before it and before all after it."""
    at = work.candidate_place[task]
    for k in range(flat.before_from[task], flat.before_from[task + 1]):
        if work.candidate_place[flat.before[k]] > at:
            return False
    for k in range(flat.after_from[task], flat.after_from[task + 1]):
        other = work.candidate_place[flat.after[k]]
        if 0 <= other < at:
            return False
    return True


@kernel
def follow_ticks(flat: Flat, before: int, after: int) -> int:
    """Changeover cost when one option directly follows another on the same machine, platen kept."""
    machine = flat.option_machine[after]
    parts = len(flat.hands_off)
    hands_on = 0
    hands_off = 0
    swap = flat.option_platen[before] != flat.option_platen[after]
    for part in range(parts):
        was = flat.option_state[before * parts + part]
        if swap and flat.goes_with_platen[part]:
            was = -1
        ticks = table_ticks(flat, machine, part, was, flat.option_state[after * parts + part])
        if flat.hands_off[part]:
            hands_off += ticks
        else:
            hands_on += ticks
    return max(hands_on, hands_off)


@kernel
def random_option(flat: Flat, work: Work, task: int) -> int:
    """Any option of a task."""
    first = flat.option_from[task]
    return first + random_below(work, flat.option_from[task + 1] - first)  # type: ignore[no-any-return]


@kernel
def option_like(flat: Flat, work: Work, task: int, like: int) -> int:
    """An option of the task on the machine of option `like`, with its operator when one has it; -1: none.

    Among several the one with the cheapest changeover after `like`, first by a random start.
    """
    machine = flat.option_machine[like]
    operator = flat.option_operator[like]
    first = flat.option_from[task]
    size = flat.option_from[task + 1] - first
    offset = random_below(work, size)
    best = -1
    best_same = 0
    best_ticks = 0
    for k in range(size):
        option = first + (k + offset) % size
        if flat.option_machine[option] != machine:
            continue
        same = 1 if flat.option_operator[option] == operator else 0
        ticks = follow_ticks(flat, like, option)
        if best < 0 or same > best_same or (same == best_same and ticks < best_ticks):
            best = option
            best_same = same
            best_ticks = ticks
    return best


@kernel
def focus(flat: Flat, work: Work) -> int:
    """A position worth touching: half the time any, else a late run (or what holds it up) or a changeover."""
    count = work.counter[COUNT]
    position = random_below(work, count)
    if random_below(work, 2) == 0:
        return position
    late = work.cost[LATENESS] > 0 or work.cost[LEFT_OVER] > 0
    for _ in range(8):
        if late:
            hit = work.changes[position] < 0 or work.job_late[flat.job[work.tasks[position]]] > 0
        else:
            hit = work.changes[position] > 0
        if hit:
            break
        position = random_below(work, count)
    if late and random_below(work, 2) == 0:
        option = work.options[position]
        for k in range(position - 1, -1, -1):
            other = work.options[k]
            shares = flat.option_machine[other] == flat.option_machine[option]
            if not shares and flat.option_operator[option] >= 0:
                shares = flat.option_operator[other] == flat.option_operator[option]
            if shares and random_below(work, 2) == 0:
                return k
    return position


@kernel
def near(work: Work, position: int) -> int:
    """A position to move to: half the time within an eighth of the sequence, else anywhere."""
    count = work.counter[COUNT]
    if random_below(work, 2) == 0:
        return random_below(work, count + 1)
    reach = 2 + count // 8
    at = position - reach + random_below(work, 2 * reach + 1)
    return max(0, min(count, at))


@kernel
def neighbour(flat: Flat, work: Work, task: int) -> int:
    """Position of a run, out of a random handful, that the task could follow most cheaply; -1: none."""
    count = work.counter[COUNT]
    best = -1
    best_ticks = 0
    for _ in range(2 + random_below(work, 8)):
        position = random_below(work, count)
        other = work.tasks[position]
        if work.out[other] or other == task:
            continue
        option = option_like(flat, work, task, work.options[position])
        if option < 0:
            continue
        ticks = follow_ticks(flat, work.options[position], option)
        if best < 0 or ticks < best_ticks:
            best = position
            best_ticks = ticks
    return best


@kernel
def join(flat: Flat, work: Work, position: int) -> None:
    """Move a run right behind (or before) one that it suits, on the same press and with the same person."""
    task = take_out(work, position)
    other = neighbour(flat, work, task)
    if other < 0:
        edit(work, task, random_option(flat, work, task), near(work, position))
        return
    option = option_like(flat, work, task, work.options[other])
    edit(work, task, option, other + 1 if random_below(work, 4) else other)


@kernel
def swap(flat: Flat, work: Work, position: int) -> None:
    """Let two runs change places; half the time each takes the other's press and person where it can."""
    other = random_below(work, work.counter[COUNT])
    if random_below(work, 2) == 0:
        other = max(0, min(work.counter[COUNT] - 1, position - 3 + random_below(work, 7)))
    if other == position:
        other = (position + 1) % work.counter[COUNT]
    a = work.options[position]
    b = work.options[other]
    if random_below(work, 2) == 0:
        like_b = option_like(flat, work, work.tasks[position], b)
        like_a = option_like(flat, work, work.tasks[other], a)
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
def move_block(flat: Flat, work: Work, position: int) -> None:
    """Move a stretch of runs of one press to another place, and half the time to another press or person."""
    count = work.counter[COUNT]
    machine = flat.option_machine[work.options[position]]
    length = 2 + random_below(work, 6)
    last = work.options[position]
    target = last
    if random_below(work, 2) == 0:
        target = work.options[random_below(work, count)]
    at = near(work, position)
    taken = 0
    for k in range(position, count):
        option = work.options[k]
        if flat.option_machine[option] != machine:
            continue
        # A block is what belongs together: it ends where changing over costs more than new artwork.
        if taken and (taken >= length or flat.option_platen[option] != flat.option_platen[last]):
            break
        task = take_out(work, k)
        moved = option
        if target != work.options[position]:
            like = option_like(flat, work, task, target)
            if like >= 0:
                moved = like
        edit(work, task, moved, at)
        last = option
        taken += 1


@kernel
def change_person(flat: Flat, work: Work, position: int) -> None:
    """Hand a run, and sometimes the next ones of that press, to another person on the same press."""
    count = work.counter[COUNT]
    option = work.options[position]
    machine = flat.option_machine[option]
    other = random_option(flat, work, work.tasks[position])
    person = flat.option_operator[other]
    length = 1 + random_below(work, 4)
    taken = 0
    for k in range(position, count):
        if flat.option_machine[work.options[k]] != machine:
            continue
        task = work.tasks[k]
        for candidate in range(flat.option_from[task], flat.option_from[task + 1]):
            same = flat.option_machine[candidate] == machine
            same = same and flat.option_platen[candidate] == flat.option_platen[work.options[k]]
            if same and flat.option_operator[candidate] == person:
                take_out(work, k)
                edit(work, task, candidate, k)
                break
        taken += 1
        if taken >= length:
            break


@kernel
def toggle(flat: Flat, work: Work) -> bool:
    """Carry a choice out another way (together or apart, whole or in lots); False when there is none."""
    if flat.head[CHOICES] == 0:
        return False
    choice = random_below(work, flat.head[CHOICES])
    first = flat.way_from[choice]
    ways = flat.way_from[choice + 1] - first
    if ways < 2:
        return False
    old = work.way[choice]
    new = (old + 1 + random_below(work, ways - 1)) % ways
    work.candidate_way[choice] = new
    start = work.counter[COUNT]
    like = 0
    for k in range(flat.way_task_from[first + old], flat.way_task_from[first + old + 1]):
        position = work.place[flat.way_task[k]]
        take_out(work, position)
        work.candidate_present[flat.way_task[k]] = 0
        if position < start:
            start = position
            like = work.options[position]
    for k in range(flat.way_task_from[first + new], flat.way_task_from[first + new + 1]):
        task = flat.way_task[k]
        work.candidate_present[task] = 1
        pick = random_below(work, 3)
        option = -1
        at = near(work, start) if pick else start
        if pick == 1:
            other = neighbour(flat, work, task)
            if other >= 0:
                option = option_like(flat, work, task, work.options[other])
                at = other + 1
        elif pick == 0:
            option = option_like(flat, work, task, like)
        if option < 0:
            option = random_option(flat, work, task)
        edit(work, task, option, at)
    return True


@kernel
def propose(flat: Flat, work: Work) -> int:
    """Note one random move and build its candidate; the first changed position, or -1."""
    work.counter[EDITS] = 0
    kind = random_below(work, 20)
    if kind < 2 and toggle(flat, work):
        return build(flat, work)
    position = focus(flat, work)
    if kind < 7:
        join(flat, work, position)
    elif kind < 10:
        task = take_out(work, position)
        edit(work, task, work.options[position], near(work, position))
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


@kernel
def note_late_jobs(flat: Flat, work: Work, job_ready: int) -> None:
    """Remember which jobs of the current sequence are late."""
    for job in range(flat.head[JOBS]):
        ready = work.state[job_ready + job]
        late = ready >= 0 and ready + flat.packing[job] > flat.due[job]
        work.job_late[job] = 1 if late else 0


@kernel
def note_cost(flat: Flat, work: Work, size: int) -> None:
    """Copy the cost out of the state."""
    at = flat.head[AT_COST]
    for slot in range(size):
        work.cost[slot] = work.state[at + slot]
