"""Numbers as people read and write them."""

from __future__ import annotations

import re
from fractions import Fraction

_THOUSANDS_OR_PART = re.compile(r"[+-]?[1-9]\d{0,2}[.,]\d{3}\Z")


def figure(value: Fraction | float, places: int = 2) -> str:
    """A number for people: so many decimals at most, none for whole numbers."""
    text = f"{float(value):.{places}f}"
    return text.rstrip("0").rstrip(".") if "." in text else text


def counted(count: int, thing: str) -> str:
    """A number of things: "1 run", "12 runs"."""
    return f"{count} {thing}{'' if count == 1 else 's'}"


def two_readings(written: str) -> tuple[str, str] | None:
    """Both numbers that a text can mean: 1,500 is "1500" to some people and "1.5" to others.

    Returns
    -------
    tuple or None
        With thousands and with decimals, to be written without doubt. None when it is no such number: 0.375
        and 1500.125 can't be thousands, 1.5 and 12,50 neither.
    """
    if not _THOUSANDS_OR_PART.match(written):
        return None
    whole, part = re.split("[.,]", written)
    return f"{whole}{part}", f"{whole}.{part}".rstrip("0").rstrip(".")
