"""Lengths with their units: in headings ("Width (in)") and in cells ('3 1/2"', "9 cm")."""

from __future__ import annotations

import re
from collections.abc import Mapping
from fractions import Fraction
from functools import lru_cache
from math import ceil, floor

from scheduler.intake.cells.values import Unfit
from scheduler.intake.files.grid import Value
from scheduler.intake.words import clean, heading_key, name_key, words

LENGTH_UNITS = {"cm": "cm", "in": "inches"}
"""Units that are converted, in words."""
_MM = {"mm": Fraction(1), "cm": Fraction(10), "in": Fraction(254, 10)}
_LEAST_MM, _MOST_MM = 5, 1000
_LENGTH = re.compile(r"(\d+(?:[.,]\d+)?)(?:[\s-]+(\d+)\s?[/⁄]\s?(\d+))?\s*([^\d\s].*)?\Z")
_FRACTION = re.compile(r"(\d+)\s?[/⁄]\s?(\d+)\s*([^\d\s].*)?\Z")
_SINGLE = {"½": " 1/2", "¼": " 1/4", "¾": " 3/4", "⅛": " 1/8", "⅜": " 3/8", "⅝": " 5/8", "⅞": " 7/8"}
_THOUSAND = re.compile(r"[.,]\d{3}\Z")


@lru_cache(maxsize=65_536)
def split_unit(heading: str) -> tuple[str, str]:
    """A heading without the unit at its end or in brackets, and that unit; empty when it has none.

    "Width (in)" is "Width" and "in"; "Width 2 cm" is "Width 2" and "cm".
    """
    plain = name_key(heading)
    for written in sorted(words().units, key=len, reverse=True):
        bare = written.isalpha()
        pattern = rf"(?:[\s(\[,/_-]{'+' if bare else '*'}){re.escape(written)}\.?\s*[)\]]*\Z"
        if match := re.search(pattern, plain):
            return plain[: match.start()].strip(), words().units[written]
    return plain, ""


def unit_of(value: Value) -> str | None:
    """The unit that stands in a cell; empty when a length has none, None when it is no length."""
    if isinstance(value, bool):
        return None
    if isinstance(value, int | float):
        return ""
    if not isinstance(value, str):
        return None
    try:
        return _parsed(clean(value))[1]
    except ValueError:
        return None


def length_mm(value: Value, unit: str, *, what: str) -> tuple[int, str]:
    """A length as whole mm, parts rounded up, and the unit that it was given in.

    Parameters
    ----------
    unit
        What a number alone is in; a unit in the cell itself counts before it. Empty: it must have one.
    what
        Begins the codes of its faults.
    """
    if isinstance(value, float) and value.is_integer():
        value = int(value)
    if type(value) is int and unit == "mm" and _LEAST_MM <= value <= _MOST_MM:
        return value, unit
    expected = f"a number, {_LEAST_MM} to {_MOST_MM} mm"
    own = ""
    try:
        if isinstance(value, str):
            number, own = _parsed(clean(value))
        elif isinstance(value, int | float) and not isinstance(value, bool):
            number = Fraction(str(value))
        else:
            raise ValueError("no number")
    except ValueError:
        mend = "Write a number, without other signs than its unit."
        raise Unfit(f"{what}-not-a-number", expected, mend) from None
    taken = own or unit
    if not taken:
        raise Unfit("unit-missing", f"{expected}, with its unit", "Write the unit behind it, such as mm.")
    length = number * _MM[taken]
    if not _LEAST_MM <= length <= _MOST_MM:
        raise Unfit(f"{what}-out-of-range", expected, "Correct the number or its unit.")
    return ceil(length), taken


@lru_cache(maxsize=4096)
def _parsed(plain: str) -> tuple[Fraction, str]:
    """The number of a text and its unit.

    Raises
    ------
    ValueError
        When it is no length.
    """
    for sign, written in _SINGLE.items():
        plain = plain.replace(sign, written)
    plain = plain.strip()
    if match := _FRACTION.match(plain):
        number, ending = _quotient(match[1], match[2]), match[3]
    elif match := _LENGTH.match(plain):
        if _THOUSAND.search(match[1]):
            raise ValueError(f"{plain!r} can be two numbers")
        number = Fraction(match[1].replace(",", "."))
        if match[2]:
            number += _quotient(match[2], match[3])
        ending = match[4]
    else:
        raise ValueError(f"{plain!r} is no length")
    if not ending:
        return number, ""
    unit = words().units.get(name_key(ending.rstrip(".")))
    if unit is None:
        raise ValueError(f"{ending!r} is no unit of length")
    return number, unit


def _quotient(above: str, below: str) -> Fraction:
    if int(below) == 0:
        raise ValueError("a fraction of nothing")
    return Fraction(int(above), int(below))


def converted(value: Value, unit: str) -> Value:
    """A figure in degrees Celsius or whole mm, from Fahrenheit, inches or cm; what is no number stays."""
    if not unit or isinstance(value, bool):
        return value
    try:
        number = Fraction(str(value).replace(",", ".")) if isinstance(value, int | float | str) else None
    except (ValueError, OverflowError, ZeroDivisionError):
        return value
    if number is None:
        return value
    found = (number - 32) * Fraction(5, 9) if unit == "°F" else number * _MM[unit]
    return floor(found + Fraction(1, 2))


def known_in_other_unit(label: str, known: Mapping[str, str]) -> tuple[str, str] | None:
    """The column of a heading in °F, inches or cm whose twin in °C or mm is known, and that unit."""
    parts = heading_key(label).split()
    if parts and parts[-1] == "f":
        key = known.get(" ".join([*parts[:-1], "c"]))
        return (key, "°F") if key else None
    base, unit = split_unit(label)
    key = known.get(heading_key(f"{base} mm")) if unit in ("in", "cm") else None
    return (key, unit) if key else None
