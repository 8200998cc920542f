"""Large runs in lots: which parts the garments of an order are dealt into, and how many lots to offer."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from math import lcm

from scheduler.domain.orders import Order
from scheduler.domain.shop import Shop
from scheduler.domain.times import exact, ticks_up
from scheduler.planning.placements import Atom, Portion, Run
from scheduler.planning.timing import TimedWay

MOST_LOTS = 6
"""Most lots that a run is offered in when it could do with fewer."""

MOST_PARTS = 12
"""Most parts that garments are dealt into for the sake of equal lots."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Unit:
    """What is pressed in one closing: a run, or a pair of runs; with every way to do it."""

    runs: tuple[Run, ...]
    ways: tuple[TimedWay, ...]

    @property
    def quantity(self) -> int:
        return self.runs[0].quantity

    @property
    def at_one_press(self) -> tuple[TimedWay, ...]:
        """The ways that hold no second press; there is one for each press that any other holds."""
        return tuple(way for way in self.ways if way.second is None)


@dataclass(frozen=True, slots=True, kw_only=True)
class Deal:
    """The garments of runs that share some, dealt into parts as equal as can be.

    Attributes
    ----------
    count
        Number of parts.
    parts
        By line and size group: the portions of each part; some may be empty.
    """

    count: int
    parts: dict[Atom, tuple[tuple[Portion, ...], ...]]

    def lot(self, atoms: Sequence[Atom], lot: int, lots: int) -> tuple[Portion, ...]:
        """The garments of one lot (from 0) out of `lots`: a stretch of the parts of these atoms."""
        return tuple(
            portion
            for atom in atoms
            for part in self.parts_of(lot, lots)
            for portion in self.parts[atom][part]
        )

    def bundles(self, order: str, atoms: Sequence[Atom], lot: int, lots: int) -> tuple[str, ...]:
        """Names of the bundles in one lot: order, line (from 1), size group, part (from 1)."""
        return tuple(
            f"{order}/{line + 1}/{group or '-'}/{part + 1}"
            for line, group in atoms
            for part in self.parts_of(lot, lots)
            if self.parts[line, group][part]
        )

    def parts_of(self, lot: int, lots: int) -> tuple[int, ...]:
        """Which parts a lot holds."""
        return tuple(part for part in range(self.count) if part * lots // self.count == lot)


def deal(runs: Sequence[Run], count: int) -> Deal:
    """Deal the garments of runs into parts.

    Every atom (line and size group) is dealt by itself, its sizes kept in order so that at most one
    size is divided between neighbouring parts; what doesn't divide goes to the smallest part so far.
    """
    totals = [0] * count
    half = max(1, count // 2)
    parts: dict[Atom, tuple[tuple[Portion, ...], ...]] = {}
    for run in runs:
        for atom in run.atoms:
            if atom in parts:
                continue
            portions = run.portions_of(atom)
            share, rest = divmod(sum(portion.quantity for portion in portions), count)
            wanted = [share] * count
            # By turns in either half, so that two lots stay as equal as the parts are.
            for part in sorted(range(count), key=lambda part: (totals[part], part % half, part))[:rest]:
                wanted[part] += 1
            totals = [total + more for total, more in zip(totals, wanted, strict=True)]
            parts[atom] = _cut(portions, wanted)
    return Deal(count=count, parts=parts)


def _cut(portions: tuple[Portion, ...], wanted: list[int]) -> tuple[tuple[Portion, ...], ...]:
    left = [(portion, portion.quantity) for portion in portions]
    cut: list[tuple[Portion, ...]] = []
    for want in wanted:
        part: list[Portion] = []
        while want:
            portion, there = left.pop(0)
            taken = min(want, there)
            part.append(replace(portion, quantity=taken, first=portion.first + portion.quantity - there))
            want -= taken
            if there > taken:
                left.insert(0, (portion, there - taken))
        cut.append(tuple(part))
    return tuple(cut)


def lots_wanted(shop: Shop, unit: Unit, tick_s: int) -> tuple[int, ...]:
    """How many lots a run may be made of, fewest first.

    A run is split by choice, in two, when its fastest way takes longer than `lot_above_min`; in
    three as well when it takes longer than twice that and two presses or more can do it. It must be
    split when no shift of anybody who may do it holds it whole, set-up and warm-up included; then
    it may also be made of more lots, up to twice as many, so that presses and people who are free
    can help. No lot is smaller than the least lot: a run that fits no shift even then stays as near
    to it as it can and is left over by the engine, with its reason.
    """
    quantity = unit.quantity
    most = max(1, quantity // max(1, shop.allowances.least_lot))
    presses = len({way.press.name for way in unit.ways})
    largest = max(
        (
            way.pieces_within(shop, hours, pace, tick_s)
            for way in unit.ways
            for pace, hours in way.longest_by_pace().items()
        ),
        default=0,
    )
    if largest < quantity:
        needed = min(max(2, -(-quantity // largest)) if largest else most, most)
        limit = min(2 * needed, presses, MOST_LOTS, most)
        more = [number for number in range(needed + 1, limit + 1) if lcm(needed, number) <= MOST_PARTS]
        return (needed, *more[-1:])
    fastest = min(
        way.work(shop, quantity, way.best_pace, tick_s) for way in unit.at_one_press if way.stretches
    )
    long = ticks_up(60 * exact(shop.allowances.lot_above_min), tick_s)
    lots = 1 if fastest <= long else 2 if fastest <= 2 * long or presses == 1 else 3
    return tuple(range(1, min(lots, most) + 1))


def with_smaller_lots(shop: Shop, order: Order) -> Shop:
    """The shop as it would be for an order whose every run may be pressed in two lots, or three."""
    least = max(1, min(shop.allowances.least_lot, order.quantity // 3))
    return replace(shop, allowances=replace(shop.allowances, least_lot=least, lot_above_min=0.0))


def parts_for(wanted: Sequence[tuple[int, ...]]) -> int:
    """Into how many parts garments are dealt so that every run's lots can be made of whole parts.

    When that takes too many parts, lots by choice beyond the first two are given up, then equal
    lots of forced splits.
    """
    forced = [lots[0] for lots in wanted] or [1]
    halves = [2] if any(2 in lots for lots in wanted) else []
    for numbers in ([number for lots in wanted for number in lots], [*forced, *halves]):
        parts = lcm(*numbers)
        if parts <= max(MOST_PARTS, *forced):
            return parts
    most = max(forced)
    # An even number keeps two lots of another run equal.
    return most + most % 2 if halves else most


def lots_from_parts(lots: tuple[int, ...], parts: int) -> tuple[int, ...]:
    """The numbers of lots that parts allow: a forced split may need more lots, never larger ones."""
    fewest = lots[0]
    first = next(n for n in range(fewest, parts + 1) if -(-parts // n) * fewest <= parts or n == parts)
    return (first, *(n for n in lots[1:] if n > first and parts % n == 0))
