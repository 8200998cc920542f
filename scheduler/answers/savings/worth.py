"""Hours a year and payback in an answer of `pressday savings`: lines and data."""

from __future__ import annotations

from fractions import Fraction
from typing import TYPE_CHECKING, Any

from scheduler.answers.numbers import plain
from scheduler.domain.figures import figure

if TYPE_CHECKING:
    from scheduler.answers.savings.answer import Asked
    from scheduler.savings.worth import Payback


def worth(seconds: Fraction, asked: Asked, price: Fraction | None) -> dict[str, Any]:
    """The figures that every answer has."""
    from scheduler.savings.worth import days_per_year, hours_per_year

    hours = days = None
    if asked.garments is not None:
        hours = plain(hours_per_year(seconds, asked.garments, asked.year))
        days = plain(days_per_year(seconds, asked.garments, asked.year))
    return {
        "seconds_per_garment": plain(seconds),
        "garments_per_day": plain(asked.garments),
        "working_days_per_year": plain(Fraction(asked.year.days)),
        "hours_per_working_day": plain(Fraction(asked.year.hours_a_day)),
        "hours_per_year": hours,
        "days_per_year": days,
        "price": plain(price),
        "wage_per_hour": plain(asked.wage),
        "payback": payback_json(asked.payback(seconds, price)),
    }


def worth_lines(seconds: Fraction, asked: Asked) -> list[str]:
    """Seconds on each garment as hours and days a year, in words."""
    from scheduler.savings.worth import days_per_year, hours_per_year

    if asked.garments is None:
        return [f"{figure(seconds)} s on each garment; with --garments a day: hours and days a year."]
    hours = hours_per_year(seconds, asked.garments, asked.year)
    days = days_per_year(seconds, asked.garments, asked.year)
    return [
        f"{figure(seconds)} s on each garment, {figure(asked.garments)} garments a day:",
        f"  {figure(hours)} hours a year ({figure(Fraction(asked.year.days))} working days a year)",
        f"  {figure(days)} working days a year (of {figure(Fraction(asked.year.hours_a_day))} hours)",
    ]


def payback_json(paid: Payback | None) -> dict[str, Any] | None:
    """When a price is earned, as data; None: never, or too little was given."""
    if paid is None:
        return None
    return {
        "saved_per_day": plain(paid.saved_a_day),
        "working_days": plain(paid.working_days),
        "garments": paid.garments,
    }


def payback_lines(seconds: Fraction, asked: Asked, price: Fraction | None, what: str = "") -> list[str]:
    """When a price is earned, or why never; nothing where too little was given.

    Parameters
    ----------
    what
        Of several prices, whose; empty: there is one.
    """
    if price is None or asked.wage is None or asked.garments is None:
        return []
    paid = asked.payback(seconds, price)
    label = f"{what}: " if what else ""
    if paid is None:
        never = f"{figure(price)} is never earned:" if price else "it costs nothing;"
        return [f"{label}{never} {_why_never(seconds, asked)}."]
    days = f"{figure(paid.working_days)} working days"
    when = f"{figure(price)} has paid after {days}, with garment {paid.garments}"
    return [
        f"{label}{figure(paid.saved_a_day)} saved a working day at {figure(asked.wage)} an hour; "
        f"{when if price else 'it costs nothing'}."
    ]


def _why_never(seconds: Fraction, asked: Asked) -> str:
    if seconds < 0:
        return "it takes longer than before"
    if not seconds:
        return "no seconds are saved"
    return (
        "no garments are pressed" if not asked.garments else "at a wage of 0 the time saved is worth nothing"
    )
