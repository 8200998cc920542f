"""A plan that comes out worse than the one before it is said, and never takes its place unasked."""

from __future__ import annotations

import json
from dataclasses import replace
from pathlib import Path

import pytest

from scheduler.domain.faults import Source
from scheduler.domain.plan import Plan
from scheduler.answers.worse import worse_lines
from scheduler.plans.worse import Worse, worse
from tests.cli.conftest import DAY, Run
from tests.cli.test_commands import change
from tests.sheets.sample_plan import sample_plan


def with_level(plan: Plan, name: str, more: int) -> Plan:
    """The plan with so much more at a level."""
    levels = [replace(one, value=one.value + more) if one.name == name else one for one in plan.levels]
    return replace(plan, levels=tuple(levels))


def held(found: Plan, before: Plan) -> Worse:
    told = worse(found, before, counts=False)
    assert told is not None
    return told


def test_a_worse_plan_of_the_same_input_leaves_the_better_one_in_place(run: Run, shop: Path) -> None:
    """And one that was asked for, or of other orders, takes its place; both are said with their figures."""
    words = ["plan", shop / "orders.xlsx", "--day", DAY]
    assert run(*words, "--effort", "quick").exit_code == 0
    there = shop / "plans" / DAY
    best = json.loads((there / "plan.json").read_text(encoding="utf-8"))
    (there / "summary.pdf").unlink()

    result = run(*words, "--seconds", "0", "--json")
    assert result.exit_code == 0
    assert json.loads(result.stdout) == best == json.loads((there / "plan.json").read_text(encoding="utf-8"))
    assert not list(there.glob("version-*")) and (there / "summary.pdf").is_file()
    told = result.stderr.splitlines()
    (at,) = [number for number, line in enumerate(told) if line.startswith("This search found no plan as ")]
    assert "version 1 stays the plan of the day, and sheets in hand stay valid." in told[at]
    assert "this search: " in told[at + 1] and "changeovers 22 minutes in 5" in told[at + 1]
    assert "version 1:   " in told[at + 2] and "changeovers 8 minutes in 6" in told[at + 2]
    assert all("late minutes, rush orders counted more 0; " in line for line in told[at + 1 : at + 3])
    assert told[at + 3].startswith("The search was stopped early: the time limit of 0 s was reached")
    assert "--anew" in told[at + 4]
    assert sum("stopped early" in line for line in told) == 1
    assert any(line.startswith("Tuesday 9 March 2027, plan version 1: ") for line in told)

    result = run(*words, "--seconds", "0", "--anew")
    assert "Version 1, of the same orders, shop and times, was better." in result.stdout
    assert f'pressday sheets "{there / "version-1"}"' in result.stdout
    assert "plan version 2: " in result.stdout
    assert (there / "version-1" / "run-sheets.pdf").is_file()
    assert run("sheets", there / "version-1").exit_code == 0

    assert run(*words, "--effort", "quick").exit_code == 0  # better again: version 3
    change(shop / "orders.xlsx", "Orders", "Notes", 1, "fold")
    result = run(*words, "--seconds", "0")
    assert "By its figures version 3 was better, but orders, shop or times are no longer" in result.stdout
    assert f"The sheets of version 3 are in {there / 'version-3'}; to print" in result.stdout
    assert "plan version 4: " in result.stdout


def test_better_and_as_good_plans_are_silent() -> None:
    plan = sample_plan()
    assert worse(plan, plan, counts=False) is None
    assert worse(plan, with_level(plan, "changeover", 1), counts=False) is None
    less_late = with_level(with_level(plan, "lateness", -1), "changeover", 5)
    assert worse(less_late, plan, counts=False) is None, "lateness goes before changeovers"
    assert worse(plan, less_late, counts=False) is not None


@pytest.mark.parametrize("level", ["changeover", "finish", "lateness", "left_over"])
def test_the_level_that_decides_is_said_beside_lateness_and_changeovers(level: str) -> None:
    plan = sample_plan()
    lines = worse_lines(held(with_level(plan, level, 10), plan), Path("plans/2026-12-03"))
    assert lines[1].startswith("  this search: ") and lines[2].startswith(f"  version {plan.version}: ")
    names = {"finish": "all packed by", "left_over": "left over"}
    for line in lines[1:3]:
        assert "late " in line and "changeovers " in line
        assert [word for word in names.values() if word in line] == [
            name for key, name in names.items() if key == level
        ]
    assert lines[1].split(":", 1)[1].strip() != lines[2].split(":", 1)[1].strip()


def test_what_was_asked_for_counts_and_so_does_other_input() -> None:
    plan = sample_plan()
    found = with_level(plan, "changeover", 10)
    asked = worse(found, plan, counts=True)
    assert asked is not None and asked.same_input and not asked.stays
    assert held(found, plan).stays
    other_shop = held(replace(found, shop=replace(plan.shop, name="Elsewhere")), plan)
    assert not other_shop.same_input and not other_shop.stays
    assert worse(replace(found, at=plan.runs[0].start), plan, counts=False) is None


def test_the_same_orders_in_another_file_are_the_same_input(planned_once: Path) -> None:
    from scheduler.plans.kept import read_kept

    plan, _ = read_kept(planned_once)
    moved = tuple(replace(one, source=Source(file="copy.xlsx", cell="A99")) for one in plan.given)
    assert moved != plan.given
    found = with_level(replace(plan, given=moved), "changeover", 10)
    assert held(found, plan).stays
    fewer = replace(found, given=moved[1:])
    assert not held(fewer, plan).stays


def test_the_sheets_of_a_folder_that_was_locked_are_named_where_they_stayed(tmp_path: Path) -> None:
    """The new plan then lies beside the older one's folder, which can't be moved into it."""
    plan = sample_plan()
    told = worse(with_level(plan, "changeover", 10), plan, counts=True)
    assert told is not None
    final, beside = tmp_path / "2026-12-03", tmp_path / f"2026-12-03-version-{plan.version + 1}"
    final.mkdir()
    beside.mkdir()
    assert f"are in {final}; " in worse_lines(told, beside)[3]
    (final / f"version-{plan.version}").mkdir()
    assert f"are in {final / f'version-{plan.version}'}; " in worse_lines(told, final)[3]
