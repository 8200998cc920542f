"""Exact search of a small day: whether any plan costs no more than so much.

Depth first over sequences by set-up start, each task put down as early as `place` allows. A state is
left when what is certainly to come doesn't fit the budget of changeovers or the hours, or when a state
seen before has done the same and is ahead of it everywhere. The search can be broken off and taken up again
after any number of states, since all it knows is in `work` and `memory`.
"""

from __future__ import annotations

from typing import Any

from .exact_layout import (
    A_END,
    A_OPTION,
    A_SINCE,
    A_TASK,
    A_WINDOW,
    ALTERNATIVE,
    BUNDLE,
    BUNDLES,
    C_COLD,
    C_OFF,
    C_ON,
    CANDIDATE,
    CANDIDATE_SIZE,
    CELL,
    CELL_AT,
    CELL_SIZE,
    CHOICES,
    CLASS_FROM,
    CLASS_WAY,
    CLASSES,
    COUNT_MOST,
    COUNTED,
    COVERS,
    DEADLINE,
    DEADLINES,
    DEPTH,
    EXHAUSTED,
    FIRST_AT,
    FOUND,
    FULL,
    G_ALTERNATIVE_FROM,
    G_ALTERNATIVE_TO,
    G_CANDIDATE_FROM,
    G_CANDIDATE_TO,
    G_DONE,
    G_NEED,
    HOURS,
    KIND,
    KIND_AT,
    LARGER,
    LEAST,
    LEAST_AT,
    LEAST_SIZE,
    LIMIT,
    LOTS,
    M_DAY,
    M_FIRST,
    M_FREE,
    M_HOLDS,
    M_ROW,
    M_WARM_UP,
    MACHINE_SIZE,
    MACHINES,
    MOST,
    NEED,
    NODES,
    O_MACHINE,
    O_PERSON,
    O_SETUP,
    O_WARM_UP,
    OPTION,
    OPTION_FROM,
    OPTION_SIZE,
    OVERTIME_MOST,
    P_FREE,
    P_WINDOW,
    PEOPLE,
    PERSON_SIZE,
    R_CHANGE,
    R_COLD,
    R_END,
    R_OVERTIME,
    R_SETUP_START,
    R_START,
    R_WINDOW,
    RARE,
    S_COUNT,
    S_MACHINE,
    S_OVERTIME,
    S_SINCE,
    S_TICKS,
    SETS,
    SETUP_STATES,
    SETUPS,
    STAGE,
    STAGE_SIZE,
    STATE,
    STRIDE,
    T_BUNDLE_FROM,
    T_BUNDLE_TO,
    T_CHOICE,
    T_CLASS,
    T_COOLING,
    T_LATEST,
    TASK,
    TASK_SIZE,
    TICKS,
    TICKS_MOST,
    USED,
    VECTORS,
    W_CANDIDATE,
    W_CANDIDATES,
    W_NEED,
    W_NEXT,
    W_PATH,
    W_PLACED,
    W_ROOM,
    W_SETS,
    W_STATE,
    WEIGHT,
    WEIGHTS,
    WINDOW,
    WINDOW_FROM,
)
from .exact_memory import seen_before
from .exact_place import place
from .jit import copy, kernel
from .layout import N_DAY, N_START, WINDOW_SIZE


@kernel
def run_exact(day: Any, work: Any, cover: Any, memory: Any, most: int) -> int:
    """Search on for at most so many states; returns how it ended, see `LIMIT` in the layout.

    After `FOUND` the sequence is in `work[W_PATH]`, as long as the depth; the search can't go on then.
    """
    until = work[NODES] + most
    while work[DEPTH] >= 0:
        if work[NODES] >= until:
            return LIMIT
        depth = work[DEPTH]
        if work[work[W_NEXT] + depth] >= work[work[W_CANDIDATES] + depth]:
            work[DEPTH] = depth - 1
            continue
        number = work[work[W_NEXT] + depth]
        work[work[W_NEXT] + depth] = number + 1
        enter(day, work, depth, number)
        at = work[W_STATE] + (depth + 1) * day[STATE]
        if not hopeful(day, work, cover, at):
            continue
        if seen_before(day, work, memory, at):
            continue
        work[NODES] += 1
        work[DEPTH] = depth + 1
        if complete(day, work, at):
            return FOUND
        spread(day, work, cover, depth + 1)
        if work[LARGER] and work[USED] + 1 >= day[VECTORS]:
            return FULL
    return EXHAUSTED


@kernel
def begin_exact(day: Any, work: Any, cover: Any) -> int:
    """Look at the empty state; returns 1 unless nothing is to be hoped for."""
    work[NODES] = 0
    work[DEPTH] = 0
    if not hopeful(day, work, cover, work[W_STATE]):
        work[DEPTH] = -1
        return 0
    spread(day, work, cover, 0)
    return 1


@kernel
def stage_at(day: Any, at: int, choice: int) -> int:
    """Where in a state the stage of a choice is; `at` is where the state begins."""
    people = day[PEOPLE] * PERSON_SIZE
    return at + S_MACHINE + day[MACHINES] * MACHINE_SIZE + people + day[BUNDLES] + choice  # type: ignore[no-any-return]


@kernel
def complete(day: Any, work: Any, at: int) -> bool:
    """Whether every choice is carried out."""
    for choice in range(day[CHOICES]):
        stage = day[STAGE] + work[stage_at(day, at, choice)] * STAGE_SIZE
        if not day[stage + G_DONE]:
            return False
    return True


@kernel
def spread(day: Any, work: Any, cover: Any, depth: int) -> None:
    """List what may be put down next, by set-up start and end."""
    at = work[W_STATE] + depth * day[STATE]
    sets = sets_to_come(day, work, at)
    column = column_of(day, work, at)
    begin = work[W_CANDIDATE] + depth * day[MOST] * CANDIDATE_SIZE
    count = 0
    row = work[W_PLACED]
    for choice in range(day[CHOICES]):
        stage = day[STAGE] + work[stage_at(day, at, choice)] * STAGE_SIZE
        for k in range(day[stage + G_CANDIDATE_FROM], day[stage + G_CANDIDATE_TO]):
            task = day[day[CANDIDATE] + 2 * k]
            t = day[TASK] + task * TASK_SIZE
            for option in range(day[day[OPTION_FROM] + task], day[day[OPTION_FROM] + task + 1]):
                o = day[OPTION] + option * OPTION_SIZE
                if too_dear(day, work, cover, at, t, o, sets, column):
                    continue
                person = day[o + O_PERSON]
                p = at + S_MACHINE + day[MACHINES] * MACHINE_SIZE + person * PERSON_SIZE
                for window in range(work[p + P_WINDOW], day[day[WINDOW_FROM] + person + 1]):
                    if day[day[WINDOW] + window * WINDOW_SIZE + N_START] >= day[t + T_LATEST]:
                        break
                    if not place(day, work, at, t, o, window):
                        continue
                    if work[row + R_END] > day[t + T_LATEST]:
                        break
                    if work[row + R_SETUP_START] < work[at + S_SINCE]:
                        continue
                    if not affordable(work, at, row):
                        continue
                    to = begin + CANDIDATE_SIZE * count
                    since, end = work[row + R_SETUP_START], work[row + R_END]
                    # Sorted as they come: there are some dozens.
                    while to > begin and (
                        work[to - CANDIDATE_SIZE + A_SINCE] > since
                        or (
                            work[to - CANDIDATE_SIZE + A_SINCE] == since
                            and work[to - CANDIDATE_SIZE + A_END] > end
                        )
                    ):
                        copy(work, to, work, to - CANDIDATE_SIZE, CANDIDATE_SIZE)
                        to -= CANDIDATE_SIZE
                    work[to + A_SINCE] = since
                    work[to + A_END] = end
                    work[to + A_TASK] = task
                    work[to + A_OPTION] = option
                    work[to + A_WINDOW] = window
                    count += 1
    work[work[W_CANDIDATES] + depth] = count
    work[work[W_NEXT] + depth] = 0


@kernel
def too_dear(day: Any, work: Any, cover: Any, at: int, t: int, o: int, sets: int, column: int) -> bool:
    """Whether a task's changeover, and what must come behind it, is more than may be; whenever it is done.

    Most of what could be put down is seen off by this, before anything is reckoned in time.
    """
    machine, setup = day[o + O_MACHINE], day[o + O_SETUP]
    row = work[at + S_MACHINE + machine * MACHINE_SIZE + M_ROW]
    cell = day[CELL] + day[day[CELL_AT] + machine] + (row * day[day[SETUPS] + machine] + setup) * CELL_SIZE
    ticks = work[at + S_TICKS] + max(day[cell + C_ON], min(day[cell + C_OFF], day[cell + C_COLD]))
    column += (setup - row // 2) * day[day[STRIDE] + machine]
    size = day[SETUP_STATES]
    rest = ~(1 << day[t + T_CLASS])
    for k in range(sets):
        if ticks + cover[(work[work[W_SETS] + k] & rest) * size + column] <= work[TICKS_MOST]:
            return False
    return True


@kernel
def column_of(day: Any, work: Any, at: int) -> int:
    """Where the setups of all machines stand in the tables of covers."""
    column = 0
    for machine in range(day[MACHINES]):
        setup = work[at + S_MACHINE + machine * MACHINE_SIZE + M_ROW] // 2
        column += setup * day[day[STRIDE] + machine]
    return column


@kernel
def affordable(work: Any, at: int, row: int) -> bool:
    """Whether a placed task keeps the budgets."""
    ticks = work[at + S_TICKS] + work[row + R_CHANGE]
    count = work[at + S_COUNT] + (1 if work[row + R_CHANGE] > 0 else 0)
    over = work[at + S_OVERTIME] + work[row + R_OVERTIME]
    return (  # type: ignore[no-any-return]
        ticks <= work[TICKS_MOST] and count <= work[COUNT_MOST] and over <= work[OVERTIME_MOST]
    )


@kernel
def enter(day: Any, work: Any, depth: int, number: int) -> None:
    """Put a candidate down: the state one deeper."""
    before = work[W_STATE] + depth * day[STATE]
    at = before + day[STATE]
    a = work[W_CANDIDATE] + (depth * day[MOST] + number) * CANDIDATE_SIZE
    task, option, window = work[a + A_TASK], work[a + A_OPTION], work[a + A_WINDOW]
    t = day[TASK] + task * TASK_SIZE
    o = day[OPTION] + option * OPTION_SIZE
    place(day, work, before, t, o, window)
    row = work[W_PLACED]
    copy(work, at, work, before, day[STATE])
    work[work[W_PATH] + 2 * depth] = task
    work[work[W_PATH] + 2 * depth + 1] = option

    work[at + S_TICKS] += work[row + R_CHANGE]
    if work[row + R_CHANGE] > 0:
        work[at + S_COUNT] += 1
    work[at + S_OVERTIME] += work[row + R_OVERTIME]
    work[at + S_SINCE] = work[row + R_SETUP_START]

    machine = day[o + O_MACHINE]
    m = at + S_MACHINE + machine * MACHINE_SIZE
    kind = day[day[KIND] + day[day[KIND_AT] + machine] + day[o + O_SETUP]]
    give_up(day, work, at, machine, kind)
    work[m + M_FREE] = work[row + R_END]
    work[m + M_DAY] = day[day[WINDOW] + window * WINDOW_SIZE + N_DAY]
    work[m + M_ROW] = 2 * day[o + O_SETUP]
    work[m + M_HOLDS] = kind
    if work[row + R_COLD]:
        work[m + M_FIRST] = work[row + R_START]
        work[m + M_WARM_UP] = day[o + O_WARM_UP]
    p = at + S_MACHINE + day[MACHINES] * MACHINE_SIZE + day[o + O_PERSON] * PERSON_SIZE
    work[p + P_FREE] = work[row + R_END]
    work[p + P_WINDOW] = work[row + R_WINDOW]

    bundles = at + S_MACHINE + day[MACHINES] * MACHINE_SIZE + day[PEOPLE] * PERSON_SIZE
    for k in range(day[t + T_BUNDLE_FROM], day[t + T_BUNDLE_TO]):
        work[bundles + day[day[BUNDLE] + k]] = work[row + R_END] + day[t + T_COOLING]
    s = stage_at(day, at, day[t + T_CHOICE])
    stage = day[STAGE] + work[s] * STAGE_SIZE
    for k in range(day[stage + G_CANDIDATE_FROM], day[stage + G_CANDIDATE_TO]):
        if day[day[CANDIDATE] + 2 * k] == task:
            work[s] = day[day[CANDIDATE] + 2 * k + 1]
            break


@kernel
def give_up(day: Any, work: Any, at: int, machine: int, kind: int) -> None:
    """Take the only platen of a kind from the machine that it lies on."""
    if kind < 0 or not day[day[RARE] + kind]:
        return
    for other in range(day[MACHINES]):
        m = at + S_MACHINE + other * MACHINE_SIZE
        if other != machine and work[m + M_HOLDS] == kind:
            work[m + M_HOLDS] = -1
            work[m + M_ROW] = 2 * (work[m + M_ROW] // 2) + 1


@kernel
def hopeful(day: Any, work: Any, cover: Any, at: int) -> bool:
    """Whether what is certainly to come may fit the budgets and the hours."""
    count = sets_to_come(day, work, at)
    column = column_of(day, work, at)
    if work[at + S_TICKS] + least_cover(day, work, cover, count, column, 0) > work[TICKS_MOST]:
        return False
    if work[COUNTED]:
        table = day[COVERS]
        if work[at + S_COUNT] + least_cover(day, work, cover, count, column, table) > work[COUNT_MOST]:
            return False
    return in_time(day, work, at)


@kernel
def sets_to_come(day: Any, work: Any, at: int) -> int:
    """Fill the sets of classes that could still be to come; returns how many there are."""
    sets = work[W_SETS]
    work[sets] = 0
    count = 1
    for choice in range(day[CHOICES]):
        stage = day[STAGE] + work[stage_at(day, at, choice)] * STAGE_SIZE
        first, last = day[stage + G_ALTERNATIVE_FROM], day[stage + G_ALTERNATIVE_TO]
        ways = last - first
        if ways == 1 or count * ways > SETS:
            common = day[day[ALTERNATIVE] + first]
            for k in range(first + 1, last):
                common &= day[day[ALTERNATIVE] + k]
            for k in range(count):
                work[sets + k] |= common
        else:
            for way in range(ways - 1, -1, -1):
                for k in range(count):
                    work[sets + way * count + k] = work[sets + k] | day[day[ALTERNATIVE] + first + way]
            count *= ways
    return count


@kernel
def least_cover(day: Any, work: Any, cover: Any, count: int, column: int, table: int) -> int:
    """The least that any of the sets costs from here, by a table of `cover`."""
    sets = work[W_SETS]
    size = day[SETUP_STATES]
    least: int = cover[table + work[sets] * size + column]
    for k in range(1, count):
        least = min(least, cover[table + work[sets + k] * size + column])
    return least


@kernel
def in_time(day: Any, work: Any, at: int) -> bool:
    """Whether the work to come by each deadline is no more, however weighted, than the hours till then."""
    since = work[at + S_SINCE]
    machines, people, weights = day[MACHINES], day[PEOPLE], day[WEIGHTS]
    need, room = work[W_NEED], work[W_ROOM]
    for deadline in range(day[DEADLINES]):
        tick = day[day[DEADLINE] + deadline]
        for w in range(weights):
            work[need + w] = 0
        for choice in range(day[CHOICES]):
            stage = day[STAGE] + work[stage_at(day, at, choice)] * STAGE_SIZE
            n = day[stage + G_NEED]
            if n >= 0:
                n += day[NEED] + deadline * weights
                for w in range(weights):
                    work[need + w] += day[n + w]
        for machine in range(machines):
            m = at + S_MACHINE + machine * MACHINE_SIZE
            begin = max(work[m + M_FREE], since)
            if work[m + M_DAY] < 0:
                begin = max(begin, day[day[FIRST_AT] + machine])
            work[room + machine] = max(0, tick - begin)
        for person in range(people):
            p = at + S_MACHINE + machines * MACHINE_SIZE + person * PERSON_SIZE
            begin = max(work[p + P_FREE], since)
            hours = day[HOURS] + person * day[TICKS]
            work[room + machines + person] = max(0, day[hours + tick] - day[hours + begin])
        for w in range(weights):
            if work[need + w] == 0:
                continue
            fits = 0
            of = day[WEIGHT] + w * (machines + people)
            for k in range(machines + people):
                fits += day[of + k] * work[room + k]
            if work[need + w] > fits:
                return False
    return True


@kernel
def fill_cover(day: Any, cover: Any) -> None:
    """Fill both tables: what the classes of each set cost at least, from each setup of the machines.

    Without time, people or scarce platens: every class in turn goes to any machine that can do it.
    """
    states, classes = day[SETUP_STATES], day[CLASSES]
    for table in range(2):
        at = table * day[COVERS]
        for column in range(states):
            cover[at + column] = 0
        for chosen in range(1, 1 << classes):
            for column in range(states):
                cover[at + chosen * states + column] = LOTS
            for number in range(classes):
                if not chosen >> number & 1:
                    continue
                rest = at + (chosen & ~(1 << number)) * states
                for k in range(day[day[CLASS_FROM] + number], day[day[CLASS_FROM] + number + 1]):
                    machine = day[day[CLASS_WAY] + 2 * k]
                    setup = day[day[CLASS_WAY] + 2 * k + 1]
                    stride, setups = day[day[STRIDE] + machine], day[day[SETUPS] + machine]
                    least = day[LEAST] + table * day[LEAST_SIZE] + day[day[LEAST_AT] + machine]
                    for column in range(states):
                        before = column // stride % setups
                        cost = (
                            day[least + before * setups + setup]
                            + cover[rest + column + (setup - before) * stride]
                        )
                        if cost < cover[at + chosen * states + column]:
                            cover[at + chosen * states + column] = cost
