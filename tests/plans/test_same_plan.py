"""A plan that is the same but for which pieces are spoiled is another one: other garments are fetched."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

from scheduler.domain.disruptions import PartKind, RunPart
from scheduler.domain.plan import Plan
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
