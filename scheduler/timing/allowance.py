"""From basic to standard time: the allowance, and what it is a share of."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum
from fractions import Fraction


class ShareOf(StrEnum):
    """What an allowance is a share of: 41 s with 11 % are 45.51 s by the one and 46.07 s by the other."""

    BASIC_TIME = "basic time"
    SHIFT = "shift"


@dataclass(frozen=True, slots=True, kw_only=True)
class Allowance:
    """Relaxation and contingency together.

    Attributes
    ----------
    share
        0.11 for 11 percent; at least 0, of the shift below 1.
    of
        Of basic time: BT x (1 + A), as in ILO, *Introduction to Work Study*, 4th ed. (Kanawaty, ed., 1992).
        Of the shift: NT / (1 - A), as in B. W. Niebel and A. Freivalds, *Methods, Standards, and Work
        Design*.
    """

    share: Fraction
    of: ShareOf = ShareOf.BASIC_TIME

    def __post_init__(self) -> None:
        if self.share < 0 or (self.of is ShareOf.SHIFT and self.share >= 1):
            raise ValueError(f"an allowance of {float(self.share):.0%} of the {self.of} can't be")

    def standard_s(self, basic_s: Fraction) -> Fraction:
        """Standard time of a basic time, in the same unit."""
        if self.of is ShareOf.BASIC_TIME:
            return basic_s * (1 + self.share)
        return basic_s / (1 - self.share)

    @property
    def as_share_of_basic_time(self) -> Fraction:
        """The same allowance as the planner counts it."""
        return self.standard_s(Fraction(1)) - 1
