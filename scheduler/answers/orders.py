"""Orders as the command line's JSON: what was understood of the spreadsheet, for people and programs."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from collections.abc import Iterable
    from datetime import datetime

    from scheduler.domain.orders import Order, OrderLine, Print
    from scheduler.intake import KeptBack
    from scheduler.intake.orders.headings.columns import ColumnRead
    from scheduler.intake.orders.tables.status import LeftOut


def orders_json(orders: Iterable[Order]) -> list[dict[str, Any]]:
    """One object per order, in reading order; sizes in mm (null: not given), local times in ISO 8601."""
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
        "note": line.note,
        "names": [
            {"size": one.size, "name": one.name, "number": one.number, "placement": one.placement}
            for one in line.names
        ],
    }


def _print(one: Print) -> dict[str, Any]:
    return {
        "placement": one.placement,
        "transfer": one.transfer,
        "artwork": one.artwork,
        "width_mm": one.width_mm or None,
        "height_mm": one.height_mm or None,
        "transfers_in": _when(one.transfers_in),
    }


def columns_json(columns: Iterable[ColumnRead]) -> list[dict[str, str]]:
    """How every column was understood; "read_as" is empty for one that is not read."""
    return [
        {
            "file": one.source.file,
            "sheet": one.source.sheet,
            "cell": one.source.cell,
            "heading": one.heading,
            "read_as": one.label,
            "how": one.how.value,
            "unit": one.unit,
        }
        for one in columns
    ]


def left_out_json(rows: Iterable[LeftOut]) -> list[dict[str, str]]:
    """Rows that are not to be pressed, with the cell that says so."""
    return [
        {
            "order": one.order,
            "file": one.source.file,
            "sheet": one.source.sheet,
            "cell": one.source.cell,
            "why": one.why,
        }
        for one in rows
    ]


def not_planned_json(orders: Iterable[KeptBack]) -> list[dict[str, Any]]:
    """Orders that have a fault, with the cells and codes of their faults."""
    return [
        {
            "order": one.order,
            "customer": one.customer,
            "file": one.source.file,
            "sheet": one.source.sheet,
            "cell": one.source.cell,
            "reasons": [{"cell": fault.source.cell, "code": fault.code} for fault in one.reasons],
        }
        for one in orders
    ]


def _when(moment: datetime | None) -> str | None:
    return moment.isoformat() if moment else None
