"""New orders for a day that is planned already."""

from __future__ import annotations

from typing import TYPE_CHECKING

from scheduler.exceptions import BadInput

if TYPE_CHECKING:
    from collections.abc import Sequence
    from datetime import date
    from pathlib import Path

    from scheduler.domain.faults import Fault
    from scheduler.domain.orders import Order
    from scheduler.domain.shop import Shop


def read_new(orders: Sequence[Path], shop: Shop, day: date) -> tuple[tuple[Order, ...], tuple[Fault, ...]]:
    """New orders, read by the words of the shop that was planned with; and the doubts.

    Raises
    ------
    BadInput
        With every fault and doubt.
    """
    from scheduler.intake import scan_orders
    from scheduler.workflow.reading import has_fault

    found, findings = scan_orders(orders, shop, day)
    if has_fault(findings):
        raise BadInput(findings)
    return found, findings
