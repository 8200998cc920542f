"""What is read off a state of the exact search in several places."""

from __future__ import annotations

from typing import Any

from ..jit import kernel
from .layout import (
    ALTERNATIVE,
    BUNDLES,
    CHOICES,
    G_ALTERNATIVE_FROM,
    G_ALTERNATIVE_TO,
    M_ROW,
    MACHINE_SIZE,
    MACHINES,
    PEOPLE,
    PERSON_SIZE,
    S_MACHINE,
    SETS,
    STAGE,
    STAGE_SIZE,
    STRIDE,
    W_SETS,
)


@kernel
def stage_at(day: Any, at: int, choice: int) -> int:
    """Where in a state the stage of a choice is; `at` is where the state begins."""
    people = day[PEOPLE] * PERSON_SIZE
    return at + S_MACHINE + day[MACHINES] * MACHINE_SIZE + people + day[BUNDLES] + choice  # type: ignore[no-any-return]


@kernel
def column_of(day: Any, work: Any, at: int) -> int:
    """Where the setups of all machines stand in the tables of covers."""
    column = 0
    for machine in range(day[MACHINES]):
        setup = work[at + S_MACHINE + machine * MACHINE_SIZE + M_ROW] // 2
        column += setup * day[day[STRIDE] + machine]
    return column


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
def jobs_at(day: Any, at: int) -> int:
    """Where in a state the ends of jobs are; `at` is where the state begins."""
    return stage_at(day, at, 0) + day[CHOICES]  # type: ignore[no-any-return]
