"""What is said of an order whose garments or transfers come in at another time than was planned with."""

from __future__ import annotations

from collections.abc import Callable
from datetime import datetime

from scheduler.domain.orders import Order


def arrivals_changed(was: Order, now: Order, said: Callable[[datetime], str]) -> list[str]:
    """In words, when all garments and all transfers of an order are there, where that is another time.

    Parameters
    ----------
    said
        A moment in words.
    """
    parts = []
    for what, before, after in (
        ("garments", _garments(was), _garments(now)),
        ("transfers", _transfers(was), _transfers(now)),
    ):
        if before == after:
            continue
        last = max((moment for moment in after if moment is not None), default=None)
        if last is None:
            parts.append(f"{what} are here")
        elif last == max((moment for moment in before if moment is not None), default=None):
            parts.append(f"some {what} come in at another time")
        else:
            parts.append(f"{'last ' if len(set(after)) > 1 else ''}{what} come in at {said(last)}")
    return parts


def _garments(order: Order) -> list[datetime | None]:
    return [line.garments_in for line in order.lines]


def _transfers(order: Order) -> list[datetime | None]:
    return [one.transfers_in for line in order.lines for one in line.prints]


__all__ = ["arrivals_changed"]
