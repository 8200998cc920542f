"""What was planned of a run is what the last plan before its begin says, whatever was recorded since."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

from scheduler.daybook.as_planned import as_planned
from scheduler.domain.plan import Plan
from tests.daybook.small import at, small_plan


def again(plan: Plan, clock: str, **recorded: tuple[str, str]) -> Plan:
    """The next version: runs that had begun stand with the times that were entered."""
    runs = tuple(
        replace(run, start=at(times[0]), pressing_start=at(times[0]), end=at(times[1]), operator="Ben")
        if (times := recorded.get(run.id.replace("-", "_")))
        else run
        for run in plan.runs
    )
    return replace(plan, version=plan.version + 1, at=at(clock), runs=runs)


def test_recorded_times_are_not_what_was_planned() -> None:
    morning = small_plan()
    second = again(morning, "9:00", A_front=("8:20", "8:55"), D_front=("9:40", "10:55"))
    third = again(second, "10:00", A_front=("8:20", "8:50"), D_front=("9:50", "11:00"))
    planned = as_planned(third, (second, morning))
    by_id = {plan.version: {run.id: run for run in plan.runs} for plan in (morning, second, third)}
    assert planned["A-front"] == by_id[1]["A-front"], "it had begun by both"
    assert planned["D-front"] == by_id[2]["D-front"], "planned again before it began"
    assert planned["E-front"] == by_id[1]["E-front"] == by_id[3]["E-front"]
    assert set(planned) == set(by_id[3])


def test_older_plans_are_read_only_as_far_as_they_are_needed() -> None:
    read: list[int] = []

    def older(*plans: Plan) -> Iterator[Plan]:
        for plan in plans:
            read.append(plan.version)
            yield plan

    morning = small_plan()
    assert as_planned(morning, older(morning))["A-front"] == morning.runs[0]
    assert read == []
    second = again(morning, "8:00")
    third = again(second, "9:00", A_front=("8:20", "8:55"))
    assert as_planned(third, older(second, morning))["A-front"] == morning.runs[0]
    assert read == [2]


def test_a_run_that_had_begun_in_every_plan_is_as_in_the_first() -> None:
    morning = small_plan()
    rest = replace(morning.runs[0], id="A-front rest", number=7, start=at("8:50"))
    second = replace(morning, version=2, at=at("9:00"), runs=(*morning.runs, rest))
    third = replace(second, version=3, at=at("10:00"), runs=(*morning.runs, replace(rest, end=at("9:59"))))
    assert as_planned(third, (second, morning))["A-front rest"] == rest
