"""The calendar within one window of a person: breaks, work that pauses over them, and overtime.

The decoder and the exact search lay their days out differently, but both have breaks as pairs one behind
the other: those of the window stand in `day[breaks_from:breaks_to]`.
"""

from __future__ import annotations

from typing import Any

from .jit import kernel


@kernel
def step_calendar(day: Any, breaks_from: int, breaks_to: int, setup_start: int, hands_on: int) -> int:
    """The earliest set-up start in the window at which no break meets set-up or first pressing."""
    for at in range(breaks_from, breaks_to, 2):
        if setup_start < day[at + 1] and setup_start + hands_on >= day[at]:
            setup_start = day[at + 1]
    return setup_start


@kernel
def working_end(day: Any, breaks_from: int, breaks_to: int, start: int, work: int) -> int:
    """When `work` ticks from `start` are done, pausing over breaks; may lie past the window."""
    end = start + work
    if work == 0:
        return end
    for at in range(breaks_from, breaks_to, 2):
        if start <= day[at] < end:
            end += day[at + 1] - day[at]
    return end


@kernel
def overtime_ticks(day: Any, breaks_from: int, breaks_to: int, paid: int, setup_start: int, end: int) -> int:
    """Ticks of [setup_start, end), breaks left out, after the paid hours, which end at `paid`."""
    start = max(setup_start, paid)
    if end <= start:
        return 0
    ticks: int = end - start
    for at in range(breaks_from, breaks_to, 2):
        ticks -= max(0, min(end, day[at + 1]) - max(start, day[at]))
    return ticks
