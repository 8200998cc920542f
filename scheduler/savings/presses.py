"""One operator at several self-opening presses: the steady cycle, output and cost.

The deterministic model of synchronous servicing: at each press the operator loads and unloads while it
stands, then it presses unattended; between presses lie walking and side work.

Source: B. W. Niebel and A. Freivalds, *Methods, Standards, and Work Design*, worker and machine
relationships.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from fractions import Fraction
from math import ceil, floor

from scheduler.savings.worth import SECONDS_AN_HOUR, Figure, fraction


@dataclass(frozen=True, slots=True, kw_only=True)
class Servicing:
    """What one garment takes of operator and press.

    Attributes
    ----------
    load_s
        Loading, laying, peeling, unloading: the operator works and the press stands. Above 0.
    press_s
        Closed without anybody there: it opens by itself. At least 0.
    walk_s
        Walking to the other press, and side work there. At least 0.
    """

    load_s: Figure
    press_s: Figure
    walk_s: Figure = 0

    def __post_init__(self) -> None:
        if fraction(self.load_s) <= 0:
            raise ValueError(f"{self.load_s} s of loading: needs more than 0")
        for name, seconds in (("pressing", self.press_s), ("walking", self.walk_s)):
            if fraction(seconds) < 0:
                raise ValueError(f"{seconds} s of {name} is negative")

    @property
    def ideal(self) -> Fraction:
        """Presses at which neither the operator nor a press waits: (l + m) / (l + w)."""
        load = fraction(self.load_s)
        return (load + fraction(self.press_s)) / (load + fraction(self.walk_s))

    @property
    def most(self) -> int:
        """The fewest presses at which the operator never waits: a further one adds no output."""
        return max(1, ceil(self.ideal))

    def round_s(self, presses: int) -> Fraction:
        """Seconds in which each of so many presses turns out one garment.

        With as many presses as `ideal`, rounded down, or fewer, the operator waits for them and the round is
        l + m. With more, they wait for the operator and it is N (l + w).

        Raises
        ------
        ValueError
            When there is no press.
        """
        if presses < 1:
            raise ValueError(f"{presses} presses: needs at least 1")
        load = fraction(self.load_s)
        # Nobody walks away from a single press, however short its pressing is.
        if presses <= max(1, floor(self.ideal)):
            return load + fraction(self.press_s)
        return presses * (load + fraction(self.walk_s))

    def each_s(self, presses: int) -> Fraction:
        """Seconds for one garment."""
        return self.round_s(presses) / presses

    def per_hour(self, presses: int) -> Fraction:
        """Garments an hour, without allowance."""
        return SECONDS_AN_HOUR / self.each_s(presses)

    def cost_each(self, presses: int, *, wage: Figure, press_cost: Figure = 0) -> Fraction:
        """Cost of one garment: round x (K1 + N K2) / N.

        Parameters
        ----------
        wage
            K1, an hour of the operator.
        press_cost
            K2, an hour of one press.
        """
        an_hour = fraction(wage) + presses * fraction(press_cost)
        return self.each_s(presses) * an_hour / SECONDS_AN_HOUR

    def cheapest(self, upto: Iterable[int], *, wage: Figure, press_cost: Figure = 0) -> int:
        """The number of presses with the least cost of a garment; the fewest of equals."""
        return min(upto, key=lambda n: (self.cost_each(n, wage=wage, press_cost=press_cost), n))
