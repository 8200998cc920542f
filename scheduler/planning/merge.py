"""Runs that differ in nothing but their size group, made one: same ways to press, same words for where."""

from __future__ import annotations

from collections.abc import Hashable, Sequence
from dataclasses import replace

from scheduler.domain.shop import Shop
from scheduler.planning.fits import Way, ways_of
from scheduler.planning.pairs import may_pair, pair_ways
from scheduler.planning.placements import Run, in_size_order, settings_of

Ways = tuple[tuple[str, str], ...]
"""Presses and platens by name."""


def merge_sizes(shop: Shop, runs: Sequence[Run]) -> tuple[Run, ...]:
    """The runs of an order with size groups together where the shop treats them alike.

    They are alike when every press and platen that does one does the other, alone and in pairs with
    runs that are alike themselves, and the position is said in the same words. Runs that nothing can
    press stay apart, so that each keeps its own reasons.

    Parameters
    ----------
    runs
        As split from the order's lines.
    """
    kind = _alike_on_paper(runs)
    if len(set(kind)) == len(runs):
        return tuple(runs)
    kind = _alike_at_the_presses(shop, runs, kind)
    members: dict[int, list[Run]] = {}
    for run, which in zip(runs, kind, strict=True):
        members.setdefault(which, []).append(run)
    return tuple(
        replace(
            together[0],
            transfers_in=max((run.transfers_in for run in together if run.transfers_in), default=None),
            portions=in_size_order(shop, (portion for run in together for portion in run.portions)),
        )
        for together in members.values()
    )


def _alike_on_paper(runs: Sequence[Run]) -> list[int]:
    """For each run a number, the same for runs that are told apart only by their size group."""
    seen: dict[Hashable, int] = {}
    keys: list[Hashable] = []
    for run in runs:
        key = (
            run.placement.name,
            run.placement.position(run.size_group),
            run.transfer,
            run.artwork,
            (run.width_mm, run.height_mm),
            (*settings_of(run.recipe), run.recipe.cooling_s),
            (run.garments_in, run.ready),
        )
        # The same print twice on the same garments: the second of one group goes with the second of another.
        seen[key, run.size_group] = seen.get((key, run.size_group), 0) + 1
        keys.append((key, seen[key, run.size_group]))
    return _numbered(keys)


def _alike_at_the_presses(shop: Shop, runs: Sequence[Run], kind: list[int]) -> list[int]:
    """The numbers told further apart by the ways to press, until pairs stay pairs of whole runs."""
    single: list[Ways] = [
        _named(ways_of(shop, run)[0]) if _shared(kind, at) else () for at, run in enumerate(runs)
    ]
    pairs: dict[int, list[tuple[int, Ways]]] = {at: [] for at in range(len(runs))}
    for i, a in enumerate(runs):
        for j in range(i + 1, len(runs)):
            if (_shared(kind, i) or _shared(kind, j)) and may_pair(a, runs[j]):
                ways = _named(pair_ways(shop, a, runs[j])[0])
                if ways:
                    pairs[i].append((j, ways))
                    pairs[j].append((i, ways))
    kind = _numbered(
        [
            (kind[at], ways, -1 if ways or pairs[at] or not _shared(kind, at) else at)
            for at, ways in enumerate(single)
        ]
    )
    while True:
        finer = _numbered(
            [
                (kind[at], tuple(sorted((kind[other], ways) for other, ways in pairs[at])))
                for at in range(len(runs))
            ]
        )
        if len(set(finer)) == len(set(kind)):
            return finer
        kind = finer


def _named(ways: Sequence[Way]) -> Ways:
    return tuple((way.press.name, way.platen.name) for way in ways)


def _shared(kind: Sequence[int], at: int) -> bool:
    return kind.count(kind[at]) > 1


def _numbered(keys: Sequence[Hashable]) -> list[int]:
    numbers: dict[Hashable, int] = {}
    return [numbers.setdefault(key, len(numbers)) for key in keys]
