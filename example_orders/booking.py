"""From the scenario's plain text to orders: customer, garments under it, placements under those.

    4101; Brackenmoor Juniors; parcel; high
      match shirt; red; polyester; Y-S 3, Y-M 5, S 4
        left chest; film hot peel; Brackenmoor crest; 70 x 80

An order names its courier, and "Wed" when it leaves on Wednesday. "in 10:00" after a garment says when
the box comes, after a placement when its transfers come. Without a size the placement's usual one holds.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime, time, timedelta

from example_orders.shop_data import DAY, example_shop
from scheduler.domain.orders import Order, OrderLine, Print, Sized

WEIGHTS = {"normal": 1, "high": 3, "rush": 10}
WEEKDAYS = {"Tue": 0, "Wed": 1, "Thu": 2, "Fri": 3}


@dataclass(frozen=True, slots=True, kw_only=True)
class Booked:
    """An order, and the words in which the owner wrote it down."""

    order: Order
    courier: str
    priority: str


def book(text: str) -> tuple[Booked, ...]:
    """The orders of a scenario text.

    Raises
    ------
    ValueError
        When a line can't be read; names it.
    """
    found: list[Booked] = []
    for block in _blocks(text.splitlines(), 0):
        try:
            found.append(_booked(block))
        except (ValueError, KeyError) as error:
            raise ValueError(f"{block[0]}: {error}") from error
    return tuple(found)


def _blocks(rows: list[str], indent: int) -> list[list[str]]:
    """Rows in blocks that each begin with a row of this indent."""
    blocks: list[list[str]] = []
    for row in rows:
        if not row.strip():
            continue
        if len(row) - len(row.lstrip()) == indent:
            blocks.append([row])
        else:
            blocks[-1].append(row)
    return blocks


def _fields(row: str) -> list[str]:
    return [field.strip() for field in row.split(";")]


def _booked(block: list[str]) -> Booked:
    number, customer, courier, *more = _fields(block[0])
    ahead = next((WEEKDAYS[word] for word in more if word in WEEKDAYS), 0)
    priority = next((word for word in more if word in WEIGHTS), "normal")
    on = DAY + timedelta(days=ahead)
    cut_offs = {known.name: known.cut_offs for known in example_shop().couriers}[courier]
    order = Order(
        id=number,
        customer=customer,
        cut_off=datetime.combine(on, cut_offs[on.weekday()]),
        weight=WEIGHTS[priority],
        lines=tuple(_line(lines) for lines in _blocks(block[1:], 2)),
    )
    return Booked(order=order, courier=courier, priority=priority)


def _line(block: list[str]) -> OrderLine:
    garment, colour, fabric, sizes, *more = _fields(block[0])
    notes = [word for word in more if not word.startswith("in ")]
    return OrderLine(
        garment=garment,
        colour=colour,
        fabric=fabric,
        sizes=tuple(_sized(part.strip()) for part in sizes.split(",")),
        prints=tuple(_print(row) for row in block[1:]),
        garments_in=_arrival(more),
        note="; ".join(notes),
    )


def _sized(part: str) -> Sized:
    size, _, quantity = part.rpartition(" ")
    return Sized(size=size, quantity=int(quantity))


def _print(row: str) -> Print:
    placement, transfer, artwork, *more = _fields(row)
    usual = example_shop().placement(placement)
    sizes = [word.split(" x ") for word in more if " x " in word]
    width_mm, height_mm = (int(side) for side in sizes[0]) if sizes else (usual.width_mm, usual.height_mm)
    return Print(
        placement=placement,
        transfer=transfer,
        artwork=artwork,
        width_mm=width_mm,
        height_mm=height_mm,
        transfers_in=_arrival(more),
    )


def _arrival(words: list[str]) -> datetime | None:
    hours = [word.removeprefix("in ") for word in words if word.startswith("in ")]
    return datetime.combine(DAY, time.fromisoformat(hours[0])) if hours else None
