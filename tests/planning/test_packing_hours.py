"""Packing when nobody is there."""

from __future__ import annotations

import pytest

from scheduler.domain.instance import Instance, Job, Machine, Mode, Operator, Shift, Task
from scheduler.domain.times import hours_and_minutes
from scheduler.planning.packing_hours import LatePacking, late_packing

HOUR = 60


def instance(*packing: int, people: tuple[Operator, ...] | None = None) -> Instance:
    """Ticks of a minute; Ann from 8 to 16 with overtime to 17, Ben from 15 to 18, on two days."""
    if people is None:
        people = (
            Operator(
                id="Ann",
                shifts=tuple(
                    Shift(start=day + 8 * HOUR, end=day + 16 * HOUR, overtime_end=day + 17 * HOUR)
                    for day in (0, 24 * HOUR)
                ),
            ),
            Operator(id="Ben", shifts=(Shift(start=15 * HOUR, end=18 * HOUR, overtime_end=18 * HOUR),)),
        )
    operators = ((people[0].id, 10),) if people else ()
    tasks = tuple(
        Task(
            id=f"run {k}", job=f"{k}", modes=(Mode(id="Main", machine="Main", work=10, operators=operators),)
        )
        for k in range(len(packing))
    )
    return Instance(
        name="packing",
        tick_s=60,
        horizon=48 * HOUR,
        machines=(Machine(id="Main"),),
        operators=people,
        jobs=tuple(Job(id=f"{k}", packing=ticks) for k, ticks in enumerate(packing)),
        tasks=tasks,
    )


@pytest.mark.parametrize(
    ("packing", "packed", "alone"),
    [
        (60, 18 * HOUR, 0),  # while Ben is there
        (60, 18 * HOUR + 14, 0),  # a few minutes are nobody's trouble
        (60, 18 * HOUR + 15, 15),
        (120, 19 * HOUR, 60),
        (16 * HOUR, 33 * HOUR, 14 * HOUR),  # over night: 17:00 to 18:00, then from 8:00 on
        (60, 8 * HOUR, 60),  # before anybody is there
        (0, 20 * HOUR, 0),
    ],
)
def test_packing_outside_everybodys_hours(packing: int, packed: int, alone: int) -> None:
    found = late_packing(instance(packing), {"0": packed})
    assert found == ((LatePacking(job="0", packed=packed, alone=alone),) if alone else ())


def test_only_orders_that_are_packed_and_in_their_order() -> None:
    found = late_packing(instance(60, 60, 60), {"2": 20 * HOUR, "0": 19 * HOUR})
    assert [(one.job, one.alone) for one in found] == [("0", 60), ("2", 60)]


def test_without_people_there_is_nothing_to_say() -> None:
    assert late_packing(instance(60, people=()), {"0": 20 * HOUR}) == ()


@pytest.mark.parametrize(
    ("minutes", "words"), [(0, "0 min"), (59, "59 min"), (60, "1 h"), (125, "2 h 5 min")]
)
def test_a_stretch_in_words(minutes: int, words: str) -> None:
    assert hours_and_minutes(minutes) == words
