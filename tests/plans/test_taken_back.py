"""Sheets that an earlier day's plan handed out for a day are named when that day is planned."""

from __future__ import annotations

from dataclasses import replace
from datetime import datetime, timedelta
from pathlib import Path

from scheduler.domain.clock import WEEKDAYS, short_date
from scheduler.domain.plan import Plan
from scheduler.plans.files import Written, put_plan
from scheduler.plans.taken_back import take_back_words
from scheduler.sheets.paper import sheets_of
from tests.daybook.small import DAY, small_plan
from tests.sheets.reading import flow

NEXT = DAY + timedelta(days=1)


def over_two_days(plan: Plan) -> Plan:
    """The plan with its last run, and the switching on of its press, a day later."""
    last = max(plan.runs, key=lambda run: run.end)
    shift = timedelta(days=1)
    there = replace(
        last, start=last.start + shift, pressing_start=last.pressing_start + shift, end=last.end + shift
    )
    runs = tuple(there if run is last else run for run in plan.runs)
    return replace(plan, dates=(DAY, NEXT), runs=runs)


def on_the_next_day(plan: Plan, days: int = 1) -> Plan:
    shift = timedelta(days=days)
    runs = tuple(
        replace(
            run,
            start=run.start + shift,
            pressing_start=run.pressing_start + shift,
            end=run.end + shift,
            pauses=(),
        )
        for run in plan.runs
    )
    day = DAY + shift
    return replace(plan, day=day, dates=(day,), runs=runs, warm_ups=(), breaks=(), shifts=())


def put(plan: Plan, out: Path) -> Written:
    return put_plan(plan, out, paper="a4", tell=lambda _: None)


def test_sheets_of_the_day_before_are_named_on_the_summary_the_page_and_the_terminal(tmp_path: Path) -> None:
    first = put(over_two_days(small_plan()), tmp_path).plan
    (mine, at_press) = [one for one in sheets_of(first) if one.day == NEXT]
    assert (mine.side, at_press.side) == ("operator", "press")
    for _ in range(2):
        written = put(on_the_next_day(small_plan()), tmp_path)
        (said,) = [note for note in written.notes if note.startswith("Take back")]
        assert f"{mine.name}, {short_date(NEXT)}, V1 {mine.code}" in said
        assert f"{at_press.name} (press), {short_date(NEXT)}, V1 {at_press.code}" in said
        assert f"(of {WEEKDAYS[DAY.weekday()]}'s plan)" in said
        page = flow((written.folder / "summary.pdf").read_bytes())[0]
        assert f"V1 {mine.code}" in page and f"V1 {at_press.code}" in page
        assert f"V1 {mine.code}" in (written.folder / "day.html").read_text(encoding="utf-8")


def test_nothing_is_taken_back_where_no_earlier_plan_is_of_the_day(tmp_path: Path) -> None:
    assert not any(note.startswith("Take back") for note in put(small_plan(), tmp_path).notes)
    assert not any(
        note.startswith("Take back") for note in put(on_the_next_day(small_plan()), tmp_path).notes
    )
    early = put(on_the_next_day(small_plan(), -1), tmp_path)
    assert not any(note.startswith("Take back") for note in early.notes), "of later plans nothing is said"


def test_a_day_planned_again_says_only_what_becomes_of_its_own_sheets(tmp_path: Path) -> None:
    put(over_two_days(small_plan()), tmp_path)
    at = datetime.combine(NEXT, datetime.min.time()) + timedelta(hours=9)
    again = replace(on_the_next_day(small_plan()), at=at)
    assert not any(note.startswith("Take back") for note in put(again, tmp_path).notes)


def test_a_day_planned_again_hands_out_nothing_for_a_day_with_a_plan_of_its_own(tmp_path: Path) -> None:
    put(over_two_days(small_plan()), tmp_path)
    at = datetime.combine(DAY, datetime.min.time()) + timedelta(hours=9)
    again = replace(over_two_days(small_plan()), at=at, fingerprint="ACDE3480")
    assert put(again, tmp_path).take_back == "", "the next day isn't planned yet"
    put(on_the_next_day(small_plan()), tmp_path)
    written = put(replace(again, fingerprint="ACDE3481"), tmp_path)
    assert written.take_back.startswith(
        f"With a plan of its own: {short_date(NEXT)} (version 1). Hand out no"
    )
    assert short_date(NEXT) in flow((written.folder / "summary.pdf").read_bytes())[0]
    only = replace(small_plan(), at=at, fingerprint="ACDE3482")
    assert put(only, tmp_path).take_back == "", "it has no sheet of the next day"


def test_a_plan_of_another_week_is_named_by_its_date() -> None:
    plan = over_two_days(small_plan())
    assert take_back_words(plan, NEXT + timedelta(days=1)) == ""
    late = [replace(one, day=DAY + timedelta(days=8)) for one in sheets_of(plan)[:1]]
    said = take_back_words(replace(plan, paper=tuple(late)), DAY + timedelta(days=8))
    assert f"(of the plan of {short_date(DAY)})" in said and "What is on it is planned anew here." in said
