"""The moment from which a day is planned again, and a day that others change meanwhile."""

from __future__ import annotations

import importlib
import json
import shutil
from pathlib import Path

import openpyxl
import pytest

from scheduler.workflow import replan as again
from tests.support.commands import DAY, Clock, Run

AT = f"{DAY}T08:10"


def new_orders(shop: Path, name: str) -> Path:
    """The first sample row once more, under another number."""
    workbook = openpyxl.load_workbook(shop / "orders.xlsx")
    sheet = workbook["Orders"]
    head = next(cell for row in sheet.iter_rows() for cell in row if cell.value == "Order")
    for row in range(sheet.max_row, head.row + 1, -1):
        sheet.delete_rows(row)
    sheet.cell(head.row + 1, head.column, name)
    workbook.save(shop / f"{name}.xlsx")
    return shop / f"{name}.xlsx"


def at_once(run: Run, planned_once: Path, *words: object):
    return run("replan", "--plans", planned_once.parent, "--seconds", "0", *words)


def runs_of(planned_once: Path) -> list[dict[str, object]]:
    return json.loads((planned_once / "plan.json").read_text(encoding="utf-8"))["runs"]


def test_a_moment_before_that_of_the_plan_is_refused(run: Run, planned_once: Path) -> None:
    assert at_once(run, planned_once, "--at", f"{DAY}T08:05", "--down", "Cap press=09:30").exit_code == 0
    refused = at_once(run, planned_once, "--at", f"{DAY}T08:04")
    assert refused.exit_code == 1
    assert "version 2 was planned as of 08:05" in refused.output and "Give a later time" in refused.output
    assert at_once(run, planned_once, "--at", f"{DAY}T08:05").exit_code == 0


def test_a_moment_before_what_was_entered_is_refused(run: Run, planned_once: Path) -> None:
    number = next(one["number"] for one in runs_of(planned_once) if str(one["end"]) > f"{DAY}T08:30")
    plans = ("--plans", planned_once.parent)
    assert run("done", number, "--finished", "09:40", *plans).exit_code == 0
    refused = at_once(run, planned_once, "--at", f"{DAY}T09:39")
    assert refused.exit_code == 1, refused.output
    assert f"run {number}" in refused.output and "pressday undo 1" in refused.output
    asked = run("promise", new_orders(planned_once.parent.parent, "N1"), "--at", f"{DAY}T09:39")
    assert asked.exit_code == 1 and "pressday undo 1" in asked.output
    assert at_once(run, planned_once, "--at", f"{DAY}T09:40").exit_code == 0


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (("--down", "Press 1=08:10"), "--down Press 1: 08:10"),
        (("--away", "Ana=07:30-08:10"), "--away Ana: 08:10"),
        (("--cut-off", "S3=08:10"), "cut-off of order S3: 08:10"),
    ],
)
def test_what_is_over_by_then_is_refused(
    run: Run, planned_once: Path, words: tuple[str, str], said: str
) -> None:
    refused = at_once(run, planned_once, "--at", AT, *words)
    assert refused.exit_code == 1, refused.output
    assert said in refused.output and "not after 08:10" in refused.output
    assert {one.name for one in planned_once.parent.iterdir()} >= {DAY}
    later = at_once(run, planned_once, "--at", f"{DAY}T08:09", *words)
    assert later.exit_code == 0, later.output


def test_by_when_must_be_after_the_moment(run: Run, planned_once: Path) -> None:
    orders = new_orders(planned_once.parent.parent, "N1")
    refused = run("promise", orders, "--at", AT, "--by", "08:10", "--seconds", "0")
    assert refused.exit_code == 1 and "--by: 2027-03-09 08:10, which is not after" in refused.output
    assert run("promise", orders, "--at", AT, "--by", "08:11", "--seconds", "0").exit_code == 0


def test_a_day_that_is_not_today_needs_its_moment(run: Run, planned_once: Path) -> None:
    orders = new_orders(planned_once.parent.parent, "N1")
    for words in (("replan", "--plans", planned_once.parent), ("rush", orders), ("promise", orders)):
        refused = run(*words)
        assert refused.exit_code == 1, refused.output
        assert "the plan is of Tuesday 9 March 2027; today is" in refused.output
        assert f"--at {DAY}T10:30" in refused.output


@pytest.mark.parametrize("year", ["1027", "9999"])
def test_a_moment_in_a_year_that_is_a_slip_is_refused(run: Run, planned_once: Path, year: str) -> None:
    at = f"{year}-12-31T08:10"
    plans = ("--plans", planned_once.parent)
    for words in (
        ("replan", "--at", AT, "--late-box", f"S1={at}"),
        ("progress", "--at", at),
        ("done", 1, "--finished", at),
    ):
        refused = run(*words, *plans)
        assert refused.exit_code == 1, refused.output
        assert f"in the year {year}; expected a date from 2000 to 2099" in refused.output


def test_a_day_that_is_today_is_planned_again_from_now(run: Run, planned_once: Path, clock: Clock) -> None:
    clock(f"{AT}:33")
    asked = run("promise", new_orders(planned_once.parent.parent, "N1"), "--seconds", "0")
    assert asked.exit_code == 0 and "asked as of 08:10" in asked.output


def test_a_plan_made_meanwhile_by_another_command_is_built_on(
    run: Run, planned_once: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    shop = planned_once.parent.parent
    first, second = new_orders(shop, "N1"), new_orders(shop, "N2")
    search = again.search_rest
    searched = []

    def and_another_command(*args, **more):
        searched.append(args)
        if len(searched) == 1:
            assert run("rush", second, "--at", AT, "--seconds", "0").exit_code == 0
        return search(*args, **more)

    monkeypatch.setattr(again, "search_rest", and_another_command)
    result = run("rush", first, "--at", AT, "--seconds", "0", "--json")
    assert result.exit_code == 0, result.output
    assert "Version 2 was made while this was planned from version 1" in result.stderr
    document = json.loads(result.stdout)
    assert (document["version"], document["replaces"]) == (3, 2)
    assert {"N1", "N2"} <= {order["id"] for order in document["orders"]}
    assert len(searched) == 3


def test_what_is_entered_meanwhile_counts(
    run: Run, planned_once: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    first = min(runs_of(planned_once), key=lambda one: str(one["start"]))
    search = again.search_rest
    seen = []

    def and_an_entry(rest, **more):
        seen.append(rest)
        if len(seen) == 1:
            words = ("--finished", "08:05", "--plans", planned_once.parent)
            assert run("done", first["number"], *words).exit_code == 0
        return search(rest, **more)

    monkeypatch.setattr(again, "search_rest", and_an_entry)
    result = at_once(run, planned_once, "--at", AT)
    assert result.exit_code == 0 and "Something was entered in the meantime" in result.output
    assert len(seen) == 2
    ends = [next(done.end for done in rest.moment.begun if done.task == first["id"]) for rest in seen]
    assert ends[0] != ends[1]


@pytest.mark.parametrize("during", ["scheduler.workflow.search.search", "scheduler.plans.sure.sure_of"])
def test_a_day_that_comes_under_way_while_it_is_planned_is_not_planned_over(
    run: Run, planned_once: Path, monkeypatch: pytest.MonkeyPatch, during: str
) -> None:
    """Whether the entry comes in during the search or while the sheets are made."""
    orders = new_orders(planned_once.parent.parent, "N1")
    module, _, name = during.rpartition(".")
    work = getattr(importlib.import_module(module), name)

    def and_an_entry(*args, **more):
        assert run("started", 1, "--at", "07:40", "--plans", planned_once.parent).exit_code == 0
        return work(*args, **more)

    monkeypatch.setattr(during, and_an_entry)
    again = ["plan", orders, "--day", DAY, "--seconds", "0"]
    refused = run(*again)
    assert refused.exit_code == 1, refused.output
    assert "Tuesday 9 March 2027 is under way: 1 entry in the day book" in refused.output
    assert "the search was in vain" in refused.output
    assert "pressday replan" in refused.output and "--anew" in refused.output
    assert [path.name for path in planned_once.iterdir() if path.name.startswith("version-")] == []
    assert "N1" not in (planned_once / "plan.json").read_text(encoding="utf-8")
    assert not list(planned_once.parent.glob(f".{DAY}-*"))
    assert run(*again, "--anew").exit_code == 0
    assert "N1" in (planned_once / "plan.json").read_text(encoding="utf-8")


def test_a_time_may_be_written_with_a_point_and_the_folder_by_either_name(
    run: Run, planned_once: Path
) -> None:
    words = ("--out", planned_once.parent, "--at", "8.10", "--seconds", "0")
    assert run("replan", *words).exit_code == 0
    orders = new_orders(planned_once.parent.parent, "N1")
    said = run("promise", orders, "--plans", planned_once.parent, "--at", "8.10", "--seconds", "0")
    assert said.exit_code == 0 and "asked as of 08:10" in said.output


def test_what_is_odd_about_what_came_in_between_is_doubted(run: Run, planned_once: Path) -> None:
    late = at_once(run, planned_once, "--at", f"{DAY}T08:05", "--late-box", "S2=12:00")
    assert late.exit_code == 0, late.output
    assert "--late-box S2: 12:00, but run 1 of it was begun at 07:34" in late.output
    gone = at_once(run, planned_once, "--at", f"{DAY}T08:06", "--cancel", "S2", "--cancel", "S3")
    assert gone.exit_code == 0 and "--cancel S2: every piece of it is pressed already" in gone.output
    assert "--cancel S3:" not in gone.output
    page = (planned_once / "day.html").read_text(encoding="utf-8")
    assert "planned again from 08:06 on" in page and 'class="moment"' in page
    assert "Order S3 is cancelled" in page and "The garments of order S2 come in at 12:00" in page


@pytest.mark.parametrize("words", [("done", "0"), ("undo", "-1"), ("undo", "x")])
def test_numbers_are_whole_from_one_on(run: Run, planned_once: Path, words: tuple[str, str]) -> None:
    refused = run(words[0], "--plans", planned_once.parent, "--", words[1])
    assert refused.exit_code == 2 and "write a whole number, from 1 on" in refused.stderr


def test_another_folder_is_another_day(run: Run, planned_once: Path, tmp_path: Path) -> None:
    other = Path(shutil.copytree(planned_once.parent, tmp_path / "other"))
    assert at_once(run, planned_once, "--at", f"{DAY}T08:05", "--down", "Cap press=09:30").exit_code == 0
    assert run("replan", "--plans", other, "--at", AT, "--seconds", "0").exit_code == 0


def test_pieces_pressed_again_are_owed_no_more_and_history_says_cut_offs(
    run: Run, planned_once: Path
) -> None:
    plans = ("--plans", planned_once.parent)
    words = ("--pieces", 1, "--finished", "07:56", *plans)
    assert run("done", 1, *words).exit_code == 0
    before = run("progress", "--at", AT, *plans).stdout
    assert "To be pressed again, in no plan yet" in before
    cut_off = ("--cut-off", "S3=15:00")
    assert at_once(run, planned_once, "--at", AT, "--press-again", *cut_off).exit_code == 0
    after = run("progress", "--at", AT, *plans).stdout
    assert "in no plan yet" not in after and "Pressed again by this plan:" in after
    history = run("progress", "--history", *plans).stdout
    assert "order S3: order changed" in history and "cut-off 15:00" in history


def test_what_is_taken_back_is_named(run: Run, planned_once: Path) -> None:
    assert at_once(run, planned_once, "--at", AT, "--down", "Cap press=09:30").exit_code == 0
    back = run("undo", 1, "--plans", planned_once.parent)
    assert "taken back: Cap press: press down 08:10, until 09:30" in back.stdout, back.stdout
    again_down = run("undo", 2, "--plans", planned_once.parent)
    assert "holds again: entry 1: Cap press: press down" in again_down.stdout, again_down.stdout


def test_entries_without_a_time_are_not_said_to_be_after_the_moment(run: Run, planned_once: Path) -> None:
    """They count as planned, and that is said; faults that have no cell are not listed as empty ones."""
    plans = ("--plans", planned_once.parent)
    numbers = [one["number"] for one in runs_of(planned_once)]
    assert len(numbers) > 4
    assert run("done", *numbers, *plans).exit_code == 0
    refused = at_once(run, planned_once, "--at", f"{DAY}T07:31")
    assert refused.exit_code == 1
    assert "what happened after it" not in refused.output
    assert "has no time, so it counts as of " in refused.output
    assert "Enter when it was, pressday done " in refused.output and "--finished HH:MM; or" in refused.output
    assert ", ," not in refused.output
