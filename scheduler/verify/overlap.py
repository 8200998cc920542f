"""Stretches of time that meet, and how many of them do."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass

from scheduler.verify.view import Run


def overlaps(runs: Sequence[Run]) -> Iterator[tuple[Run, Run]]:
    """Every run that begins too early, with the one before it that ends last.

    Parameters
    ----------
    runs
        In order of start. A run of no length may not lie inside another.
    """
    last: Run | None = None
    for run in runs:
        if last is not None and run.setup_start < last.end:
            yield last, run
        if last is None or run.end > last.end:
            last = run


@dataclass(frozen=True, slots=True)
class Stretch:
    """Something that takes `amount` of a limited quantity over [start, end)."""

    start: int
    end: int
    amount: int
    name: str


@dataclass(frozen=True, slots=True)
class Excess:
    """A stretch of time over a limit: where the peak begins, how far over, and what meets there."""

    at: int
    amount: int
    names: tuple[str, ...]


def excesses(stretches: Iterable[Stretch], limit: int, excused: str | None = None) -> list[Excess]:
    """Where the sum of the amounts goes above a limit: one answer for each time that it does.

    Parameters
    ----------
    stretches
        Half-open; those without length count for nothing.
    excused
        A name whose stretches may be too much by themselves: only moments at which another is there count.
    """
    events = sorted(
        (
            event
            for number, stretch in enumerate(stretches)
            if stretch.start < stretch.end
            for event in ((stretch.start, 1, number, stretch), (stretch.end, 0, number, stretch))
        ),
        key=lambda event: event[:3],  # what ends at a tick is gone before what begins there
    )
    found = []
    running: dict[int, Stretch] = {}
    used = 0
    peak: Excess | None = None
    for at, begins, number, stretch in events:
        if begins:
            running[number] = stretch
            used += stretch.amount
            over = used - limit
            if over > (0 if peak is None else peak.amount):
                names = tuple(each.name for each in running.values())
                if any(name != excused for name in names):
                    peak = Excess(at, over, names)
        else:
            del running[number]
            used -= stretch.amount
            if used <= limit and peak is not None:
                found.append(peak)
                peak = None
    return found
