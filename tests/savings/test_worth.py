"""Seconds to hours and days a year, payback, garments in a day: against figures worked out elsewhere."""

from __future__ import annotations

from fractions import Fraction

import pytest

from scheduler.savings.worth import (
    Payback,
    WorkYear,
    days_per_year,
    garments_in,
    hours_per_year,
    payback,
    per_hour,
)

EIGHT, TEN = WorkYear(), WorkYear(hours_a_day=10)

SAYINGS = [
    # seconds, garments a day, days a year as people say them (common practice, no source)
    (11, 100, 7.5),
    (15, 100, 11),
    (15, 300, 33),
    (15, 500, 55),
]


def test_hours_and_days_follow_the_formula_exactly() -> None:
    """Arithmetic: s x q x D / 3600 hours, in days of H hours."""
    assert hours_per_year(11, 100, EIGHT) == Fraction(11 * 100 * 250, 3600)
    assert days_per_year(11, 100, EIGHT) == Fraction(11 * 100 * 250, 3600 * 8)
    assert hours_per_year(36, 100, EIGHT) == 250
    assert days_per_year(36, 100, EIGHT) == Fraction("31.25")


@pytest.mark.parametrize(
    ("seconds", "garments", "hours"),
    [(11, 100, 76.39), (15, 100, 104.17), (15, 300, 312.50), (15, 500, 520.83)],
)
def test_hours_at_250_days(seconds: int, garments: int, hours: float) -> None:
    """Arithmetic: 11 s x 100 x 250 / 3600 = 76.39, and so on."""
    assert float(hours_per_year(seconds, garments, EIGHT)) == pytest.approx(hours, abs=0.005)


def test_hours_do_not_depend_on_the_length_of_a_day() -> None:
    assert hours_per_year(11, 100, EIGHT) == hours_per_year(11, 100, TEN)


@pytest.mark.parametrize(("seconds", "garments", "said"), SAYINGS)
def test_the_trades_sayings_come_out_at_250_days_of_10_hours(
    seconds: int, garments: int, said: float
) -> None:
    """Sayings of the trade (common practice, no source): within 6 % at 250 days of 10 hours."""
    assert float(days_per_year(seconds, garments, TEN)) == pytest.approx(said, rel=0.06)


@pytest.mark.parametrize(("seconds", "garments", "said"), SAYINGS)
def test_with_days_of_8_hours_the_sayings_are_too_modest(seconds: int, garments: int, said: float) -> None:
    """The usual 250 days of 8 hours give 18 to 27.5 % more days than the same sayings."""
    assert 1.18 <= float(days_per_year(seconds, garments, EIGHT)) / said <= 1.275


def test_only_days_by_hours_counts() -> None:
    """264 days of 10 hours and 211.2 of 8 are the same, and meet the 15 s sayings exactly."""
    for year in (WorkYear(days=264, hours_a_day=10), WorkYear(days=211.2)):
        assert [days_per_year(15, garments, year) for garments in (100, 300, 500)] == [11, 33, 55]
        assert float(days_per_year(11, 100, year)) == pytest.approx(8.07, abs=0.005)


def test_days_scale_with_garments_and_seconds() -> None:
    base = days_per_year(11, 100, EIGHT)
    assert days_per_year(11, 300, EIGHT) == 3 * base
    assert days_per_year(15, 100, EIGHT) == base * Fraction(15, 11)


@pytest.mark.parametrize(
    ("days", "hours", "wrong"),
    [
        (0, 8, "0 working days"),
        (367, 8, "367 working"),
        (250, 0, "0 hours a day"),
        (250, 25, "25 hours a day"),
    ],
)
def test_a_year_that_cannot_be_is_refused(days: int, hours: int, wrong: str) -> None:
    with pytest.raises(ValueError, match=wrong):
        WorkYear(days=days, hours_a_day=hours)
    WorkYear(days=366, hours_a_day=24)


def test_payback() -> None:
    """Made for this test: 150 spent, 20 an hour, 11 s, 100 a day: 6.111 a day, 24.55 days, garment 2455."""
    paid = payback(150, 20, 11, 100)
    assert paid == Payback(saved_a_day=Fraction(55, 9), working_days=Fraction(150 * 9, 55), garments=2455)
    assert float(paid.saved_a_day) == pytest.approx(6.111, abs=0.0005)
    assert float(paid.working_days) == pytest.approx(24.55, abs=0.005)


def test_payback_counts_the_garment_with_which_the_price_is_reached() -> None:
    """36 s at 10 an hour are 0.10 a garment: 10 is reached with the 100th, 10.01 with the 101st."""
    assert [getattr(payback(price, 10, 36, 5), "garments", 0) for price in (10, 10.01)] == [100, 101]


@pytest.mark.parametrize(
    ("wage", "seconds", "garments"), [(0, 11, 100), (20, 0, 100), (20, 11, 0), (20, -1, 9)]
)
def test_what_saves_nothing_never_pays(wage: int, seconds: int, garments: int) -> None:
    assert payback(150, wage, seconds, garments) is None


@pytest.mark.parametrize(
    ("cycle", "an_hour"),
    [(41, 87.8), (30, 120.0), (26, 138.5), (46, 78.3), (82, 43.9), (100, 36.0), (120, 30.0)],
)
def test_garments_an_hour(cycle: int, an_hour: float) -> None:
    """Arithmetic on whole cycles by stopwatch (common practice, no source)."""
    assert float(per_hour(cycle)) == pytest.approx(an_hour, abs=0.05)


@pytest.mark.parametrize(
    ("cycle", "relaxation", "garments"), [(41, 0, 636), (41, 0.11, 573), (30, 0.11, 783), (26, 0.11, 904)]
)
def test_garments_that_a_shift_holds(cycle: int, relaxation: float, garments: int) -> None:
    """Made for this test: 480 min less 30 of breaks and 15 of warm-up; whole garments, rounded down."""
    assert garments_in(480 - 30 - 15, cycle, relaxation) == garments
