"""`pressday compare`: two versions of a shop, changes in ones and twos, what it refuses, what it writes."""

from __future__ import annotations

import json
import re
import shutil
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest
from openpyxl import load_workbook
from typer.testing import Result

from scheduler.answers.compare.rows import short
from scheduler.scenarios import changes as version_changes
from scheduler.scenarios import run as runs
from scheduler.scenarios.money import Saved, saved_a_day
from scheduler.scenarios.plan_day import Outcome, Task
from tests.cli.test_pictures import needs_library
from tests.support.commands import DAY, Run

HEAD = "Change,Price,Cost a day,Sheet,Row,Column,New value\n"
QUICK = ("--day", DAY, "--seconds", 0, "--seeds", 1, "--workers", 1)
"""First plans only: enough for what is said and written."""


@pytest.fixture
def changes(shop: Path) -> Path:
    path = shop / "changes.csv"
    path.write_text(
        HEAD
        + "cover,150,,Presses,Press 1,Platen cover,yes\n"
        + "one more person,0,,Crew,Dora,Like,Ben\n"
        + "note,,,Shop,Name,Value,Another name\n",
        encoding="utf-8",
    )
    return path


def answer(result: Result) -> dict[str, Any]:
    found: dict[str, Any] = json.loads(result.stdout)
    return found


def test_a_copy_of_the_workbook_makes_no_difference(run: Run, shop: Path) -> None:
    copy = Path(shutil.copy(shop / "shop.xlsx", shop / "copy.xlsx"))
    words = ["compare", shop / "orders.xlsx", "--other", copy, *QUICK]
    found = answer(run(*words, "--json"))
    (version,) = found["versions"]
    assert version["name"] == "copy"
    assert not version["touches_these_orders"]
    assert {one["verdict"] for one in version["in_all"].values()} == {"the same"}
    assert {one["difference"] for one in version["in_all"].values()} == {0}
    said = run(*words).stdout
    assert "Tuesday 9 March 2027, orders.xlsx" in said
    assert said.count("no difference, proven") == 8


def test_changes_are_tried_in_ones_and_twos_and_ranked(run: Run, shop: Path, changes: Path) -> None:
    book = shop / "figures.xlsx"
    words = ["compare", shop / "orders.xlsx", "--changes", changes, *QUICK, "--wage", "20,50"]
    found = answer(run(*words, "--workbook", book, "--json"))
    names = [one["name"] for one in found["versions"]]
    assert sorted(names) == [
        "cover",
        "cover + note",
        "cover + one more person",
        "note",
        "one more person",
        "one more person + note",
    ]
    by_name = {one["name"]: one for one in found["versions"]}
    assert found["assumed"] == {
        "wage": 20.5,
        "overtime_wage": 20.5,
        "late_order": 0,
        "working_days_per_year": 250,
    }
    assert by_name["cover + one more person"]["price"] == 150
    assert (by_name["note"]["price"], by_name["note"]["payback"]) == (None, None)
    assert by_name["note"]["saved_a_day"]["planned"] == 0
    # Ben is paid for 8 hours without his breaks; nobody needs Dora's on this small day.
    assert by_name["one more person"]["saved_a_day"]["planned"] < -100
    paid = by_name["one more person"]["paid_hours"]
    assert paid["then"] - paid["today"] > 5
    assert len(set(by_name["cover"]["paid_hours"].values())) == 1
    assert {tuple(one["names"]) for one in found["together"]} == {
        ("cover", "one more person"),
        ("cover", "note"),
        ("one more person", "note"),
    }
    sheets = load_workbook(book)
    assert sheets.sheetnames == ["Ranking", "Pairs", "Figures", "Notes"]
    assert [row[1] for row in sheets["Ranking"].iter_rows(min_row=2, values_only=True)] == names
    assert sheets["Figures"].max_row == 1 + 6 * 10
    ranking = list(sheets["Ranking"].iter_rows(values_only=True))
    column = ranking[0].index("paid, hours")
    more = {row[1]: row[column] for row in ranking[1:]}
    assert more["one more person"] == pytest.approx(paid["then"] - paid["today"], abs=0.01)
    assert more["cover"] == 0
    (row,) = [
        row
        for row in sheets["Figures"].iter_rows(values_only=True)
        if row[0] == "one more person" and row[2] == "paid, hours"
    ]
    assert (row[3], row[7]) == (paid["today"], paid["then"]) and row[11] == more["one more person"]
    said = run(*words, "--no-pairs").stdout
    assert "Ranked by payback, proven first" in said
    assert "cover + note" not in said
    assert "paid h" in said
    assert "no difference: nothing of it touches these orders" in said
    assert "Assumed: 20.5 an hour, 20.5 an hour of overtime, 0 for a late order; 250 working days" in said


@needs_library
def test_what_pays_back_is_drawn(run: Run, shop: Path, changes: Path) -> None:
    """By the plans, and in a line of its own what is proven."""
    picture = shop / "paid.svg"
    words = ["compare", shop / "orders.xlsx", "--changes", changes, *QUICK, "--no-pairs"]
    result = run(*words, "--wage", 20, "--picture", picture, "--json")
    assert result.exit_code == 0, result.output
    found = {one["name"]: one for one in answer(result)["versions"]}
    days = found["cover"]["payback"]["working_days"]
    drawn = picture.read_text(encoding="utf-8")
    assert f"cover: paid after {days:.2f}".rstrip("0") in drawn
    assert "note: paid" not in drawn and "one more person: paid" not in drawn
    assert "By the plans, where a line is not called proven." in drawn
    assert result.stderr.splitlines()[-1] == f"Written: {picture}"

    refused = run(*words, "--picture", picture)
    assert (refused.exit_code, "needs --wage" in refused.stderr) == (2, True)
    free = run(
        "compare",
        shop / "orders.xlsx",
        "--other",
        shop / "shop.xlsx",
        *QUICK,
        "--wage",
        20,
        "--picture",
        shop / "no.svg",
    )
    assert free.stdout.splitlines()[-1] == "Not drawn: no version with a price pays back."
    assert not (shop / "no.svg").exists()


def test_several_days_are_planned_each_for_itself_and_summed_up(run: Run, shop: Path, changes: Path) -> None:
    other = Path(shutil.copy(shop / "orders.xlsx", shop / "again.xlsx"))
    words = ["compare", shop / "orders.xlsx", other, "--changes", changes, "--no-pairs", *QUICK]
    # The same orders in two files for one day: planned once, together.
    together = answer(run(*words, "--json"))
    assert [one["files"] for one in together["days"]] == [["orders.xlsx", "again.xlsx"]]
    apart = answer(run(*words, "--day", DAY, "--json"))
    assert [one["files"] for one in apart["days"]] == [["orders.xlsx"], ["again.xlsx"]]
    (one,) = [version for version in apart["versions"] if version["name"] == "cover"]
    for name in ("changeover", "work", "packed_that_day"):
        days = [day["figures"][name]["then"]["plan"] for day in one["days"]]
        assert one["in_all"][name]["then"]["plan"] == pytest.approx(sum(days))


def test_a_version_with_faults_is_reported_and_the_others_go_on(run: Run, shop: Path, changes: Path) -> None:
    text = changes.read_text(encoding="utf-8")
    changes.write_text(text + "two covers,9,,Presses,Press 1,Platen cover,both\n", encoding="utf-8")
    result = run("compare", shop / "orders.xlsx", "--changes", changes, "--no-pairs", *QUICK)
    assert result.exit_code == 1
    assert "Left out: two covers\n" in result.stderr
    assert 'changes.csv, G5: platen cover "both"; expected yes or no' in result.stderr
    assert "Left out, there are faults (see above): two covers." in result.stdout
    assert "1. cover" in result.stdout
    changes.write_text(HEAD + "two covers,9,,Presses,Press 1,Platen cover,both\n", encoding="utf-8")
    alone = run("compare", shop / "orders.xlsx", "--changes", changes, *QUICK, "--json")
    assert alone.exit_code == 1
    assert [one["cell"] for one in answer(alone)["faults"]] == ["G2"]
    assert "Nothing was compared." in alone.stderr


def test_each_fault_is_said_once_at_its_cell_and_what_is_left_out_is_named(
    run: Run, shop: Path, changes: Path
) -> None:
    """With pairs a change stands in several versions; its faults stand in one place."""
    text = changes.read_text(encoding="utf-8")
    wrong = "lost,9,,Presses,Press 9,Platen cover,yes\ndear,x,,Preses,Press 1,Platen cover,yes\n"
    changes.write_text(text + wrong, encoding="utf-8")
    result = run("compare", shop / "orders.xlsx", "--changes", changes, *QUICK)
    assert result.exit_code == 1
    for cell, found in (("E5", 'no row "Press 9"'), ("B6", 'price "x"'), ("D6", 'sheet "Preses"')):
        assert result.stderr.count(f"changes.csv, {cell}: {found}") == 1
    assert result.stderr.count("changes.csv, ") == 3
    said = " ".join(result.stdout.split())
    assert "Left out, there are faults (see above): lost; dear; cover + lost; cover + dear;" in said


def test_a_row_without_a_change_is_left_out_and_not_its_file(run: Run, shop: Path, changes: Path) -> None:
    text = changes.read_text(encoding="utf-8")
    words = ["compare", shop / "orders.xlsx", "--changes", changes, "--no-pairs", *QUICK]
    changes.write_text(text + ",,,Presses,Press 2,Platen cover,yes\n", encoding="utf-8")
    result = run(*words)
    assert result.exit_code == 1
    assert "Left out: row 5 of changes.csv\n" in result.stderr
    assert "Left out, there are faults (see above): row 5 of changes.csv." in result.stdout
    assert "1. cover" in result.stdout
    nameless = ",,,Presses,Press 2,Platen cover,yes\nlost,,,Presses,Press 9,Platen cover,yes\n" * 2
    changes.write_text(text + nameless, encoding="utf-8")
    said = run(*words).stderr
    assert "Left out: rows 5 and 7 of changes.csv\n" in said
    assert said.count("All else is compared.") == 1
    assert said.index("Left out: lost") < said.index("All else is compared.")
    changes.write_text(text, encoding="utf-8")
    assert "All else is compared." not in run(*words).stderr


def test_a_saving_outside_of_its_seeds_is_explained(
    run: Run, shop: Path, changes: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    words = ["compare", shop / "orders.xlsx", "--changes", changes, "--no-pairs", *QUICK, "--wage", 20]
    told = "so a figure can lie outside of its seeds."
    assert told not in run(*words).stdout
    real = saved_a_day

    def luckier(*given: Any) -> Saved | None:
        saved = real(*given)
        return None if saved is None else replace(saved, by_seed=(saved.planned + 4, saved.planned + 9))

    monkeypatch.setattr(version_changes, "saved_a_day", luckier)
    assert told in " ".join(run(*words).stdout.split())


def test_what_saves_nothing_never_pays_back_whatever_it_costs(
    run: Run, shop: Path, changes: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """A blank price leaves the payback open only where something is saved."""
    monkeypatch.setenv("COLUMNS", "400")
    changes.write_text(
        HEAD
        + "cover,,,Presses,Press 1,Platen cover,yes\n"
        + "person,,,Crew,Dora,Like,Ben\n"
        + "note,,,Shop,Name,Value,Another name\n",
        encoding="utf-8",
    )
    words = ["compare", shop / "orders.xlsx", "--changes", changes, "--no-pairs", *QUICK, "--wage", 20]
    head, *rows = (re.split(r"\s{2,}", line) for line in run(*words).stdout.splitlines() if "  " in line)
    pays = {row[0].partition(" ")[2]: row[head.index("pays back")] for row in rows}
    assert pays == {"cover": "?", "person": "never", "note": "never"}


def test_faults_of_today_and_of_the_list_are_told_together(run: Run, shop: Path, changes: Path) -> None:
    changes.write_text(HEAD + "cover,dear,,Presses,Press 1,Platen cover,yes\n", encoding="utf-8")
    (shop / "shop.xlsx").unlink()
    result = run("compare", shop / "orders.xlsx", "--changes", changes, *QUICK, "--json")
    assert result.exit_code == 1
    assert {one["code"] for one in answer(result)["faults"]} >= {"file-missing", "price-not-a-number"}


def test_ctrl_c_keeps_what_is_finished_and_says_what_is_missing(
    run: Run, shop: Path, changes: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    real = runs.plan_task
    stop_at = 2

    def stopped(task: Task) -> Outcome:
        if task.version == stop_at:
            raise KeyboardInterrupt
        return real(task)

    monkeypatch.setattr(runs, "plan_task", stopped)
    words = ["compare", shop / "orders.xlsx", "--changes", changes, "--no-pairs", *QUICK]
    result = run(*words)
    assert result.exit_code == 0
    assert "told to stop (Ctrl-C) before these were planned: one more person" in result.stdout
    assert "paid, hours" not in result.stdout, "the cover costs no hours"
    assert "today beside cover" in result.stdout
    paid = run(*words, "--wage", 20).stdout
    assert paid.index("It was told to stop (Ctrl-C) before plans were exchanged") < paid.index(
        "today beside cover"
    )
    assert "saved a day" in paid
    assert not any(word in paid for word in ("pays back", "by payback", "a year by the plans"))
    stop_at = 0
    nothing = run(*words)
    assert nothing.exit_code == 3
    assert "told to stop (Ctrl-C) before today's shop was planned" in nothing.stderr


def test_a_plan_that_breaks_a_rule_is_named_and_the_others_go_on(
    run: Run, shop: Path, changes: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    real = runs.plan_task

    def broken(task: Task) -> Outcome:
        found = real(task)
        if task.version == 1:
            return Outcome(version=task.version, day=task.day, seed=task.seed, trouble="two runs at a press")
        return found

    monkeypatch.setattr(runs, "plan_task", broken)
    result = run("compare", shop / "orders.xlsx", "--changes", changes, "--no-pairs", *QUICK)
    assert result.exit_code == 3
    assert "cover: not compared, two runs at a press" in result.stdout
    assert "one more person" in result.stdout


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (["orders.xlsx"], "give --other with a second shop workbook, or --changes with a list"),
        (["--changes", "changes.csv"], "name one or more orders files"),
        (["orders.xlsx", "--changes", "c.csv", "--day", "9/3/2027"], "write the day as 2027-"),
        (["orders.xlsx", "--changes", "c.csv", "--day", DAY, "--day", DAY], "once for each orders file"),
        (["orders.xlsx", "--changes", "c.csv", "--price", "3"], "once for each --other"),
        (["orders.xlsx", "--other", "s.xlsx", "--price", "x"], "write a number such as 8"),
        (["orders.xlsx", "--other", "s.xlsx", "--price", "1.500"], '"1.500": that can be 1500 or 1.5'),
        (["orders.xlsx", "--other", "s.xlsx", "--wage", "1,500"], '"1,500": that can be 1500 or 1.5'),
        (["orders.xlsx", "--other", "s.xlsx", "--wage", 9, "--overtime-wage", 8], "no less than --wage"),
    ],
)
def test_wrong_usage(run: Run, words: list[str], said: str) -> None:
    result = run("compare", *words)
    assert result.exit_code == 2
    assert said in " ".join(result.stderr.replace("│", " ").split())


def test_a_workbook_of_another_name_is_refused_before_anything_is_planned(
    run: Run, shop: Path, changes: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.delattr(runs, "run_tasks")
    words = ["compare", shop / "orders.xlsx", "--changes", changes, "--workbook", shop / "figures.doc"]
    result = run(*words)
    assert (result.exit_code, "a name with .xlsx" in result.output) == (1, True)


def test_the_form_is_written_and_never_over_a_file(run: Run, tmp_path: Path) -> None:
    form = tmp_path / "changes.csv"
    assert run("compare", "--form", form).exit_code == 0
    assert form.read_text(encoding="utf-8-sig") == HEAD
    again = run("compare", "--form", form)
    assert (again.exit_code, "Choose another name" in again.output) == (1, True)


def test_a_cover_with_somebody_at_home_is_proven_for_the_wages_alone(run: Run, shop: Path) -> None:
    path = shop / "home.csv"
    path.write_text(
        HEAD
        + "cover and Ben at home,150,,Presses,Press 1,Platen cover,yes\n"
        + "cover and Ben at home,,,Crew,Ben,Gone,yes\n"
        + "cover,150,,Presses,Press 1,Platen cover,yes\n",
        encoding="utf-8",
    )
    words = ["compare", shop / "orders.xlsx", "--changes", path, *QUICK, "--wage", 20, "--no-pairs"]
    both, alone = answer(run(*words, "--json"))["versions"]
    assert both["saved_a_day"]["at_least"] > 0 and both["saved_a_day"]["at_least_is_wages_alone"]
    assert not alone["saved_a_day"]["at_least_is_wages_alone"]
    said = " ".join(run(*words).stdout.split())
    hours = both["paid_hours"]["today"] - both["paid_hours"]["then"]
    assert f"cover and Ben at home: proven are the wages of {short(hours)} hours that are not paid" in said
    assert "proven (wages): " in said and said.count("Not proven is that") == 1
