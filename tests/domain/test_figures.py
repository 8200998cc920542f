"""Figures that are shown are rounded as people round them: a half goes up."""

from __future__ import annotations

import re
from fractions import Fraction
from pathlib import Path

import pytest

import scheduler
from scheduler.domain.clock import how_late, how_long, minutes, number
from scheduler.domain.figures import figure, fixed, half_up, in_percent, nearest, rounded
from scheduler.domain.plan import Load
from scheduler.sheets.day_load import load_words
from scheduler.sheets.sure import percent
from scheduler.sheets.words import long_time
from tests.sheets.sample_plan import sample_plan


@pytest.mark.parametrize(
    ("value", "whole"),
    [(0.5, 1), (1.5, 2), (2.5, 3), (-2.5, -3), (2.4999, 2), (Fraction(5, 2), 3), (100 * 0.145, 15), (7, 7)],
)
def test_a_half_goes_up(value: float | Fraction, whole: int) -> None:
    assert nearest(value) == whole


@pytest.mark.parametrize(
    ("value", "places", "shown", "short"),
    [
        (0.25, 1, "0.3", "0.3"),
        (0.35, 1, "0.4", "0.4"),
        (2.675, 2, "2.68", "2.68"),
        (1.005, 2, "1.01", "1.01"),
        (1.2, 2, "1.20", "1.2"),
        (120, 2, "120.00", "120"),
        (Fraction(1, 8), 2, "0.13", "0.13"),
        (-0.25, 1, "-0.3", "-0.3"),
        (-0.04, 1, "0.0", "0"),
        (2.5, 0, "3", "3"),
        (100, 0, "100", "100"),
    ],
)
def test_decimals(value: float | Fraction, places: int, shown: str, short: str) -> None:
    assert fixed(value, places) == shown
    assert figure(value, places) == short
    assert rounded(value, places) == float(shown)
    assert half_up(value, places) == Fraction(shown)


def test_what_is_no_number_is_said_as_it_is() -> None:
    assert figure(float("inf")) == "inf"


def test_percent_and_minutes_on_sheets_and_in_the_terminal() -> None:
    assert in_percent(0.025) == "3%" and in_percent(Fraction(1, 8)) == "13%"
    assert percent(0.025) == "3" and percent(0.625) == "63"
    assert (number(0.25), number(24.0), minutes(2.25)) == ("0.3", "24", "2.3 min")
    assert (how_long(1), how_long(97.5), how_long(119.94)) == ("1 minute", "97.5 minutes", "119.9 minutes")
    assert (how_late(97.5), how_late(120), how_late(2045.6)) == ("97.5 min", "2 h 0 min", "34 h 6 min")
    assert how_long(1105.4) == "18 h 25 min"
    load = Load(name="Press 1", available=100.5, pressing=2.5, changing=0.0, overtime=0.5)
    assert load_words(load) == "3 of 101 min, 2% (pressing 3, changeovers 0), overtime 1"
    plan = sample_plan()
    assert 60 % plan.instance.tick_s == 0
    half = 60 // plan.instance.tick_s
    assert long_time(plan, 120 * half + half // 2) == "2 h 1 min"
    assert long_time(plan, 122 * half + half // 2) == "2 h 3 min"


def test_no_figure_of_sheets_or_answers_is_rounded_by_other_means() -> None:
    """Sizes in pictures aside, which nobody reads."""
    roots = [Path(scheduler.__file__).parent / name for name in ("sheets", "answers")]
    drawn = {"page.py", "page_pictures.py", "busy.py", "chart.py", "strip.py", "pictures.py"}
    found = [
        f"{path.name}: {line.strip()}"
        for root in roots
        for path in sorted(root.rglob("*.py"))
        if path.name not in drawn
        for line in path.read_text(encoding="utf-8").splitlines()
        if re.search(r":\.\d[f%]", line)
    ]
    assert found == []
