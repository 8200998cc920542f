"""Order lines to runs: one placement of like garments, over lines, colours and sizes."""

from __future__ import annotations

from collections.abc import Hashable
from dataclasses import dataclass
from datetime import datetime

from scheduler.domain.faults import Source
from scheduler.domain.orders import Order, OrderLine, Print
from scheduler.domain.shop import Peel, Placement, Pressure, Recipe, Shop

Atom = tuple[int, str]
"""Garments that are never told apart further: the index of an order line, and a size group."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Portion:
    """So many garments of one size of one order line."""

    line: int
    size: str
    quantity: int


@dataclass(frozen=True, slots=True, kw_only=True)
class Run:
    """One transfer to be pressed at one placement of like garments of an order.

    Attributes
    ----------
    garments_in, ready
        When the box is there, and when garments and transfers are; None: from the start.
    portions
        The garments, in the order of the lines.
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
    size_group: str
    garments_in: datetime | None
    ready: datetime | None
    portions: tuple[Portion, ...]
    source: Source

    @property
    def quantity(self) -> int:
        return sum(portion.quantity for portion in self.portions)

    @property
    def atoms(self) -> tuple[Atom, ...]:
        """The garments it holds, by line and size group."""
        return tuple(dict.fromkeys((portion.line, self.size_group) for portion in self.portions))

    def portions_of(self, atom: Atom) -> tuple[Portion, ...]:
        return tuple(portion for portion in self.portions if (portion.line, self.size_group) == atom)


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


def split_order(shop: Shop, order: Order, opens: datetime) -> tuple[Run, ...]:
    """The runs of an order, in the order in which its lines name them.

    Like garments share a run: same placement, transfer, artwork and its size, recipe settings,
    size group and time of arrival. Garments whose box comes later are a run of their own, so that
    those at hand need not wait.

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
            for sized in line.sizes:
                if sized.quantity > 0:
                    key = (like, seen[like], size_group(shop, sized.size), _later(line.garments_in, opens))
                    portion = Portion(line=index, size=sized.size, quantity=sized.quantity)
                    gathered.setdefault(key, []).append((printed, recipe, portion))
    return tuple(_run(shop, order, opens, members) for members in gathered.values())


def _run(shop: Shop, order: Order, opens: datetime, members: list[tuple[Print, Recipe, Portion]]) -> Run:
    printed, recipe, first = members[0]
    garments_in = _later(order.lines[first.line].garments_in, opens)
    moments = [_later(other.transfers_in, opens) for other, _, _ in members] + [garments_in]
    return Run(
        order=order,
        placement=shop.placement(printed.placement),
        transfer=printed.transfer,
        artwork=printed.artwork,
        width_mm=printed.width_mm,
        height_mm=printed.height_mm,
        recipe=recipe,
        size_group=size_group(shop, first.size),
        garments_in=garments_in,
        ready=max((moment for moment in moments if moment is not None), default=None),
        portions=tuple(portion for _, _, portion in members),
        source=printed.source,
    )


def _recipe(shop: Shop, printed: Print, line: OrderLine) -> Recipe:
    recipe = shop.recipe(printed.transfer, line.fabric)
    if recipe is None:
        raise KeyError(f"no recipe for {printed.transfer} on {line.fabric}")
    return recipe


def _later(moment: datetime | None, opens: datetime) -> datetime | None:
    return moment if moment is not None and moment > opens else None
