"""Orders of which something was entered as pressed on another day than the one that is planned."""

from __future__ import annotations

import json
from pathlib import Path

from tests.support.commands import DAY, Run

NEXT = "2027-03-10"


def entered(run: Run, planned_once: Path) -> tuple[str, int]:
    """The first run of the day, entered as done; its order and its pieces."""
    runs = json.loads((planned_once / "plan.json").read_text(encoding="utf-8"))["runs"]
    one = min(runs, key=lambda each: int(each["number"]))
    result = run("done", one["number"], "--day", DAY, "--plans", planned_once.parent)
    assert result.exit_code == 0, result.output
    return one["order"], one["quantity"]


def test_work_that_was_done_the_day_before_is_not_planned_again_without_a_word(
    run: Run, planned_once: Path, shop: Path
) -> None:
    order, pieces = entered(run, planned_once)
    words = ["plan", shop / "orders.xlsx", "--day", NEXT, "--seconds", "0", "--effort", "quick"]
    result = run(*words, "--accept-partial")
    assert f"order {order}: the day book has" in result.stderr, result.output
    assert f"{pieces}" in result.stderr and "as pressed on Tuesday 9 March 2027" in result.stderr
    assert "write the word done under Status" in result.stderr
    others = [line for line in result.stderr.splitlines() if "the day book has" in line]
    assert len(others) == 1, "of the other orders nothing was entered"
    assert result.exit_code == 0


def test_of_the_same_day_or_what_was_taken_back_there_is_nothing_to_say(
    run: Run, planned_once: Path, shop: Path
) -> None:
    assert entered(run, planned_once)
    words = ["plan", shop / "orders.xlsx", "--seconds", "0", "--effort", "quick", "--accept-partial"]
    same_day = run(*words, "--day", DAY, "--anew")
    assert "the day book has" not in same_day.stderr
    assert run("undo", 1, "--day", DAY, "--plans", planned_once.parent).exit_code == 0
    assert "the day book has" not in run(*words, "--day", NEXT).stderr
