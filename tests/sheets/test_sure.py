"""How sure a day is, in words, where the planned days end too early for an answer."""

from __future__ import annotations

from dataclasses import replace
from datetime import datetime

import pytest

from scheduler.domain.chances import Chance
from scheduler.sheets.drawn import ChanceBar
from scheduler.sheets.sure import (
    chance_words,
    finish_words,
    late_words,
    others_words,
    sure_lead,
    sure_notes,
    unfinished_words,
)
from tests.sheets.test_page import CHANCES

DAY = datetime(2027, 4, 13)


def test_the_end_of_the_day_is_said_also_where_it_is_beyond_the_planned_days() -> None:
    plan, half, most = (DAY.replace(hour=13, minute=minute) for minute in (18, 41, 59))
    known = replace(CHANCES, finish_planned=plan, finish_usual=half, finish_careful=most)
    begin = "All packed: 13:18 by plan, "
    assert finish_words(DAY.date(), known) == (
        f"{begin}13:41 or earlier on half of the days, 13:59 or earlier on nine of ten."
    )
    assert finish_words(DAY.date(), replace(known, finish_careful=None)) == (
        f"{begin}13:41 or earlier on half of the days, and on one day in ten or more not within the planned "
        "days."
    )
    assert finish_words(DAY.date(), replace(known, finish_usual=None, finish_careful=None)) == (
        f"{begin}and on half of the days or more not within the planned days."
    )


def test_late_minutes_say_when_they_count_to_the_end_of_the_planned_days() -> None:
    order = replace(CHANCES.orders[0], late_minutes=672.8)
    assert late_words(order) == "11 h 13 min"
    assert late_words(replace(order, beyond=0.01)) == "11 h 13 min, counted to the end of the planned days"


def test_orders_that_are_always_late_are_named_and_the_others_told_without_them() -> None:
    assert "late on every one" not in sure_lead(CHANCES)
    others = Chance(best=0.41, low=0.39, high=0.43)
    one = replace(CHANCES, never_on_time=("14",), others_on_time=others)
    assert others_words(one) == "1 order late on every one (14); all others on time: on 41 % (39 to 43)."
    assert f" {others_words(one)} " in sure_lead(one)
    many = replace(one, never_on_time=tuple("abcdefg"), others_on_time=None)
    assert others_words(many) == "7 orders late on every one (a, b, c, d, e ...)."


@pytest.mark.parametrize(
    ("share", "words"),
    [(1.0, "100 %"), (0.9995, ">99 %"), (0.99, "99 %"), (0.004, "<1 %"), (0.0, "0 %"), (0.006, "1 %")],
)
def test_only_what_is_certain_is_drawn_as_100(share: float, words: str) -> None:
    assert ChanceBar(label="x", best=share, low=share, high=share).percent == words


@pytest.mark.parametrize(
    ("best", "low", "high", "words"),
    [
        (0.62, 0.6, 0.64, "62 % (60 to 64)"),
        (0.62, 0.618, 0.623, "62 %"),
        (0.002, 0.001, 0.004, "less than 1 %"),
        (0.0, 0.0, 0.004, "0 % (0 to less than 1)"),
        (0.998, 0.996, 0.999, "more than 99 %"),
        (1.0, 0.998, 1.0, "100 % (more than 99 to 100)"),
    ],
)
def test_an_interval_whose_ends_read_the_same_is_not_said(
    best: float, low: float, high: float, words: str
) -> None:
    assert chance_words(Chance(best=best, low=low, high=high)) == words


def test_that_a_run_left_at_the_end_of_a_shift_holds_its_press_in_the_replays_is_said() -> None:
    often = replace(CHANCES, unfinished=Chance(best=0.72, low=0.7, high=0.74))
    said = unfinished_words(often)
    assert said.startswith(
        "on 72 % of the days a shift ends before its sheet is done: the rest goes on at that"
    )
    assert "waits until then" in said and said.endswith("surer than this.")
    assert said[1:] in sure_notes(DAY.date(), often)[0]
    never = replace(CHANCES, unfinished=Chance(best=0.0, low=0.0, high=0.002))
    assert unfinished_words(never) == "on 0 % of the days a shift ends before its sheet is done."
