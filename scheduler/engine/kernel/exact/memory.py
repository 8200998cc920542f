"""What the exact search has seen: states by what is done and how machines stand, with their times.

Of two states that have done the same, are set up alike for all that is to come, and of which one is nowhere
later and has cost no more, the other leads to nothing better. Times are compared as far as they can matter:
nothing to come is set up before the last set-up start.
"""

from __future__ import annotations

from typing import Any

from ..jit import kernel
from .layout import (
    AGAINST,
    BUNDLES,
    CELL_AT,
    CELL_SIZE,
    CHOICE_JOB,
    CHOICES,
    COUNTED,
    DAYS,
    G_BUNDLES,
    G_DONE,
    G_KINDS,
    HEATED_BY,
    JOB_DUE,
    JOB_WEIGHT,
    JOBS,
    K_AHEAD,
    K_FIRST,
    K_SECOND,
    KEY,
    KEY_SIZE,
    LANE_BITS,
    LANES_A_WORD,
    LAST_DAY,
    LOTS,
    M_DAY,
    M_FIRST,
    M_FREE,
    M_HOLDS,
    M_ROW,
    M_WARM_UP,
    MACHINE_SIZE,
    MACHINES,
    OVERTIME_MOST,
    P_FREE,
    PEOPLE,
    PERSON_SIZE,
    PRESENT,
    S_COUNT,
    S_MACHINE,
    S_OVERTIME,
    S_SINCE,
    S_TICKS,
    SETUPS,
    SLOT_SIZE,
    SLOTS,
    STAGE,
    STAGE_SETUPS,
    STAGE_SIZE,
    TICKS,
    TICKS_MOST,
    USED,
    VECTORS,
    W_AHEAD,
    W_HELD,
    W_VECTOR,
    WORDS,
)
from .state import jobs_at

BITS = (1 << 31) - 1
GUARDS = (1 << LANE_BITS) | (1 << (2 * LANE_BITS + 1)) | (1 << (3 * LANE_BITS + 2))
"""The bit above each lane of a word: one subtraction compares all of them."""


@kernel
def seen_before(day: Any, work: Any, memory: Any, at: int) -> bool:
    """Whether a state of the memory is nowhere behind this one; else this one is kept there."""
    one, two, three, four = 17, 23, 71, 97
    machines, people = day[MACHINES], day[PEOPLE]
    stages = at + S_MACHINE + machines * MACHINE_SIZE + people * PERSON_SIZE + day[BUNDLES]
    kinds = 0
    for choice in range(day[CHOICES]):
        stage = work[stages + choice]
        kinds |= day[day[STAGE] + stage * STAGE_SIZE + G_KINDS]
        one, two, three, four = (
            mix(one, 7, stage),
            mix(two, 11, stage),
            mix(three, 13, stage),
            mix(four, 29, stage),
        )
    unheated = 0
    for machine in range(machines):
        wanted = 0
        for choice in range(day[CHOICES]):
            wanted |= day[day[STAGE_SETUPS] + work[stages + choice] * machines + machine]
        m = at + S_MACHINE + machine * MACHINE_SIZE
        holds = work[m + M_HOLDS]
        if holds >= 0 and not kinds >> holds & 1:
            holds = -1
        work[work[W_HELD] + machine] = holds
        work[work[W_AHEAD] + machine] = -1
        one, two, three, four = (
            mix(one, 7, holds),
            mix(two, 11, holds),
            mix(three, 13, holds),
            mix(four, 29, holds),
        )
        if not wanted:
            continue
        if work[m + M_DAY] < day[LAST_DAY]:
            unheated |= day[day[AGAINST] + machine]
        value = work[m + M_DAY]
        one, two, three, four = (
            mix(one, 7, value),
            mix(two, 11, value),
            mix(three, 13, value),
            mix(four, 29, value),
        )
        # Set up alike is what costs the same to change to all that is to come; also, of a machine whose
        # platen may be taken away, what it costs then. Keys of what a setup costs are added up.
        setups = day[day[SETUPS] + machine]
        key = day[KEY] + (day[day[CELL_AT] + machine] // CELL_SIZE + work[m + M_ROW] * setups) * KEY_SIZE
        ahead = 0
        for _ in range(2 if holds >= 0 and work[m + M_ROW] % 2 == 0 else 1):
            first = second = 0
            for setup in range(setups):
                if wanted >> setup & 1:
                    k = key + setup * KEY_SIZE
                    first += day[k + K_FIRST]
                    second += day[k + K_SECOND]
                    # So long before somebody comes it may begin to change over by itself.
                    ahead = max(ahead, day[k + K_AHEAD])
            one, two = mix(one, 7, first & BITS), mix(two, 11, first >> 31)
            three, four = mix(three, 13, second & BITS), mix(four, 29, second >> 31)
            key += setups * KEY_SIZE
        work[work[W_AHEAD] + machine] = ahead
    # When a machine was heated counts while it may still keep one to come from heating up on its day.
    for machine in range(machines):
        m = at + S_MACHINE + machine * MACHINE_SIZE
        if not unheated >> machine & 1 or work[m + M_DAY] < 0:
            continue
        kept_until = day[day[HEATED_BY] + machine * day[DAYS] + work[m + M_DAY]] + work[m + M_WARM_UP]
        if max(work[at + S_SINCE], work[m + M_FIRST]) < kept_until:
            for value in (machine, work[m + M_FIRST], work[m + M_WARM_UP]):
                one, two = mix(one, 7, value), mix(two, 11, value)
                three, four = mix(three, 13, value), mix(four, 29, value)
    pack(day, work, at)
    return kept_or_worse(day, work, memory, one << 31 | two, three << 31 | four)


@kernel
def mix(value: int, odd: int, more: int) -> int:
    """Stir a number into another; everything stays below 2 to the 62."""
    value = ((value ^ (more + 5)) * (1103515245 + 2 * odd)) & BITS
    return value ^ (value >> 15)


@kernel
def kept_or_worse(day: Any, work: Any, memory: Any, key: int, other: int) -> bool:
    """Look a state's vector up behind its keys; see `seen_before`."""
    slots, words = day[SLOTS], day[WORDS]
    slot = key % slots
    while memory[slot * SLOT_SIZE] != 0 and (
        memory[slot * SLOT_SIZE] != key + 1 or memory[slot * SLOT_SIZE + 1] != other
    ):
        slot = (slot + 1) % slots
    vectors = slots * SLOT_SIZE
    size = words + 1
    mine = work[W_VECTOR]
    before = -1
    spare = 0
    found = memory[slot * SLOT_SIZE + 2] if memory[slot * SLOT_SIZE] else 0
    while found > 0:
        v = vectors + found * size
        ahead = 0  # 1: the one kept is behind somewhere; 2: this one is
        for k in range(words):
            kept, new = memory[v + 1 + k], work[mine + k]
            if ((new | GUARDS) - kept) & GUARDS != GUARDS:
                ahead |= 1
            if ((kept | GUARDS) - new) & GUARDS != GUARDS:
                ahead |= 2
            if ahead == 3:
                break
        following = memory[v]
        if not ahead & 1:
            if before >= 0:
                # To the front: what is ahead of one is likely to be ahead of the next.
                memory[vectors + before * size] = following
                memory[v] = memory[slot * SLOT_SIZE + 2]
                memory[slot * SLOT_SIZE + 2] = found
            return True
        if not ahead & 2:
            # This one takes its place; what follows is looked at still, for the like.
            if before < 0:
                memory[slot * SLOT_SIZE + 2] = following
            else:
                memory[vectors + before * size] = following
            spare = found
        else:
            before = found
        found = following
    if spare == 0 and work[USED] + 1 < day[VECTORS]:
        work[USED] += 1
        spare = work[USED]
    if spare > 0:
        v = vectors + spare * size
        for k in range(words):
            memory[v + 1 + k] = work[mine + k]
        if memory[slot * SLOT_SIZE] == 0:
            memory[slot * SLOT_SIZE] = key + 1
            memory[slot * SLOT_SIZE + 1] = other
            memory[slot * SLOT_SIZE + 2] = 0
        memory[v] = memory[slot * SLOT_SIZE + 2]
        memory[slot * SLOT_SIZE + 2] = spare
    return False


@kernel
def pack(day: Any, work: Any, at: int) -> None:
    """Write a state's times and costs to the scratch vector, several to a word."""
    machines, people = day[MACHINES], day[PEOPLE]
    since = work[at + S_SINCE]
    first_person = at + S_MACHINE + machines * MACHINE_SIZE
    for k in range(day[WORDS]):
        work[work[W_VECTOR] + k] = 0
    # The first anybody is there again, and the first any machine is free: nothing to come begins before.
    anybody = 1 << (LANE_BITS - 1)
    for person in range(people):
        present = day[PRESENT] + person * day[TICKS]
        anybody = min(anybody, day[present + max(since, work[first_person + person * PERSON_SIZE + P_FREE])])
    any_machine = 1 << (LANE_BITS - 1)
    lane = 0
    for machine in range(machines):
        free = work[at + S_MACHINE + machine * MACHINE_SIZE + M_FREE]
        ahead = work[work[W_AHEAD] + machine]
        if ahead >= 0:
            free = max(free, max(since, anybody) - ahead)
            any_machine = min(any_machine, free)
        elif work[work[W_HELD] + machine] >= 0:
            free = max(free, max(since, anybody))
        else:
            free = 0
        lane = write(work, lane, free)
    for person in range(people):
        present = day[PRESENT] + person * day[TICKS]
        free = day[present + max(since, work[first_person + person * PERSON_SIZE + P_FREE])]
        lane = write(work, lane, max(free, any_machine))
    wanted = 0
    stages = first_person + people * PERSON_SIZE + day[BUNDLES]
    for choice in range(day[CHOICES]):
        wanted |= day[day[STAGE] + work[stages + choice] * STAGE_SIZE + G_BUNDLES]
    for bundle in range(day[BUNDLES]):
        value = 0
        if wanted >> bundle & 1:
            value = max(work[first_person + people * PERSON_SIZE + bundle], max(anybody, any_machine))
        lane = write(work, lane, value)
    ends = jobs_at(day, at)
    late = 0
    for job in range(day[JOBS]):
        open_one = 0
        for choice in range(day[CHOICES]):
            stage = day[STAGE] + work[stages + choice] * STAGE_SIZE
            if day[day[CHOICE_JOB] + choice] == job and not day[stage + G_DONE]:
                open_one = 1
        end = 0
        if open_one:
            end = max(work[ends + job], max(anybody, any_machine))
        else:
            late += day[day[JOB_WEIGHT] + job] * max(0, work[ends + job] - day[day[JOB_DUE] + job])
        lane = write(work, lane, end)
    lane = write(work, lane, late)
    lane = write(work, lane, work[at + S_TICKS] if work[TICKS_MOST] < LOTS else 0)
    lane = write(work, lane, work[at + S_COUNT] if work[COUNTED] else 0)
    write(work, lane, work[at + S_OVERTIME] if work[OVERTIME_MOST] < LOTS else 0)


@kernel
def write(work: Any, lane: int, value: int) -> int:
    """Put a value into a lane; returns the next one."""
    at = work[W_VECTOR] + lane // LANES_A_WORD
    work[at] |= value << ((LANE_BITS + 1) * (lane % LANES_A_WORD))
    return lane + 1
