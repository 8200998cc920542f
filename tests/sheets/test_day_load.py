"""How full a day is: the figures, and that page and picture draw the same ones."""

from __future__ import annotations

import re
from dataclasses import replace
from datetime import datetime, timedelta
from importlib.util import find_spec

import pytest

from scheduler.domain.disruptions import Disruptions, PersonAway
from scheduler.domain.plan import Load, Plan
from scheduler.sheets.busy import busy_picture
from scheduler.sheets.day_load import STEP, HalfHour, WorkDay, load_shares, load_words, work_days
from scheduler.sheets.load_picture import load_picture
from tests.sheets.sample_plan import sample_plan

needs_library = pytest.mark.skipif(
    find_spec("matplotlib") is None, reason="the extra for pictures is not installed"
)


@pytest.fixture(scope="module")
def plan() -> Plan:
    return sample_plan()


def test_a_load_in_shares_and_words() -> None:
    shares = load_shares(Load(name="x", available=100.0, pressing=110.0, changing=15.0, overtime=25.0))
    assert (shares.pressing, shares.changing, shares.hours) == (0.88, 0.12, 0.8)
    assert shares.full == 1.25
    words = load_words(Load(name="x", available=480.0, pressing=80.0, changing=5.0))
    assert words == "85 of 480 min, 18% (pressing 80, changeovers 5)"
    odd = load_words(Load(name="x", available=660.0, pressing=78.4, changing=8.2))
    assert odd == "86 of 660 min, 13% (pressing 78, changeovers 8)", "parts come to the whole"


def test_minutes_of_the_half_hours_are_those_of_the_runs(plan: Plan) -> None:
    """Minutes added up over the half hours are the minutes that people work and are there."""

    def length(start: datetime, end: datetime) -> float:
        return (end - start) / timedelta(minutes=1)

    half = STEP / timedelta(minutes=1)
    for work in work_days(plan):
        runs = [run for run in plan.runs if run.operator and run.start.date() == work.day]
        pauses = sum(length(*pause) for run in runs for pause in run.pauses)
        pressing = sum(length(run.pressing_start, run.end) for run in runs) - pauses
        changing = sum(length(run.start, run.pressing_start) for run in runs)
        assert half * sum(step.pressing for step in work.steps) == pytest.approx(pressing)
        assert half * sum(step.changing for step in work.steps) == pytest.approx(changing)
    days = sorted({run.start.date() for run in plan.runs if run.operator})
    assert [work.day for work in work_days(plan)] == days


def test_the_page_says_each_half_hour(plan: Plan) -> None:
    page = busy_picture(plan)
    steps = [step for work in work_days(plan) for step in work.steps]
    assert re.findall(r"<g><title>([^<]*)</title>", page) == [step.words for step in steps]


def test_whole_people_have_no_decimal() -> None:
    half = HalfHour(start=datetime(2027, 4, 13, 8), there=3.0, pressing=2.5, changing=0.0)
    assert half.words == "08:00–08:30: 3 people there, 2.5 pressing, 0 at changeovers"
    assert replace(half, there=1.0).words.startswith("08:00–08:30: 1 person there, ")
    day = WorkDay(day=half.start.date(), steps=(replace(half, pressing=3.0),))
    assert day.words.endswith("at most 3 from 08:00, of 3 there")


def test_whoever_works_is_there(plan: Plan) -> None:
    """In overtime as well, and nobody is while away."""
    early = replace(
        plan, shifts=tuple(replace(one, end=one.start + timedelta(hours=1)) for one in plan.shifts)
    )
    for some in (plan, early):
        for work in work_days(some):
            assert all(step.working <= step.there + 1e-9 for step in work.steps)
    shift = plan.shifts[0]
    gone = PersonAway(person=shift.operator, start=shift.start, end=shift.end)
    alone = replace(plan, between=Disruptions(away=(gone,)))
    day = shift.start.date()
    before, after = (next(work for work in work_days(each) if work.day == day) for each in (plan, alone))
    own = sum(step.there - other.there for step, other in zip(before.steps, after.steps, strict=True)) * STEP
    worked = [run for run in plan.runs if run.operator == shift.operator and run.start.date() == day]
    pauses = [one for one in plan.breaks if one.operator == shift.operator and one.start.date() == day]
    rest = sum((one.end - one.start for one in pauses), timedelta())
    pressing = sum((run.end - run.start for run in worked), timedelta())
    pressing -= sum((last - first for run in worked for first, last in run.pauses), timedelta())
    assert own == pytest.approx(shift.end - shift.start - rest - pressing, abs=timedelta(seconds=1))


@needs_library
def test_the_picture_has_the_figures_of_the_page(plan: Plan) -> None:
    drawn = load_picture(plan, "svg")
    said = [text.strip() for text in re.findall(r"<text[^>]*>([^<]*)</text>", drawn.content.decode())]
    for load in (*plan.press_loads, *plan.crew_loads):
        assert load_words(load) in said
    for work in work_days(plan):
        assert any(text.startswith(work.words) for text in said)
    assert {"pressing", "changing over by hand"} <= set(said)
    assert drawn == load_picture(plan, "svg")


@needs_library
@pytest.mark.parametrize("kind", ["png", "svg"])
def test_a_day_without_work_is_drawn_too(plan: Plan, kind: str) -> None:
    empty = replace(plan, runs=(), press_loads=(), crew_loads=())
    assert work_days(empty) == []
    assert len(load_picture(empty, kind).content) > 1000
