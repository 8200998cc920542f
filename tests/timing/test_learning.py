"""Learning curves against published tables, and a fit that finds what was put in."""

from __future__ import annotations

import random
from itertools import pairwise
from math import exp

import pytest

from scheduler.timing.learning import (
    Stretch,
    average_time,
    exponent,
    fit,
    total_by_average,
    total_of_units,
    unit_time,
)


def test_exponents() -> None:
    """log2 of the rate, as in any table of learning curves."""
    assert exponent(0.8) == pytest.approx(-0.32193, abs=5e-6)
    assert exponent(0.75) == pytest.approx(-0.41504, abs=5e-6)
    with pytest.raises(ValueError, match="a learning rate of 0% is not above 0"):
        exponent(0)


def test_wrights_cumulative_average() -> None:
    """Published table, first unit 100 h, 80 %: averages, totals, and what each doubling adds.

    The source misprints the last addition as 254.76; 655.36 - 409.6 is 245.76.
    """
    units = (1, 2, 4, 8, 16)
    assert [average_time(100, 0.8, n) for n in units] == pytest.approx([100, 80, 64, 51.2, 40.96])
    totals = [total_by_average(100, 0.8, n) for n in units]
    assert totals == pytest.approx([100, 160, 256, 409.6, 655.36])
    added = [after - before for before, after in pairwise(totals)]
    assert added == pytest.approx([60, 96, 153.6, 245.76])


def test_crawfords_unit_times() -> None:
    """The same rate read as a unit curve; the two models differ."""
    assert [unit_time(100, 0.8, n) for n in (1, 2, 3, 4, 5, 8)] == pytest.approx(
        [100, 80, 70.21, 64, 59.56, 51.2], abs=0.005
    )
    assert total_of_units(100, 0.8, 4) == pytest.approx(314.21, abs=0.005)
    assert total_of_units(100, 0.8, 8) == pytest.approx(534.59, abs=0.005)
    assert total_by_average(100, 0.8, 4) == pytest.approx(256)


def test_a_published_example_of_the_unit_curve() -> None:
    """Project-management text, 75 %: first unit 812 h, unit 250 82.10 h; unit 100 120 h, first 811.4 h."""
    assert unit_time(812, 0.75, 250) == pytest.approx(82.10, abs=0.005)
    assert 120 / unit_time(1, 0.75, 100) == pytest.approx(811.4, abs=0.05)


def lots(
    rate: float, sizes: list[int], first: float = 2.0, noise: float = 0.0, seed: int = 1
) -> list[Stretch]:
    """Stretches with the exact mean of a unit curve over each lot."""
    chance = random.Random(seed)
    made, done = [], 0
    for size in sizes:
        mean = sum(unit_time(first, rate, k) for k in range(done + 1, done + size + 1)) / size
        ratio = mean * exp(chance.gauss(0, noise))
        made.append(Stretch(before=done, pieces=size, ratio=ratio, weight=size * mean))
        done += size
    return made


@pytest.mark.parametrize("rate", [0.8, 0.9, 0.95])
def test_the_fit_finds_the_rate_of_exact_lots(rate: float) -> None:
    """Only the mean logarithm for a lot is to first order: within a point of percent."""
    found = fit(lots(rate, [6, 6, 12, 12, 24, 48, 48]), 0.95)
    assert found is not None
    assert found.rate == pytest.approx(rate, abs=0.01)
    assert found.pieces == 156
    assert found.now == pytest.approx(unit_time(2, rate, 157), rel=0.03)


def test_learning_is_shown_by_data_and_not_by_noise() -> None:
    """Of 200 sets of pure noise at most the chance asked for, 2.5 % and some luck, looks like learning."""
    shown = [
        found.shown
        for seed in range(200)
        if (found := fit(lots(1.0, [10, 10, 20, 20, 40, 40, 80], 1.0, 0.15, seed), 0.95)) is not None
    ]
    assert len(shown) == 200
    assert sum(shown) <= 12
    learnt = fit(lots(0.85, [10, 10, 20, 20, 40, 40, 80], 1.5, 0.1, 3), 0.95)
    assert learnt is not None
    assert learnt.shown
    assert learnt.rate_low < 0.85 < learnt.rate_high


@pytest.mark.parametrize("sizes", [[10, 10, 20, 40, 80], [100, 1, 1, 1, 1, 1, 1]])
def test_too_few_stretches_or_doublings_are_not_fitted(sizes: list[int]) -> None:
    assert fit(lots(0.8, sizes), 0.95) is None
