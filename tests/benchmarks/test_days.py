"""The benchmark days: the same everywhere, of the size and load that their names say, every rule in them."""

from __future__ import annotations

import hashlib
import json
from dataclasses import fields, is_dataclass
from typing import Any

import pytest

from tests.benchmarks.days import LOADS, load_of, names, parse, problem_of, read_day, runs_of


def stated(value: object) -> Any:
    """Data classes as what differs from their defaults: a field that is new to them changes nothing."""
    if is_dataclass(value):
        given = {field.name: (field.default, getattr(value, field.name)) for field in fields(value)}
        return {name: stated(found) for name, (usual, found) in given.items() if found != usual}
    return [stated(item) for item in value] if isinstance(value, tuple) else value


def fingerprint(name: str) -> str:
    """Eight bytes that change with anything in the instance."""
    text = json.dumps(stated(read_day(name)), ensure_ascii=False, sort_keys=True)
    return hashlib.sha256(text.encode()).hexdigest()[:16]


@pytest.mark.parametrize(
    ("name", "expected"),
    [
        ("days-8-085-1", "c1d2ddf82256e6d0"),
        ("days-30-115-2", "806216b75ebbab3a"),
        ("days-60-070-3", "e9c835d4dc6e3c12"),
    ],
)
def test_the_same_day_everywhere(name: str, expected: str) -> None:
    """When this fails on purpose, what is kept in `best_known` is of other days: throw it away."""
    assert fingerprint(name) == expected


@pytest.mark.parametrize("name", names((8, 30, 60), (1, 2)))
def test_runs_and_load_are_what_the_name_says(name: str) -> None:
    wanted, instance = parse(name), read_day(name)
    assert abs(runs_of(instance) - wanted.runs) <= 1 + wanted.runs // 50
    assert abs(100 * load_of(instance) - wanted.load) <= 3


def test_another_load_is_another_quantity_of_the_same_orders() -> None:
    light, heavy = (problem_of(f"days-30-{load:03d}-1") for load in (LOADS[0], LOADS[-1]))
    assert [order.customer for order in light.orders] == [order.customer for order in heavy.orders]
    assert sum(order.quantity for order in light.orders) < sum(order.quantity for order in heavy.orders)


def test_every_rule_has_something_to_do() -> None:
    instance = read_day("days-60-100-1")
    tasks = {task.id: task for task in instance.tasks}
    modes = [mode for task in instance.tasks for mode in task.modes]
    everybody = [person.id for person in instance.operators]
    assert any(len(mode.operators) < len(everybody) for mode in modes)  # skills
    assert any(len({work for _, work in mode.operators}) > 1 for mode in modes)  # pace
    assert all(shift.breaks for person in instance.operators for shift in person.shifts)
    assert any(shift.end < shift.overtime_end for person in instance.operators for shift in person.shifts)
    assert len(instance.heating_days) > 1
    assert sum(platen.count for platen in instance.platens) > len(instance.platens)
    assert all(machine.mounted for machine in instance.machines)
    for circuit in instance.circuits:
        assert (
            sum(press.watts for press in instance.machines if press.circuit == circuit.id) > circuit.limit_w
        )
    assert all(mode.warm_up > 0 for mode in modes)
    assert any(task.cooling for task in instance.tasks)
    assert any(task.release > instance.heating_days[0].start for task in instance.tasks)
    assert instance.precedences
    assert len({job.due for job in instance.jobs}) >= 4
    assert len({job.weight for job in instance.jobs}) == 3
    assert len({job.packing for job in instance.jobs}) > 5
    shared = [bundle for task in instance.tasks if not lots(task.id) for bundle in task.bundles]
    assert len(shared) > len(set(shared))  # placements of the same garments
    ways = [way for choice in instance.choices for way in choice.options]
    assert any("+" in task for way in ways for task in way)  # pairs
    assert any(lots(task) for way in ways for task in way)
    assert all(tasks[name].bundles for way in ways for name in way)


def lots(task: str) -> bool:
    return " of " in task


def test_names_and_what_is_none() -> None:
    assert len(names()) == len(set(names())) == 7 * 4 * 3
    assert names((8,), (5,))[1] == "days-8-085-5"
    with pytest.raises(ValueError, match="'days-60-85-1' is no day; days are named like days-60-085-1"):
        parse("days-60-85-1")
    with pytest.raises(
        ValueError, match="'days-61-085-1' is no day; runs are 8, 30, 60, 120, 250, 500, 1000"
    ):
        parse("days-61-085-1")
