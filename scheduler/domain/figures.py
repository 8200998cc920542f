"""Numbers as people read and write them: the one place where a figure that is shown is rounded, half up."""

from __future__ import annotations

import re
from decimal import Decimal
from fractions import Fraction
from math import isfinite

_THOUSANDS_OR_PART = re.compile(r"[+-]?[1-9]\d{0,2}[.,]\d{3}\Z")


_NOISE_PLACES = 9
"""Decimals of a float beyond which there is only what reckoning with floats leaves behind."""


def half_up(value: Fraction | float, places: int = 0) -> Fraction:
    """A number as people round it: a half goes away from nought, 2.5 to 3 and -2.5 to -3.

    Parameters
    ----------
    value
        Floats are read as they are written: 0.145 is just that, and 100 * 0.145 is 14.5.

    Returns
    -------
    Fraction
        With so many decimals at most. For what is reckoned on with, nothing is rounded here.
    """
    read = Fraction(str(round(float(value), _NOISE_PLACES))) if isinstance(value, float) else Fraction(value)
    steps = (abs(read) * 10**places * 2 + 1) // 2
    return Fraction(steps if read >= 0 else -steps, 10**places)


def rounded(value: Fraction | float, places: int = 1) -> float:
    """A figure to be shown as a number, as in JSON: half up."""
    return float(half_up(value, places))


def nearest(value: Fraction | float) -> int:
    """A figure to be shown as a whole number: half up."""
    return int(half_up(value))


def in_percent(share: Fraction | float) -> str:
    """A share in whole percent: "18%"."""
    return f"{nearest(100 * share)}%"


def fixed(value: Fraction | float, places: int) -> str:
    """A number for people with just so many decimals, and no minus before a nought: "1.20"."""
    if not isfinite(value):
        return str(value)
    return f"{Decimal(int(half_up(value, places) * 10**places)).scaleb(-places):f}"


def figure(value: Fraction | float, places: int = 2) -> str:
    """A number for people: so many decimals at most, none for whole numbers."""
    text = fixed(value, places)
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
