"""That a search was stopped early is said in the same words by every command that searches, and why."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

from scheduler.domain.schedule import Result
from scheduler.workflow import question as looked
from scheduler.workflow import rest
from scheduler.workflow import search as planned
from tests.cli.test_compare import HEAD
from tests.support.commands import AT, DAY, Run

BY_TIME = (
    "stopped early: the time limit of 0 s was reached (--seconds sets another); another run need not give"
)
TOLD = "stopped early: it was told to stop (Ctrl-C); another run need not give"


def words_of(command: str, shop: Path, orders: Path, tmp_path: Path) -> list[object]:
    """A command line of every command that searches, on a day that is planned."""
    if command == "compare":
        changes = tmp_path / "changes.csv"
        changes.write_text(HEAD + "cover,,,Presses,Press 1,Platen cover,yes\n", encoding="utf-8")
        return ["compare", shop / "orders.xlsx", "--changes", changes, "--day", DAY, "--seeds", 1]
    if command == "plan":
        return ["plan", shop / "orders.xlsx", "--day", DAY, "--effort", "quick"]
    if command == "replan":
        return ["replan", "--plans", shop / "plans", "--at", "08:10"]
    return [command, orders, "--at", AT, "--shop", shop / "shop.xlsx"]


@pytest.mark.parametrize("command", ["plan", "rush", "replan", "promise", "compare"])
def test_every_command_says_that_time_ended_its_search(
    command: str, run: Run, planned_once: Path, new_orders: Path, tmp_path: Path
) -> None:
    words = words_of(command, planned_once.parent.parent, new_orders, tmp_path)
    result = run(*words, "--seconds", 0)
    assert result.exit_code == 0, result.output
    assert BY_TIME in " ".join(result.stdout.split())
    if command == "promise":  # the quickest to ask
        assert "stopped early" not in run(*words).stdout


@pytest.mark.parametrize("command", ["plan", "rush", "replan", "promise"])
def test_every_command_says_that_it_was_told_to_stop(
    command: str,
    run: Run,
    planned_once: Path,
    new_orders: Path,
    tmp_path: Path,
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    def told(search: Callable[..., Result], show: object) -> Any:
        return search(progress=lambda _: None, stop=lambda: True)

    for place in (planned, rest, looked):
        monkeypatch.setattr(place, "watched", told)
    result = run(*words_of(command, planned_once.parent.parent, new_orders, tmp_path))
    assert result.exit_code == 0, result.output
    assert TOLD in " ".join(result.stdout.split())


@pytest.mark.parametrize("there", ["nothing", "empty folder", "another file"])
def test_giving_up_while_sheets_are_made_leaves_nothing_behind(
    there: str, run: Run, shop: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """No day book, no folder of plans; what was there before stays."""

    def interrupted(*_: object, **__: object) -> dict[str, bytes]:
        raise KeyboardInterrupt

    monkeypatch.setattr("scheduler.sheets.write.all_files", interrupted)
    if there != "nothing":
        (shop / "plans").mkdir()
    if there == "another file":
        (shop / "plans" / "note.txt").write_text("call the courier")
    before = sorted(shop.rglob("*"))
    result = run("plan", shop / "orders.xlsx", "--day", DAY, "--effort", "quick", "--seconds", "0")
    assert (result.exit_code, "Stopped; nothing was written." in result.stderr) == (3, True), result.output
    assert sorted(shop.rglob("*")) == before
    monkeypatch.undo()
    monkeypatch.setenv("PRESSDAY_COMPILE", "0")
    assert run("plan", shop / "orders.xlsx", "--day", DAY, "--seconds", "0").exit_code == 0
    assert (shop / "plans" / "day-book.sqlite").is_file()
