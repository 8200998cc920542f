"""The search for machines that share nothing: each is a sequence of its own, reckoned where it changes.

Iterated local search (Lourenco, Martin & Stuetzle 2003, from memory): blocks are moved and tasks exchanged
until nothing of the kind makes the plan better, then the plan is kicked and mended again. Only tasks near a
change are looked at anew (don't-look bits, Bentley 1992, from memory).
"""

from __future__ import annotations

from typing import Any

from .apart_costs import settle_all
from .apart_layout import (
    ACROSS,
    BEST,
    BEST_COUNT,
    BEST_LINE,
    BLOCK,
    BUFFER,
    COUNT,
    FOUND,
    GAINS,
    HOME,
    HOME_COUNT,
    HOME_LINE,
    KICK,
    KICKS,
    LINE,
    LIVE,
    MACHINES,
    PLACE,
    RESTART,
    SINCE,
    STALL,
    TASKS,
    TOTAL,
    USED,
    WHERE,
)
from .apart_moves import look_across, look_along, look_at_swaps, possible, put_across, rotate, take_over, wake
from .edits import random_below
from .jit import copy, kernel


@kernel
def improve(shop: Any, work: Any) -> bool:
    """Look at one task that is to be looked at; False when there is none."""
    live = 0
    for task in range(shop[TASKS]):
        if work[work[LIVE] + task]:
            work[work[BUFFER] + live] = task
            live += 1
    if live == 0:
        return False
    task = work[work[BUFFER] + random_below(work, live)]
    machine = work[work[WHERE] + task]
    a = work[work[PLACE] + task]
    count = work[work[COUNT] + machine]
    work[FOUND] = work[TOTAL]
    across = shop[ACROSS] if shop[MACHINES] > 1 else 0
    kinds = 1 + shop[BLOCK] + across
    offset = random_below(work, kinds)
    for k in range(kinds):
        kind = (k + offset) % kinds
        if kind == 0:
            look_at_swaps(shop, work, machine, a)
        elif kind <= shop[BLOCK]:
            if a + kind <= count:
                look_along(shop, work, machine, a, kind)
        elif a + kind - shop[BLOCK] <= count:
            look_across(shop, work, machine, a, kind - shop[BLOCK])
        if work[FOUND] < work[TOTAL]:
            take_over(shop, work, machine, a)
            return True
    work[work[LIVE] + task] = 0
    return True


@kernel
def keep(shop: Any, work: Any, counts: int, lines: int) -> None:
    """Store the sequences at two columns."""
    copy(work, counts, work, work[COUNT], shop[MACHINES])
    copy(work, lines, work, work[LINE], shop[MACHINES] * shop[TASKS])


@kernel
def go_back(shop: Any, work: Any, counts: int, lines: int) -> None:
    """Fetch sequences that were stored."""
    copy(work, work[COUNT], work, counts, shop[MACHINES])
    copy(work, work[LINE], work, lines, shop[MACHINES] * shop[TASKS])


@kernel
def next_home(shop: Any, work: Any) -> None:
    """After a descent: stay here when it is no worse than where the kick was made, else go back there."""
    if work[TOTAL] <= work[HOME]:
        if work[TOTAL] < work[HOME]:
            work[SINCE] = 1
        work[HOME] = work[TOTAL]
        keep(shop, work, work[HOME_COUNT], work[HOME_LINE])
    if work[TOTAL] < work[BEST]:
        work[BEST] = work[TOTAL]
        work[GAINS] += 1
        keep(shop, work, work[BEST_COUNT], work[BEST_LINE])
    work[SINCE] += 1
    if work[SINCE] > shop[STALL]:
        work[SINCE] = 0
        work[HOME] = work[BEST]
        keep_from(shop, work)
    go_back(shop, work, work[HOME_COUNT], work[HOME_LINE])


@kernel
def keep_from(shop: Any, work: Any) -> None:
    """Make the best plan the one that is kicked."""
    copy(work, work[HOME_COUNT], work, work[BEST_COUNT], shop[MACHINES])
    copy(work, work[HOME_LINE], work, work[BEST_LINE], shop[MACHINES] * shop[TASKS])


@kernel
def kick(shop: Any, work: Any) -> None:
    """Change the plan at random: exchange two stretches that follow each other, or hand tasks over."""
    size = shop[TASKS]
    work[KICKS] += 1
    task = random_below(work, size)
    for other in range(shop[MACHINES]):
        for k in range(work[work[COUNT] + other]):
            if work[work[LINE] + other * size + k] == task:
                work[work[WHERE] + task] = other
                work[work[PLACE] + task] = k
    machine = work[work[WHERE] + task]
    place = work[work[PLACE] + task]
    count = work[work[COUNT] + machine]
    if shop[MACHINES] > 1 and (count < 3 or random_below(work, 2)):
        line = work[LINE] + machine * size
        other = random_below(work, shop[MACHINES])
        if other != machine and possible(shop, work, other, line + place, line + place + 1):
            at = random_below(work, work[work[COUNT] + other] + 1)
            put_across(shop, work, machine, place, 1, other, at)
            wake(work, size, machine, place)
            wake(work, size, other, at)
            return
    if count < 2:
        return
    first = 1 + random_below(work, min(shop[KICK], count - 1))
    second = 1 + random_below(work, min(shop[KICK], count - first))
    place = min(place, count - first - second)
    line = work[LINE] + machine * size + place
    rotate(work, line, line + first, line + first + second)
    wake(work, size, machine, place)
    wake(work, size, machine, place + second)
    wake(work, size, machine, place + first + second)


@kernel
def run_apart(shop: Any, work: Any, goal: int) -> None:
    """Search until so many changes are reckoned."""
    while work[USED] < goal:
        if improve(shop, work):
            continue
        next_home(shop, work)
        for _ in range(shop[RESTART] if work[SINCE] == 0 and work[KICKS] > shop[STALL] else 1):
            kick(shop, work)
        settle_all(shop, work)
        work[USED] += 1
