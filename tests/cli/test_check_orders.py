"""`pressday check` on orders as owners have them: without a shop, in part, and for programs."""

from __future__ import annotations

import json
from pathlib import Path

from tests.support.commands import DAY, Run, change

HEADINGS = "Order no.;Customer;PO;In-hands date;Style;Color;Fabric;Location;Transfer;Design;"
SHEET = f"""{HEADINGS}Width (in);Height (in);M;XXL;Status
007;Zoë;P1;12 March 2026;tee;navy;cotton;LC;film hot peel;badge;3.5;4;3;1;
008;Ada;P2;Fri;tee;navy;cotton;LC;film hot peel;badge;3.5;4;2 doz;;
009;Bob;P3;2026-03-01;tee;navy;cotton;LC;film hot peel;badge;3.5;4;2;;done
"""


def test_check_without_a_shop_says_what_was_understood(run: Run, tmp_path: Path) -> None:
    file = tmp_path / "web.csv"
    file.write_text(SHEET, encoding="utf-8")
    result = run("check", file, "--today", "2026-03-02", "--json")
    assert result.exit_code == 1
    document = json.loads(result.stdout)
    (order,) = document["orders"]
    assert (order["order"], order["customer"], order["due"]) == ("007", "Zoë", "2026-03-12T23:59:00")
    (line,) = order["lines"]
    assert line["sizes"] == {"M": 3, "2XL": 1} and line["quantity"] == 4
    (place,) = line["placements"]
    assert (place["placement"], place["width_mm"], place["height_mm"]) == ("left chest", 89, 102)
    assert [(one["code"], one["cell"]) for one in document["faults"]] == [
        ("date-by-weekday", "D3"), ("quantity-not-a-number", "M3"),
    ]  # fmt: skip
    assert "2026-03-06" in document["faults"][0]["mend"]
    assert document["not_planned"][0]["order"] == "008"
    assert [one["cell"] for one in document["not_planned"][0]["reasons"]] == ["D3", "M3"]
    assert document["left_out"] == [
        {"order": "009", "file": "web.csv", "sheet": "", "cell": "O4", "why": "done"}
    ]
    by_heading = {one["heading"]: one for one in document["columns"]}
    assert by_heading["In-hands date"]["read_as"] == "Cut-off date"
    assert by_heading["Width (in)"]["unit"] == "in" and by_heading["PO"]["how"] == "not needed"
    assert "no-shop" in [one["code"] for one in document["doubts"]]


def test_a_part_is_accepted_when_asked_for(run: Run, tmp_path: Path) -> None:
    file = tmp_path / "web.csv"
    file.write_text(SHEET, encoding="utf-8")
    result = run("check", file, "--today", "2026-03-02", "--accept-partial")
    assert result.exit_code == 0
    lines = result.stdout.splitlines()
    assert "Not planned: 1" in lines
    assert '  008 Ada: D3, cut-off date "Fri" (and 1 more)' in lines
    assert "Faults left aside for 2026-03-12: 1 order, 4 garments." in lines
    assert '"Color" is Colour' in result.stdout and 'not needed: "PO"' in result.stdout
    file.write_text(SHEET.replace("12 March", "31 April"), encoding="utf-8")
    assert run("check", file, "--today", "2026-03-02", "--accept-partial").exit_code == 1


def test_a_cut_off_before_today_is_past(run: Run, tmp_path: Path) -> None:
    file = tmp_path / "web.csv"
    file.write_text("\n".join(SHEET.splitlines()[:2]) + "\n", encoding="utf-8")
    assert run("check", file, "--today", "2026-03-12").exit_code == 0
    missed = run("check", file, "--today", "2026-03-13")
    assert (missed.exit_code, "Planned as late." in missed.stdout) == (0, True)
    result = run("check", file, "--today", "2026-03-20")
    assert result.exit_code == 1
    assert "expected 2026-03-20 or later, the day it is today" in result.stdout


def test_a_part_leaves_out_what_no_press_can_do(run: Run, shop: Path) -> None:
    orders = shop / "orders.xlsx"
    change(orders, "Orders", "Width mm", 1, 600)
    change(orders, "Orders", "M", 3, "12 pcs")
    result = run("check", orders, "--day", DAY, "--accept-partial", "--json")
    assert result.exit_code == 0
    document = json.loads(result.stdout)
    assert {one["order"]: [why["code"] for why in one["reasons"]] for one in document["not_planned"]} == {
        "S2": ["quantity-not-a-number"],
        "S1": ["nothing-can-press"],
    }
    assert [one["order"] for one in document["orders"]] == ["S3", "S4"]
    assert run("check", orders, "--day", DAY).exit_code == 1


def test_plan_goes_on_with_a_part_and_says_what_is_not_planned(run: Run, shop: Path) -> None:
    orders = shop / "orders.xlsx"
    change(orders, "Orders", "M", 3, "12 pcs")
    words = ["plan", orders, "--day", DAY, "--effort", "quick", "--seconds", "0"]
    assert run(*words).exit_code == 1
    result = run(*words, "--accept-partial")
    assert result.exit_code == 0
    assert "Not planned: 1" in result.stdout and "  S2 " in result.stdout
    assert result.stdout.count("Not planned") == 1
    document = json.loads((shop / "plans" / DAY / "plan.json").read_text(encoding="utf-8"))
    assert "S2" not in {order["id"] for order in document["orders"]}
    (missing,) = document["not_planned"]
    assert (missing["what"], missing["order"], missing["file"]) == ("order", "S2", "orders.xlsx")
    assert missing["sheet"] == "Orders" and missing["cell"].startswith("A")
    (reason,) = missing["reasons"]
    assert reason["code"] == "quantity-not-a-number" and '"12 pcs"' in reason["found"]
    assert "Not planned: 1 order with faults is left out of this plan: S2." in document["notes"]


def test_rows_that_are_not_to_be_pressed_are_in_the_plan_as_left_out(run: Run, shop: Path) -> None:
    orders = shop / "orders.xlsx"
    change(orders, "Orders", "Notes", 3, "cancelled")
    words = ["plan", orders, "--day", DAY, "--effort", "quick", "--seconds", "0", "--json"]
    document = json.loads(run(*words).stdout)
    (row,) = document["not_planned"]
    assert (row["what"], row["order"], row["reasons"][0]["code"]) == ("row", "S2", "row-left-out")
    assert row["cell"] == row["reasons"][0]["cell"]
    assert not any(note.startswith("Not planned") for note in document["notes"])


def test_one_cause_of_many_faults_is_said_once(run: Run, tmp_path: Path) -> None:
    file = tmp_path / "web.csv"
    row = "{};Zoë;P1;02/03/2026;tee;navy;felt;LC;film hot peel;badge;3.5;4;{} pcs;1;\n"
    rows = (row.format(number, number + 1) for number in range(1, 31))
    file.write_text(f"{HEADINGS}Width (in);Height (in);M;XXL;Status\n" + "".join(rows), encoding="utf-8")
    result = run("check", file, "--today", "2026-02-02")
    lines = result.stdout.splitlines()
    assert lines[0] == "90 faults:"
    assert sum("felt" in line for line in lines) == 1
    assert "The same in G3, G4, G5, G6, G7, G8, G9, G10, G11, G12, G13, G14 and 17 more." in result.stdout
    assert sum("02/03/2026" in line for line in lines) == 1
    assert sum(' pcs"' in line for line in lines) == 3
    assert "  ... and 27 more of this kind: M5, M6," in result.stdout
    result = run("check", file, "--today", "2026-02-02", "--json")
    assert len(json.loads(result.stdout)["faults"]) == 90


def test_which_recipes_a_pair_of_presses_can_use_is_said(run: Run, shop: Path) -> None:
    assert json.loads(run("check", shop / "orders.xlsx", "--day", DAY, "--json").stdout)["side_by_side"] == []
    change(shop / "shop.xlsx", "Presses", "Opens by itself", 1, "yes")
    change(shop / "shop.xlsx", "Side by side", "Press", 1, "Press 1")
    change(shop / "shop.xlsx", "Side by side", "Press beside it", 1, "Press 2")
    (found,) = json.loads(run("check", shop / "orders.xlsx", "--day", DAY, "--json").stdout)["side_by_side"]
    assert found["presses"] == ["Press 1", "Press 2"]
    can, cannot = found["at_both"], found["not_at_both"]
    assert {"transfer": "flock vinyl", "fabric": "cotton"} in can
    assert {"transfer": "film hot peel", "fabric": "cotton"} in cannot  # it would lie open and cool
    said = " ".join(run("check", shop / "orders.xlsx", "--day", DAY).stdout.split())
    assert "Press 1 and Press 2 side by side can press " in said
    assert "flock vinyl on cotton" in said and "film hot peel on" not in said
    assert f"{len(cannot)} other recipes can't use both." in said
