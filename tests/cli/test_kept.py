"""The kept plan comes back whole; anything else in its place is a clear fault."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from scheduler.cli.kept import NAME, kept_bytes, read_kept
from scheduler.exceptions import BadInput
from tests.sheets.sample_plan import sample_plan


def test_the_kept_plan_is_the_plan(tmp_path: Path) -> None:
    folder = tmp_path / "2026-12-03"
    folder.mkdir()
    (folder / NAME).write_bytes(kept_bytes(sample_plan()))
    assert read_kept(folder) == (sample_plan(), folder)
    assert read_kept(tmp_path) == (sample_plan(), folder)


def test_no_kept_plan_is_a_fault(tmp_path: Path) -> None:
    with pytest.raises(BadInput, match=r"no file kept-plan.json here; expected the folder"):
        read_kept(tmp_path)
    with pytest.raises(BadInput, match=r"no file kept-plan.json here"):
        read_kept(tmp_path / "not there")


@pytest.mark.parametrize(
    ("text", "message"),
    [
        ("", "not a plan of this program: Expecting value"),
        ("{}", "form None of the file; expected a kept plan of form 1"),
        ("[]", "form None of the file"),
        ('{"pressday_kept_plan": 99, "plan": {}}', "form 99 of the file"),
        ('{"pressday_kept_plan": 1}', "'plan'"),
        ('{"pressday_kept_plan": 1, "plan": {"day": "soon"}}', "Plan.day: 'soon' is not a date"),
        ("[" * 100_000, "not a plan of this program"),
        ("\udcff", "not a plan of this program"),
    ],
)
def test_what_is_no_kept_plan_is_a_fault(text: str, message: str, tmp_path: Path) -> None:
    (tmp_path / NAME).write_bytes(text.encode(errors="surrogateescape"))
    with pytest.raises(BadInput, match=message):
        read_kept(tmp_path)


def test_a_changed_kept_plan_is_named_by_its_place(tmp_path: Path) -> None:
    document = json.loads(kept_bytes(sample_plan()))
    document["plan"]["runs"][0]["start"] = 7
    (tmp_path / NAME).write_text(json.dumps(document), encoding="utf-8")
    with pytest.raises(BadInput, match=r"Plan.runs\[0\].start: 7 is not a datetime"):
        read_kept(tmp_path)
