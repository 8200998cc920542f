"""What was understood of shop and orders, and that they can be planned."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from scheduler.answers.faults import faults_json
from scheduler.answers.orders import columns_json, left_out_json, not_planned_json, orders_json
from scheduler.answers.press_pairs import pairs_json, pairs_lines
from scheduler.answers.reading import columns_lines, not_planned_lines, sheets_line
from scheduler.domain.figures import counted
from scheduler.workflow.reading import has_fault

if TYPE_CHECKING:
    from datetime import date

    from scheduler.workflow.reading import Look


def check_json(looked: Look) -> dict[str, Any]:
    """Everything that was read, with its faults and doubts."""
    return {
        **faults_json(looked.found),
        "day": looked.day.isoformat(),
        "orders": orders_json(looked.read.orders),
        "not_planned": not_planned_json(looked.not_planned),
        "left_out": left_out_json(looked.read.left_out),
        "columns": columns_json(looked.read.columns),
        "side_by_side": pairs_json(looked.shop),
    }


def check_lines(looked: Look, *, asked_day: date | None, bad: bool) -> list[str]:
    """What was understood, in words.

    Parameters
    ----------
    asked_day
        None: it was taken from the orders.
    bad
        There are faults that keep it from being planned: only the columns are of use.
    """
    lines = columns_lines(looked.read.columns)
    if bad:
        return lines
    lines += not_planned_lines(looked.not_planned)
    orders = looked.read.orders
    by_sheet = sheets_line(orders)
    lines += [by_sheet] if by_sheet else []
    lines += pairs_lines(looked.shop) if looked.shop is not None else []
    garments = sum(order.quantity for order in orders)
    whole = "Faults left aside" if has_fault(looked.found) else "No faults"
    lines.append(
        f"{whole} for {looked.day}: {counted(len(orders), 'order')}, {counted(garments, 'garment')}."
    )
    if asked_day is None:
        lines.append(
            f"{looked.day} was taken from the orders and the shop; check for another day with --day."
        )
    return lines
