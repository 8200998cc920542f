"""What an order asks for, garment by garment: of which line and size, and with which names on it."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable
from dataclasses import replace
from datetime import datetime

from scheduler.domain.orders import Named, Order, OrderLine, Sized
from scheduler.domain.shop import NOWHERE
from scheduler.planning.personal import names_at

Garment = tuple[OrderLine, str, tuple[Named, ...]]
"""A garment's line (its sizes, names, notes and sources left out), its size, and the names that go on it."""


def bare(line: OrderLine) -> OrderLine:
    """A line without what makes no other garment of it."""
    prints = tuple(replace(one, source=NOWHERE, transfers_in=None) for one in line.prints)
    return replace(line, sizes=(), prints=prints, garments_in=None, note="", names=(), source=NOWHERE)


def owed(lines: Iterable[OrderLine]) -> Counter[Garment]:
    """How many garments of each kind some lines ask for."""
    found: Counter[Garment] = Counter()
    for line in lines:
        plain = bare(line)
        on = _names_on(line)
        first = 0
        for sized in line.sizes:
            if sized.quantity < 1:
                continue
            named = [number for number in on if first <= number < first + sized.quantity]
            found.update((plain, sized.size, on[number]) for number in named)
            if sized.quantity > len(named):
                found[plain, sized.size, ()] += sized.quantity - len(named)
            first += sized.quantity
    return found


def _names_on(line: OrderLine) -> dict[int, tuple[Named, ...]]:
    """The names on each garment of a line that has any, garments counted from 0 size by size."""
    if not line.names:
        return {}
    garment_of: dict[int, int] = {}
    for placement in dict.fromkeys(one.placement for one in line.prints):
        for number, at in names_at(line, placement):
            garment_of.setdefault(at, number)
    on: dict[int, list[Named]] = {}
    for at, number in sorted(garment_of.items(), key=lambda pair: (pair[1], pair[0])):
        on.setdefault(number, []).append(line.names[at])
    return {number: tuple(sorted(names, key=_rank)) for number, names in on.items()}


def _rank(one: Named) -> tuple[str, ...]:
    return one.placement, one.name, one.number, one.size


def lines_with(lines: Iterable[OrderLine], wanted: Counter[Garment]) -> tuple[OrderLine, ...]:
    """The lines with so many garments of each kind; lines without any are left out.

    Names stay in the order in which the lines have them.
    """
    left: dict[tuple[OrderLine, str], list[Garment]] = {}
    for kind, count in wanted.items():
        if count > 0:
            left.setdefault(kind[:2], []).append(kind)
    found = []
    for line in lines:
        plain = bare(line)
        sizes: list[Sized] = []
        names: Counter[Named] = Counter()
        for sized in line.sizes:
            kinds = left.pop((plain, sized.size), [])
            if kinds:
                sizes.append(Sized(size=sized.size, quantity=sum(wanted[kind] for kind in kinds)))
            for kind in kinds:
                for name in kind[2]:
                    names[name] += wanted[kind]
        if sizes:
            found.append(replace(line, sizes=tuple(sizes), names=_in_turn(names, line.names)))
    return tuple(found)


def _in_turn(names: Counter[Named], was: Iterable[Named]) -> tuple[Named, ...]:
    found = []
    for one in was:
        if names[one] > 0:
            found.append(one)
            names[one] -= 1
    return (*found, *(+names).elements())


def same_order(one: Order, other: Order) -> bool:
    """Whether two orders ask for the same, wherever they were written."""
    return _said(one) == _said(other)


def comes_later(was: Order, now: Order, at: datetime) -> bool:
    """Whether garments or transfers of an order come in after a moment, and later than they were to."""
    before = _arrivals(was)
    return any(key in before and when > max(at, before[key]) for key, when in _arrivals(now).items())


def _arrivals(order: Order) -> dict[tuple[OrderLine, str], datetime]:
    """By line, and placement of its transfers or none for its garments, when the last of them come in."""
    found: dict[tuple[OrderLine, str], datetime] = {}
    for line in order.lines:
        plain = bare(line)
        comes = [("", line.garments_in), *((one.placement, one.transfers_in) for one in line.prints)]
        for what, when in comes:
            found[plain, what] = max(found.get((plain, what), datetime.min), when or datetime.min)
    return found


def _said(order: Order) -> object:
    """What makes an order the one it is, wherever it was written."""
    pieces: Counter[tuple[OrderLine, str]] = Counter()
    names: Counter[tuple[OrderLine, Named]] = Counter()
    arrivals = set()
    for line in order.lines:
        plain = bare(line)
        arrivals.add((plain, line.garments_in, tuple(one.transfers_in for one in line.prints), line.note))
        names.update((plain, one) for one in line.names)
        for sized in line.sizes:
            pieces[plain, sized.size] += sized.quantity
    return order.customer, order.cut_off, order.weight, +pieces, names, arrivals


__all__ = ["Garment", "bare", "comes_later", "lines_with", "owed", "same_order"]
