"""Alternatives of the same runs: separately or in pairs, whole or in lots."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import product

from scheduler.planning.pairs import Pair, matchings
from scheduler.planning.placements import Run

MOST_OPTIONS = 12
"""Most options of one choice."""

MOST_MIXED = 6
"""Above so many units, options that mix whole runs and lots are not looked at."""

Option = tuple[tuple[int, int], ...]
"""Units (runs first, then pairs, by place) with the number of lots of each."""


def garment_groups(runs: Sequence[Run]) -> tuple[tuple[int, ...], ...]:
    """Places of the runs that share garments, directly or through other runs, in order."""
    group = list(range(len(runs)))
    holder: dict[tuple[int, str], int] = {}
    for index, run in enumerate(runs):
        for atom in run.atoms:
            other = holder.setdefault(atom, index)
            old, new = group[index], group[other]
            group = [new if at == old else at for at in group]
    return tuple(tuple(i for i, at in enumerate(group) if at == which) for which in dict.fromkeys(group))


@dataclass(frozen=True, slots=True, kw_only=True)
class Cluster:
    """Runs that may be pressed with one another, and their pairs; places in the group's sequences."""

    runs: tuple[int, ...]
    pairs: tuple[int, ...]


def clusters(count: int, pairs: Sequence[Pair]) -> tuple[Cluster, ...]:
    """Runs connected by pairs; a run without any is a cluster of its own."""
    group = list(range(count))
    for pair in pairs:
        old, new = group[pair.at[1]], group[pair.at[0]]
        group = [new if at == old else at for at in group]
    return tuple(
        Cluster(
            runs=tuple(i for i, at in enumerate(group) if at == which),
            pairs=tuple(i for i, pair in enumerate(pairs) if group[pair.at[0]] == which),
        )
        for which in dict.fromkeys(group)
    )


def options_of(
    cluster: Cluster, pairs: Sequence[Pair], count: int, lots: Sequence[tuple[int, ...]]
) -> tuple[Option, ...]:
    """The options of a cluster, at most `MOST_OPTIONS`.

    Every set of pairs with the rest pressed separately, each unit whole or in lots. When there are
    too many, those that split some units further than others go first, then those in lots, then
    those that press only some of what could be paired.

    Parameters
    ----------
    cluster
        Its runs and pairs.
    pairs
        All pairs of the group.
    count
        Number of runs in the group: unit `count + k` is pair k.
    lots
        By unit, the numbers of lots it may be made of; empty when it can't be done that way.
    """
    ranked: list[tuple[tuple[int, int, int], Option]] = []
    sets = matchings([pairs[k].at for k in cluster.pairs])
    largest = max(len(chosen) for chosen in sets)
    unit_of = {pairs[k].at: count + k for k in cluster.pairs}
    for chosen in sets:
        paired = {run for pair in chosen for run in pair}
        units = [run for run in cluster.runs if run not in paired] + [unit_of[pair] for pair in chosen]
        if any(not lots[unit] for unit in units):
            continue
        partial = int(0 < len(chosen) < largest)
        even = _evenly(units, lots)
        for numbers in _lots_of(units, lots):
            kind = 0 if numbers == even[0] else 1 if numbers in even else 2
            ranked.append(((kind, partial, len(ranked)), tuple(zip(units, numbers, strict=True))))
    ranked.sort(key=lambda entry: entry[0])
    return tuple(option for _, option in ranked[:MOST_OPTIONS])


def _lots_of(units: Sequence[int], lots: Sequence[tuple[int, ...]]) -> list[tuple[int, ...]]:
    if len(units) <= MOST_MIXED:
        return list(product(*(lots[unit] for unit in units)))
    return _evenly(units, lots)


def _evenly(units: Sequence[int], lots: Sequence[tuple[int, ...]]) -> list[tuple[int, ...]]:
    """All units in the fewest lots, then all one step further, as far as each may be split."""
    steps = max((len(lots[unit]) for unit in units), default=1)
    return list(
        dict.fromkeys(
            tuple(lots[unit][min(step, len(lots[unit]) - 1)] for unit in units) for step in range(steps)
        )
    )
