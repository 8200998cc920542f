"""Changes where machines share nothing: blocks moved, tasks exchanged."""

from __future__ import annotations

from typing import Any

from .apart_costs import begin, full_cost, go_on, go_to_end, settle, spare
from .apart_layout import (
    BUFFER,
    COST,
    COUNT,
    F_KIND,
    F_MACHINE,
    F_PLACE,
    FINISHED,
    FLOOR,
    FOUND,
    LAST,
    LINE,
    LIVE,
    MACHINES,
    PRESSING,
    SWAP,
    TASKS,
    TOTAL,
    USED,
)
from .jit import copy, kernel


@kernel
def note(work: Any, total: int, kind: int, machine: int, place: int) -> None:
    """Keep the best change so far."""
    work[FOUND] = total
    work[F_KIND] = kind
    work[F_MACHINE] = machine
    work[F_PLACE] = place


@kernel
def look_along(shop: Any, work: Any, machine: int, a: int, length: int) -> None:
    """Look for a better place of the block at `a` on its own machine."""
    count = work[work[COUNT] + machine]
    line = work[LINE] + machine * shop[TASKS]
    rest = spare(shop, work, machine, -1)
    for b in range(count - length + 1):
        if b == a:
            continue
        work[USED] += 1
        limit = work[FOUND] - 1 - rest - shop[LAST] * work[FLOOR]
        if b < a:
            begin(shop, work, machine, b)
            good = go_on(shop, work, machine, line + a, line + a + length, limit) and go_on(
                shop, work, machine, line + b, line + a, limit
            )
            tail = a + length
        else:
            begin(shop, work, machine, a)
            good = go_on(shop, work, machine, line + a + length, line + b + length, limit) and go_on(
                shop, work, machine, line + a, line + a + length, limit
            )
            tail = b + length
        if good and go_to_end(shop, work, machine, tail, limit):
            note(work, full_cost(shop, work, rest), length, machine, b)


@kernel
def look_across(shop: Any, work: Any, machine: int, a: int, length: int) -> None:
    """Look for a better place of the block at `a` on another machine."""
    size = shop[TASKS]
    line = work[LINE] + machine * size
    rest = spare(shop, work, machine, -1)
    begin(shop, work, machine, a)
    if not go_to_end(shop, work, machine, a + length, work[FOUND] - 1 - rest - shop[LAST] * work[FLOOR]):
        return
    left = work[COST]
    left_last = work[FINISHED]
    for other in range(shop[MACHINES]):
        if other == machine or not possible(shop, work, other, line + a, line + a + length):
            continue
        rest = left + spare(shop, work, machine, other)
        work[FLOOR] = max(work[FLOOR], left_last)
        for b in range(work[work[COUNT] + other] + 1):
            work[USED] += 1
            limit = work[FOUND] - 1 - rest - shop[LAST] * work[FLOOR]
            begin(shop, work, other, b)
            if go_on(shop, work, other, line + a, line + a + length, limit) and go_to_end(
                shop, work, other, b, limit
            ):
                note(work, full_cost(shop, work, rest), -length, other, b)


@kernel
def possible(shop: Any, work: Any, machine: int, first: int, last: int) -> bool:
    """Whether a machine can do the tasks of `work[first:last]`."""
    can = True
    for k in range(first, last):
        can = can and shop[shop[PRESSING] + machine * shop[TASKS] + work[k]] >= 0
    return can


@kernel
def look_at_swaps(shop: Any, work: Any, machine: int, a: int) -> None:
    """Look for a task with which the one at `a` had better change places."""
    size = shop[TASKS]
    line = work[LINE] + machine * size
    for other in range(shop[MACHINES]):
        row = work[LINE] + other * size
        rest = spare(shop, work, machine, other)
        for b in range(work[work[COUNT] + other]):
            if other == machine:
                if b == a:
                    continue
                first = min(a, b)
                last = max(a, b)
                work[USED] += 1
                limit = work[FOUND] - 1 - rest - shop[LAST] * work[FLOOR]
                begin(shop, work, machine, first)
                if (
                    go_on(shop, work, machine, line + last, line + last + 1, limit)
                    and go_on(shop, work, machine, line + first + 1, line + last, limit)
                    and go_on(shop, work, machine, line + first, line + first + 1, limit)
                    and go_to_end(shop, work, machine, last + 1, limit)
                ):
                    note(work, full_cost(shop, work, rest), SWAP, machine, b)
            elif possible(shop, work, machine, row + b, row + b + 1) and possible(
                shop, work, other, line + a, line + a + 1
            ):
                work[USED] += 1
                floor = work[FLOOR]
                limit = work[FOUND] - 1 - rest - shop[LAST] * floor
                begin(shop, work, machine, a)
                if go_on(shop, work, machine, row + b, row + b + 1, limit) and go_to_end(
                    shop, work, machine, a + 1, limit
                ):
                    own = work[COST]
                    work[FLOOR] = max(floor, work[FINISHED])
                    limit = work[FOUND] - 1 - rest - own - shop[LAST] * work[FLOOR]
                    begin(shop, work, other, b)
                    if go_on(shop, work, other, line + a, line + a + 1, limit) and go_to_end(
                        shop, work, other, b + 1, limit
                    ):
                        note(work, full_cost(shop, work, rest + own), SWAP, other, b)
                work[FLOOR] = floor


@kernel
def wake(work: Any, size: int, machine: int, place: int) -> None:
    """Have the tasks around a place looked at anew."""
    for k in range(max(0, place - 1), min(work[work[COUNT] + machine], place + 2)):
        work[work[LIVE] + work[work[LINE] + machine * size + k]] = 1


@kernel
def rotate(work: Any, first: int, middle: int, last: int) -> None:
    """Exchange the stretches `work[first:middle]` and `work[middle:last]`."""
    buffer = work[BUFFER]
    copy(work, buffer, work, first, middle - first)
    length = last - middle
    for k in range(length):
        work[first + k] = work[middle + k]
    copy(work, first + length, work, buffer, middle - first)


@kernel
def take_over(shop: Any, work: Any, machine: int, a: int) -> None:
    """Carry the change found for the task at `a` of a machine out."""
    size = shop[TASKS]
    line = work[LINE] + machine * size
    kind = work[F_KIND]
    other = work[F_MACHINE]
    row = work[LINE] + other * size
    b = work[F_PLACE]
    if kind == SWAP:
        task = work[line + a]
        work[line + a] = work[row + b]
        work[row + b] = task
    elif kind > 0:
        if b < a:
            rotate(work, line + b, line + a, line + a + kind)
        else:
            rotate(work, line + a, line + a + kind, line + b + kind)
    else:
        put_across(shop, work, machine, a, -kind, other, b)
    settle(shop, work, machine)
    if other != machine:
        settle(shop, work, other)
    length = max(1, abs(kind))
    wake(work, size, machine, a)
    wake(work, size, machine, a + length)
    wake(work, size, other, b)
    wake(work, size, other, b + length)
    work[TOTAL] = work[FOUND]


@kernel
def put_across(shop: Any, work: Any, machine: int, a: int, length: int, other: int, b: int) -> None:
    """Take a block out of one machine's sequence and put it into another's."""
    size = shop[TASKS]
    line = work[LINE] + machine * size
    row = work[LINE] + other * size
    for k in range(work[work[COUNT] + other] - 1, b - 1, -1):
        work[row + k + length] = work[row + k]
    copy(work, row + b, work, line + a, length)
    for k in range(a, work[work[COUNT] + machine] - length):
        work[line + k] = work[line + k + length]
    work[work[COUNT] + machine] -= length
    work[work[COUNT] + other] += length
