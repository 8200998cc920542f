"""From when a state's machines, people and platens are free, and what is left of their hours from then on."""

from __future__ import annotations

from typing import Any

from ..jit import kernel
from .layout import (
    AGAINST,
    FIRST_AT,
    HEATING,
    HOURS,
    M_DAY,
    M_FIRST,
    M_FREE,
    M_HOLDS,
    M_WARM_UP,
    MACHINE_SIZE,
    MACHINES,
    P_FREE,
    PEOPLE,
    PERSON_FROM,
    PERSON_SIZE,
    PLATEN,
    PLATEN_FROM,
    PLATENS,
    S_MACHINE,
    S_SINCE,
    TICKS,
    W_BEGIN,
    W_ROOM,
    WARM_UP,
    WEIGHT,
)


@kernel
def free_from(day: Any, work: Any, at: int) -> None:
    """When each machine, person and platen may begin something."""
    since = work[at + S_SINCE]
    begins = work[W_BEGIN]
    machines, people = day[MACHINES], day[PEOPLE]
    for machine in range(machines):
        m = at + S_MACHINE + machine * MACHINE_SIZE
        begin = max(work[m + M_FREE], since)
        if work[m + M_DAY] < 0:
            first = day[day[FIRST_AT] + machine]
            for other in range(machines):
                o = at + S_MACHINE + other * MACHINE_SIZE
                # Of two that can't heat up together one has waited for the other.
                if day[day[AGAINST] + machine] >> other & 1 and work[o + M_DAY] == 0:
                    both = day[day[HEATING]] + day[day[WARM_UP] + machine] + work[o + M_WARM_UP]
                    if work[o + M_FIRST] < both:
                        first = max(first, day[day[FIRST_AT] + machine] + work[o + M_WARM_UP])
            begin = max(begin, first)
        work[begins + machine] = begin
    for person in range(people):
        p = at + S_MACHINE + machines * MACHINE_SIZE + person * PERSON_SIZE
        work[begins + machines + person] = max(max(work[p + P_FREE], since), day[day[PERSON_FROM]])
    for platen in range(day[PLATENS]):
        begin = max(since, day[day[PLATEN_FROM] + platen])
        for machine in range(machines):
            m = at + S_MACHINE + machine * MACHINE_SIZE
            if work[m + M_HOLDS] == day[day[PLATEN] + platen]:
                begin = max(begin, work[m + M_FREE])
        work[begins + machines + people + platen] = begin


@kernel
def room_between(day: Any, work: Any, release: int, tick: int) -> None:
    """Fill the scratch column with the ticks that each has left between two, as `free_from` found them."""
    machines, people = day[MACHINES], day[PEOPLE]
    begins, room = work[W_BEGIN], work[W_ROOM]
    for thing in range(machines + people + day[PLATENS]):
        begin = max(work[begins + thing], release)
        if begin >= tick:
            work[room + thing] = 0
        elif machines <= thing < machines + people:
            hours = day[HOURS] + (thing - machines) * day[TICKS]
            work[room + thing] = day[hours + tick] - day[hours + begin]
        else:
            work[room + thing] = tick - begin


@kernel
def weighed_room(day: Any, work: Any, w: int) -> int:
    """What the scratch column weighs, by a weighting."""
    things = day[MACHINES] + day[PEOPLE] + day[PLATENS]
    of, room = day[WEIGHT] + w * things, work[W_ROOM]
    fits = 0
    for thing in range(things):
        fits += day[of + thing] * work[room + thing]
    return fits
