"""A plan is the same when its sheets ask the same of everybody: otherwise it gets a version of its own."""

from __future__ import annotations

from dataclasses import replace
from datetime import timedelta
from pathlib import Path

from scheduler.domain.disruptions import PartKind, RunPart
from scheduler.domain.plan import Plan, PlannedWarmUp
from scheduler.plans.files import put
from scheduler.sheets.write import DATA
from tests.daybook.small import DAY, small_plan


def test_a_plan_with_other_spoiled_pieces_is_written_as_a_version_of_its_own(tmp_path: Path) -> None:
    plan = small_plan()
    part = RunPart(run="A-front", done=30, pieces=3, name=PartKind.AGAIN, from_tick=0)

    def written(parts: tuple[RunPart, ...]) -> Plan:
        made = replace(plan, parts=parts)
        return put(
            lambda version: replace(made, version=version),
            DAY,
            tmp_path,
            paper="a4",
            tell=lambda _: None,
            sheets=lambda _: {DATA: b"{}"},
        ).plan

    assert written((part,)).version == 1
    assert written((part,)).version == 1, "the same once more"
    assert written((replace(part, spoiled=2),)).version == 2
    kind = replace(plan.runs[0].content.pieces[0], quantity=1)
    assert written((replace(part, spoiled=2, known=(kind,)),)).version == 3
    assert written((replace(part, spoiled=2, known=(kind,)),)).version == 3


def test_a_plan_in_which_somebody_else_switches_a_press_on_is_another_one(tmp_path: Path) -> None:
    """Its code is the same: that is made of what is done when and where, not of who switches on."""
    plan = small_plan()
    run = plan.runs[0]
    warm = PlannedWarmUp(
        press=run.press,
        start=run.start - timedelta(minutes=20),
        ready=run.start,
        temp_c=run.temp_c,
        watts=1800,
        circuit="",
        by="",
    )

    def version(one: PlannedWarmUp) -> int:
        made = replace(plan, warm_ups=(one,))
        return put(
            lambda number: replace(made, version=number),
            DAY,
            tmp_path,
            paper="a4",
            tell=lambda _: None,
            sheets=lambda _: {DATA: b"{}"},
        ).plan.version

    assert version(warm) == 1
    assert version(warm) == 1
    assert version(replace(warm, by=run.operator)) == 2
    assert version(replace(warm, by=run.operator, circuit="North")) == 3
