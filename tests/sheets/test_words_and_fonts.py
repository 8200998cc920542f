"""Levels in words, times as people read them, and the check of fonts."""

from __future__ import annotations

from dataclasses import replace
from datetime import date, datetime

import pytest

from scheduler.domain.schedule import LevelValue
from scheduler.sheets.clock import clock, clock_up, long_date, minutes, short_date
from scheduler.sheets.fonts import font_warnings, missing_letters, missing_scripts, script
from scheduler.sheets.words import compared, level_lines
from tests.sheets.sample_plan import DAY, sample_plan


def test_levels_in_words() -> None:
    assert level_lines(sample_plan()) == [
        "Left over: 18 pressings (proven best)",
        "Late, counted by weight: 63.4 minutes (no plan needs less than 31.7 minutes)",
        "Changeovers: 99 minutes in 24 (no plan needs less than 66 minutes)",
        "Overtime: 0 minutes (proven best)",
        "All packed by: Fri 4 Dec, 15:13 (no plan is done before Fri 4 Dec, 14:43)",
    ]


def test_levels_of_a_plain_day() -> None:
    plan = replace(
        sample_plan(),
        dates=(DAY,),
        orders=tuple(replace(order, weight=1) for order in sample_plan().orders),
        levels=(
            LevelValue(name="lateness", value=0, bound=0, proven=True),
            LevelValue(name="changeovers", value=1, bound=0),
            LevelValue(name="overtime", value=10, bound=5),
            LevelValue(name="finish", value=9001, bound=9000),
        ),
    )
    assert level_lines(plan) == [
        "Late: 0 minutes (proven best)",
        "Number of changeovers: 1 (best possible not known)",
        "Overtime: 1 minute (no plan needs less than 0.5 minutes)",
        "All packed by: 15:01 (no plan is done before 15:00)",
    ]


def test_the_plan_is_not_flattered_where_it_is_worse() -> None:
    lines = {line.title: line for line in compared(sample_plan())}
    assert lines["Changeovers"].as_they_come == "189 minutes in 27"
    assert lines["Changeovers"].saved == "90 minutes less"
    assert lines["Left over"].saved == "the same"
    assert lines["All packed by"].saved == "2.1 minutes later"
    worse = replace(sample_plan(), as_they_come=(LevelValue(name="lateness", value=624),))
    lines = {line.title: line for line in compared(worse)}
    assert lines["Late, counted by weight"].saved == "1 minute more"
    assert lines["Overtime"].as_they_come == "not known"


def test_times_and_dates() -> None:
    # ISO 8601 week date 2026-W01-4 is 2026-01-01, so that day is a Thursday.
    assert long_date(date(2026, 1, 1)) == "Thursday 1 January 2026"
    assert short_date(date(2024, 12, 30)) == "Mon 30 Dec"  # ISO 8601: 2025-W01-1
    assert clock(datetime(2026, 1, 1, 9, 12, 48)) == "09:12"
    assert clock_up(datetime(2026, 1, 1, 9, 12, 48)) == "09:13"
    assert clock_up(datetime(2026, 1, 1, 9, 12)) == "09:12"
    assert clock_up(datetime(2026, 1, 1, 23, 59, 30)) == "00:00"
    assert (minutes(97.5), minutes(4.0)) == ("97.5 min", "4 min")


def test_own_fonts_print_latin_greek_and_cyrillic_but_no_cjk() -> None:
    assert missing_scripts(sample_plan(), system_fonts=False) == (
        "Chinese and Japanese",
        "Japanese",
        "Korean",
    )
    texts = ["Zażółć gęślą jaźń", "Αθλητικός Όμιλος", "Щука їжак ґанок", "Łódź – 12 × 8 °C → ü"]
    assert missing_letters(texts, system_fonts=False) == ()
    assert missing_letters(["日本"], system_fonts=False) == ("日", "本")
    assert missing_letters(["plain"], system_fonts=False) == ()


def test_warning_names_script_and_mend() -> None:
    warnings = font_warnings(sample_plan(), system_fonts=False)
    assert len(warnings) == 3
    assert warnings[2].startswith("No font for Korean found: such names print as empty squares.")
    assert "Install a font for it, such as Noto Sans CJK KR" in warnings[2]
    latin = replace(sample_plan(), orders=(), runs=(), changeovers=(), left_over=())
    assert font_warnings(latin, system_fonts=False) == ()


@pytest.mark.parametrize(
    ("letter", "name"),
    [
        ("ア", "Japanese"),
        ("漢", "Chinese and Japanese"),
        ("한", "Korean"),
        ("ש", "Hebrew"),
        ("☃", "other signs"),
    ],
)
def test_scripts_have_names(letter: str, name: str) -> None:
    assert script(letter) == name
