"""Whether a state of the exact search may lead to a plan: what is certainly to come against what there is."""

from __future__ import annotations

from typing import Any

from ..jit import kernel
from .free import free_from, room_between, weighed_room
from .layout import (
    CHOICES,
    COUNT_MOST,
    COUNTED,
    COVERS,
    DEADLINE,
    DEADLINE_CLASSES,
    DEADLINES,
    G_NEED,
    G_TAIL,
    HAND_WEIGHT,
    LOTS,
    NEED,
    RELEASE,
    RELEASES,
    S_COUNT,
    S_TICKS,
    SETUP_STATES,
    STAGE,
    STAGE_SIZE,
    TAIL_LATEST,
    TAIL_RATE,
    TAIL_RELEASE,
    TICKS_MOST,
    W_NEED,
    W_SETS,
    WEIGHTS,
)
from .state import column_of, sets_to_come, stage_at
from .tails import tail_by


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
    free_from(day, work, at)
    return in_time(day, work, cover, at, count, column)


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
def in_time(day: Any, work: Any, cover: Any, at: int, sets: int, column: int) -> bool:
    """Whether work to come between each release and deadline is no more, however weighted, than the hours.

    Of choices that need not be done by a deadline, what `tails.py` says of them counts too.
    """
    weights = day[WEIGHTS]
    need = work[W_NEED]
    for release in range(day[RELEASES]):
        before = 0
        for deadline in range(day[DEADLINES]):
            # The first weighting is the crew's: where they have no more to do, there is only more time.
            crew = 0
            for choice in range(day[CHOICES]):
                n = need_of(day, work, at, choice, release, deadline)
                if n >= 0:
                    crew += day[n]
            if crew == before:
                continue
            before = crew
            tick = day[day[DEADLINE] + deadline]
            for w in range(weights):
                work[need + w] = 0
            for choice in range(day[CHOICES]):
                n = need_of(day, work, at, choice, release, deadline)
                if n < 0:
                    continue
                for w in range(weights):
                    work[need + w] += day[n + w]
                if has_tail(day, work, at, choice, tick, day[day[RELEASE] + release]):
                    least = tail_by(day, work, cover, at, choice, tick)
                    rates = day[TAIL_RATE] + choice * weights
                    for w in range(weights):
                        work[need + w] += least * day[rates + w]
            by_hand = 0
            if release == 0:
                classes = day[day[DEADLINE_CLASSES] + deadline]
                by_hand = least_by_hand(day, work, cover, sets, column, classes)
            room_between(day, work, day[day[RELEASE] + release], tick)
            for w in range(weights):
                needed = work[need + w] + day[day[HAND_WEIGHT] + w] * by_hand
                if needed > 0 and needed > weighed_room(day, work, w):
                    return False
    return True


@kernel
def need_of(day: Any, work: Any, at: int, choice: int, release: int, deadline: int) -> int:
    """Where the needs of a choice between a release and a deadline begin; -1 once it is done."""
    stage = day[STAGE] + work[stage_at(day, at, choice)] * STAGE_SIZE
    n = day[stage + G_NEED]
    if n < 0:
        return -1
    return day[NEED] + n + (release * day[DEADLINES] + deadline) * day[WEIGHTS]  # type: ignore[no-any-return]


@kernel
def has_tail(day: Any, work: Any, at: int, choice: int, tick: int, release: int) -> bool:
    """Whether a choice need not be done by a tick, but some of its work must, from a release on."""
    stage = day[STAGE] + work[stage_at(day, at, choice)] * STAGE_SIZE
    return (  # type: ignore[no-any-return]
        day[stage + G_TAIL] >= 0
        and day[day[TAIL_LATEST] + choice] > tick
        and day[day[TAIL_RELEASE] + choice] >= release
    )


@kernel
def least_by_hand(day: Any, work: Any, cover: Any, sets: int, column: int, classes: int) -> int:
    """The least setting up by hand for those of some classes that are to come."""
    found, size = work[W_SETS], day[SETUP_STATES]
    least = LOTS
    for k in range(sets):
        least = min(least, cover[2 * day[COVERS] + (work[found + k] & classes) * size + column])
    return least
