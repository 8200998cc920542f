"""Numbers as people read them."""

from __future__ import annotations

from fractions import Fraction


def figure(value: Fraction | float, places: int = 2) -> str:
    """A number for people: so many decimals at most, none for whole numbers."""
    text = f"{float(value):.{places}f}"
    return text.rstrip("0").rstrip(".") if "." in text else text
