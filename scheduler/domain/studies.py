"""What a stopwatch study holds: readings, each with its rating and the cell that it was read from."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum
from fractions import Fraction

from scheduler.domain.faults import Source

WHOLE_CYCLE = "whole cycle"
"""The element of readings from one garment to the next, everything included."""

ALL_SET_UPS = "all"
"""The set-up of an element that takes as long however a press is set up."""


class Held(StrEnum):
    """Parts of a cycle for which the press stays closed: the recipe says how long, not the stopwatch."""

    PRE_PRESS = "pre-press"
    DWELL = "dwell"
    SECOND_PRESS = "second press"


@dataclass(frozen=True, slots=True, kw_only=True)
class Studied:
    """What was timed.

    Attributes
    ----------
    element
        Name of an `Element` or `Held`, `WHOLE_CYCLE`, or what the owner calls it.
    set_up
        A `Setup`, `ALL_SET_UPS`, or empty: not said.
    transfer, fabric
        What was pressed; empty: not said.
    """

    element: str
    set_up: str = ""
    transfer: str = ""
    fabric: str = ""

    def __str__(self) -> str:
        return ", ".join(part for part in (self.element, self.set_up, self.transfer, self.fabric) if part)


@dataclass(frozen=True, slots=True, kw_only=True)
class Reading:
    """One reading of the stopwatch.

    Attributes
    ----------
    seconds
        As observed, above 0.
    rating
        The worker's speed as judged by who timed it, above 0; 1 is the standard.
    left_out
        The owner wants it out of all figures.
    """

    studied: Studied
    seconds: Fraction
    rating: Fraction = Fraction(1)
    remark: str = ""
    left_out: bool = False
    source: Source

    def __post_init__(self) -> None:
        if self.seconds <= 0:
            raise ValueError(f"{self.source}: a reading of {float(self.seconds):g} s is not above 0")
        if self.rating <= 0:
            raise ValueError(f"{self.source}: a rating of {float(self.rating):g} is not above 0")

    @property
    def basic_s(self) -> Fraction:
        """Basic time: observed x rating."""
        return self.seconds * self.rating
