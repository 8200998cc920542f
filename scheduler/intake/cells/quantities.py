"""Pieces as people write them. What is no plain number is refused, with the number that it probably is."""

from __future__ import annotations

import re

from scheduler.intake.cells.values import DASHES, Taken, Unfit, whole
from scheduler.intake.files.grid import Value
from scheduler.intake.words import clean, heading_key, words

_MOST_PIECES = 100_000
_COUNT = re.compile(r"(\d{1,4})\s*([^\W\d_]+)\.?\Z")
_LOOKS_LIKE_DIGITS = re.compile(r"[\dOoIl]{1,6}\Z")
_DIGITS = str.maketrans("OoIl", "0011")
_plain = whole(0, _MOST_PIECES, "pieces", what="quantity")


def pieces(value: Value) -> int | Taken[int]:
    """A number of pieces; a dash alone is none, with a doubt."""
    if isinstance(value, str) and clean(value) in DASHES:
        return Taken(
            value=0,
            code="dash-as-none",
            expected="a whole number of pieces, or blank",
            mend="Taken as none; write the number if some are meant.",
        )
    try:
        return _plain(value)
    except Unfit as unfit:
        likely = _likely(clean(value)) if isinstance(value, str) else None
        if likely is None or unfit.code != "quantity-not-a-number":
            raise
        raise Unfit(unfit.code, unfit.expected, f"Write the number alone: {likely}.") from None


def _likely(plain: str) -> int | None:
    """The number that a text with letters in it probably means; only ever proposed."""
    match = _COUNT.match(plain)
    if match and heading_key(match[2]) in words().dozen:
        return int(match[1]) * 12
    if match and heading_key(match[2]) in words().gross:
        return int(match[1]) * 144
    if _LOOKS_LIKE_DIGITS.match(plain):
        return int(plain.translate(_DIGITS))
    return None
