"""From what a cell holds to what it means: numbers, shares, times, dates, lists.

Every parser takes a value that is neither blank nor unread, and returns what it means or raises `Unfit`.
Nothing is guessed: what can be read in two ways is refused, and the mend names both.
"""

from __future__ import annotations

import re
from collections.abc import Callable
from dataclasses import dataclass
from datetime import datetime, time
from math import ceil, isfinite
from typing import Generic, TypeVar

from scheduler.domain.figures import figure, nearest, two_readings
from scheduler.intake.files.grid import Value
from scheduler.intake.words import clean, heading_key, name_key, words

T = TypeVar("T")

DASHES = frozenset(("-", "–", "—", "--"))
"""Texts that stand for nothing when they are alone in a cell."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Taken(Generic[T]):
    """A meaning that rests on an assumption: it is used, and the row that asked notes it as a doubt."""

    value: T
    code: str
    expected: str
    mend: str


Parser = Callable[[Value], "T | Taken[T]"]

_NUMBER = re.compile(r"[+-]?\d+(?:[.,]\d+)?\Z")
_THREE_BEHIND = re.compile(r"[.,]\d{3}\Z")
_LEADING = re.compile(r"([+-]?\d+(?:[.,]\d+)?)\s*(\(.*\)|°?[^\W\d_]+|[\"″”])\.?\Z")
_TIMES = {("kw", "W"): 1000, ("in", "mm"): 25.4, ("cm", "mm"): 10, ("min", "s"): 60}
"""What a number in a unit, by its key, is in the unit that is asked for."""
_SPLIT = re.compile(r"[,;\n]")


class Unfit(Exception):  # noqa: N818 - a verdict on a value, turned into a fault at once
    """A value that does not mean what its column asks for.

    Raised by the parsers of this module only, and turned into a fault by the row that asked.

    Attributes
    ----------
    found
        What was typed, where the cell's format made something else of it; None: the value as read.
    """

    def __init__(self, code: str, expected: str, mend: str, *, found: int | None = None) -> None:
        super().__init__(expected)
        self.code = code
        self.expected = expected
        self.mend = mend
        self.found = found


def text(value: Value) -> str:
    """Any value as the text that the owner sees; whole numbers without a point."""
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, float) and value.is_integer() and abs(value) < 1e15:
        return str(int(value))
    if isinstance(value, datetime) and value.time() == time(0):
        return value.date().isoformat()
    if isinstance(value, datetime):
        return value.isoformat(sep=" ", timespec="minutes")
    return clean(str(value))


def number_in(value: Value) -> float | int | None:
    """The number that a value is or spells plainly; None when it is none or could be two."""
    if isinstance(value, bool):
        return None
    if isinstance(value, int | float):
        return value if isfinite(value) else None
    if isinstance(value, str):
        plain = clean(value)
        if _NUMBER.match(plain) and two_readings(plain) is None:
            number = float(plain.replace(",", "."))
            return int(number) if number.is_integer() and "." not in plain and "," not in plain else number
    return None


def _range(least: float, most: float, unit: str) -> str:
    return f"{figure(least, 6)} to {figure(most, 6)}{' ' + unit if unit else ''}"


def whole(least: int, most: int, unit: str = "", *, what: str = "number") -> Callable[[Value], int]:
    """Parser of a whole number in a closed range; `what` begins the codes of its faults."""

    def parse(value: Value) -> int:
        # three digits behind a mark are thousands more likely than part of a piece, whatever stands before
        grouped = isinstance(value, str) and _THREE_BEHIND.search(clean(value))
        number = None if grouped else number_in(value)
        if number is not None and least <= number <= most and number == int(number):
            return int(number)
        expected = f"a whole number, {_range(least, most, unit)}"
        if number is None:
            mend = (
                _one_of_two(value, whole=True)
                or _alone(value, unit)
                or "Write a whole number, without other signs."
            )
            raise Unfit(f"{what}-not-a-number", expected, mend)
        if number != int(number):
            raise Unfit(f"{what}-not-whole", expected, "Write a whole number.")
        raise Unfit(f"{what}-out-of-range", expected, _range_mend(number, least, most, unit))

    return parse


def _one_of_two(value: Value, *, whole: bool = False) -> str:
    """Both numbers that a text can mean, as a mend; empty when it can't be two."""
    both = two_readings(clean(value)) if isinstance(value, str) else None
    if both is None:
        return ""
    if whole and "." in both[1]:
        return f"Write {both[0]}, if that is meant."
    return f"Write {both[0]} or {both[1]}, whichever is meant."


def _alone(value: Value, unit: str) -> str:
    """The number to write for one with a word behind it that is sure to add nothing, or a known unit."""
    match = _LEADING.match(clean(value)) if isinstance(value, str) else None
    if match is None:
        return ""
    word = words().units.get(name_key(match[2]), heading_key(match[2]))
    if (word, unit) in _TIMES:
        return f"Write the number alone: {ceil(float(match[1].replace(',', '.')) * _TIMES[word, unit])}."
    plain = match[2].startswith("(") or word in (heading_key(unit), "x", *words().quantity_words)
    return f"Write the number alone: {match[1]}." if plain else ""


def _range_mend(number: float, least: float, most: float, unit: str) -> str:
    if unit == "°C" and number > most and least <= (number - 32) / 1.8 <= most:
        return f"If that is Fahrenheit, write {nearest((number - 32) / 1.8)} °C; otherwise correct it."
    return "Correct the number."


def number(
    least: float, most: float, unit: str = "", *, what: str = "number", above: bool = False
) -> Callable[[Value], float]:
    """Parser of a number in a closed range; with `above`, the least itself is refused too."""

    def parse(value: Value) -> float:
        found = number_in(value)
        expected = f"a number, {'above ' if above else ''}{_range(least, most, unit)}"
        if found is None:
            mend = _one_of_two(value) or _alone(value, unit) or "Write a number, without other signs."
            raise Unfit(f"{what}-not-a-number", expected, mend)
        if not least <= found <= most or (above and found == least):
            raise Unfit(f"{what}-out-of-range", expected, "Correct the number.")
        return float(found)

    return parse


def share(*, one_is: float, most: float = 1.0, what: str = "share") -> Callable[[Value], float]:
    """Parser of a share, 0 to `most` (1.0: 100 percent).

    11, 0.11 and 11 % are the same: with a percent sign it is percent; without, a number below 1 is the
    share itself and one above 1 is percent. A bare 1 can be either: it is `one_is`, said by the column.
    """

    def parse(value: Value) -> float:
        expected = f"a share, 0 to {most * 100:g} %"
        percent = isinstance(value, str) and clean(value).endswith("%")
        found = number_in(clean(value)[:-1].strip() if percent and isinstance(value, str) else value)
        if found is None:
            raise Unfit(f"{what}-not-a-number", expected, "Write it as 11 %.")
        if percent:
            result = _percent(found)
        elif found == 1:
            result = one_is
        else:
            result = float(found) if found < 1 else _percent(found)
        if not 0 <= result <= most:
            raise Unfit(f"{what}-out-of-range", expected, "Correct the share.")
        return result

    return parse


def _percent(number: float) -> float:
    # by way of decimals, so that 11 % is 0.11 and not a neighbour of it
    return float(f"{number}e-2") if abs(number) < 1e9 else number / 100


def speed(what: str) -> Callable[[Value], float]:
    """Parser of a speed against the standard: 1.0, 100 or 100 %; from 30 % to 300 %."""

    def parse(value: Value) -> float:
        expected = f"a {what}, 30 % to 300 %"
        percent = isinstance(value, str) and clean(value).endswith("%")
        found = number_in(clean(value)[:-1].strip() if percent and isinstance(value, str) else value)
        if found is None:
            raise Unfit(f"{what}-not-a-number", expected, "Write it as 100 %.")
        result = _percent(found) if percent or found > 3 else float(found)
        if not 0.3 <= result <= 3.0:
            raise Unfit(f"{what}-out-of-range", expected, f"Write the standard {what} as 100 %.")
        return result

    return parse


pace = speed("pace")


def yes_no(value: Value) -> bool:
    """Tell yes from no."""
    if isinstance(value, bool):
        return value
    key = name_key(text(value))
    if key in words().yes:
        return True
    if key in words().no:
        return False
    raise Unfit("not-yes-or-no", "yes or no", "Write yes or no.")


def choice(name: str, *, what: str) -> Callable[[Value], str]:
    """Parser of one of the program's words; returns the program's own spelling."""
    meanings = words().choices[name]

    def parse(value: Value) -> str:
        key = heading_key(text(value))
        if key in meanings:
            return meanings[key]
        known = ", ".join(dict.fromkeys(meanings.values()))
        raise Unfit(f"unknown-{what}", f"one of: {known}", "Take one of these words.")

    return parse


def names(value: Value) -> tuple[str, ...]:
    """Names with commas, semicolons or line breaks between them."""
    parts = (clean(part) for part in _SPLIT.split(str(value) if isinstance(value, str) else text(value)))
    return tuple(part for part in parts if part)
