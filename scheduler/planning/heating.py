"""The stretches of a day in which presses may be hot: a press doesn't stay on with nobody of the crew in.

Where everybody is out in between, presses go off, and whoever comes first switches them on again. That is
known from the shifts before anything is planned, so each such stretch is a heating day of its own, and what
holds for a morning holds for it: cold presses, a warm-up before the first pressing, circuits.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from itertools import pairwise

from scheduler.domain.instance import Day, Operator, Shift
from scheduler.domain.presence import LEAST_EMPTY, LONG_BREAK
from scheduler.domain.times import ticks_up


def stretches(
    day: Day, shifts: Iterable[Shift], tick_s: int, *, usual: Iterable[Shift] = ()
) -> tuple[Day, ...]:
    """A working day cut where somebody comes after nobody was in for a while.

    Overtime doesn't count as being in, since nobody need stay for it, nor does a break of `LONG_BREAK`.
    Before the first comes nothing is cut: in the morning a timer, or whoever opens, may switch on.

    Parameters
    ----------
    day
        From when presses may be switched on to the end of overtime.
    shifts
        Everybody's, on whatever days.
    usual
        The same with those who were said to be away: where the first doesn't come, nobody opens in time.

    Returns
    -------
    tuple of Day
        They touch, so that they still are one of `Instance.working_days`.
    """
    least = ticks_up(int(LEAST_EMPTY.total_seconds()), tick_s)
    here = (one for one in shifts if day.start <= one.start < day.end)
    spans = sorted(span for shift in here for span in paid_spans(shift, tick_s))
    edges = [day.start]
    opens = [one.start for one in usual if day.start <= one.start < day.end]
    gone = min(opens, default=spans[0][0] if spans else day.start)
    for start, end in spans:
        if start - gone >= least:
            edges.append(start)
        gone = max(gone, end)
    return tuple(Day(start=first, end=last) for first, last in pairwise([*edges, day.end]))


def paid_spans(shift: Shift, tick_s: int) -> Iterator[tuple[int, int]]:
    """When somebody is in for sure: paid hours, long breaks left out."""
    start = shift.start
    for first, last in shift.breaks:
        if (last - first) * tick_s >= LONG_BREAK.total_seconds():
            yield start, min(first, max(start, shift.end))
            start = last
    yield start, max(start, shift.end)


def heating_days(
    days: Iterable[Day], crew: Iterable[Operator], tick_s: int, *, usual: Iterable[Operator] = ()
) -> tuple[Day, ...]:
    """The heating days of some working days, by when the crew is in; `usual`: as if nobody were away."""
    shifts = [shift for person in crew for shift in person.shifts]
    every = [shift for person in usual for shift in person.shifts]
    return tuple(one for day in days for one in stretches(day, shifts, tick_s, usual=every))


def within(shift: Shift, day: Day) -> Shift | None:
    """What of a shift lies in a heating day; None: nothing."""
    start, end = max(shift.start, day.start), min(shift.overtime_end, day.end)
    if start >= end:
        return None
    return Shift(
        start=start,
        end=min(max(shift.end, start), end),
        overtime_end=end,
        breaks=tuple(
            (max(first, start), min(last, end))
            for first, last in shift.breaks
            if first < end and start < last
        ),
    )
