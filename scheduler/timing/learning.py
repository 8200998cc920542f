"""Learning curves: how work gets faster with every doubling of the pieces done.

Two models go by the same name and differ; each function says which it is. Both have the exponent
b = log2(rate): at a rate of 0.8 every doubling takes 80 percent of the time.

Sources: T. P. Wright, "Factors affecting the cost of airplanes", *Journal of the Aeronautical Sciences* 3
(1936), cumulative average; J. R. Crawford's unit model as in textbooks on learning curves.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from math import exp, lgamma, log, log2, sqrt

from scheduler.timing.student import quantile

FEWEST = 6
"""Stretches of work below which nothing is said of learning (own choice)."""

LEAST_DOUBLINGS = 2.0
"""Doublings of the pieces that a fit must span (own choice)."""


def exponent(rate: float) -> float:
    """The exponent of a learning rate: -0.32193 for 80 percent.

    Raises
    ------
    ValueError
        When the rate is not above 0.
    """
    if rate <= 0:
        raise ValueError(f"a learning rate of {rate:.0%} is not above 0")
    return log2(rate)


def unit_time(first: float, rate: float, unit: int) -> float:
    """Time of one unit, by the unit model (Crawford): first x unit^b."""
    return float(first * unit ** exponent(rate))


def total_of_units(first: float, rate: float, units: int) -> float:
    """Time of the first so many units together, by the unit model (Crawford)."""
    return sum(unit_time(first, rate, unit) for unit in range(1, units + 1))


def average_time(first: float, rate: float, units: int) -> float:
    """Average time of the first so many units, by the cumulative average model (Wright)."""
    return float(first * units ** exponent(rate))


def total_by_average(first: float, rate: float, units: int) -> float:
    """Time of the first so many units together, by the cumulative average model (Wright)."""
    return units * average_time(first, rate, units)


@dataclass(frozen=True, slots=True, kw_only=True)
class Stretch:
    """Pieces pressed one after the other, and the time they took against the standard.

    Attributes
    ----------
    before, pieces
        Pieces of that work done before it, and in it; at least 1.
    ratio
        Time taken by time planned, above 0.
    weight
        How much it tells, above 0: its planned time.
    """

    before: int
    pieces: int
    ratio: float
    weight: float

    @property
    def mean_log_piece(self) -> float:
        """Mean of log k over its pieces k: where a lot stands on a unit curve, to first order in b."""
        return (lgamma(self.before + self.pieces + 1) - lgamma(self.before + 1)) / self.pieces


@dataclass(frozen=True, slots=True, kw_only=True)
class Learning:
    """A unit curve (Crawford) fitted to stretches of work.

    Attributes
    ----------
    rate, rate_low, rate_high
        Share of the time after each doubling, and where it may lie at the confidence asked for.
    pieces
        Done in all.
    first, now
        Time of the first piece and of the next one, as a share of the standard.
    """

    rate: float
    rate_low: float
    rate_high: float
    pieces: int
    first: float
    now: float

    @property
    def shown(self) -> bool:
        """The data show learning: the rate is below 1 at the confidence asked for."""
        return self.rate_high < 1


def fit(stretches: Sequence[Stretch], confidence: float) -> Learning | None:
    """Fit a unit curve by weighted least squares on logarithms; None when there is too little to fit.

    Parameters
    ----------
    confidence
        For the interval of the rate, by Student's t with two degrees of freedom less than stretches.

    Source: linear regression as in any textbook of statistics; the straight line of learning on double
    logarithmic paper.
    """
    if len(stretches) < FEWEST:
        return None
    pieces = max(one.before + one.pieces for one in stretches)
    xs = [one.mean_log_piece for one in stretches]
    if (max(xs) - min(xs)) / log(2) < LEAST_DOUBLINGS:
        return None
    ys = [log(one.ratio) for one in stretches]
    whole = sum(one.weight for one in stretches)
    shares = [one.weight / whole for one in stretches]
    mean_x = sum(share * x for share, x in zip(shares, xs, strict=True))
    mean_y = sum(share * y for share, y in zip(shares, ys, strict=True))
    spread = sum(share * (x - mean_x) ** 2 for share, x in zip(shares, xs, strict=True))
    slope = (
        sum(share * (x - mean_x) * (y - mean_y) for share, x, y in zip(shares, xs, ys, strict=True)) / spread
    )
    at_one = mean_y - slope * mean_x
    left = sum(share * (y - at_one - slope * x) ** 2 for share, x, y in zip(shares, xs, ys, strict=True))
    freedom = len(stretches) - 2
    error = sqrt(left / freedom / spread)
    reach = quantile(confidence, freedom) * error
    return Learning(
        rate=2**slope,
        rate_low=2 ** (slope - reach),
        rate_high=2 ** (slope + reach),
        pieces=pieces,
        first=exp(at_one),
        now=exp(at_one + slope * log(pieces + 1)),
    )
