"""Working hours of a small day's people, tick by tick, so that they are looked up and not reckoned."""

from __future__ import annotations

from itertools import accumulate
from operator import or_

from scheduler.domain.instance import Instance
from scheduler.engine.kernel.layout import N_BREAK_FROM, N_BREAK_TO, N_END, N_START, WINDOW_SIZE


def hours_of(instance: Instance, shifts: dict[str, list[int]]) -> tuple[list[int], list[int]]:
    """By person and tick: working ticks before it, and the next working tick.

    Behind the working ticks of the last person are those at which anybody works.

    Parameters
    ----------
    shifts
        What `records.windows` makes of the instance.
    """
    hours, present = list[int](), list[int]()
    anybody = bytearray(instance.horizon + 1)
    ticks = instance.horizon + 1
    begin, records, breaks = shifts["window_from"], shifts["window_record"], shifts["break"]
    for person in range(len(instance.operators)):
        there = bytearray(ticks)
        for window in range(begin[person], begin[person + 1]):
            n = window * WINDOW_SIZE
            first, last = records[n + N_START], records[n + N_END]
            there[first:last] = b"\1" * (last - first)
            for rest in range(records[n + N_BREAK_FROM], records[n + N_BREAK_TO]):
                first, last = (min(ticks, tick) for tick in breaks[2 * rest : 2 * rest + 2])
                there[first:last] = bytes(last - first)
        hours += accumulate(there[:-1], initial=0)
        anybody = bytearray(map(or_, anybody, there))
        following = [ticks - 1] * ticks
        for tick in range(ticks - 2, -1, -1):
            following[tick] = tick if there[tick] else following[tick + 1]
        present += following
    hours += accumulate(anybody[:-1], initial=0)
    return hours, present
