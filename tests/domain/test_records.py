"""Instances and schedules as JSON and back: exact, and wrong keys named."""

from __future__ import annotations

import json
from typing import Any

import pytest

from scheduler.domain.records import (
    instance_from_data,
    instance_to_data,
    schedule_from_data,
    schedule_to_data,
)
from scheduler.domain.schedule import Schedule
from tests.support.random_days import random_day
from tests.support.tiny import at, plan

SCHEDULE = plan(
    at("a", 5, 9, setup=2, by="Ann", mounts=True),
    at("b", 9, 12),
    warm_ups=(("A", 0, 3),),
    left_over=("c",),
)


@pytest.mark.parametrize("seed", range(20))
def test_instance_round_trip_is_exact(seed: int) -> None:
    day = random_day(seed, tasks=8)
    text = json.dumps(instance_to_data(day), allow_nan=False)
    assert instance_from_data(json.loads(text)) == day
    assert json.dumps(instance_to_data(instance_from_data(json.loads(text)))) == text


@pytest.mark.parametrize("schedule", [SCHEDULE, Schedule(tasks=())])
def test_schedule_round_trip_is_exact(schedule: Schedule) -> None:
    assert schedule_from_data(json.loads(json.dumps(schedule_to_data(schedule)))) == schedule


def changed(data: dict[str, Any], path: list[str | int], value: Any) -> dict[str, Any]:
    """A copy with one value replaced, or removed where the value is `...`."""
    copy: dict[str, Any] = json.loads(json.dumps(data))
    inner: Any = copy
    for step in path[:-1]:
        inner = inner[step]
    if value is ...:
        del inner[path[-1]]
    else:
        inner[path[-1]] = value
    return copy


@pytest.mark.parametrize(
    ("path", "value", "message"),
    [
        (["tasks", 1, "begin"], 3, r"Schedule\.tasks\[1\]: 'begin' is not known here"),
        (["extra"], 3, "Schedule: 'extra' is not known here"),
        (["tasks", 0, "start"], ..., r"Schedule\.tasks\[0\]: .*'start'"),
        (["tasks"], ..., "Schedule: .*'tasks'"),
        (["tasks", 0, "end"], "9", r"Schedule\.tasks\[0\]\.end: '9' is not int"),
        (["tasks", 0, "end"], 9.0, r"Schedule\.tasks\[0\]\.end: 9\.0 is not int"),
        (["tasks", 0, "end"], True, r"Schedule\.tasks\[0\]\.end: True is not int"),
        (["warm_ups"], {}, r"Schedule\.warm_ups: \{\} is not a list"),
        (["left_over", 0], None, r"Schedule\.left_over\[0\]: None is not str"),
    ],
)
def test_wrong_schedule_is_named(path: list[str | int], value: Any, message: str) -> None:
    data = schedule_to_data(SCHEDULE)
    assert schedule_from_data(data) == SCHEDULE
    with pytest.raises(ValueError, match=message):
        schedule_from_data(changed(data, path, value))


@pytest.mark.parametrize(
    ("path", "value", "message"),
    [
        (["tasks", 0, "releese"], 3, r"Instance\.tasks\[0\]: 'releese' is not known here"),
        (["horizon"], ..., "Instance: .*'horizon'"),
        (["levels", 0], "cost", r"Instance\.levels\[0\]: 'cost' is none of"),
        (["tasks", 0, "job"], "J9", "task .* names job J9, which is not there"),
        (["platens", 0, "count"], None, r"Instance\.platens\[0\]\.count: None is not int"),
    ],
)
def test_wrong_instance_is_named(path: list[str | int], value: Any, message: str) -> None:
    data = instance_to_data(random_day(1))
    with pytest.raises(ValueError, match=message):
        instance_from_data(changed(data, path, value))
