"""Numbers for JSON."""

from __future__ import annotations

from fractions import Fraction


def plain(value: Fraction | float | int | None) -> float | int | None:
    """A number for JSON: whole ones without a point, others rounded far below what matters."""
    if value is None or isinstance(value, int):
        return value
    rounded = round(float(value), 6)
    return int(rounded) if rounded.is_integer() else rounded
