"""A plan that comes out worse than the one before it is said, and never takes its place unasked."""

from __future__ import annotations

import json
from pathlib import Path

from tests.support.commands import DAY, Run, change


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
