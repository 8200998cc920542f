"""Orders as the command line's JSON: what was understood of the spreadsheet, for people and programs."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from collections.abc import Iterable
    from datetime import datetime

    from scheduler.domain.orders import Order, OrderLine, Print


def orders_json(orders: Iterable[Order]) -> list[dict[str, Any]]:
    """One object per order, in reading order; sizes in mm, local times in ISO 8601."""
    return [
        {
            "order": order.id,
            "customer": order.customer,
            "due": order.cut_off.isoformat(),
            "priority": order.weight,
            "quantity": order.quantity,
            "lines": [_line(line) for line in order.lines],
        }
        for order in orders
    ]


def _line(line: OrderLine) -> dict[str, Any]:
    sizes: dict[str, int] = {}
    for sized in line.sizes:
        sizes[sized.size] = sizes.get(sized.size, 0) + sized.quantity
    return {
        "garment": line.garment,
        "colour": line.colour,
        "fabric": line.fabric,
        "sizes": sizes,
        "quantity": line.quantity,
        "garments_in": _when(line.garments_in),
        "placements": [_print(one) for one in line.prints],
    }


def _print(one: Print) -> dict[str, Any]:
    return {
        "placement": one.placement,
        "transfer": one.transfer,
        "artwork": one.artwork,
        "width_mm": one.width_mm,
        "height_mm": one.height_mm,
        "transfers_in": _when(one.transfers_in),
    }


def _when(moment: datetime | None) -> str | None:
    return moment.isoformat() if moment else None
