"""Orders as a workbook in the layout of a new shop folder."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from pathlib import Path
from typing import TYPE_CHECKING

from scheduler.domain.orders import Order, OrderLine
from scheduler.domain.shop import Shop
from scheduler.intake.orders.layout import SIZE, orders_table
from scheduler.intake.shop.writer import known_fabrics, known_transfers
from scheduler.intake.words import name_key
from scheduler.intake.writing.sheets import Written, add_lists, add_read_me, new_workbook, save, write_table

if TYPE_CHECKING:
    from openpyxl import Workbook

_PRIORITIES = {1: "normal", 3: "high", 10: "rush"}
_READ_ME = (
    "Orders",
    "One row for each placement of each garment and colour of an order, with the pieces under their sizes.",
    "Rows of one order with the same garment, colour, fabric and the same pieces by size, and different "
    "placements, are the same garments: they are pressed once for each row.",
    "Are there two lots of like garments in one order (12 with a chest print, 12 others with a back print)? "
    'Then tell them apart by a number in the column "Line".',
    "The order number stands on every row; customer, cut-off, courier and priority on the first at least.",
    "Without a cut-off the courier's on the planned day is taken; without a courier the shop's first one.",
    "Priority: normal, high and rush (or urgent) count 1, 3 and 10 times for each minute late; or a number "
    "from 1 to 10.",
    "Without width and height, the placement's usual size is taken.",
    "Garments in, transfers in: blank when they are here; else date and time, or a time on the planned day.",
    "Delete the sample rows before you plan: they count as orders as long as they stand there.",
    "Check the orders with: pressday check orders.xlsx --shop shop.xlsx",
)


def write_orders(orders: Sequence[Order], path: Path | str, shop: Shop | None = None) -> None:
    """Write an orders workbook; `read_orders` gives back equal orders, but for the sources.

    Parameters
    ----------
    shop
        Gives the drop-down lists and the order of sizes; without it, sizes stand as they first appear.

    Raises
    ------
    scheduler.exceptions.BadInput
        When the file can't be written; a file that was there stays as it was.
    """
    save(orders_workbook(orders, shop), Path(path))


def orders_workbook(orders: Sequence[Order], shop: Shop | None = None) -> Workbook:
    """The workbook of orders, not yet saved."""
    return workbook_of_rows(_rows(orders), _sizes(orders, shop), drop_down_lists(orders, shop))


def workbook_of_rows(
    rows: Iterable[Mapping[str, Written]], sizes: Iterable[str], lists: Mapping[str, Sequence[str]]
) -> Workbook:
    """The workbook of orders stated as rows by column key, with the given sizes and drop-down lists."""
    book = new_workbook()
    names = {key: f"list_{key}" for key in lists}
    write_table(book, orders_table(sizes), rows, lists=names)
    add_lists(book, lists)
    add_read_me(book, _READ_ME)
    return book


def drop_down_lists(orders: Sequence[Order], shop: Shop | None) -> dict[str, tuple[str, ...]]:
    """The words that the drop-downs of the orders offer: the shop's, or else those that are used."""
    lines = [line for order in orders for line in order.lines]
    prints = [one for line in lines for one in line.prints]
    return {
        "priorities": tuple(_PRIORITIES.values()),
        "couriers": tuple(courier.name for courier in shop.couriers) if shop else (),
        "fabrics": known_fabrics(shop) if shop else _once(line.fabric for line in lines),
        "placements": tuple(one.name for one in shop.placements)
        if shop
        else _once(one.placement for one in prints),
        "transfers": known_transfers(shop) if shop else _once(one.transfer for one in prints),
    }


def _once(names: Iterable[str]) -> tuple[str, ...]:
    return tuple(dict.fromkeys(names))


def _sizes(orders: Sequence[Order], shop: Shop | None) -> tuple[str, ...]:
    used = (sized.size for order in orders for line in order.lines for sized in line.sizes)
    return _once([*(shop.size_groups if shop else ()), *used])


def _rows(orders: Iterable[Order]) -> Iterator[Mapping[str, Written]]:
    for order in orders:
        numbered = _alike(order.lines)
        for number, line in enumerate(order.lines, start=1):
            for one in line.prints:
                row: dict[str, Written] = {
                    "order": order.id,
                    "customer": order.customer,
                    "cut_off_date": order.cut_off.date(),
                    "cut_off_time": order.cut_off.time(),
                    "priority": _PRIORITIES.get(order.weight, order.weight),
                    "garment": line.garment,
                    "colour": line.colour or None,
                    "fabric": line.fabric,
                    "placement": one.placement,
                    "transfer": one.transfer,
                    "artwork": one.artwork,
                    "width_mm": one.width_mm,
                    "height_mm": one.height_mm,
                    "total": line.quantity,
                    "garments_in": line.garments_in,
                    "transfers_in": one.transfers_in,
                    "notes": line.note or None,
                }
                row.update({f"{SIZE}{sized.size}": sized.quantity for sized in line.sizes})
                if number in numbered:
                    row["line"] = str(number)
                yield row


def _alike(lines: Sequence[OrderLine]) -> set[int]:
    """Numbers of lines with a garment, colour and fabric that another line of the order has too."""
    numbers: dict[tuple[str, str, str], list[int]] = {}
    for number, line in enumerate(lines, start=1):
        key = (name_key(line.garment), name_key(line.colour), name_key(line.fabric))
        numbers.setdefault(key, []).append(number)
    return {number for group in numbers.values() if len(group) > 1 for number in group}
