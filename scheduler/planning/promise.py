"""What new orders would cost, asked before they are accepted: the questions as instances for the engine."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace

from scheduler.domain.instance import Instance, Job

FIRST = 10_000
"""A minute of what comes first in a question counts as so many of what comes after it."""


def asked_earliest(instance: Instance, new: Mapping[str, int], stands: Mapping[str, int]) -> Instance:
    """When new orders can be ready at the earliest if nothing else is made late.

    Every minute from a given tick until they are ready counts as late, and whatever makes another order later
    than its cut-off, or later than it is as things stand, counts `FIRST` times as much.

    Parameters
    ----------
    new
        By new order: the tick from which on its minutes count.
    stands
        By order: when it is finished without the new ones, in ticks.
    """

    def job(each: Job) -> Job:
        if each.id in new:
            return replace(each, due=new[each.id], weight=1)
        due = each.due
        if due is not None and each.id in stands:
            due = max(due, stands[each.id])
        return replace(each, due=due, weight=FIRST * each.weight)

    return replace(instance, jobs=tuple(job(each) for each in instance.jobs))


def asked_by(instance: Instance, by: Mapping[str, int]) -> Instance:
    """What becomes late when new orders must be ready at a given time: theirs counts `FIRST` times as much.

    Parameters
    ----------
    by
        By new order: the tick at which it must be ready.
    """
    return replace(
        instance,
        jobs=tuple(
            replace(job, due=by[job.id], weight=FIRST * job.weight) if job.id in by else job
            for job in instance.jobs
        ),
    )


def asked_cure(instance: Instance, late: frozenset[str]) -> Instance:
    """What help is worth to late orders: whatever makes another one late counts `FIRST` times as much."""
    return replace(
        instance,
        jobs=tuple(
            job if job.id in late else replace(job, weight=FIRST * job.weight) for job in instance.jobs
        ),
    )


@dataclass(frozen=True, slots=True, kw_only=True)
class MadeLate:
    """An order that is later than it would be without the new ones. Ticks."""

    order: str
    late: int
    before: int


def made_late(late: Mapping[str, int], before: Mapping[str, int]) -> tuple[MadeLate, ...]:
    """Orders that are late by more than they were, what became later most first.

    Parameters
    ----------
    late, before
        By order: ticks late, with and without the new orders.
    """
    found = [
        MadeLate(order=order, late=ticks, before=before.get(order, 0))
        for order, ticks in late.items()
        if ticks > before.get(order, 0)
    ]
    return tuple(sorted(found, key=lambda one: (one.before - one.late, one.order)))
