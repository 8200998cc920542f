"""Temperatures that nobody was told to set when the run before ended."""

from __future__ import annotations

from dataclasses import replace
from datetime import datetime

import pytest

from scheduler.domain.plan import Plan
from scheduler.planning.told_too_late import told_too_late
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
