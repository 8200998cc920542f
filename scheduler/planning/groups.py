"""All that is known of the runs of shared garments: pairs, ways, lots, options."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, datetime

from scheduler.domain.day_problem import Refusal
from scheduler.domain.orders import Order
from scheduler.domain.shop import Shop
from scheduler.planning.calendar import Demand, tick_at_or_after
from scheduler.planning.choices import Cluster, Option, clusters, garment_groups, options_of
from scheduler.planning.fits import No, ways_of
from scheduler.planning.lots import Deal, Unit, deal, lots_from_parts, lots_wanted, parts_for
from scheduler.planning.merge import merge_sizes
from scheduler.planning.names import Name, run_names
from scheduler.planning.pairs import Pair, find_pairs
from scheduler.planning.placements import Run, split_order
from scheduler.planning.timing import Presence, timed

Refused = tuple[tuple[Refusal, No], ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Group:
    """The runs of one order that share garments, and every way to press them.

    Attributes
    ----------
    runs, names, pairs
        The runs, their names, and the pairs of them that may be pressed together.
    units
        What can be pressed in one closing: the runs, then the pairs. A run that can only be
        pressed in a pair is a unit without ways.
    deal
        The garments in parts, of which lots are made.
    clusters, options
        Runs that may be paired, and for each cluster its options.
    impossible
        Runs of which no option can be pressed, with every refusal.
    """

    order: Order
    runs: tuple[Run, ...]
    names: tuple[Name, ...]
    pairs: tuple[Pair, ...]
    units: tuple[Unit, ...]
    deal: Deal
    clusters: tuple[Cluster, ...]
    options: tuple[tuple[Option, ...], ...]
    refusals: tuple[Refusal, ...]
    impossible: tuple[tuple[Run, Refused], ...]

    def unit_names(self, unit: int) -> tuple[Name, ...]:
        """The names of the runs in a unit."""
        at = (unit,) if unit < len(self.runs) else self.pairs[unit - len(self.runs)].at
        return tuple(self.names[run] for run in at)


def gather(
    shop: Shop, order: Order, opens: datetime, day: date, presence: Presence, tick_s: int
) -> tuple[Group, ...]:
    """The groups of an order.

    Parameters
    ----------
    opens
        When the planned day opens.
    presence
        Shifts on all days that may be planned.
    """
    runs = merge_sizes(shop, split_order(shop, order, opens))
    names = run_names(runs)
    return tuple(
        _group(shop, order, tuple(runs[i] for i in places), tuple(names[i] for i in places), presence, tick_s)
        for places in garment_groups(runs)
    )


def _group(
    shop: Shop, order: Order, runs: tuple[Run, ...], names: tuple[Name, ...], presence: Presence, tick_s: int
) -> Group:
    present = tuple(person for person in shop.crew if person.name in presence)
    pairs, pair_refusals = find_pairs(shop, runs, present)
    refused: list[Refused] = []
    units: list[Unit] = []
    for run in runs:
        ways, no = ways_of(shop, run, present)
        refused.append(no)
        units.append(Unit(runs=(run,), ways=timed(shop, (run,), ways, presence, tick_s)))
    units += [
        Unit(runs=pair.runs, ways=timed(shop, pair.runs, pair.ways, presence, tick_s)) for pair in pairs
    ]
    wanted = [lots_wanted(shop, unit, tick_s) if unit.ways else () for unit in units]
    parts = parts_for([lots for lots in wanted if lots])
    dealt = deal(runs, parts)
    lots = [_lots(shop, unit, numbers, dealt) for unit, numbers in zip(units, wanted, strict=True)]
    found = clusters(len(runs), pairs)
    options = tuple(options_of(cluster, pairs, len(runs), lots) for cluster in found)
    return Group(
        order=order,
        runs=runs,
        names=names,
        pairs=pairs,
        units=tuple(units),
        deal=dealt,
        clusters=found,
        options=options,
        refusals=tuple(refusal for no in refused for refusal, _ in no) + pair_refusals,
        impossible=tuple(
            (runs[at], refused[at])
            for cluster, chosen in zip(found, options, strict=True)
            if not chosen
            for at in cluster.runs
            if not units[at].ways
        ),
    )


def _lots(shop: Shop, unit: Unit, wanted: tuple[int, ...], dealt: Deal) -> tuple[int, ...]:
    """The numbers of lots that the deal really gives, none of them below the least lot by choice."""
    if not wanted:
        return ()
    first, *more = lots_from_parts(wanted, dealt.count)
    atoms = unit.runs[0].atoms

    def smallest(lots: int) -> int:
        return min(sum(portion.quantity for portion in dealt.lot(atoms, lot, lots)) for lot in range(lots))

    return (first, *(lots for lots in more if smallest(lots) >= shop.allowances.least_lot))


def demands_of(shop: Shop, groups: Sequence[Group], day: date, tick_s: int) -> tuple[Demand, ...]:
    """What the runs ask for when each cluster takes its first option, at the fastest.

    Half of the greatest set-up is counted: neighbouring runs often share platen or pressure.
    """
    demands = []
    for group in groups:
        for options in group.options:
            for at, _ in options[0]:
                unit = group.units[at]
                quantity = unit.quantity
                ticks = min(
                    way.set_up // 2 + way.work(shop, quantity, way.best_pace, tick_s)
                    for way in unit.at_one_press
                    if way.stretches
                )
                moments = [run.ready for run in unit.runs if run.ready is not None]
                demands.append(
                    Demand(
                        ticks=ticks,
                        presses=tuple(sorted({way.press.name for way in unit.ways})),
                        platens=tuple(sorted({way.platen.name for way in unit.ways})),
                        people=tuple(
                            sorted({person.name for way in unit.ways for person, _ in way.stretches})
                        ),
                        release=tick_at_or_after(day, max(moments), tick_s) if moments else 0,
                    )
                )
    return tuple(demands)
