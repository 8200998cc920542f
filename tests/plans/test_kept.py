"""The kept plan comes back whole; anything else in its place is a clear fault."""

from __future__ import annotations

import json
from datetime import datetime
from pathlib import Path

import pytest

from scheduler.domain.asjson import to_json
from scheduler.domain.orders import Order
from scheduler.exceptions import BadInput
from scheduler.plans.kept import NAME, kept_bytes, read_kept
from tests.sheets.sample_plan import sample_plan


def test_the_kept_plan_is_the_plan(tmp_path: Path) -> None:
    folder = tmp_path / "2026-12-03"
    folder.mkdir()
    (folder / NAME).write_bytes(kept_bytes(sample_plan()))
    assert read_kept(folder) == (sample_plan(), folder)
    assert read_kept(tmp_path) == (sample_plan(), folder)


def test_a_plan_of_form_1_reads_and_its_orders_on_top_are_known_as_such(tmp_path: Path) -> None:
    document = json.loads(kept_bytes(sample_plan()))
    given = [
        Order(id=name, customer=customer, cut_off=datetime(2026, 12, 3, 16), lines=())
        for name, customer in (
            ("7001", "B"),
            ("7001 more", "A"),
            ("7002", "B"),
            ("7002 more", "B"),
            ("7003", "B"),
            ("7003 more", "B"),
            ("7003 more 2", "B"),
            ("7004 more", "B"),
        )
    ]
    document["pressday_kept_plan"] = 1
    document["plan"]["given"] = to_json(given)
    # Only those of order 7003 came in during the day, and one that belongs to none.
    for name in ("7001 more", "7003 more", "7003 more 2", "7004 more"):
        document["plan"]["between"]["came"].append({"order": name, "at": "2026-12-03T10:00:00"})
    for one in (*document["plan"]["given"], *document["plan"]["orders"]):
        del one["on_top_of"]
    (tmp_path / NAME).write_text(json.dumps(document), encoding="utf-8")
    plan, _ = read_kept(tmp_path)
    assert {one.id: one.on_top_of for one in plan.given if one.on_top_of} == {
        "7003 more": "7003",
        "7003 more 2": "7003",
    }
    document["pressday_kept_plan"] = 2
    (tmp_path / NAME).write_text(json.dumps(document), encoding="utf-8")
    assert not [one for one in read_kept(tmp_path)[0].given if one.on_top_of]


def test_a_plan_of_form_6_reads_with_its_hours_on_every_weekday(tmp_path: Path) -> None:
    document = json.loads(kept_bytes(sample_plan()))
    document["pressday_kept_plan"] = 6
    for person in document["plan"]["shop"]["crew"]:
        week = dict(person.pop("hours"))
        assert all(hours == week[0] for hours in week.values())
        person.update(week[0], weekdays=sorted(week))
    (tmp_path / NAME).write_text(json.dumps(document), encoding="utf-8")
    assert read_kept(tmp_path)[0] == sample_plan()
    del document["plan"]["shop"]["crew"][0]["end"]
    (tmp_path / NAME).write_text(json.dumps(document), encoding="utf-8")
    with pytest.raises(BadInput, match=r"Plan.shop.crew\[0\].hours\[0\]: .*'end'"):
        read_kept(tmp_path)


def test_no_kept_plan_is_a_fault(tmp_path: Path) -> None:
    with pytest.raises(BadInput, match=r"no file kept-plan.json here; expected the folder"):
        read_kept(tmp_path)
    with pytest.raises(BadInput, match=r"no file kept-plan.json here"):
        read_kept(tmp_path / "not there")


@pytest.mark.parametrize(
    ("text", "message"),
    [
        ("", "not a plan of this program: Expecting value"),
        ("{}", "form None of the file; expected a kept plan of form 8"),
        ("[]", "form None of the file"),
        ('{"pressday_kept_plan": 99, "plan": {}}', "form 99 of the file"),
        ('{"pressday_kept_plan": 2}', "'plan'"),
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
