"""`pressday sure`: what it says of a plan, as words and as JSON, and what it refuses."""

from __future__ import annotations

import json
import re
from dataclasses import replace
from datetime import date, time, timedelta
from importlib.util import find_spec
from pathlib import Path
from typing import Any

import openpyxl
import pytest

from scheduler.chance import own_times
from scheduler.chance.spread import Spread
from scheduler.daybook.book import DayBook
from scheduler.daybook.opening import NAME
from scheduler.plans.sure import by_book
from scheduler.workflow import slack
from tests.cli.test_times import recorded_day as recorded_day
from tests.support.commands import DAY, Run

FEW = ("--replays", 200)


def answer(run: Run, *words: object) -> dict[str, Any]:
    result = run("sure", *words, *FEW, "--json")
    assert result.exit_code == 0, result.output
    found: dict[str, Any] = json.loads(result.stdout)
    return found


def test_a_plan_is_told_in_words_and_as_data(run: Run, planned_once: Path) -> None:
    found = answer(run, planned_once)
    assert found["replays"] == 200 and found["seed"] == 1
    assert 0 <= found["on_time"]["low"] <= found["on_time"]["best"] <= found["on_time"]["high"] <= 1
    assert {order["id"] for order in found["orders"]} and found["work_more"] > 0
    assert answer(run, planned_once) == found
    said = run("sure", planned_once, *FEW).stdout
    assert "replayed 200 times, seed 1" in said
    assert "All orders on time: on" in said
    assert "no source" in said


def test_nothing_spread_and_no_stops_is_told_as_planned(run: Run, planned_once: Path) -> None:
    calm = answer(run, planned_once, "--spread", 0, "--stop-minutes", 0, "--spoilage", "0%")
    assert calm["work_more"] == 0
    assert calm["finish_usual"] == calm["finish_careful"] == calm["finish_planned"]
    for order in calm["orders"]:
        assert order["on_time"]["best"] == (order["planned"] <= order["cut_off"])
        assert order["usual"] == order["careful"] == order["planned"]
        assert order["late_minutes"] == 0 or order["planned"] > order["cut_off"]


def test_options_do_what_they_say(run: Run, planned_once: Path) -> None:
    usual = answer(run, planned_once)
    wide = answer(run, planned_once, "--spread", 3)
    assert wide["finish_careful"] > usual["finish_careful"]
    assert "3 times as large" in wide["spread"][-1]
    stops = answer(run, planned_once, "--stop-every", 20, "--stop-minutes", 30)
    assert stops["work_more"] > 1
    assert stops["on_time"]["best"] <= usual["on_time"]["best"]
    assert answer(run, planned_once, "--as-printed")["as_printed"] is True
    assert answer(run, planned_once, "--stay", 20)["stay_minutes"] == 20


def test_a_study_gives_its_spread(run: Run, planned_once: Path, tmp_path: Path) -> None:
    study = tmp_path / "study.csv"
    study.write_text("Element,Press set-up,1,2,3,4,5\nload,all,10,12,8,11,9\n", encoding="utf-8")
    assert "1 timed by stopwatch" in answer(run, planned_once, "--study", study)["spread"][0]
    study.write_text("Element,Press set-up,1,2,3,4,5\nload,all,10,x,8,11,9\n", encoding="utf-8")
    refused = run("sure", planned_once, "--study", study)
    assert refused.exit_code == 1
    assert "study.csv" in refused.stdout and "Nothing was replayed." in refused.stdout


def test_recorded_days_before_the_plan_count(
    run: Run, recorded_day: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(own_times, "FEWEST_RUNS", 2)
    with DayBook(recorded_day / NAME) as book:
        newest = book.newest(date.fromisoformat(DAY))
        assert newest is not None
        plan = book.plan(newest)
        same_day = by_book(plan, book, Spread())
        day_after = by_book(replace(plan, day=plan.day + timedelta(days=1)), book, Spread())
    assert same_day.recorded is None  # the day's own entries are no news of how days go
    assert day_after.recorded is not None
    assert "2 recorded runs of 1 day" in day_after.words[0]


def test_a_folder_without_a_plan_is_refused(run: Run, tmp_path: Path) -> None:
    refused = run("sure", tmp_path)
    assert refused.exit_code == 1
    assert "no file kept-plan.json here" in refused.stdout


@pytest.mark.skipif(find_spec("matplotlib") is None, reason="the extra for pictures is not installed")
def test_chances_are_drawn(run: Run, planned_once: Path, tmp_path: Path) -> None:
    picture = tmp_path / "sure.svg"
    assert run("sure", planned_once, *FEW, "--picture", picture).exit_code == 0
    assert "all orders" in picture.read_text(encoding="utf-8")
    refused = run("sure", planned_once, "--picture", tmp_path / "sure.gif")
    assert refused.exit_code == 1 and not (tmp_path / "sure.gif").exists()


def planned_with(run: Run, shop: Path, *words: str) -> tuple[str, dict[str, Any]]:
    result = run(
        "plan", shop / "orders.xlsx", "--day", DAY, "--effort", "quick", "--seconds", "0", "--json", *words
    )
    assert result.exit_code == 0, result.output
    return " ".join(result.stderr.split()), json.loads(result.stdout)


def test_a_plan_with_slack_says_what_it_cost(run: Run, shop: Path) -> None:
    said, found = planned_with(run, shop, "--slack", "10%")
    assert "Planned with slack, as though all pressing took 10 % longer" in said
    assert "With it: all orders on time on" in said and "Without: all orders on time on" in said
    assert "How sure it is: All orders on time: on" in said and "--sure 90%" not in said
    page = (shop / "plans" / DAY / "day.html").read_text(encoding="utf-8")
    assert "Planned with slack" in page and "How sure it is" in page
    assert any("Planned with slack" in note for note in found["notes"])
    again, _ = planned_with(run, shop, "--slack", "10%")
    assert "This is the same plan as version 1" in again


def test_slack_that_is_not_needed_is_not_bought(run: Run, shop: Path) -> None:
    said, found = planned_with(run, shop, "--sure", "50%")
    orders = len(found["orders"])
    assert f"No slack was needed: {orders} of {orders} orders are on time in at least 50 % of" in said
    _, plain = planned_with(run, shop)
    assert plain["fingerprint"] == found["fingerprint"]


def hurried(shop: Path, cut_off: time) -> None:
    """All sample orders with one cut-off, so near that it may be missed."""
    book = openpyxl.load_workbook(shop / "orders.xlsx")
    heading = next(row for row in book["Orders"].iter_rows() if row[0].value == "Order")
    column = next(cell.column for cell in heading if cell.value == "Cut-off time")
    for row in book["Orders"].iter_rows(min_row=heading[0].row + 1):
        if row[0].value is not None:
            row[column - 1].value = cut_off
    book.save(shop / "orders.xlsx")


def test_what_makes_an_order_late_is_told(run: Run, shop: Path) -> None:
    hurried(shop, time(9))
    planned_with(run, shop)
    folder = shop / "plans" / DAY
    order = answer(run, folder)["orders"][0]
    cause = order["cause"]
    assert order["on_time"]["best"] < 0.95 and 0 < cause["share"] <= 1 and cause["shift_over"] is None
    said = run("sure", folder, *FEW).stdout
    assert f"when late, mostly: run {cause['number']} ({cause['press']}, {cause['operator']}) ends it" in said


@pytest.mark.parametrize("bought", [False, True])
def test_how_many_orders_have_the_chance_asked_for_is_said(
    bought: bool, run: Run, shop: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    if bought:  # any slack that makes nothing later is taken for better
        monkeypatch.setattr(slack, "_rank", lambda tried, _: (float(tried.share), 0))
    hurried(shop, time(9))
    said, found = planned_with(run, shop, "--sure", "99%")
    orders = len(found["orders"])
    words = rf"(\d+) of {orders} orders (?:is|are) on time in at least 99 % of the replays"
    sure = run("sure", shop / "plans" / DAY, "--json")
    enough = sum(order["on_time"]["best"] >= 0.99 for order in json.loads(sure.stdout)["orders"])
    assert 0 < enough < orders
    if bought:
        told = re.search(f"With it: {words}, all orders on time on .* Without: {words}, all orders", said)
    else:
        told = re.search(f"No slack was bought: .* Without slack {words}.", said)
    assert told is not None and int(told[1]) == enough


@pytest.mark.parametrize(
    ("words", "wrong"),
    [
        (("--sure", "90%", "--slack", "5%"), "name --sure or --slack, not both"),
        (("--sure", "100%"), "more than 0 % and less than 100 %"),
        (("--slack", "0%"), "more than 0 %"),
    ],
)
def test_slack_that_cannot_be_is_refused(words: tuple[str, ...], wrong: str, run: Run, shop: Path) -> None:
    result = run("plan", shop / "orders.xlsx", "--day", DAY, *words)
    assert result.exit_code == 2
    assert wrong in re.sub(r"[\s│]+", " ", result.stderr)
