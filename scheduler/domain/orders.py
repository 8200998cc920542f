"""Orders as read: what each customer is owed, already in the shop's own words."""

from __future__ import annotations

from dataclasses import dataclass, field
from datetime import datetime

from scheduler.domain.faults import Source
from scheduler.domain.shop import NOWHERE


@dataclass(frozen=True, slots=True, kw_only=True)
class Sized:
    """A quantity of one garment size."""

    size: str
    quantity: int


@dataclass(frozen=True, slots=True, kw_only=True)
class Print:
    """One transfer on one placement of an order line.

    Attributes
    ----------
    usual
        What of its size was not given and taken from the placement: "width", "height", both or nothing.
        Where a figure comes from makes no other print of it, so this doesn't count in comparing.
    """

    placement: str
    transfer: str
    artwork: str
    width_mm: int
    height_mm: int
    transfers_in: datetime | None = None
    usual: tuple[str, ...] = field(default=(), compare=False)
    source: Source = NOWHERE


@dataclass(frozen=True, slots=True, kw_only=True)
class Named:
    """One personal garment of an order line.

    Attributes
    ----------
    size
        Empty when the list of names gives none.
    number
        As written: "07" stays.
    placement
        Where name and number go; empty when the list doesn't say.
    """

    size: str
    name: str = ""
    number: str = ""
    placement: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class OrderLine:
    """One garment style and colour of an order.

    Attributes
    ----------
    garments_in
        When the box is there; None: it is there already.
    names
        Its personal garments, in the order of their list.
    """

    garment: str
    colour: str
    fabric: str
    sizes: tuple[Sized, ...]
    prints: tuple[Print, ...]
    garments_in: datetime | None = None
    note: str = ""
    names: tuple[Named, ...] = ()
    source: Source = NOWHERE

    @property
    def quantity(self) -> int:
        return sum(sized.quantity for sized in self.sizes)


@dataclass(frozen=True, slots=True, kw_only=True)
class Order:
    """What one customer is owed.

    Attributes
    ----------
    cut_off
        Local time by which it must be packed.
    weight
        How much a minute of lateness counts; 1 is a normal order.
    on_top_of
        The order under way that these pieces came on top of; empty for an order as read. Only planning
        again fills it: what an order's id reads like says nothing.
    """

    id: str
    customer: str
    cut_off: datetime
    weight: int = 1
    lines: tuple[OrderLine, ...]
    source: Source = NOWHERE
    on_top_of: str = ""

    @property
    def quantity(self) -> int:
        return sum(line.quantity for line in self.lines)
