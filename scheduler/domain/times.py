"""Seconds and minutes to ticks: the one place where a duration is rounded."""

from __future__ import annotations

from fractions import Fraction
from functools import lru_cache

Seconds = int | float | Fraction


def ticks_up(seconds: Seconds, tick_s: int) -> int:
    """Ticks that cover a duration, rounded up once.

    Parameters
    ----------
    seconds
        Duration in seconds, not negative. Floats are read by their shortest decimal
        form, so that 0.1 means one tenth and never rounds a whole tick too far.
    tick_s
        Length of a tick in seconds, at least 1.

    Raises
    ------
    ValueError
        When the duration is negative or the tick is shorter than a second.
    """
    if tick_s < 1:
        raise ValueError(f"a tick of {tick_s} s: needs at least 1 s")
    exact = Fraction(str(seconds)) if isinstance(seconds, float) else Fraction(seconds)
    if exact < 0:
        raise ValueError(f"a duration of {seconds} s is negative")
    return -((-exact) // tick_s)


@lru_cache(maxsize=4096)
def exact(value: float | int | str) -> Fraction:
    """The number that a person typed, exactly: 1.1 is eleven tenths."""
    return Fraction(str(value))


def hours_and_minutes(minutes: int) -> str:
    """A stretch of whole minutes in words: "45 min", "1 h", "2 h 5 min"."""
    hours, rest = divmod(minutes, 60)
    if not hours:
        return f"{rest} min"
    return f"{hours} h {rest} min" if rest else f"{hours} h"
