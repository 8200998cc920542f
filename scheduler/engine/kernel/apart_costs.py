"""What a change costs where machines share nothing: reckoned from where it begins to where it ends.

A machine's cost up to each place is known, and its rest costs what it did once a task ends when it did
before; so most changes are reckoned in a few steps.
"""

from __future__ import annotations

from typing import Any

from .apart_layout import (
    AT,
    BEFORE,
    CHANGE,
    CHANGES,
    COST,
    COUNT,
    END,
    ENDS,
    FINISHED,
    FLOOR,
    FREE,
    HORIZON,
    LAST,
    LATEST,
    LINE,
    MACHINES,
    OWN,
    OWN_LAST,
    PLACE,
    PRESSING,
    RELEASE,
    SETUP,
    SPENT,
    STILL,
    TAIL,
    TASKS,
    TOP,
    TOTAL,
    WEIGHT,
    WHERE,
)
from .jit import kernel


@kernel
def begin(shop: Any, work: Any, machine: int, place: int) -> None:
    """Reckon from a place of a machine's sequence on."""
    if place == 0:
        work[AT] = shop[shop[FREE] + machine]
        work[COST] = 0
        work[FINISHED] = 0
        work[BEFORE] = -1
        return
    k = machine * shop[TASKS] + place - 1
    work[AT] = work[work[END] + k]
    work[COST] = work[work[SPENT] + k]
    work[FINISHED] = work[work[TOP] + k]
    work[BEFORE] = work[work[LINE] + k]


@kernel
def go_on(shop: Any, work: Any, machine: int, first: int, last: int, limit: int) -> bool:
    """Reckon the tasks of `work[first:last]` next on a machine; False once they cost more than the limit."""
    size = shop[TASKS]
    pressing = shop[PRESSING] + machine * size
    setup = shop[SETUP] + machine * (size + 1) * size
    at = work[AT]
    cost = work[COST]
    finished = work[FINISHED]
    before = work[BEFORE]
    for k in range(first, last):
        task = work[k]
        ticks = shop[setup + (before + 1) * size + task]
        at = max(at + ticks, shop[shop[RELEASE] + task]) + shop[pressing + task]
        if ticks > 0:
            cost += shop[CHANGE] * ticks + shop[CHANGES]
        late = at - shop[shop[LATEST] + task]
        if late > 0:
            cost += shop[shop[WEIGHT] + task] * late
        if cost > limit:
            return False
        finished = max(finished, at + shop[shop[TAIL] + task])
        before = task
    work[AT] = at
    work[COST] = cost
    work[FINISHED] = finished
    work[BEFORE] = before
    return not costly(shop, work, limit)


@kernel
def costly(shop: Any, work: Any, limit: int) -> bool:
    """Whether what is reckoned costs more than the limit, or ends too late to count."""
    over = max(0, work[FINISHED] - work[FLOOR])
    return work[AT] > shop[HORIZON] or work[COST] + shop[LAST] * over > limit  # type: ignore[no-any-return]


@kernel
def go_to_end(shop: Any, work: Any, machine: int, place: int, limit: int) -> bool:
    """Reckon the rest of a machine's sequence from a place on; False when it costs more than the limit."""
    size = shop[TASKS]
    count = work[work[COUNT] + machine]
    pressing = shop[PRESSING] + machine * size
    setup = shop[SETUP] + machine * (size + 1) * size
    row = machine * size
    line = work[LINE] + row
    ends = work[END] + row
    spent = work[SPENT] + row
    at = work[AT]
    cost = work[COST]
    before = work[BEFORE]
    finished = work[FINISHED]
    for k in range(place, count):
        task = work[line + k]
        ticks = shop[setup + (before + 1) * size + task]
        at = max(at + ticks, shop[shop[RELEASE] + task]) + shop[pressing + task]
        if ticks > 0:
            cost += shop[CHANGE] * ticks + shop[CHANGES]
        late = at - shop[shop[LATEST] + task]
        if late > 0:
            cost += shop[shop[WEIGHT] + task] * late
        was = work[ends + k]
        if at >= was:
            # From here on nothing is cheaper than it was, and all is the same when it ends as it did.
            rest = work[spent + count - 1] - work[spent + k]
            if cost + rest > limit:
                return False
            if at == was:
                cost += rest
                at = work[ends + count - 1]
                finished = max(finished, work[work[STILL] + row + k])
                break
        elif cost > limit:
            return False
        finished = max(finished, at + shop[shop[TAIL] + task])
        before = task
    work[AT] = at
    work[COST] = cost + shop[ENDS] * at
    work[FINISHED] = finished
    return not costly(shop, work, limit)


@kernel
def settle(shop: Any, work: Any, machine: int) -> None:
    """Note what a machine's sequence costs, place by place."""
    size = shop[TASKS]
    row = machine * size
    line = work[LINE] + row
    count = work[work[COUNT] + machine]
    begin(shop, work, machine, 0)
    work[FLOOR] = 0
    for k in range(count):
        go_on(shop, work, machine, line + k, line + k + 1, 1 << 62)
        work[work[END] + row + k] = work[AT]
        work[work[SPENT] + row + k] = work[COST]
        work[work[TOP] + row + k] = work[FINISHED]
        work[work[WHERE] + work[line + k]] = machine
        work[work[PLACE] + work[line + k]] = k
    still = 0
    for k in range(count - 1, -1, -1):
        still = max(still, work[work[END] + row + k] + shop[shop[TAIL] + work[line + k]])
        work[work[STILL] + row + k] = still
    work[work[OWN] + machine] = work[COST] + shop[ENDS] * work[AT]
    work[work[OWN_LAST] + machine] = work[FINISHED]


@kernel
def settle_all(shop: Any, work: Any) -> None:
    """Note what every machine's sequence costs."""
    for machine in range(shop[MACHINES]):
        settle(shop, work, machine)
    work[TOTAL] = spare(shop, work, -1, -1) + shop[LAST] * work[FLOOR]


@kernel
def spare(shop: Any, work: Any, one: int, other: int) -> int:
    """Cost of all machines but two; their latest finish becomes the floor."""
    total = 0
    floor = 0
    for machine in range(shop[MACHINES]):
        if machine != one and machine != other:
            total += work[work[OWN] + machine]
            floor = max(floor, work[work[OWN_LAST] + machine])
    work[FLOOR] = floor
    return total


@kernel
def full_cost(shop: Any, work: Any, rest: int) -> int:
    """Cost of a plan of which one machine is just reckoned and the others cost `rest`."""
    return rest + work[COST] + shop[LAST] * max(work[FINISHED], work[FLOOR])  # type: ignore[no-any-return]
