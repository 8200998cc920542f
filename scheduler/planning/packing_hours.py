"""Packing that would go on when nobody is there: it has no people of its own in the plan."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass

from scheduler.domain.instance import Instance

WORTH_SAYING_MIN = 15
"""Minutes outside everybody's hours from which an order is named; a few are nobody's trouble."""


@dataclass(frozen=True, slots=True, kw_only=True)
class LatePacking:
    """An order whose packing goes on after everybody has left, or begins before anybody is there.

    Attributes
    ----------
    job
        The order.
    packed
        Tick at which it is packed, going on through closed hours.
    alone
        Ticks of its packing at which nobody is there, overtime and breaks counted as there.
    """

    job: str
    packed: int
    alone: int


def late_packing(instance: Instance, finished: Mapping[str, int]) -> tuple[LatePacking, ...]:
    """The orders with packing outside the hours of all people, in the order of the instance.

    Parameters
    ----------
    finished
        By order: the tick at which it is packed.
    """
    spans = _union((shift.start, shift.overtime_end) for each in instance.operators for shift in each.shifts)
    if not spans:
        return ()
    least = WORTH_SAYING_MIN * 60
    found = []
    for job in instance.jobs:
        packed = finished.get(job.id)
        if packed is None or not job.packing:
            continue
        begin = packed - job.packing
        there = sum(max(0, min(packed, last) - max(begin, first)) for first, last in spans)
        alone = job.packing - there
        if alone * instance.tick_s >= least:
            found.append(LatePacking(job=job.id, packed=packed, alone=alone))
    return tuple(found)


def _union(spans: Iterable[tuple[int, int]]) -> list[tuple[int, int]]:
    """Spans that don't meet, which cover the same ticks."""
    found: list[tuple[int, int]] = []
    for first, last in sorted(spans):
        if found and first <= found[-1][1]:
            found[-1] = found[-1][0], max(found[-1][1], last)
        else:
            found.append((first, last))
    return found
