"""Temperatures that nobody was told to set when the run before ended."""

from __future__ import annotations

from dataclasses import replace
from datetime import datetime

import pytest

from scheduler.daybook.state import state_at
from scheduler.domain.disruptions import Disruptions
from scheduler.domain.plan import Plan
from scheduler.planning import build_day
from scheduler.planning.again import merged, plan_again
from scheduler.planning.rest import plan_rest
from scheduler.planning.told_too_late import told_too_late
from scheduler.sheets.steps import steps
from scheduler.verify import check
from tests.planning.by_hand import plan_of
from tests.planning.shops import MONDAY, line, order, print_, recipe, shop
from tests.planning.test_again import solved
from tests.sheets.sample_plan import sample_plan


def untold(plan: Plan, printed: Plan, minute: int) -> list[int]:
    """Numbers of the runs before which something was not told in time."""
    found = told_too_late(plan, printed, datetime(2026, 12, 3, 9, minute))
    numbers = {run.id: run.number for run in plan.runs}
    late = [(one, part) for one in found for part in one.parts if part.untold]
    assert all(part.hands_off for _, part in late)
    return sorted({numbers[one.before] for one, _ in late})


def with_temperature(plan: Plan, number: int, temp_c: int) -> Plan:
    runs = tuple(replace(run, temp_c=temp_c) if run.number == number else run for run in plan.runs)
    return replace(plan, runs=runs)


@pytest.mark.parametrize(("minute", "late"), [(22, []), (24, [6])])
def test_a_run_that_was_over_was_set_for_what_followed_on_its_sheet(minute: int, late: list[int]) -> None:
    """Run 5 ends at 9:23 and run 6, at 165 °C, follows; on the sheets in hand it was one at 150 °C."""
    plan = sample_plan()
    assert untold(plan, plan, minute) == []
    assert untold(plan, with_temperature(plan, 6, 150), minute) == late


def test_what_was_not_told_once_stays_so() -> None:
    """A version later the same run follows, but still nobody had set it when the one before ended."""
    plan = sample_plan()
    now = datetime(2026, 12, 3, 9, 24)
    once = replace(plan, changeovers=told_too_late(plan, with_temperature(plan, 6, 150), now))
    assert untold(plan, once, 24) == [6]


def test_a_run_that_is_on_no_sheet_told_nothing() -> None:
    plan = sample_plan()
    without = replace(plan, runs=tuple(run for run in plan.runs if run.number != 5))
    assert untold(plan, without, 24) == [6]


def steps_of(plan: Plan, printed: Plan, minute: int, number: int = 6) -> list[tuple[str, str, bool]]:
    """From what to what a press is set before a run, and whether that was not told in time."""
    run = next(run for run in plan.runs if run.number == number)
    return [
        (part.before, part.after, part.untold)
        for one in told_too_late(plan, printed, datetime(2026, 12, 3, 9, minute))
        if one.before == run.id
        for part in one.parts
        if part.hands_off
    ]


def test_the_step_goes_from_what_the_sheet_in_hand_had_the_press_set_to() -> None:
    """Run 5 at 150 °C ends at 9:23. The sheets then had one at 190 °C follow, which is put off."""
    plan = sample_plan()
    hot = with_temperature(plan, 6, 190)
    assert steps_of(plan, hot, 22) == [("150 °C", "165 °C", False)]
    assert steps_of(plan, hot, 24) == [("190 °C", "165 °C", True)]
    (change,) = [
        one
        for one in told_too_late(plan, hot, datetime(2026, 12, 3, 9, 24))
        if any(part.untold for part in one.parts)
    ]
    (part,) = [part for part in change.parts if part.untold]
    rate = next(one.cool_c_per_min for one in plan.shop.presses if one.name == change.press)
    assert 0 <= part.minutes - 25 / float(rate) < 0.1
    assert change.hands_off_minutes == part.minutes


def test_a_run_that_wants_what_the_run_before_had_has_the_press_set_back() -> None:
    """By the plan nothing changes between 150 and 150 °C; but the press was heated for the run put off."""
    plan = sample_plan()
    same = with_temperature(plan, 6, 150)
    run = next(run for run in plan.runs if run.number == 6)
    same = replace(same, changeovers=tuple(one for one in plan.changeovers if one.before != run.id))
    assert steps_of(same, same, 24) == []
    assert steps_of(same, plan, 24) == [("165 °C", "150 °C", True)]
    # A version later nobody knows whether that was done, and one later still another run follows.
    at = datetime(2026, 12, 3, 9, 24)
    once = replace(same, changeovers=told_too_late(same, plan, at))
    assert steps_of(same, once, 25) == [("165 °C", "150 °C", True)]
    other = with_temperature(same, 6, 140)
    assert steps_of(other, once, 25) == [("150 °C", "140 °C", True)]


def test_a_press_that_is_on_for_a_run_that_is_put_off_is_set_from_there() -> None:
    """The press of run 4 is switched on at 8:46 to 160 °C; then a run at 180 °C is its first one."""
    plan = sample_plan()
    other = with_temperature(plan, 4, 180)
    at = datetime(2026, 12, 3, 8, 50)
    run = next(run for run in plan.runs if run.number == 4)

    def told(now: datetime) -> list[tuple[str, str]]:
        return [
            (part.before, part.after)
            for one in told_too_late(other, plan, now)
            if one.before == run.id
            for part in one.parts
            if part.untold
        ]

    assert told(at) == [("160 °C", "180 °C")]
    assert told(at.replace(minute=46)) == []


def test_the_rest_of_a_day_names_what_a_waiting_press_is_set_to() -> None:
    """On since 8:00, at 150 °C, for a front that is cancelled at 8:05; the next, at 160 °C, is at 9:00."""
    base = replace(shop(), recipes=(recipe(), recipe("hot film", temp_c=160)))
    first = order("1", line(print_("front", artwork="crest")), cut_off=datetime(2026, 3, 2, 15))
    other = order(
        "2",
        line(print_("front", "hot film", "flag"), garments_in=datetime(2026, 3, 2, 9)),
        cut_off=datetime(2026, 3, 2, 15),
    )
    problem = build_day(base, (first, other), MONDAY)
    printed = plan_of(problem, [("1-front", "Main / big", "Ann"), ("2-front", "Main / big", "Ann")])
    now = datetime(2026, 3, 2, 8, 5)
    rest = plan_rest(printed, (), state_at(printed, [], now), between=Disruptions(cancelled=("1",)))
    result = solved(rest.instance, rest.kept)
    whole = check(rest.problem.instance, merged(rest, result.schedule))
    plan = plan_again(rest, result, check(rest.instance, result.schedule), whole, (), version=2)
    assert [(one.start.hour, one.temp_c) for one in plan.warm_ups] == [(8, 150)]
    (run,) = plan.runs
    said = [str(step["text"]) for step in steps(plan, run)]
    assert any("150 °C → 160 °C, at once" in text for text in said)
