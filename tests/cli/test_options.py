"""Options that several commands take: what their help says, and which ways of writing they understand."""

from __future__ import annotations

from collections.abc import Callable
from datetime import date, time
from typing import get_args

import pytest
import typer

from scheduler.cli.options import (
    StopAfter,
    StopAsking,
    StopEach,
    day_of_option,
    moment_of_option,
    number_typed,
    pieces_typed,
)
from scheduler.cli.replan import _span
from scheduler.engine.effort import EFFORTS
from scheduler.workflow.moments import Moment


def test_the_help_of_seconds_says_each_limit() -> None:
    for option in (StopAfter, StopAsking, StopEach):
        words = " ".join(get_args(option)[1].help.split())
        assert all(f"{effort.seconds:g} s ({name})" in words for name, effort in EFFORTS.items())
        assert ("writing the sheets come on top" in words) is (option is StopAfter)


@pytest.mark.parametrize("written", ["2026-12-01", "01.12.2026", "1.12.2026", " 1. 12. 2026"])
def test_a_day_with_points_has_the_day_first(written: str) -> None:
    assert day_of_option(written) == date(2026, 12, 1)


@pytest.mark.parametrize("written", ["1/12/2026", "12/1/2026", "1.12.26", "32.12.2026", "2026-12-1", "1.12."])
def test_a_day_that_can_be_another_one_is_refused(written: str) -> None:
    with pytest.raises(typer.BadParameter, match=r"such as 26\.11\.2026"):
        day_of_option(written)


DECEMBER = date(2026, 12, 1)


@pytest.mark.parametrize(
    ("written", "clock", "day"),
    [
        ("17:00", time(17), None),
        ("9.10", time(9, 10), None),
        ("5pm", time(17), None),
        ("5 PM", time(17), None),
        ("5:30 p.m.", time(17, 30), None),
        ("12am", time(0), None),
        ("12:15pm", time(12, 15), None),
        ("2026-12-01T09:10", time(9, 10), DECEMBER),
        ("2026-12-01 5pm", time(17), DECEMBER),
        ("1.12.2026 5 pm", time(17), DECEMBER),
        ("01.12.2026 9.10", time(9, 10), DECEMBER),
    ],
)
def test_a_time_may_be_of_either_clock(written: str, clock: time, day: date | None) -> None:
    assert moment_of_option(written) == Moment(clock, day)


@pytest.mark.parametrize("written", ["5", "13pm", "0am", "25:00", "9:60", "noonish", "17:00:30", "pm", ""])
def test_a_time_that_is_none_is_refused_with_the_forms(written: str) -> None:
    with pytest.raises(typer.BadParameter, match="as 17:10 or 5:10pm, or with its date as 2027-03-09T17:10"):
        moment_of_option(written)


def test_an_absence_may_be_of_either_clock() -> None:
    assert _span("10:00-12:30") == (Moment(time(10)), Moment(time(12, 30)))
    assert _span("9am-5:30 pm") == (Moment(time(9)), Moment(time(17, 30)))
    assert _span("1.12.2026 2pm-") == (Moment(time(14), DECEMBER), None)
    with pytest.raises(typer.BadParameter, match="ends before it begins"):
        _span("5pm-9am")


@pytest.mark.parametrize(
    ("read", "least", "words"), [(number_typed, 1, "a whole number, from 1 on"), (pieces_typed, 0, "12")]
)
def test_numbers_are_whole_and_not_too_small(read: Callable[[str], int], least: int, words: str) -> None:
    assert read(f" {least} ") == least
    for wrong in (str(least - 1), "12 pcs", "1.5", ""):
        with pytest.raises(typer.BadParameter, match=words):
            read(wrong)
