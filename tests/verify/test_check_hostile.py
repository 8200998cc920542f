"""Schedules made to mislead the check: breaks, never exceptions; and its list of rules is whole."""

from __future__ import annotations

import re
import subprocess
import sys
from dataclasses import replace
from pathlib import Path
from random import Random

import pytest

from scheduler.domain.instance import Instance
from scheduler.domain.schedule import Schedule, ScheduledTask, WarmUp
from scheduler.verify import all_rules, check
from tests.support.random_days import random_day
from tests.support.tiny import ANN, at, instance, plan, task, way

ZOE = replace(ANN, id="Zoe")
ROOT = Path(__file__).resolve().parents[2]


def test_rules_are_those_of_the_model_page() -> None:
    page = (ROOT / "docs" / "model.md").read_text(encoding="utf-8")
    table = page.split("\n## Rules\n")[1].split("\n## ")[0]
    named = re.findall(r"^\| `(\w+)` \|", table, flags=re.MULTILINE)
    assert len(named) == 10
    assert sorted(all_rules()) == sorted(named)


def test_check_needs_neither_engine_nor_solver() -> None:
    code = (
        "import sys, scheduler.verify as v; v.all_rules(); "
        "print([m for m in sys.modules if m.startswith(('ortools', 'scheduler.engine', 'numpy', 'pandas'))])"
    )
    answer = subprocess.run(
        [sys.executable, "-c", code], capture_output=True, text=True, cwd=ROOT, check=True
    )
    assert answer.stdout.strip() == "[]"


JUNK = [None, "", "ghost", -1, 10**18, 2.5, float("inf"), ["a"], {"a": 1}, True]


def junk_schedule(rng: Random, day: Instance) -> Schedule:
    """A schedule of true names and times mixed with anything else."""
    names = [each.id for each in day.tasks]
    presses = [each.id for each in day.machines]
    people = [each.id for each in day.operators]
    modes = [mode.id for each in day.tasks for mode in each.modes]

    def some(true: list[str]) -> object:
        return rng.choice(true) if true and rng.random() < 0.85 else rng.choice(JUNK)

    def tick() -> object:
        return rng.randint(-5, day.horizon + 5) if rng.random() < 0.95 else rng.choice(JUNK)

    tasks = tuple(
        ScheduledTask(
            task=some(names),  # type: ignore[arg-type]
            mode=some(modes),  # type: ignore[arg-type]
            operator=some(people),  # type: ignore[arg-type]
            setup_start=tick(),  # type: ignore[arg-type]
            start=tick(),  # type: ignore[arg-type]
            end=tick(),  # type: ignore[arg-type]
            mounts_platen=rng.choice([True, False, None]),  # type: ignore[arg-type]
            mate_mounts=rng.choice([True, False, None]),  # type: ignore[arg-type]
        )
        for _ in range(rng.randint(0, 10))
    )
    warm_ups = tuple(
        WarmUp(machine=some(presses), start=tick(), end=tick())  # type: ignore[arg-type]
        for _ in range(rng.randint(0, 4))
    )
    left_over = tuple(some(names) for _ in range(rng.randint(0, 4)))
    return Schedule(tasks=tasks, warm_ups=warm_ups, left_over=left_over)  # type: ignore[arg-type]


@pytest.mark.parametrize("seed", range(40))
def test_junk_gives_breaks_not_exceptions(seed: int) -> None:
    rng = Random(seed)
    for number in range(10):
        day = random_day(seed * 10 + number)
        verdict = check(day, junk_schedule(rng, day))
        # Ten wild guesses never make a plan: something is missing, doubled or in two places.
        assert verdict.breaks
        assert all(each.message and each.amount > 0 and each.rule in all_rules() for each in verdict.breaks)
        assert all(
            type(value) is int and value >= 0 for name, value in verdict.values.items() if name != "finish"
        )


def test_order_of_the_entries_means_nothing() -> None:
    rng = Random(5)
    for seed in range(30):
        day = random_day(seed)
        schedule = junk_schedule(rng, day)
        # Twins of one start and end are told apart by their place in the schedule only.
        keys = [(str(each.start), str(each.end), str(each.setup_start)) for each in schedule.tasks]
        if len(set(keys)) < len(keys):
            continue
        mixed = Schedule(
            tasks=tuple(rng.sample(schedule.tasks, len(schedule.tasks))),
            warm_ups=tuple(rng.sample(schedule.warm_ups, len(schedule.warm_ups))),
            left_over=tuple(rng.sample(schedule.left_over, len(schedule.left_over))),
        )
        first, second = check(day, schedule), check(day, mixed)
        assert sorted(each.message for each in first.breaks) == sorted(each.message for each in second.breaks)
        assert first.values == second.values


@pytest.mark.parametrize("seed", range(30))
def test_leaving_everything_over_is_always_a_plan(seed: int) -> None:
    day = random_day(seed)
    chosen = {name for choice in day.choices for option in choice.options for name in option}
    taken = {name for choice in day.choices for name in choice.options[0]}
    left = tuple(each.id for each in day.tasks if each.id not in chosen or each.id in taken)
    verdict = check(day, Schedule(tasks=(), left_over=left))
    assert verdict.breaks == ()
    assert verdict.values["left_over"] == sum(each.pressings for each in day.tasks if each.id in left)
    missing = check(day, Schedule(tasks=(), left_over=left[1:]))
    assert [each.rule for each in missing.breaks] == ["coverage"]


def test_end_before_start() -> None:
    problem = instance(task("a"), task("b"))
    rules = {each.rule for each in check(problem, plan(at("a", 0, 10), at("b", 40, 30))).breaks}
    assert rules == {"calendar"}
    # By somebody who may not do it, its length is unknown; backwards it still can't be.
    crewed = instance(task("a", way(operators=(("Zoe", 10),))), operators=(ANN, ZOE))
    found = check(crewed, plan(at("a", 40, 30, by="Ann"))).breaks
    assert [(each.rule, each.amount) for each in found if each.rule == "calendar"][-1] == ("calendar", 10)


def test_setup_after_start() -> None:
    problem = instance(task("a"))
    entry = ScheduledTask(task="a", mode="A", setup_start=5, start=3, end=13)
    assert [(each.rule, each.amount) for each in check(problem, plan(entry)).breaks] == [("changeover", 2)]


def test_doubled_task_is_followed_everywhere() -> None:
    # Both copies hold the press and the garments: the second can't hide behind the first.
    problem = instance(task("a", way(), way("B"), bundles=("G",)))
    verdict = check(problem, plan(at("a", 0, 10), at("a", 5, 15, mode="B")))
    assert [(each.rule, each.amount) for each in verdict.breaks] == [("coverage", 1), ("garments", 5)]
