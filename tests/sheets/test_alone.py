"""Breaks over which a press stays hot with nobody else at work."""

from __future__ import annotations

from datetime import time

import pytest

from scheduler.domain.plan import Plan
from scheduler.domain.shop import Operator
from scheduler.planning import build_day
from scheduler.sheets.alone import alone_words
from scheduler.sheets.dayview import sheet_days
from scheduler.sheets.lines import notes
from scheduler.sheets.run_sheets import section
from tests.planning.by_hand import plan_of
from tests.planning.shops import MONDAY, line, order, person, print_, shop
from tests.planning.test_idle import at, day

TEA = (time(8, 30), time(8, 50))
WORDS = "nobody else is at work then, and Main stays hot: stay near"


def said(*crew: Operator) -> str:
    plan = day(*crew, garments_in=at(9))
    (sheet,) = sheet_days(plan, "operator", "Ann")
    entries = section(plan, sheet)["entries"]
    assert isinstance(entries, list)
    (words,) = [str(one["text"]) for one in entries if str(one.get("text", "")).startswith("BREAK")]
    return words


def test_whoever_is_alone_is_told_to_stay_near_a_press_that_stays_hot() -> None:
    ann = person(breaks=(TEA,))
    assert said(ann) == f"BREAK: {WORDS}"
    assert said(ann, person("Bo")) == "BREAK"
    # At the same time, or not in yet: nobody.
    assert said(ann, person("Bo", breaks=(TEA,))) == f"BREAK: {WORDS}"
    assert said(ann, person("Bo", start=time(8, 40))) == f"BREAK: {WORDS}"
    assert said(ann, person("Bo", breaks=((time(8, 50), time(9)),))) == "BREAK"


def test_over_a_press_that_is_off_nobody_need_stay() -> None:
    ann = person(breaks=(TEA,))
    plan = day(ann)  # the next run is at noon
    assert alone_words(plan, "Ann", at(8, 30), at(8, 50)) == ""
    assert alone_words(plan, "Ann", at(8, 12), at(8, 17)) == WORDS
    assert alone_words(plan, "Ann", at(7), at(7, 30)) == ""
    assert alone_words(plan, "", at(8, 12), at(8, 17)) == ""


@pytest.mark.parametrize(("others", "alone"), [((), True), ((person("Bo"),), False)])
def test_a_break_in_the_middle_of_a_run(others: tuple[Operator, ...], alone: bool) -> None:
    base = shop(crew=(person(breaks=((time(8, 30), time(8, 45)),)), *others))
    one = order("1", line(print_("front", artwork="crest"), sizes={"M": 60}), cut_off=at(15))
    plan: Plan = plan_of(build_day(base, (one,), MONDAY), [("1-front", "Main / big", "Ann")])
    (run,) = plan.runs
    assert run.pauses
    (words,) = [text for text in notes(plan, run) if text.startswith("BREAK")]
    assert words.endswith(f"N{WORDS[1:]}.") is alone
