"""Why a search was stopped, in words."""

from __future__ import annotations

from scheduler.answers.stopped import stopped_line
from scheduler.domain.schedule import Result, Status
from scheduler.workflow.stopped import Stopped, by_time, why_stopped


def test_the_limit_of_an_effort_is_told_from_one_that_was_given() -> None:
    assert by_time("quick", None) == Stopped(limit_s=180, effort="quick")
    assert "180 s of effort quick was reached" in stopped_line(by_time("quick", None))
    assert "the time limit of 20 s was reached" in stopped_line(by_time("quick", 20))
    assert stopped_line(None) == "The search was stopped early; another run need not give the same plan."
    whole = Result(status=Status.FEASIBLE, schedule=None, effort="quick")
    assert why_stopped(whole) is None
