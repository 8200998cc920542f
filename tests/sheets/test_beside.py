"""A run at two presses under one operator: one run on paper, seen from the person and from both presses."""

from __future__ import annotations

import io
import json
from dataclasses import replace
from datetime import datetime, timedelta
from typing import Any

import jsonschema
import pytest
from openpyxl import load_workbook

from scheduler.answers.progress import standing_lines
from scheduler.daybook.state import state_at
from scheduler.domain.day_problem import Personal
from scheduler.domain.plan import Plan
from scheduler.domain.shop import Peel, Pressure, Recipe
from scheduler.planning.differences import differences
from scheduler.sheets.beside import HANDS, counted_pieces, rhythm
from scheduler.sheets.changes import told
from scheduler.sheets.chart import charts
from scheduler.sheets.lines import notes
from scheduler.sheets.paper import compare
from scheduler.sheets.plan_json import plan_json, schema
from scheduler.sheets.pull import switch_on
from scheduler.sheets.run_sheets import run_sheets, sheet_data
from scheduler.sheets.steps import steps, unchanged
from scheduler.sheets.strip import strip
from scheduler.sheets.summary import facts
from scheduler.sheets.workbook import plan_workbook
from tests.planning.test_beside import both_planned
from tests.sheets.reading import MM, flow, outside, pages, words_of


@pytest.fixture(scope="module")
def plan() -> Plan:
    """One run of 150 garments at Left and Right, by Ann, from 8:10 on."""
    return both_planned()


def runs_on(plan: Plan, by: Any, name: str) -> list[dict[str, Any]]:
    data: Any = sheet_data(plan, by=by, **{f"{by}s" if by == "operator" else "presses": [name]})
    (section,) = data["sections"]
    return [entry for entry in section["entries"] if entry["type"] != "line"]


def test_the_person_s_sheet_has_one_run_with_both_presses(plan: Plan) -> None:
    (run,) = runs_on(plan, "operator", "Ann")
    assert (run["where_label"], run["where"], run["platen"]) == (
        "Presses",
        "Left + Right",
        "big, one at each",
    )
    assert [(step["text"].partition(":")[0], step["hands"]) for step in run["change"]["steps"]] == [
        ("Left", False),
        ("Right", False),
        *[("Left", True)] * 2,
        *[("Right", True)] * 2,
    ]
    assert run["change"]["head"].endswith("3 min by hand")
    assert run["hands"] == HANDS and run["rhythm"] == rhythm(plan.runs[0])
    assert [note for note in run["notes"] if "switch it off" in note] == [
        "When done: last run on Left today, switch it off.",
        "When done: last run on Right today, switch it off.",
    ]
    data: Any = sheet_data(plan)
    lines = [entry["text"] for entry in data["sections"][0]["entries"] if entry["type"] == "line"]
    assert [line for line in lines if line.startswith("SWITCH ON")] == [
        "SWITCH ON Left, set 150 °C",
        "SWITCH ON Right, set 150 °C",
    ]


def test_the_second_press_s_sheet_says_where_the_rest_stands(plan: Plan) -> None:
    (first,) = runs_on(plan, "press", "Left")
    assert (first["type"], first["where"]) == ("run", "Ann, together with Right")
    assert not any("Right" in step["text"] for step in first["change"]["steps"])
    (second,) = runs_on(plan, "press", "Right")
    assert (second["type"], second["together"]) == ("second", "Together with Left: see Ann's sheet.")
    assert [step["text"] for step in second["change"]["steps"] if step["hands"]] == [
        "Set the pressure: medium",
        "Fetch and line up the artwork: logo",
    ]
    assert "garments" not in second and second["hands"] == HANDS


def test_pieces_of_a_run_at_two_presses_are_one_count_on_both_sheets(plan: Plan) -> None:
    (first,) = runs_on(plan, "press", "Left")
    (second,) = runs_on(plan, "press", "Right")
    assert (first["quantity"], first["unit"], first["with"]) == ("150", "pieces", "together with Right")
    assert (second["quantity"], second["unit"], second["with"]) == ("150", "pieces", "together with Left")
    assert runs_on(plan, "operator", "Ann")[0]["with"] == ""
    by_press: Any = sheet_data(plan, by="press")
    assert [section["facts"].split(" · ")[0] for section in by_press["sections"]] == [
        "1 run, 150 pieces together with Right",
        "1 run, 150 pieces together with Left",
    ]
    both = plan.runs[0]
    alone = replace(both, second_press="")
    third = replace(both, second_press="Third")
    assert counted_pieces([both, alone], "Left") == "300 pieces, 150 of them together with Right"
    assert counted_pieces([both, third], "Left") == (
        "300 pieces, 150 of them together with Right, 150 of them together with Third"
    )
    assert counted_pieces([both, alone], "Ann") == "300 pieces"
    assert counted_pieces([alone], "Left") == "150 pieces"
    printed = " ".join(flow(run_sheets(plan, by="press", system_fonts=False)))
    assert printed.count("together with Right") == 3  # its heading, beside the operator, below the pieces
    assert "150 pieces together with Left" in printed


def test_the_pages_print_it_once_with_the_caution(plan: Plan) -> None:
    made = run_sheets(plan, system_fonts=False)
    whole = " ".join(flow(made))
    assert "TWO PRESSES: garments alternate" in whole
    assert HANDS in whole
    assert whole.count("First pieces checked") == whole.count("Pieces done") == 1
    by_press = run_sheets(plan, by="press", system_fonts=False)
    assert " ".join(flow(by_press)).count("Pieces done") == 1
    assert "Together with Left: see Ann's sheet." in " ".join(flow(by_press))
    for page in (*pages(made), *pages(by_press)):
        assert outside(page, words_of(page), 8 * MM) == []


RECIPES: list[tuple[dict[str, Any], str, str]] = [
    ({"peel": Peel.HOT}, "peel hot, unload; next one: load, lay the transfer, close.", ""),
    (
        {"peel": Peel.HOT, "second_press_s": 6},
        "peel hot, second press 6 s, unload;",
        "Stay for second press:",
    ),
    ({"peel": Peel.NONE}, "by itself: unload;", ""),
    ({"peel": Peel.WARM, "cooling_s": 10}, "unload and lay aside to cool;", ""),
    (
        {"peel": Peel.COLD, "cooling_s": 45, "pre_press_s": 4},
        "load, pre-press 4 s, lay",
        "Stay for pre-press:",
    ),
    (
        {"peel": Peel.HOT, "pre_press_s": 4, "second_press_s": 6},
        "pre-press 4 s",
        "Stay for pre-press and second press:",
    ),
]


@pytest.mark.parametrize(("given", "back", "stay"), RECIPES)
def test_the_rhythm_says_what_the_recipe_says(
    plan: Plan, given: dict[str, Any], back: str, stay: str
) -> None:
    recipe = Recipe(
        transfer="film", fabric="cotton", temp_c=150, pressure=Pressure.MEDIUM, dwell_s=40, **given
    )
    run = plan.runs[0]
    told = rhythm(replace(run, content=replace(run.content, recipe=recipe)))
    assert back in told[1]
    assert told[0].startswith("Left: load, ") and told[0].endswith("Go to Right: the same there.")
    assert [line for line in told if line.startswith("Stay")] == [
        line for line in told if stay and stay in line
    ]
    assert "opened by itself" in told[1] and "opened by itself" in told[2]
    named = replace(run.content, names=(Personal(garment="Tee", colour="navy", size="M", name="Ada"),))
    assert "one here, the next one there." in rhythm(replace(run, content=named))[-1]


def test_nobody_leaves_a_closed_press(plan: Plan) -> None:
    run = plan.runs[0]
    at = run.pressing_start + timedelta(minutes=30)
    elsewhere = replace(plan.warm_ups[0], press="Label press", start=at, by="Ann")
    paused = replace(run, pauses=((at, at + timedelta(minutes=15)),))
    said = notes(replace(plan, warm_ups=(*plan.warm_ups, elsewhere)), paused)
    assert "BREAK 08:40–08:55 falls in this run: see both presses open and empty, stop, and go on" in said[0]
    assert said[1].startswith("At 08:40, in this run: see both presses open, then SWITCH ON Label press")
    alone = notes(plan, replace(paused, second_press=""))
    assert "falls in this run: stop, and go on with it afterwards." in alone[0]


def test_a_press_where_nothing_changes_is_said(plan: Plan) -> None:
    run = plan.runs[0]
    hot = replace(plan, warm_ups=())
    one = replace(hot, changeovers=tuple(one for one in plan.changeovers if one.press == "Left"))
    assert [step["text"] for step in steps(one, run)][-1] == "Right: nothing to change."
    before = replace(
        run,
        id="earlier",
        number=7,
        start=run.start - timedelta(hours=1),
        end=run.start - timedelta(minutes=9),
    )
    none = replace(hot, changeovers=(), runs=(before, run))
    assert steps(none, run) == []
    assert unchanged(none, run) == "Nothing to change: both presses stay as they were for run 7."
    other = replace(
        before, id="other", number=8, press="Right", second_press="", start=run.start - timedelta(0, 60)
    )
    none = replace(none, runs=(before, other, run))
    assert unchanged(none, run) == "Nothing to change: Left as for run 7 and Right as for run 8."


def test_pictures_show_it_in_both_lanes_with_a_mark_of_its_own(plan: Plan) -> None:
    from scheduler.sheets.dayview import sheet_days

    # Both presses and the person.
    drawn = charts(plan)
    assert drawn.count('class="two"') == 3
    assert drawn.count("Left + Right, platen big at each, Ann") == 3
    rows: Any = strip(plan, sheet_days(plan, "operator", "Ann")[0])["rows"]
    assert [row["label"] for row in rows] == ["Left", "Right"]
    assert all("two" in [bar["kind"] for bar in row["bars"]] for row in rows)


def test_files_name_both_presses(plan: Plan) -> None:
    data = json.loads(plan_json(plan))
    assert [fault.message for fault in jsonschema.Draft202012Validator(schema()).iter_errors(data)] == []
    run = data["runs"][0]
    assert (run["press"], run["second_press"], run["second_mounts"]) == ("Left", "Right", False)
    assert {change["press"] for change in data["changeovers"]} == {"Left", "Right"}
    sheet = load_workbook(io.BytesIO(plan_workbook(plan)))["Runs"]
    cells = {str(cell.value): sheet.cell(cell.row + 1, cell.column).value for cell in sheet[1]}
    assert (cells["Press"], cells["Press beside it"]) == ("Left", "Right")
    assert {(one.warm_up.press, one.run, one.off) for one in switch_on(plan)} == {
        ("Left", 1, plan.runs[0].end),
        ("Right", 1, plan.runs[0].end),
    }
    assert facts(plan).endswith("; 1 run at two presses.")


def test_progress_names_both_presses(plan: Plan) -> None:
    lines = standing_lines(plan, state_at(plan, (), datetime(2026, 3, 2, 8, 40)))
    assert any("(order 1, Left + Right, Ann)" in line for line in lines)


def test_a_run_that_loses_its_second_press_is_told_to_everybody(plan: Plan) -> None:
    at = datetime(2026, 3, 2, 8, 0)
    alone = replace(plan.runs[0], second_press="")
    kept = tuple(one for one in plan.changeovers if one.press == "Left")
    new = replace(plan, version=2, at=at, runs=(alone,), changeovers=kept)
    change = compare(plan, new, at)
    found = differences(plan, new)
    (ann,) = told(plan, new, found, change, "operator")
    assert ann.moved == ("run 1, order 1, front, 150 pieces: at Left, not at Left + Right",)
    left, right = told(plan, new, found, change, "press")
    assert left.moved == ("run 1, order 1, front, 150 pieces: at Left, not Left + Right",)
    assert right.dropped == ("run 1 of 08:10: order 1, front, 150 pieces, goes to Left",)
