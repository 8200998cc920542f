"""The calendar within one window of a person: breaks, work that pauses over them, and overtime.

The decoder and the exact search lay their days out differently, but both have windows as records `N_...`
and breaks as pairs; `n` is where a window's record begins in `day`, `breaks` where the pairs do.
"""

from __future__ import annotations

from typing import Any

from .jit import kernel
from .layout import N_BREAK_FROM, N_BREAK_TO, N_PAID


@kernel
def step_calendar(day: Any, breaks: int, n: int, setup_start: int, hands_on: int) -> int:
    """The earliest set-up start in the window at which no break meets set-up or first pressing."""
    for k in range(day[n + N_BREAK_FROM], day[n + N_BREAK_TO]):
        at = breaks + 2 * k
        if setup_start < day[at + 1] and setup_start + hands_on >= day[at]:
            setup_start = day[at + 1]
    return setup_start


@kernel
def working_end(day: Any, breaks: int, n: int, start: int, work: int) -> int:
    """When `work` ticks from `start` are done, pausing over breaks; may lie past the window."""
    end = start + work
    if work == 0:
        return end
    for k in range(day[n + N_BREAK_FROM], day[n + N_BREAK_TO]):
        at = breaks + 2 * k
        if start <= day[at] < end:
            end += day[at + 1] - day[at]
    return end


@kernel
def overtime_ticks(day: Any, breaks: int, n: int, setup_start: int, end: int) -> int:
    """Ticks of [setup_start, end), breaks left out, after the paid hours."""
    start = max(setup_start, day[n + N_PAID])
    if end <= start:
        return 0
    ticks: int = end - start
    for k in range(day[n + N_BREAK_FROM], day[n + N_BREAK_TO]):
        at = breaks + 2 * k
        ticks -= max(0, min(end, day[at + 1]) - max(start, day[at]))
    return ticks
