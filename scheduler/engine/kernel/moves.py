"""The moves of the local search: each turns the current sequence into a candidate.

Most follow the order of one machine or one operator, not that of the whole sequence: in there most
neighbours have nothing to do with each other, and changing their places changes nothing.
"""

from __future__ import annotations

from typing import Any

from .edits import edit, random_below, take_out
from .jit import kernel
from .layout import (
    ALONG,
    BLOCK,
    CHOICES,
    COUNT,
    EDITS,
    JOIN,
    MIX,
    MOVE_TO,
    NEAR,
    OPTION_FROM,
    OPTION_MACHINE,
    OPTION_OPERATOR,
    OPTION_PLATEN,
    OTHER,
    OUTS,
    SHIFT,
    SWAP,
    TOGGLE,
    TOGGLED,
    W_CANDIDATE_PRESENT,
    W_CANDIDATE_WAY,
    W_MIX,
    W_OPTIONS,
    W_OUT,
    W_PLACE,
    W_TASKS,
    W_WAY,
    WAY_FROM,
    WAY_TASK,
    WAY_TASK_FROM,
)
from .targets import along, focus, gap_ticks, near, neighbour, option_like, random_option, within

# Sizes of moves, each drawn evenly up to these. Chosen, not measured one by one.
MOST_FOLLOWERS = 13
"""Runs that a shift takes along behind the first, one time in three."""

MOST_STEPS = 6
"""Runs along a machine or person that a shift or a swap goes, when it stays near."""

MOST_BLOCK, MOST_VISIT = 7, 13
"""Runs of a block: of any stretch, and of the visit of a platen."""

MOST_HANDED = 4
"""Runs of a machine that are handed to another person together."""


@kernel
def join(flat: Any, work: Any, position: int) -> None:
    """Move a run right behind (or before) one that it suits, on the same press and with the same person."""
    task = take_out(work, position)
    other = neighbour(flat, work, task, work[work[W_OPTIONS] + position])
    if other < 0:
        edit(work, task, random_option(flat, work, task), near(work, position))
        return
    option = option_like(flat, work, task, work[work[W_OPTIONS] + other])
    edit(work, task, option, other + 1 if random_below(work, 4) else other)


@kernel
def shift(flat: Any, work: Any, position: int, by_person: int) -> None:
    """Move a run, or a few that follow each other, along the order of their machine (or operator)."""
    count = work[COUNT]
    option = work[work[W_OPTIONS] + position]
    length = 1
    if random_below(work, 3) == 0:
        length += 1 + random_below(work, MOST_FOLLOWERS)
    last = position
    first_edit = position
    take_out(work, position)
    for _ in range(length - 1):
        follower = along(flat, work, last, option, 1, by_person)
        if follower == last:
            break
        take_out(work, follower)
        last = follower
    if random_below(work, 2) == 0:
        steps = 1 + random_below(work, MOST_STEPS)
        if random_below(work, 2) == 0:
            at = along(flat, work, position, option, -steps, by_person)
        else:
            at = along(flat, work, last, option, steps, by_person) + 1
    else:
        at = random_below(work, count + 1)
        if at < count:
            at = along(flat, work, at - 1, option, 1, by_person)
            if at < 0:
                at = 0
    if length == 1:
        at = within(flat, work, work[work[W_TASKS] + position], at)
    for k in range(first_edit, last + 1):
        task = work[work[W_TASKS] + k]
        if work[work[W_OUT] + task]:
            edit(work, task, work[work[W_OPTIONS] + k], at)


@kernel
def move_to(flat: Any, work: Any, position: int) -> None:
    """Move a run to any other press or person, at the cheapest of a few places."""
    task = take_out(work, position)
    option = random_option(flat, work, task)
    at = within(flat, work, task, near(work, position))
    ticks = 0
    tries = random_below(work, 3)
    if tries:
        ticks = gap_ticks(flat, work, option, at)
    for _ in range(tries):
        other = within(flat, work, task, near(work, position))
        other_ticks = gap_ticks(flat, work, option, other)
        if other_ticks < ticks:
            ticks = other_ticks
            at = other
    edit(work, task, option, at)


@kernel
def swap(flat: Any, work: Any, position: int) -> None:
    """Let two runs change places; half the time each takes the other's press and person where it can."""
    other = random_below(work, work[COUNT])
    pick = random_below(work, 3)
    if pick == 0:
        other = max(0, min(work[COUNT] - 1, position - 3 + random_below(work, 7)))
    elif pick == 1:
        steps = 1 + random_below(work, MOST_STEPS)
        if random_below(work, 2):
            steps = -steps
        other = along(flat, work, position, work[work[W_OPTIONS] + position], steps, 0)
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
    """Move a stretch of runs of one press to another place, to another press, or to a run that they suit."""
    count = work[COUNT]
    own = work[work[W_OPTIONS] + position]
    machine = flat[flat[OPTION_MACHINE] + own]
    length = 2 + random_below(work, MOST_BLOCK - 1)
    pick = random_below(work, 4)
    target = own
    if pick < 2:
        # The whole visit of a platen, from its first run on.
        length = 2 + random_below(work, MOST_VISIT - 1)
        while True:
            before = along(flat, work, position, own, -1, 0)
            option = work[work[W_OPTIONS] + before]
            if before == position or flat[flat[OPTION_PLATEN] + option] != flat[flat[OPTION_PLATEN] + own]:
                break
            position = before
        own = work[work[W_OPTIONS] + position]
        target = own
        at = near(work, position)
        other = neighbour(flat, work, work[work[W_TASKS] + position], own)
        if other >= 0:
            target = work[work[W_OPTIONS] + other]
            at = other + 1
    else:
        at = near(work, position)
        if pick == 2:
            target = work[work[W_OPTIONS] + random_below(work, count)]
    last = own
    taken = 0
    for k in range(position, count):
        option = work[work[W_OPTIONS] + k]
        if flat[flat[OPTION_MACHINE] + option] != machine:
            continue
        # A block is what belongs together: it ends where the platen changes.
        if taken and (
            taken >= length or flat[flat[OPTION_PLATEN] + option] != flat[flat[OPTION_PLATEN] + last]
        ):
            break
        task = take_out(work, k)
        moved = option
        if target != own:
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
    length = 1 + random_below(work, MOST_HANDED)
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
            other = neighbour(flat, work, task, work[work[W_OPTIONS] + position])
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
def propose(flat: Any, work: Any) -> bool:
    """Note one random move; False when there is none of its kind."""
    work[EDITS] = 0
    work[OUTS] = 0
    work[TOGGLED] = -1
    kind = work[work[W_MIX] + random_below(work, MIX)]
    if kind == TOGGLE:
        return toggle(flat, work)
    position = focus(flat, work)
    if kind == JOIN:
        join(flat, work, position)
    elif kind == SHIFT:
        shift(flat, work, position, 0)
    elif kind == ALONG:
        shift(flat, work, position, 1)
    elif kind == NEAR:
        task = take_out(work, position)
        edit(work, task, work[work[W_OPTIONS] + position], within(flat, work, task, near(work, position)))
    elif kind == OTHER:
        task = take_out(work, position)
        edit(work, task, random_option(flat, work, task), position)
    elif kind == MOVE_TO:
        move_to(flat, work, position)
    elif kind == SWAP:
        swap(flat, work, position)
    elif kind == BLOCK:
        move_block(flat, work, position)
    else:
        change_person(flat, work, position)
    return True
