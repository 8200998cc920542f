"""The problem of a day in trade words: what there is to press, and what the instance's ids mean."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, datetime

from scheduler.domain.disruptions import NOTHING, Disruptions, RunPart
from scheduler.domain.faults import Fault, Source
from scheduler.domain.instance import Instance
from scheduler.domain.orders import Order
from scheduler.domain.pieces import Pieces as Pieces
from scheduler.domain.shop import Recipe, Shop


@dataclass(frozen=True, slots=True, kw_only=True)
class Laid:
    """One transfer that a run lays on each piece.

    Attributes
    ----------
    position
        Where, in words and mm, for the run's size group.
    spare
        Transfers to have ready beyond one a piece.
    """

    placement: str
    position: str
    inside: bool
    transfer: str
    artwork: str
    width_mm: int
    height_mm: int
    turned: bool = False
    spare: int = 0


@dataclass(frozen=True, slots=True, kw_only=True)
class Personal:
    """A piece of a run that gets a name or number of its own.

    Attributes
    ----------
    size
        Empty when the list of names gives none and the garments are of several.
    number
        As written: "07" stays.
    placement
        Where it goes; empty when the list doesn't say.
    """

    garment: str
    colour: str
    size: str
    name: str = ""
    number: str = ""
    placement: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class RunContent:
    """What a task of the instance means in the shop.

    Attributes
    ----------
    lot, lots
        Which of how many lots of a split run; 1 of 1 when it is whole.
    ready
        When garments and transfers are in; None: from the start.
    waits_for
        What comes in at `ready`: "garments", "transfers" or both in words; empty when nothing does.
    notes
        The order lines' notes, for the sheets.
    names
        Its personal pieces, in the order in which they are pressed.
    """

    task: str
    order: str
    customer: str
    size_group: str
    pieces: tuple[Pieces, ...]
    laid: tuple[Laid, ...]
    recipe: Recipe
    lot: int = 1
    lots: int = 1
    ready: datetime | None = None
    waits_for: str = ""
    notes: tuple[str, ...] = ()
    names: tuple[Personal, ...] = ()

    @property
    def quantity(self) -> int:
        return sum(pieces.quantity for pieces in self.pieces)

    @property
    def placements(self) -> tuple[str, ...]:
        return tuple(laid.placement for laid in self.laid)


@dataclass(frozen=True, slots=True, kw_only=True)
class Refusal:
    """A press and platen that can't do a placement, and why."""

    order: str
    placement: str
    press: str
    platen: str
    reason: str


NOT_PLANNED = "Not planned: "
"""Begins the note of the orders that were left out for their faults."""


@dataclass(frozen=True, slots=True, kw_only=True)
class NotPlanned:
    """An order, or a row of one, that was handed in and is left out of the plan on purpose.

    Attributes
    ----------
    customer
        Empty when it isn't known.
    source
        Where the order begins, or the cell that says that the row is not to be pressed.
    whole
        The whole order, because of its faults; else one row, because of its status.
    reasons
        By cell; none for an order when the fault is one of its file's headings.
    """

    order: str
    customer: str = ""
    source: Source
    whole: bool
    reasons: tuple[Fault, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class DayProblem:
    """Planning's answer: the instance, and what its ids mean.

    Attributes
    ----------
    day
        The planned day; tick 0 is its midnight.
    dates
        The date of each of the instance's days.
    cycle_s
        By (task, mode): seconds per garment, without allowance.
    temp_c
        By task.
    parts
        Tasks that are parts of others, in the order in which they became so.
    between
        What came in between since the day was first planned.
    not_planned
        What was handed in and left out.
    """

    day: date
    dates: tuple[date, ...]
    shop: Shop
    orders: tuple[Order, ...]
    instance: Instance
    contents: dict[str, RunContent]
    cycle_s: dict[tuple[str, str], float]
    temp_c: dict[str, int]
    refusals: tuple[Refusal, ...] = ()
    parts: tuple[RunPart, ...] = ()
    between: Disruptions = NOTHING
    not_planned: tuple[NotPlanned, ...] = ()
