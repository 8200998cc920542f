"""Sound orders and the sheet that states them, cell by cell, ready to be dirtied."""

from __future__ import annotations

import random
from dataclasses import dataclass, field
from datetime import date, datetime
from typing import Any

from scheduler.domain.orders import Order, OrderLine, Print, Sized
from scheduler.domain.shop import Shop

DAY = date(2026, 3, 2)
SAME = frozenset({"same"})
ASKED = frozenset({"same", "doubt", "fault"})
FAULT = frozenset({"fault"})
DOUBT_OR_FAULT = frozenset({"doubt", "fault"})
LABELS = {
    "order": "Order", "customer": "Customer", "cut_off_date": "Cut-off date", "cut_off_time": "Cut-off time",
    "garment": "Garment", "colour": "Colour", "fabric": "Fabric", "placement": "Placement",
    "transfer": "Transfer", "artwork": "Artwork", "width_mm": "Width mm", "height_mm": "Height mm",
    "total": "Total", "notes": "Notes",
}  # fmt: skip
_CUSTOMERS = (
    "Ada's Café", "Zoë Łukasz", "FC Nord", "O'Neill & Söhne", "Ñandú Club", "Rowing 07", "Élan 🎽",
    "Bäckerei Groß",
)  # fmt: skip


class NotFit(Exception):  # noqa: N818 - a verdict
    """Raised, before anything is changed, when a way doesn't fit what others have left."""


@dataclass(eq=False, slots=True)
class Cell:
    """One cell; it keeps its identity when rows and columns move."""

    value: Any
    key: str = ""


@dataclass(eq=False, slots=True)
class Line:
    """One row of a sheet; `order` is the number of the order it belongs to, or empty."""

    cells: list[Cell]
    order: str = ""
    hidden: bool = False

    def cell(self, key: str) -> Cell:
        """The cell of a column."""
        found = next((cell for cell in self.cells if cell.key == key), None)
        if found is None:
            raise NotFit
        return found


@dataclass(slots=True)
class Mark:
    """What was done to the sheet, and what may come of it.

    Attributes
    ----------
    allowed
        "same": the order comes back as it was; "doubt", "fault": there is one at one of the cells.
    orders
        Numbers of the orders that it can change; empty: none may change.
    """

    way: str
    allowed: frozenset[str]
    orders: frozenset[str] = frozenset()
    cells: list[Cell] = field(default_factory=list)


@dataclass(slots=True)
class Dirty:
    """A sheet with the truth about it.

    Attributes
    ----------
    upper
        The upper one of two rows of headings.
    names
        Rows of a list of names and numbers, its headings first; on a sheet or in a file of its own.
    gone
        Orders that are not to be pressed, with the cells that say so.
    decimal
        The mark before decimals in a text table.
    shift
        Rows that the kind of file puts above all others.
    """

    truth: dict[str, Order]
    head: Line
    lines: list[Line]
    above: list[Line] = field(default_factory=list)
    upper: Line | None = None
    names: list[Line] = field(default_factory=list)
    gone: dict[str, list[Cell]] = field(default_factory=dict)
    decimal: str = "."
    shift: int = 0
    marks: list[Mark] = field(default_factory=list)
    merged: list[tuple[Cell, Cell]] = field(default_factory=list)

    def all_lines(self) -> list[Line]:
        """The rows as they are written."""
        return [*self.above, *([self.upper] if self.upper else []), self.head, *self.lines]

    def of_order(self) -> list[Line]:
        """The rows that belong to an order."""
        return [line for line in self.lines if line.order]


def sound(dice: random.Random, shop: Shop) -> Dirty:
    """A few orders in the shop's words and the sheet that states them."""
    orders = {}
    for number in range(dice.randint(1, 4)):
        name = dice.choice([f"{1000 + number}", f"00{number + 1}", f"A-{number + 1}"])
        orders[name] = _order(dice, shop, name)
    sizes = [size for size in shop.size_groups if _used(size, orders)]
    keys = [*list(LABELS)[:-2], *(f"size {size}" for size in sizes), "total", "notes"]
    head = Line([Cell(LABELS.get(key, key.removeprefix("size ")), key) for key in keys])
    lines = [
        Line([Cell(_value(key, order, line, one), key) for key in keys], order.id)
        for order in orders.values()
        for line in order.lines
        for one in line.prints
    ]
    return Dirty(orders, head, lines)


def _used(size: str, orders: dict[str, Order]) -> bool:
    return any(one.size == size for order in orders.values() for line in order.lines for one in line.sizes)


def _order(dice: random.Random, shop: Shop, name: str) -> Order:
    lines = []
    for garment in dice.sample(["tee", "polo", "hoodie"], dice.randint(1, 2)):
        fabric = dice.choice(["cotton", "polyester"])
        transfers = [recipe.transfer for recipe in shop.recipes if recipe.fabric == fabric]
        labels = dice.sample(["S", "M", "L", "XL", "2XL", "3XL"], dice.randint(1, 3))
        places = dice.sample(["left chest", "full back", "full front", "nape"], dice.randint(1, 2))
        lines.append(
            OrderLine(
                garment=garment,
                colour=dice.choice(["navy", "black", "sky blue"]),
                fabric=fabric,
                sizes=tuple(
                    Sized(size=size, quantity=dice.randint(1, 60))
                    for size in shop.size_groups
                    if size in labels
                ),
                prints=tuple(
                    Print(
                        placement=place,
                        transfer=dice.choice(transfers),
                        artwork=dice.choice(["club badge", "24/7", "=logo", "Größe 7", "star-2", "007"]),
                        width_mm=dice.randint(40, 300),
                        height_mm=dice.randint(40, 300),
                    )
                    for place in places
                ),
            )
        )
    due = datetime(2026, 3, dice.randint(3, 6), dice.randint(9, 17), dice.choice([0, 30]))
    return Order(id=name, customer=dice.choice(_CUSTOMERS), cut_off=due, lines=tuple(lines))


def _value(key: str, order: Order, line: OrderLine, one: Print) -> Any:
    if key.startswith("size "):
        return next((sized.quantity for sized in line.sizes if f"size {sized.size}" == key), None)
    values: dict[str, Any] = {
        "order": order.id,
        "customer": order.customer,
        "cut_off_date": order.cut_off.date(),
        "cut_off_time": order.cut_off.time(),
        "total": line.quantity,
        "notes": None,
    }
    if key in values:
        return values[key]
    return getattr(one if hasattr(one, key) else line, key)
