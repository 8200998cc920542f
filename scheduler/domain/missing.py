"""Garments of an order that lack something which no run of a plan presses, each counted once."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Collection, Iterable, Mapping

from scheduler.domain.day_state import RunState
from scheduler.domain.disruptions import PartKind, RunPart

Places = tuple[str, ...]
"""Placements that are pressed together."""


def missing_garments(
    runs: Iterable[RunState],
    parts: Iterable[RunPart],
    places: Mapping[str, Places],
    bundles: Mapping[str, Collection[str]],
) -> int:
    """How many garments of an order can't be packed, since what they lack is in no plan.

    A garment that was spoiled is owed at each of its placements: where it was spoiled, at those before it,
    which a new one needs too, and at those after it, which had one garment less. It is one garment all the
    same. What was not done for another reason is a garment of its own.

    Parameters
    ----------
    runs
        Those of the order.
    parts
        Of the plan: what is pressed again of a run is not missing there.
    places
        By run, its placements.
    bundles
        By run, its garments: runs that share none press different ones.
    """
    runs = list(runs)
    again: dict[str, int] = defaultdict(int)
    for part in parts:
        if part.name is PartKind.AGAIN:
            again[part.run] += part.pieces
    total = 0
    for group in _sharing(runs, bundles):
        spoiled: dict[Places, int] = defaultdict(int)
        here: dict[Places, int] = defaultdict(int)
        other: dict[Places, int] = defaultdict(int)
        for run in group:
            place = places.get(run.run, ())
            unplanned = max(0, run.owed - again[run.run])
            own = min(run.spoiled, unplanned)
            spoiled[place] += run.spoiled if run.owed else 0
            here[place] += own
            other[place] += unplanned - own
        for place, count in spoiled.items():
            most = here[place]
            for elsewhere in other:
                if elsewhere != place:
                    same = min(count, other[elsewhere])
                    other[elsewhere] -= same
                    most = max(most, same)
            total += most
        total += sum(other.values())
    return total


def _sharing(runs: Iterable[RunState], bundles: Mapping[str, Collection[str]]) -> list[list[RunState]]:
    """The runs in groups that share garments, directly or by way of others."""
    groups: list[tuple[set[str], list[RunState]]] = []
    for run in runs:
        garments, together = set(bundles.get(run.run, ())), [run]
        apart = []
        for theirs, others in groups:
            if garments.isdisjoint(theirs):
                apart.append((theirs, others))
            else:
                garments |= theirs
                together = [*others, *together]
        groups = [*apart, (garments, together)]
    return [group for _, group in groups]


__all__ = ["missing_garments"]
