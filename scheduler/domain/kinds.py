"""Pieces by kind: what orders ask for against what runs press, and what of that nobody wants any more."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Mapping

from scheduler.domain.day_problem import RunContent
from scheduler.domain.disruptions import OrderChange, PartKind, RunPart
from scheduler.domain.orders import Order

Kind = tuple[str, ...]
"""Placement, transfer, artwork, garment, colour, fabric and size."""


def kinds_of_runs(contents: Iterable[RunContent]) -> Counter[Kind]:
    """What runs press."""
    found: Counter[Kind] = Counter()
    for content in contents:
        for laid in content.laid:
            for one in content.pieces:
                kind = (laid.placement, laid.transfer, laid.artwork, one.garment, one.colour, one.fabric)
                found[*kind, one.size] += one.quantity
    return found


def kinds_of_order(order: Order) -> Counter[Kind]:
    """What an order asks for."""
    found: Counter[Kind] = Counter()
    for line in order.lines:
        for one in line.prints:
            for sized in line.sizes:
                kind = (one.placement, one.transfer, one.artwork, line.garment, line.colour, line.fabric)
                found[*kind, sized.size] += sized.quantity
    return found


def with_rests(runs: Iterable[str], parts: Iterable[RunPart]) -> set[str]:
    """Runs, and what was cut off from them."""
    names = set(runs)
    for part in parts:
        if part.run in names and part.name is not PartKind.AGAIN:
            names.add(part.task)
    return names


def unwanted_pieces(
    changes: Iterable[OrderChange], parts: Iterable[RunPart], contents: Mapping[str, RunContent]
) -> dict[str, int]:
    """By run, the pieces that it keeps though its order has fewer now: those beyond what is still wanted.

    Parameters
    ----------
    changes
        Orders with fewer pieces; of several of one order the last counts.
    parts
        What was cut off from runs, or is pressed again.
    contents
        By run, those that were begun first coming first.
    """
    last = {change.order.id: change for change in changes}
    parts = tuple(parts)
    again = {part.task for part in parts if part.name is PartKind.AGAIN}
    found: dict[str, int] = {}
    for change in last.values():
        kept = with_rests(change.begun, parts)
        own = {name: content for name, content in contents.items() if name in kept - again}
        over = kinds_of_runs(own.values())
        over.subtract(kinds_of_order(change.order))
        for name, content in reversed(own.items()):
            for one in content.pieces:
                kinds = [
                    (*key, one.garment, one.colour, one.fabric, one.size)
                    for laid in content.laid
                    for key in ((laid.placement, laid.transfer, laid.artwork),)
                ]
                taken = min([one.quantity, *(max(0, over[kind]) for kind in kinds)])
                if taken:
                    found[name] = found.get(name, 0) + taken
                    over.subtract(dict.fromkeys(kinds, taken))
    return found
