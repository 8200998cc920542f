"""Domain data to JSON and back: nothing lost, and wrong data named by its place."""

from __future__ import annotations

import json
from dataclasses import dataclass
from datetime import date, datetime, time

import pytest

from scheduler.domain.asjson import from_json, to_json
from scheduler.domain.instance import Instance, Job, Machine, Mode, Platen, SetupPart, SetupTable, Shift, Task
from scheduler.domain.instance import Operator as Crew
from scheduler.domain.schedule import LevelValue
from scheduler.domain.shop import Courier, Element, OpenHours, Setup


@dataclass(frozen=True, slots=True, kw_only=True)
class Mixed:
    when: datetime
    day: date
    hours: dict[int, OpenHours]
    seconds: dict[tuple[Element, Setup], float]
    names: dict[str, str]
    ready: datetime | None = None
    share: float = 0.5
    note: str = ""


MIXED = Mixed(
    when=datetime(2027, 3, 9, 7, 30),
    day=date(2027, 3, 9),
    hours={0: OpenHours(open=time(7), close=time(16, 30))},
    seconds={(Element.LAY, Setup.COVER_AND_STAND): 5.5},
    names={"": "8 cm under the collar", "młodzież": "6 cm"},
    share=1,
)

MODE = Mode(id="A", machine="A", state=(1,), operators=(("Ana", 9),))

INSTANCE = Instance(
    name="two runs",
    horizon=1000,
    setup_parts=(SetupPart(name="platen", tables=(SetupTable(from_none=(5, 7), by_target=(3, 4)),)),),
    machines=(Machine(id="A", tables=(0,), initial=(None,)),),
    platens=(Platen(id="wide", count=1),),
    operators=(Crew(id="Ana", shifts=(Shift(start=10, end=90, overtime_end=95, breaks=((40, 45),)),)),),
    jobs=(Job(id="1001", due=90, weight=2),),
    tasks=(
        Task(
            id="1001-a", job="1001", modes=(Mode(id="A", machine="A", state=(1,), operators=(("Ana", 9),)),)
        ),
    ),
)


@pytest.mark.parametrize(
    "value", [MIXED, INSTANCE, Courier(name="van", cut_offs={4: time(15)})], ids=lambda v: type(v).__name__
)
def test_round_trip(value: object) -> None:
    text = json.dumps(to_json(value))
    assert from_json(type(value), json.loads(text)) == value


def test_defaults_may_be_missing() -> None:
    assert from_json(LevelValue, {"name": "lateness", "value": 3}) == LevelValue(name="lateness", value=3)


@pytest.mark.parametrize(
    ("change", "message"),
    [
        ({"when": "yesterday"}, "Mixed.when: 'yesterday' is not a datetime"),
        ({"when": 5}, "Mixed.when: 5 is not a datetime"),
        ({"ready": 5}, "Mixed.ready: 5 is not a datetime"),
        ({"share": True}, "Mixed.share: True is not float"),
        ({"share": "0.5"}, "Mixed.share: '0.5' is not float"),
        ({"colour": "red"}, "Mixed: 'colour' is not known here"),
        ({"hours": [[0, {"open": "07:00"}]]}, r"Mixed.hours\[0\]: .*close"),
        ({"hours": [0]}, "Mixed.hours: .* list of pairs"),
        ({"hours": 7}, "Mixed.hours: 7 is neither"),
        ({"seconds": [[["lay a transfer"], 1.0]]}, "Mixed.seconds key: 1 entries, expected 2"),
        ({"seconds": [[["juggle", "plain"], 1.0]]}, "Mixed.seconds key.*juggle"),
        ({"names": {"": 5}}, "Mixed.names.*: 5 is not str"),
    ],
)
def test_wrong_data_is_named_by_its_place(change: dict[str, object], message: str) -> None:
    data = to_json(MIXED)
    assert from_json(Mixed, data) == MIXED
    with pytest.raises(ValueError, match=message):
        from_json(Mixed, {**data, **change})


def test_what_the_class_refuses_is_named_too() -> None:
    data = to_json(INSTANCE)
    data["tasks"][0]["modes"][0]["machine"] = "Z"
    with pytest.raises(ValueError, match="names machine Z"):
        from_json(Instance, data)


def test_an_unknown_level_is_refused() -> None:
    with pytest.raises(ValueError, match=r"levels\[0\]: 'beauty' is none of"):
        from_json(Instance, {**to_json(INSTANCE), "levels": ["beauty"]})


def test_only_plain_values_can_be_stored() -> None:
    assert to_json((1, "a", None)) == [1, "a", None]
    with pytest.raises(TypeError, match="set can't be stored"):
        to_json({1, 2})


def test_a_missing_field_is_named() -> None:
    data = to_json(MIXED)
    del data["day"]
    with pytest.raises(ValueError, match=r"Mixed: .*day"):
        from_json(Mixed, data)
