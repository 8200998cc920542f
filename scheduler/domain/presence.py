"""When somebody of the crew is in, and when nobody is."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from datetime import datetime, time, timedelta
from itertools import pairwise

from scheduler.domain.disruptions import PersonAway
from scheduler.domain.plan import Absence, PlannedRun

LEAST_EMPTY = timedelta(minutes=5)
"""A shorter time with nobody in, as when one goes and another comes, takes no press off."""

LONG_BREAK = timedelta(hours=1)
"""Over a break as long as this people may go home; over a shorter one they are in."""

Span = tuple[datetime, datetime]


def presence(
    shifts: Iterable[Absence],
    runs: Iterable[PlannedRun],
    away: Iterable[PersonAway],
    breaks: Iterable[Absence],
) -> list[Span]:
    """When somebody of the crew is in: shifts and the overtime worked, absences and long breaks left out.

    Returns
    -------
    list of (datetime, datetime)
        Disjoint, in order of time.
    """
    own, gone, pauses = list(runs), list(away), list(breaks)
    found: list[Span] = []
    for shift in shifts:
        worked = [
            run.end
            for run in own
            if run.operator == shift.operator
            and run.start >= shift.start
            and run.start.date() == shift.start.date()
        ]
        off = [(one.start, away_until(one)) for one in gone if one.person == shift.operator]
        off += [
            (one.start, one.end)
            for one in pauses
            if one.operator == shift.operator and one.end - one.start >= LONG_BREAK
        ]
        found += without([(shift.start, max([shift.end, *worked]))], off)
    return joined(found)


def away_until(one: PersonAway) -> datetime:
    """When an absence ends; the midnight after it begins where nobody said when."""
    return one.end or datetime.combine(one.start.date() + timedelta(days=1), time())


def joined(spans: Iterable[Span]) -> list[Span]:
    """The same times in stretches that are disjoint, in order."""
    merged: list[Span] = []
    for start, end in sorted(spans):
        if merged and start <= merged[-1][1]:
            merged[-1] = (merged[-1][0], max(merged[-1][1], end))
        else:
            merged.append((start, end))
    return merged


def without(spans: Iterable[Span], off: Iterable[Span]) -> list[Span]:
    """The stretches with others cut out of them."""
    left = list(spans)
    for start, end in off:
        parts = [
            part for first, last in left for part in ((first, min(last, start)), (max(first, end), last))
        ]
        left = [(first, last) for first, last in parts if first < last]
    return left


def empty_between(spans: Sequence[Span], start: datetime, end: datetime) -> list[Span]:
    """The times of a stretch in which nobody is in, the very short ones left out."""
    edges = [start, *(edge for span in spans for edge in span if start < edge < end), end]
    bounds = list(pairwise(edges))
    return [
        (first, last)
        for first, last in bounds
        if last - first >= LEAST_EMPTY and not any(a <= first and last <= b for a, b in spans)
    ]
