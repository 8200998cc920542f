"""Order lines to runs: one placement of like garments, over lines, colours and sizes."""

from __future__ import annotations

from collections.abc import Hashable, Iterable
from dataclasses import dataclass
from datetime import datetime

from scheduler.domain.faults import Source
from scheduler.domain.orders import Order, OrderLine, Print
from scheduler.domain.shop import Peel, Placement, Pressure, Recipe, Shop

Atom = tuple[int, str]
"""Garments that are never told apart further: the index of an order line, and a size group."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Portion:
    """So many garments of one size (and its size group) of one order line.

    Attributes
    ----------
    first
        The first of them, counting the line's garments from 0, size by size.
    """

    line: int
    size: str
    group: str
    quantity: int
    first: int = 0


@dataclass(frozen=True, slots=True, kw_only=True)
class Run:
    """One transfer to be pressed at one placement of like garments of an order.

    Attributes
    ----------
    garments_in, transfers_in, ready
        When the box is there, when the transfers are, and both; None: from the start.
    portions
        The garments, in the order of the lines, sizes in the shop's order.
    source
        Where the first of its prints was read.
    """

    order: Order
    placement: Placement
    transfer: str
    artwork: str
    width_mm: int
    height_mm: int
    recipe: Recipe
    garments_in: datetime | None
    transfers_in: datetime | None
    ready: datetime | None
    portions: tuple[Portion, ...]
    source: Source

    @property
    def quantity(self) -> int:
        return sum(portion.quantity for portion in self.portions)

    @property
    def atoms(self) -> tuple[Atom, ...]:
        """The garments it holds, by line and size group."""
        return tuple(dict.fromkeys((portion.line, portion.group) for portion in self.portions))

    @property
    def size_groups(self) -> tuple[str, ...]:
        """The size groups of its garments, in the order in which they come."""
        return tuple(dict.fromkeys(portion.group for portion in self.portions))

    @property
    def size_group(self) -> str:
        """The size groups in words: "adult", or "youth and adult" for a run of both."""
        return " and ".join(group for group in self.size_groups if group)

    def portions_of(self, atom: Atom) -> tuple[Portion, ...]:
        return tuple(portion for portion in self.portions if (portion.line, portion.group) == atom)


def settings_of(recipe: Recipe) -> tuple[int, Pressure, int, int, Peel, int]:
    """What is set and done at the press: recipes alike in this can be pressed in one closing."""
    return (
        recipe.temp_c,
        recipe.pressure,
        recipe.dwell_s,
        recipe.pre_press_s,
        recipe.peel,
        recipe.second_press_s,
    )


def size_group(shop: Shop, size: str) -> str:
    """The platen class of a size label; "" for a label that the shop doesn't list."""
    return shop.size_groups.get(size, "")


def size_ranks(shop: Shop) -> dict[str, int]:
    """The place of each size label in the shop's usual order."""
    return {size: place for place, size in enumerate(shop.size_groups)}


def in_size_order(shop: Shop, portions: Iterable[Portion]) -> tuple[Portion, ...]:
    """Portions line by line, the sizes of each in the shop's usual order; unlisted sizes last."""
    rank = size_ranks(shop)
    return tuple(sorted(portions, key=lambda portion: (portion.line, rank.get(portion.size, len(rank)))))


def split_order(shop: Shop, order: Order, opens: datetime) -> tuple[Run, ...]:
    """The runs of an order, in the order in which its lines name them.

    Like garments share a run: same placement, transfer, artwork and its size, recipe settings,
    size group and time of arrival. Garments whose box comes later are a run of their own, so that
    those at hand need not wait. Size groups that the shop treats alike are put together
    afterwards, by `scheduler.planning.merge`.

    Parameters
    ----------
    opens
        When the planned day opens; what is in by then counts as there from the start.

    Raises
    ------
    KeyError
        When a placement or recipe is unknown; `soundness.find_faults` says which, by cell.
    """
    gathered: dict[Hashable, list[tuple[Print, Recipe, Portion]]] = {}
    for index, line in enumerate(order.lines):
        seen: dict[Hashable, int] = {}
        for printed in line.prints:
            recipe = _recipe(shop, printed, line)
            like = (
                printed.placement,
                printed.transfer,
                printed.artwork,
                printed.width_mm,
                printed.height_mm,
                settings_of(recipe),
                recipe.cooling_s,
            )
            # The same print twice on one line is two pressings of each garment, not twice the garments.
            seen[like] = seen.get(like, 0) + 1
            first = 0
            for sized in line.sizes:
                if sized.quantity > 0:
                    group = size_group(shop, sized.size)
                    key = (like, seen[like], group, _later(line.garments_in, opens))
                    portion = Portion(
                        line=index, size=sized.size, group=group, quantity=sized.quantity, first=first
                    )
                    gathered.setdefault(key, []).append((printed, recipe, portion))
                    first += sized.quantity
    return tuple(_run(shop, order, opens, members) for members in gathered.values())


def _run(shop: Shop, order: Order, opens: datetime, members: list[tuple[Print, Recipe, Portion]]) -> Run:
    printed, recipe, first = members[0]
    garments_in = _later(order.lines[first.line].garments_in, opens)
    arrivals = [_later(other.transfers_in, opens) for other, _, _ in members]
    transfers_in = max((moment for moment in arrivals if moment is not None), default=None)
    moments = (garments_in, transfers_in)
    return Run(
        order=order,
        placement=shop.placement(printed.placement),
        transfer=printed.transfer,
        artwork=printed.artwork,
        width_mm=printed.width_mm,
        height_mm=printed.height_mm,
        recipe=recipe,
        garments_in=garments_in,
        transfers_in=transfers_in,
        ready=max((moment for moment in moments if moment is not None), default=None),
        portions=in_size_order(shop, (portion for _, _, portion in members)),
        source=printed.source,
    )


def _recipe(shop: Shop, printed: Print, line: OrderLine) -> Recipe:
    recipe = shop.recipe(printed.transfer, line.fabric)
    if recipe is None:
        raise KeyError(f"no recipe for {printed.transfer} on {line.fabric}")
    return recipe


def _later(moment: datetime | None, opens: datetime) -> datetime | None:
    return moment if moment is not None and moment > opens else None
