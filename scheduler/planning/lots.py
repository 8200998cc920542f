"""Large runs in lots: which parts the garments of an order are dealt into, and how many lots to offer."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

from scheduler.domain.shop import Shop
from scheduler.domain.times import exact, ticks_up
from scheduler.planning.cycle import pieces_within, work_ticks
from scheduler.planning.placements import Atom, Portion, Run
from scheduler.planning.timing import TimedWay


@dataclass(frozen=True, slots=True, kw_only=True)
class Unit:
    """What is pressed in one closing: a run, or a pair of runs; with every way to do it."""

    runs: tuple[Run, ...]
    ways: tuple[TimedWay, ...]

    @property
    def quantity(self) -> int:
        return self.runs[0].quantity


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
    parts: dict[Atom, tuple[tuple[Portion, ...], ...]] = {}
    for run in runs:
        for atom in run.atoms:
            if atom in parts:
                continue
            portions = run.portions_of(atom)
            share, rest = divmod(sum(portion.quantity for portion in portions), count)
            wanted = [share] * count
            for part in sorted(range(count), key=lambda part: (totals[part], part))[:rest]:
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
            part.append(replace(portion, quantity=taken))
            want -= taken
            if there > taken:
                left.insert(0, (portion, there - taken))
        cut.append(tuple(part))
    return tuple(cut)


def lots_wanted(shop: Shop, unit: Unit, tick_s: int) -> tuple[int, ...]:
    """How many lots a run may be made of: (1,), (1, 2), or (n,) when fewer than n fit no shift.

    A run is split by choice when its fastest way takes longer than `lot_above_min` and both lots
    hold the least lot. It must be split when no shift of anybody who may do it holds it whole,
    set-up and warm-up included; lots smaller than the least lot are never made, so a run that fits
    no shift even then stays as near to it as it can and is left over by the engine, with its reason.
    """
    least = max(1, shop.allowances.least_lot)
    most = max(1, unit.quantity // least)
    largest = max(
        (
            pieces_within(shop, hours, way.cycle, person.pace, tick_s)
            for way in unit.ways
            for person, hours in way.stretches
        ),
        default=0,
    )
    if largest < unit.quantity:
        needed = -(-unit.quantity // largest) if largest else most
        return (min(max(2, needed), most),)
    fastest = min(
        work_ticks(shop, unit.quantity, way.cycle, person.pace, tick_s)
        for way in unit.ways
        for person, _ in way.stretches
    )
    if most >= 2 and fastest > ticks_up(60 * exact(shop.allowances.lot_above_min), tick_s):
        return (1, 2)
    return (1,)


def parts_for(wanted: Sequence[tuple[int, ...]]) -> int:
    """Into how many parts garments are dealt so that every run's lots can be made of whole parts."""
    most = max((max(lots) for lots in wanted), default=1)
    # An even number keeps two lots of another run equal.
    return most + most % 2 if most > 2 and any(2 in lots for lots in wanted) else most


def lots_from_parts(lots: tuple[int, ...], parts: int) -> tuple[int, ...]:
    """The numbers of lots that parts allow: a forced split may need more lots, never larger ones."""
    if len(lots) == 2 or lots[0] <= 2:
        return lots
    forced = lots[0]
    return (next(n for n in range(forced, parts + 1) if -(-parts // n) * forced <= parts or n == parts),)
