"""Levels in words, times as people read them, and the check of fonts."""

from __future__ import annotations

from dataclasses import replace
from datetime import date, datetime

import pytest

from scheduler.domain.clock import clock, clock_up, long_date, minutes, short_date
from scheduler.domain.figures import counted
from scheduler.domain.plan import Plan
from scheduler.domain.schedule import LevelValue
from scheduler.sheets.fonts import font_warnings, missing_letters, missing_scripts, no_font, script
from scheduler.sheets.words import compared
from tests.sheets.sample_plan import DAY, sample_plan


def level_lines(plan: Plan) -> list[str]:
    """What the plan reached and what is known of the best possible, a line for each level."""
    return [f"{one.title}: {one.planned} ({one.bound})" for one in compared(plan)]


def test_levels_in_words() -> None:
    assert level_lines(sample_plan()) == [
        "Left over: 18 pieces × placements (cannot be better)",
        "Late minutes, rush orders counted more: 63.4 (at least 31.7 in any plan)",
        "Changeovers: 99 minutes in 24 (at least 66 minutes in any plan)",
        "Overtime: 0 minutes (cannot be better)",
        "All packed by: Fri 4 Dec, 15:13 (not before Fri 4 Dec, 14:43 in any plan)",
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
        "Late: 0 minutes (cannot be better)",
        "Number of changeovers: 1 (best possible not known)",
        "Overtime: 1 minute (at least 0.5 minutes in any plan)",
        "All packed by: 15:01 (not before 15:00 in any plan)",
    ]


def test_the_plan_is_not_flattered_where_it_is_worse() -> None:
    lines = {line.title: line for line in compared(sample_plan())}
    assert lines["Changeovers"].as_they_come == "189 minutes in 27"
    assert lines["Changeovers"].by_planning == "90 minutes less"
    assert lines["Left over"].by_planning == "the same"
    assert lines["All packed by"].by_planning == "2.1 minutes later"
    worse = replace(sample_plan(), as_they_come=(LevelValue(name="lateness", value=624),))
    lines = {line.title: line for line in compared(worse)}
    assert lines["Late minutes, rush orders counted more"].by_planning == "1 more"
    assert lines["Overtime"].as_they_come == "not known"


def test_a_bound_that_is_far_off_is_not_shown() -> None:
    def shown(minutes: int) -> str:
        finish = LevelValue(name="finish", value=9000, bound=9000 - minutes * 10)
        return level_lines(replace(sample_plan(), dates=(DAY,), levels=(finish,)))[0]

    assert shown(60) == "All packed by: 15:00 (not before 14:00 in any plan)"
    assert shown(61) == "All packed by: 15:00 (best possible not known)"


def test_nothing_left_over_is_said_in_one_word() -> None:
    def shown(value: int) -> str:
        return level_lines(
            replace(sample_plan(), levels=(LevelValue(name="left_over", value=value, bound=value),))
        )[0]

    assert shown(0) == "Left over: nothing (cannot be better)"
    assert shown(1) == "Left over: 1 piece × placement (cannot be better)"


def test_times_and_dates() -> None:
    # ISO 8601 week date 2026-W01-4 is 2026-01-01, so that day is a Thursday.
    assert long_date(date(2026, 1, 1)) == "Thursday 1 January 2026"
    assert short_date(date(2024, 12, 30)) == "Mon 30 Dec"  # ISO 8601: 2025-W01-1
    assert clock(datetime(2026, 1, 1, 9, 12, 48)) == "09:12"
    assert clock_up(datetime(2026, 1, 1, 9, 12, 48)) == "09:13"
    assert clock_up(datetime(2026, 1, 1, 9, 12)) == "09:12"
    assert clock_up(datetime(2026, 1, 1, 23, 59, 30)) == "00:00"
    assert (counted(1, "run"), counted(0, "run"), counted(2, "order")) == ("1 run", "0 runs", "2 orders")
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
    assert font_warnings(sample_plan(), system_fonts=False) == (
        "No font for Chinese, Japanese and Korean found: such names come out as empty squares. "
        "Install a font for them, such as Noto Sans CJK, and print or draw again.",
    )
    assert no_font(["Korean"]) == (
        "No font for Korean found: such names come out as empty squares. "
        "Install a font for it, such as Noto Sans CJK KR, and print or draw again.",
    )
    (two,) = no_font(["Japanese", "Thai"])
    assert "No font for Japanese and Thai found" in two
    assert "such as Noto Sans CJK JP and Noto Sans Thai, and" in two
    assert no_font([]) == ()
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
