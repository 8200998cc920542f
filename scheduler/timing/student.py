"""Student's t for whole degrees of freedom, without a library.

Source: M. Abramowitz and I. A. Stegun, *Handbook of Mathematical Functions*, 26.7.3 and 26.7.4.
"""

from __future__ import annotations

from functools import lru_cache
from math import atan, cos, pi, sin, sqrt
from statistics import NormalDist

LARGE = 300
"""From so many degrees of freedom on the normal distribution is taken (t is less than 0.6 % greater)."""


def within(t: float, freedom: int) -> float:
    """The chance that a Student's t lies between -t and t.

    Parameters
    ----------
    t
        At least 0.
    freedom
        Degrees of freedom, at least 1.
    """
    if freedom < 1 or t < 0:
        raise ValueError(f"t {t} with {freedom} degrees of freedom: needs t of 0 or more and at least 1")
    if freedom >= LARGE:
        return 2 * NormalDist().cdf(t) - 1
    angle = atan(t / sqrt(freedom))
    square = cos(angle) ** 2
    if freedom % 2 == 0:
        term, total = 1.0, 1.0
        for step in range(2, freedom, 2):
            term *= square * (step - 1) / step
            total += term
        return sin(angle) * total
    term, total = cos(angle), 0.0
    for step in range(1, freedom - 1, 2):
        total += term
        term *= square * (step + 1) / (step + 2)
    return 2 / pi * (angle + sin(angle) * total)


@lru_cache(maxsize=1024)
def quantile(confidence: float, freedom: int) -> float:
    """The t between whose negative and itself a Student's t lies with that chance.

    Parameters
    ----------
    confidence
        Above 0 and below 1: 0.95 for 95 percent, both sides together.
    """
    if not 0 < confidence < 1:
        raise ValueError(f"confidence {confidence} is not between 0 and 1")
    least, most = 0.0, 1.0
    while within(most, freedom) < confidence and most < 1e12:
        most *= 2
    for _ in range(100):
        middle = (least + most) / 2
        if within(middle, freedom) < confidence:
            least = middle
        else:
            most = middle
    return (least + most) / 2
