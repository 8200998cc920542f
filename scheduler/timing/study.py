"""A stopwatch study worked out: mean, spread, outliers, readings needed, basic and standard time."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from fractions import Fraction
from math import ceil, sqrt
from statistics import NormalDist, mean, median_high, median_low, quantiles, stdev

from scheduler.domain.studies import Reading, Studied
from scheduler.timing.allowance import Allowance
from scheduler.timing.student import quantile

FEW = 5
"""With fewer readings quartiles say nothing of outliers, and the number needed is a first guess.

With fewer recorded runs what they say of a standard is a first guess too."""

FENCE = Fraction(3, 2)
"""Quartile ranges beyond the quartiles from which a reading is shown as an outlier."""

NEAR = Fraction(15, 100)
"""A reading within this share of the median is never shown, however alike the others are (own choice)."""

ODD = 2
"""Of fewer than `FEW` readings one is shown that is so many times the others, or such a part (own choice)."""

FAR = 3
"""An outlier so many times the others, or such a part, moves a mean by more than odd garments do (own choice:
fetching a box or dropping a garment takes twice the time, a slip of the pen ten times)."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Sureness:
    """How well a mean shall be known.

    Attributes
    ----------
    precision
        Share of the mean by which it may be off to either side: 0.05 for 5 percent. Above 0.
    confidence
        Chance that it is not off by more; between 0 and 1.
    """

    precision: float = 0.05
    confidence: float = 0.95

    def __post_init__(self) -> None:
        if not 0 < self.precision < 1:
            raise ValueError(f"a precision of {self.precision:.1%}: needs more than 0 and less than 100 %")
        if not 0 < self.confidence < 1:
            raise ValueError(f"a confidence of {self.confidence:.2%}: needs more than 0, less than 100 %")

    @property
    def sigmas(self) -> float:
        """Standard deviations of the normal distribution for that confidence.

        "95 percent" is two of them, as in the ILO's formula (95.45 percent exactly); any other level is taken
        as it is.
        """
        return 2.0 if self.confidence == 0.95 else NormalDist().inv_cdf((1 + self.confidence) / 2)


@dataclass(frozen=True, slots=True, kw_only=True)
class ElementStudy:
    """All readings of one thing, worked out.

    Attributes
    ----------
    counted, left_out
        Readings that the figures are made of, and those that the owner left out.
    mean_s, stdev_s
        Of the observed seconds; the spread is that of a sample, None for a single reading.
    basic_s, standard_s
        Mean of observed x rating, and with the allowance.
    outliers
        Counted readings that lie far from the others: to be looked at, not to be thrown out unasked.
    by_spread
        Readings that the spread asks for, for the precision and confidence asked for; None for a single one.
    known_to
        Share of the mean by which it may be off at that confidence, by Student's t; None for a single one.
    """

    studied: Studied
    counted: tuple[Reading, ...]
    left_out: tuple[Reading, ...]
    mean_s: Fraction
    stdev_s: float | None
    basic_s: Fraction
    standard_s: Fraction
    outliers: tuple[Reading, ...]
    by_spread: int | None
    known_to: float | None

    @property
    def needed(self) -> int | None:
        """Readings needed in all: what the spread asks for, and `FEW` at least; None for a single one."""
        return None if self.by_spread is None else max(self.by_spread, FEW)

    @property
    def still_needed(self) -> int | None:
        """Readings to take beyond those that count; None for a single one."""
        return None if self.needed is None else max(0, self.needed - len(self.counted))

    def enough_by_formula_only(self, sureness: Sureness) -> bool:
        """No more readings by the handbook's formula, and yet Student's t is wider, more careful of few."""
        return self.still_needed == 0 and self.known_to is not None and self.known_to > sureness.precision


def readings_needed(times: Sequence[Fraction], sureness: Sureness) -> Fraction:
    """Readings that the spread of those at hand asks for, not rounded.

        n = (k/e x sqrt(n' sum x^2 - (sum x)^2) / sum x)^2

    with k standard deviations and precision e: (40 sqrt(...) / sum x)^2 for 5 percent at "95 percent".
    It is the same as (k/e x population standard deviation / mean)^2.

    Parameters
    ----------
    times
        At least two, above 0; observed or basic, it makes no difference with one rating.

    Source: ILO, *Introduction to Work Study*, 4th ed., number of readings by the statistical method.
    """
    count, total = len(times), sum(times, Fraction(0))
    if count < 2 or total <= 0:
        raise ValueError("the number of readings needs at least two, above 0")
    squares = sum((time * time for time in times), Fraction(0))
    factor = Fraction(sureness.sigmas) / Fraction(str(sureness.precision))
    return factor**2 * (count * squares - total**2) / total**2


def outliers(readings: Sequence[Reading]) -> tuple[Reading, ...]:
    """Readings beyond one and a half quartile ranges from the quartiles of the basic times.

    With fewer than `FEW` readings, which have no quartiles to speak of, those `ODD` times the others.

    Source: J. W. Tukey, *Exploratory Data Analysis* (1977), inner fences.
    """
    if len(readings) < FEW:
        return tuple(reading for reading in readings if _times_off(reading, readings) > ODD)
    low, middle, high = quantiles([reading.basic_s for reading in readings], n=4, method="inclusive")
    reach = FENCE * (high - low)
    least, most = min(low - reach, middle * (1 - NEAR)), max(high + reach, middle * (1 + NEAR))
    return tuple(reading for reading in readings if not least <= reading.basic_s <= most)


def far(readings: Sequence[Reading]) -> tuple[Reading, ...]:
    """Those of the outliers that are more than `FAR` times the others, or less than such a part of them."""
    return tuple(reading for reading in outliers(readings) if _times_off(reading, readings) > FAR)


def _times_off(reading: Reading, readings: Sequence[Reading]) -> Fraction:
    """How many times the others' middle a reading is, or the other way round; 1 when it lies among them."""
    others = [one.basic_s for one in readings if one is not reading]
    if not others:
        return Fraction(1)
    # Both middles of an even number: of 7, 7 and 70 a 7 has 7 beside it, and only 70 is far.
    return max(Fraction(1), reading.basic_s / median_high(others), median_low(others) / reading.basic_s)


def half_width(times: Sequence[Fraction], confidence: float) -> float:
    """Share of the mean by which it may be off, by Student's t; at least two times, above 0."""
    error = stdev([float(time) for time in times]) / sqrt(len(times))
    return quantile(confidence, len(times) - 1) * error / float(mean(times))


def work_out(
    readings: Iterable[Reading], allowance: Allowance, sureness: Sureness | None = None
) -> tuple[ElementStudy, ...]:
    """Every thing that was timed, in the order of its first reading.

    A thing all of whose readings the owner left out is left out whole.
    """
    asked = sureness or Sureness()
    groups: dict[Studied, list[Reading]] = {}
    for reading in readings:
        groups.setdefault(reading.studied, []).append(reading)
    return tuple(
        _work_out(studied, own, allowance, asked)
        for studied, own in groups.items()
        if not all(reading.left_out for reading in own)
    )


def _work_out(
    studied: Studied, readings: Sequence[Reading], allowance: Allowance, sureness: Sureness
) -> ElementStudy:
    counted = tuple(reading for reading in readings if not reading.left_out)
    observed = [reading.seconds for reading in counted]
    basic = [reading.basic_s for reading in counted]
    several = len(counted) > 1
    basic_s = mean(basic)
    return ElementStudy(
        studied=studied,
        counted=counted,
        left_out=tuple(reading for reading in readings if reading.left_out),
        mean_s=mean(observed),
        stdev_s=stdev([float(seconds) for seconds in observed]) if several else None,
        basic_s=basic_s,
        standard_s=allowance.standard_s(basic_s),
        outliers=outliers(counted),
        by_spread=max(1, ceil(readings_needed(basic, sureness))) if several else None,
        known_to=half_width(basic, sureness.confidence) if several else None,
    )
