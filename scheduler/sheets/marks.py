"""Numbers of runs too short to hold them: written above or below the bar, where there is room."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

Place = Literal["in", "above", "below"]


@dataclass(slots=True)
class Margin:
    """The room above and below one lane of bars; filled from left to right.

    Attributes
    ----------
    left, right
        Ends of the lane. Any unit of length, the same for all.
    gap
        Least room between two numbers.
    """

    left: float
    right: float
    gap: float
    above: float = float("-inf")
    below: float = float("-inf")

    def place(self, start: float, end: float, width: float) -> tuple[Place, float] | None:
        """Where a number of some width goes for a bar: in it, above or below, and its middle.

        A number outside stands over the middle of its bar; when others are in the way it moves to
        the right, but never off its bar. None: there is no room anywhere.
        """
        middle = (start + end) / 2
        if end - start >= width:
            return "in", middle
        begin = min(max(middle - width / 2, self.left), self.right - width)
        for side, taken in (("above", self.above), ("below", self.below)):
            if begin >= taken + self.gap:
                return self._take(side, begin, width)
        for side, taken in sorted((("above", self.above), ("below", self.below)), key=lambda pair: pair[1]):
            begin = taken + self.gap
            if begin <= middle and begin + width <= self.right:
                return self._take(side, begin, width)
        return None

    def _take(self, side: str, begin: float, width: float) -> tuple[Place, float]:
        if side == "above":
            self.above = begin + width
            return "above", begin + width / 2
        self.below = begin + width
        return "below", begin + width / 2
