"""The random days: the same again from the same seed, and every rule in play over a few seeds."""

from __future__ import annotations

import pytest

from scheduler.domain.instance import Instance
from tests.support.random_days import random_day

SEEDS = range(60)
DAYS = [random_day(seed) for seed in SEEDS]


def test_a_seed_decides_the_day() -> None:
    assert [random_day(seed) for seed in SEEDS] == DAYS
    assert len({repr(day) for day in DAYS}) == len(DAYS)


@pytest.mark.parametrize("tasks", [1, 2, 5, 12])
def test_number_of_tasks_is_exact(tasks: int) -> None:
    assert {len(random_day(seed, tasks=tasks).tasks) for seed in range(20)} == {tasks}


def test_days_can_be_asked_for() -> None:
    assert {len(random_day(seed, days=2).days) for seed in range(10)} == {2}
    assert {len(day.working_days) for day in DAYS} == {1, 2}


def test_a_shop_without_crew_has_runs_that_need_nobody() -> None:
    for seed in range(10):
        day = random_day(seed, operators=0)
        assert all(not mode.operators and mode.work > 0 for task in day.tasks for mode in task.modes)


@pytest.mark.parametrize("seed", range(20))
def test_platen_value_and_platen_kind_agree(seed: int) -> None:
    # The swap is paid through the setup part "platen": its value must name the mode's platen.
    day = random_day(seed)
    kinds = [platen.id for platen in day.platens]
    for mode in (mode for task in day.tasks for mode in task.modes):
        value = mode.state[0]
        assert mode.platen == (kinds[value] if value < len(kinds) else None)
    for machine in day.machines:
        before = machine.initial[0]
        assert machine.mounted == (None if before is None else kinds[before])


def features(day: Instance) -> set[str]:
    modes = [mode for task in day.tasks for mode in task.modes]
    shifts = [shift for person in day.operators for shift in person.shifts]
    bundles = [bundle for task in day.tasks for bundle in task.bundles]
    heating = [machine for machine in day.machines if machine.circuit]
    found = {
        "unattended run": any(not mode.operators for mode in modes),
        "skill": any(0 < len(mode.operators) < len(day.operators) for mode in modes),
        "pace": any(len({work for _, work in mode.operators}) > 1 for mode in modes),
        "break": any(shift.breaks for shift in shifts),
        "overtime": any(shift.overtime_end > shift.end for shift in shifts),
        "break in overtime": any(last > shift.end for shift in shifts for _, last in shift.breaks),
        "scarce platen": any(
            platen.count < len({mode.machine for mode in modes if mode.platen == platen.id})
            for platen in day.platens
        ),
        "mounted platen": any(machine.mounted for machine in day.machines),
        "two presses side by side": any(mode.mate for mode in modes),
        "mode without platen": any(mode.platen is None for mode in modes),
        "warm-up": any(mode.warm_up for mode in modes),
        "warm-ups that exclude each other": sum(machine.watts for machine in heating)
        > day.circuits[0].limit_w,
        "cooling": any(task.cooling for task in day.tasks),
        "shared garments": len(set(bundles)) < len(bundles),
        "precedence": bool(day.precedences),
        "pair or two runs": any(task.id.endswith("-both") for task in day.tasks),
        "whole or lots": any(task.id.endswith("-all") for task in day.tasks),
        "release": any(task.release for task in day.tasks),
        "no due date": any(job.due is None for job in day.jobs),
        "packing": any(job.packing for job in day.jobs),
        "everybody out in between": len(day.days) > len(day.working_days),
    }
    return {name for name, there in found.items() if there}


def test_every_rule_is_in_play() -> None:
    counts: dict[str, int] = {}
    for day in DAYS:
        for name in features(day):
            counts[name] = counts.get(name, 0) + 1
    names = 21
    assert len(counts) == names
    assert min(counts.values()) >= 5, counts
