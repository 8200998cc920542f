"""Seconds a garment as hours and working days a year, and when an accessory has paid for itself.

All results are exact fractions: nothing is rounded before it is printed.
"""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction
from math import ceil, floor

from scheduler.domain.times import exact

Figure = int | float | Fraction
"""A number as typed: 7.5 means seven and a half, exactly."""

SECONDS_AN_HOUR = 3600


def fraction(figure: Figure) -> Fraction:
    """A typed figure as an exact number."""
    return figure if isinstance(figure, Fraction) else exact(figure)


@dataclass(frozen=True, slots=True, kw_only=True)
class WorkYear:
    """How much a year holds.

    Attributes
    ----------
    days
        Working days a year, above 0. 240 to 260 is common practice, no source.
    hours_a_day
        Working hours of such a day, above 0 and at most 24.
    """

    days: Figure = 250
    hours_a_day: Figure = 8

    def __post_init__(self) -> None:
        if not 0 < fraction(self.days) <= 366:
            raise ValueError(f"{self.days} working days a year: needs more than 0, at most 366")
        if not 0 < fraction(self.hours_a_day) <= 24:
            raise ValueError(f"{self.hours_a_day} hours a day: needs more than 0, at most 24")


def hours_per_year(seconds: Figure, garments_a_day: Figure, year: WorkYear) -> Fraction:
    """Hours a year that seconds a garment add up to: s x q x D / 3600.

    They don't depend on how long a working day is.

    Parameters
    ----------
    seconds
        Saved on each garment; negative when a change costs time.
    garments_a_day
        At least 0.
    """
    return fraction(seconds) * fraction(garments_a_day) * fraction(year.days) / SECONDS_AN_HOUR


def days_per_year(seconds: Figure, garments_a_day: Figure, year: WorkYear) -> Fraction:
    """Working days a year: the hours, in days of so many hours."""
    return hours_per_year(seconds, garments_a_day, year) / fraction(year.hours_a_day)


@dataclass(frozen=True, slots=True, kw_only=True)
class Payback:
    """When something has paid for itself.

    Attributes
    ----------
    saved_a_day
        Money saved on a working day.
    working_days
        Until the price is earned, not rounded.
    garments
        The first garment with which it is earned.
    """

    saved_a_day: Fraction
    working_days: Fraction
    garments: int


def payback(price: Figure, wage: Figure, seconds: Figure, garments_a_day: Figure) -> Payback | None:
    """When the wages for the saved seconds reach a price; None when that is never.

    Parameters
    ----------
    price
        What is spent, in the shop's money; at least 0.
    wage
        What an hour of work costs the shop, in the same money; at least 0.
    seconds
        Saved on each garment.
    """
    for_one = fraction(seconds) * fraction(wage) / SECONDS_AN_HOUR
    return earned(price, for_one * fraction(garments_a_day), garments_a_day)


def earned(price: Figure, saved_a_day: Figure, garments_a_day: Figure) -> Payback | None:
    """When what is saved on each day reaches a price; None when that is never.

    Parameters
    ----------
    price
        What is spent, in the shop's money; at least 0.
    saved_a_day
        In the same money; negative when a change costs.
    garments_a_day
        At least 0; above 0 where something is saved.
    """
    a_day = fraction(saved_a_day)
    if a_day <= 0:
        return None
    return Payback(
        saved_a_day=a_day,
        working_days=fraction(price) / a_day,
        garments=ceil(fraction(price) * fraction(garments_a_day) / a_day),
    )


def per_hour(cycle_s: Figure) -> Fraction:
    """Garments an hour at a cycle above 0, without allowance."""
    return SECONDS_AN_HOUR / fraction(cycle_s)


def garments_in(minutes: Figure, cycle_s: Figure, relaxation: Figure = 0) -> int:
    """Whole garments that a time of pressing holds: rounded down, since half a garment is none.

    Parameters
    ----------
    minutes
        Time at the press, with breaks and warm-up taken off already.
    relaxation
        Allowance as a share of basic time, 0.11 for 11 percent.
    """
    return floor(60 * fraction(minutes) / (fraction(cycle_s) * (1 + fraction(relaxation))))
