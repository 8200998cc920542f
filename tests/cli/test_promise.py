"""`pressday promise`: what new orders would cost, with nothing changed."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import pytest

from tests.support.commands import AT, DAY, Run, large


def contents(folder: Path) -> dict[str, bytes]:
    return {str(path.relative_to(folder)): path.read_bytes() for path in folder.rglob("*") if path.is_file()}


def ask(run: Run, orders: Path, planned_once: Path, *words: str) -> Any:
    shop = planned_once.parent.parent / "shop.xlsx"
    return run("promise", orders, "--at", AT, "--shop", str(shop), *words)


def test_it_answers_and_leaves_everything_as_it_was(run: Run, planned_once: Path, new_orders: Path) -> None:
    before = contents(planned_once.parent)
    result = ask(run, new_orders, planned_once, "--json")
    assert result.exit_code == 0, result.output
    document = json.loads(result.stdout)
    assert contents(planned_once.parent) == before
    (order,) = document["orders"]
    assert (document["version"], document["fits"], order["id"]) == (1, True, "N1")
    assert order["never_before"] <= order["earliest"] <= order["by"] == order["cut_off"]
    assert (document["late_if_by"], document["help"], document["late_at_the_earliest"]) == ([], [], [])
    assert "It fits: nothing else becomes late." in result.stderr
    again = ask(run, new_orders, planned_once, "--json")
    assert again.stdout == result.stdout, "the same question, the same answer"


def test_what_was_promised_can_be_kept(run: Run, planned_once: Path, new_orders: Path) -> None:
    """A rush with the promised hour as its cut-off finds a plan that holds it, with nothing late."""
    document = json.loads(ask(run, new_orders, planned_once, "--json").stdout)
    shop = str(planned_once.parent.parent / "shop.xlsx")
    result = run("rush", new_orders, "--at", AT, "--shop", shop, "--json")
    (order,) = [one for one in json.loads(result.stdout)["orders"] if one["id"] == "N1"]
    assert order["finished"] >= document["orders"][0]["never_before"]
    assert order["late_minutes"] == 0


def test_an_hour_that_no_plan_can_hold_is_refused_with_help_tried(
    run: Run, planned_once: Path, new_orders: Path
) -> None:
    result = ask(run, new_orders, planned_once, "--by", "08:21", "--json")
    document = json.loads(result.stdout)
    assert document["fits"] is False
    (order,) = document["orders"]
    assert order["by"] == f"{DAY}T08:21:00" < order["never_before"]
    assert "no plan can have it by then" in result.stderr
    kinds = [one["kind"] for one in document["help"]]
    assert kinds == sorted(kinds, key=["split", "overtime", "person"].index) and "overtime" in kinds
    assert not any(one["fits"] for one in document["help"])
    assert "not enough in a short search" in result.stderr
    assert "No help that was tried makes it fit" in result.stderr
    assert [one["others_late"] >= 0 for one in document["help"]] == [True] * len(kinds)


@pytest.mark.parametrize(("words", "code"), [(("--by", "late"), 2), (("--by", "12:00"), 0)])
def test_by_is_a_time(
    words: tuple[str, str], code: int, run: Run, planned_once: Path, new_orders: Path
) -> None:
    assert ask(run, new_orders, planned_once, "--seconds", "0", *words).exit_code == code


def test_an_order_that_is_planned_already_is_no_question(run: Run, planned_once: Path, shop: Path) -> None:
    result = ask(run, shop / "orders.xlsx", planned_once)
    assert result.exit_code == 1
    assert "which the plan has already" in result.stdout
    assert "No answer was worked out; the plan is as it was." in result.stdout


def test_the_hour_asked_for_plays_no_part_in_the_earliest_one_and_rush_is_no_earlier(
    run: Run, planned_once: Path, new_orders: Path
) -> None:
    """Asked with and without an hour, the earliest is the same; what rush gives is no earlier."""
    large(new_orders, 4)
    shop = str(planned_once.parent.parent / "shop.xlsx")

    def earliest(*words: str) -> str:
        document = json.loads(ask(run, new_orders, planned_once, *words, "--json").stdout)
        assert document["late_at_the_earliest"] == []
        return str(document["orders"][0]["earliest"])

    plain = earliest()
    assert [earliest("--by", by) for by in ("09:30", "12:00")] == [plain, plain]
    result = run("rush", new_orders, "--at", AT, "--shop", shop, "--effort", "quick", "--json")
    (order,) = [one for one in json.loads(result.stdout)["orders"] if one["id"] == "N1"]
    assert order["finished"] >= plain
