"""`pressday rush` and `pressday replan`: a planned day planned again."""

from __future__ import annotations

import errno
import html
import json
import re
from datetime import datetime, timedelta
from pathlib import Path

import openpyxl
import pypdf
import pytest

from scheduler.daybook.between import between_of
from scheduler.daybook.book import DayBook
from scheduler.daybook.opening import NAME, silent
from scheduler.plans.book import open_day
from tests.support.commands import AT, DAY, Run


def rush(run: Run, orders: Path, planned_once: Path, *words: str):
    place = ["--shop", str(planned_once.parent.parent / "shop.xlsx"), "--seconds", "0"]
    return run("rush", orders, "--at", AT, *place, *words)


def test_a_new_order_comes_in_as_the_next_version(run: Run, planned_once: Path, new_orders: Path) -> None:
    before = json.loads((planned_once / "plan.json").read_text(encoding="utf-8"))
    result = rush(run, new_orders, planned_once, "--json")
    assert result.exit_code == 0, result.output
    document = json.loads(result.stdout)
    assert (document["version"], document["replaces"]) == (2, 1)
    assert "N1" in [order["id"] for order in document["orders"]]
    assert "new" in [one["kind"] for one in document["changes"]]
    after = json.loads((planned_once / "plan.json").read_text(encoding="utf-8"))
    assert after["version"] == 2
    was = {one["id"]: one for one in before["runs"]}
    for one in after["runs"]:
        if one["id"] in was and was[one["id"]]["start"] < AT:
            assert (one["start"], one["press"], one["operator"]) == tuple(
                was[one["id"]][key] for key in ("start", "press", "operator")
            )
        elif one["id"] not in was:
            assert one["start"] >= AT


def test_only_sheets_that_changed_are_printed_and_all_when_asked(
    run: Run, planned_once: Path, new_orders: Path
) -> None:
    result = rush(run, new_orders, planned_once, "--json")
    document = json.loads(result.stdout)
    names = {path.name for path in planned_once.iterdir()}
    assert {"new-sheets.pdf", "new-press-sheets.pdf", "day-lists.pdf", "version-1"} <= names
    assert not {"run-sheets.pdf", "press-sheets.pdf"} & names
    assert "run-sheets.pdf" in {path.name for path in (planned_once / "version-1").iterdir()}
    changed = [one["name"] for one in document["sheets"] if one["side"] == "operator" and not one["valid"]]
    assert changed == document["new_sheets_for"] != []
    valid = [one for one in document["sheets"] if one["valid"]]
    assert all(one["in_hand"]["version"] == 1 and one["new"] is None for one in valid)
    text = "".join(page.extract_text() for page in pypdf.PdfReader(planned_once / "new-sheets.pdf").pages)
    assert "New: order N1" in text
    for one in document["sheets"]:
        if one["side"] == "operator":
            assert (one["in_hand"] if one["valid"] else one["new"])["code"] in text
    assert run("sheets", planned_once).exit_code == 0
    assert {"run-sheets.pdf", "press-sheets.pdf"} <= {path.name for path in planned_once.iterdir()}


def test_the_page_lists_what_the_terminal_says_of_the_sheets(
    run: Run, planned_once: Path, new_orders: Path
) -> None:
    assert "What changed since" not in (planned_once / "day.html").read_text(encoding="utf-8")
    said = rush(run, new_orders, planned_once).stdout
    told = re.findall(r"^    (?:added|moved|dropped|besides): (.*)$", said, flags=re.MULTILINE)
    page = html.unescape((planned_once / "day.html").read_text(encoding="utf-8"))
    assert "What changed since version 1" in page and 'href="#changes"' in page
    assert told and all(f"{line[:1].upper()}{line[1:]}</td>" in page for line in told)
    again = run("replan", "--plans", planned_once.parent, "--at", AT[-5:], "--seconds", "0")
    assert again.exit_code == 0, again.output
    assert "This is the same plan as version 2" in again.stdout
    page = (planned_once / "day.html").read_text(encoding="utf-8")
    assert "What changed since version 1" in page, "the page is renewed, and the sheets in hand are those"


def test_planned_again_for_nothing_the_sheets_in_hand_hold(run: Run, planned_once: Path) -> None:
    before = {path.name for path in planned_once.iterdir()}
    result = run("replan", "--plans", planned_once.parent, "--at", "08:10", "--seconds", "0", "--json")
    assert result.exit_code == 0, result.output
    document = json.loads(result.stdout)
    assert (document["new_sheets_for"], document["changes"]) == ([], [])
    assert {path.name for path in planned_once.iterdir()} == before


def test_a_shop_folder_stands_for_its_folder_of_plans(run: Run, planned_once: Path) -> None:
    """Read from there, the new version must be written there, too."""
    plans = planned_once.parent
    last = json.loads((planned_once / "plan.json").read_text(encoding="utf-8"))["orders"][-1]["id"]
    result = run("replan", "--plans", plans.parent, "--at", "08:10", "--cancel", last, "--seconds", "0")
    assert result.exit_code == 0, result.output
    assert json.loads((planned_once / "plan.json").read_text(encoding="utf-8"))["version"] == 2
    assert not (plans.parent / "day-book.sqlite").exists()


def test_a_folder_that_cannot_be_written_is_told_before_the_search(
    run: Run, planned_once: Path, new_orders: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The refusal is played, since the superuser may write into any folder."""

    def refuse(**_: object) -> str:
        raise PermissionError(errno.EACCES, "Permission denied")

    def searched(*_: object, **__: object) -> None:
        raise AssertionError("it was searched for nothing")

    monkeypatch.setattr("scheduler.plans.folder.tempfile.mkdtemp", refuse)
    monkeypatch.setattr("scheduler.workflow.replan.search_rest", searched)
    was = sorted(path.name for path in planned_once.iterdir())
    result = rush(run, new_orders, planned_once)
    assert result.exit_code == 1, result.output
    assert "it can't be written (Permission denied)" in result.stdout
    assert sorted(path.name for path in planned_once.iterdir()) == was


def test_an_order_that_is_planned_leaves_all_as_it_was(run: Run, planned_once: Path, shop: Path) -> None:
    before = {path.name: path.read_bytes() for path in planned_once.iterdir()}
    result = rush(run, shop / "orders.xlsx", planned_once)
    assert result.exit_code == 1
    assert "which the plan has already" in result.stdout
    assert "The plan is as it was." in result.stdout
    assert {path.name: path.read_bytes() for path in planned_once.iterdir()} == before


def test_the_screen_says_when_new_orders_are_ready_and_what_changeovers_cost(
    run: Run, planned_once: Path, new_orders: Path
) -> None:
    before = json.loads((planned_once / "plan.json").read_text(encoding="utf-8"))
    result = rush(run, new_orders, planned_once, "--json")
    document = json.loads(result.stdout)
    (one,) = document["asked_for"]
    assert (one["id"], one["new"]) == ("N1", True)
    assert AT < one["pressed"] < one["packed"]
    (order,) = [order for order in document["orders"] if order["id"] == "N1"]
    assert (one["packed"], one["cut_off"]) == (order["finished"], order["cut_off"])
    assert one["spare_minutes"] >= 0 and order["late_minutes"] == 0
    said = result.stderr
    assert re.search(
        r"^New orders:\n  N1 [^\n]*: pressed by \d\d:\d\d, packed by \d\d:\d\d, cut-off [^\n]*\d\d:\d\d: "
        rf"{one['spare_minutes'] // 60} h {one['spare_minutes'] % 60} min to spare\n",
        said,
        flags=re.MULTILINE,
    ), said
    after = json.loads((planned_once / "plan.json").read_text(encoding="utf-8"))
    was, now = (
        next(one["value"] for one in plan["levels"] if one["name"] == "changeover")
        for plan in (before, after)
    )
    more = document["changeover_minutes"]["now"] - document["changeover_minutes"]["before"]
    assert more and (more > 0) == (now > was)
    by = rf"{abs(more):g} minutes? {'more' if more > 0 else 'less'} than in version 1 "
    assert re.search(
        rf"^Changeovers: [\d.]+ minutes in \d+, {by}\([\d.]+ minutes in \d+\)\.$", said, re.MULTILINE
    )
    assert re.search(r"^Against the printed sheets, \d+ runs? (is|are) new\b[^:]*\.$", said, re.MULTILINE), (
        said
    )


def test_without_a_plan_there_is_nothing_to_put_orders_into(run: Run, shop: Path, new_orders: Path) -> None:
    result = run("rush", new_orders, "--at", AT)
    assert result.exit_code == 1
    assert "here, so there is no plan yet" in result.stdout
    assert "plan a day first: pressday plan ORDERS --day YYYY-MM-DD." in result.stdout


def test_on_a_day_without_a_plan_it_is_said_what_makes_one(
    run: Run, planned_once: Path, new_orders: Path
) -> None:
    place = ["--shop", planned_once.parent.parent / "shop.xlsx"]
    other = run("rush", new_orders, "--at", "2027-03-10T08:10", *place)
    assert other.exit_code == 1
    assert f"there is no plan of 2027-03-10 yet; expected a planned day: {DAY}." in other.stdout
    assert "Plan the day first: pressday plan ORDERS --day 2027-03-10." in other.stdout


def test_in_an_empty_day_book_there_is_no_plan_of_any_day(run: Run, shop: Path, new_orders: Path) -> None:
    (shop / "plans").mkdir()
    with DayBook(shop / "plans" / NAME):
        pass
    for at, found in (
        (AT, f"there is no plan of {DAY} yet, nor of any other day"),
        ("08:10", "no plan in it"),
    ):
        result = run("rush", new_orders, "--at", at)
        assert result.exit_code == 1
        assert found in result.stdout and "none yet" not in result.stdout
        assert (
            "; expected a day that is planned. Plan the day first: pressday plan ORDERS --day "
            in result.stdout
        )


@pytest.mark.parametrize("at", ["25:00", "2027-13-09T10:00", "soon"])
def test_a_moment_that_is_none_is_wrong_usage(run: Run, new_orders: Path, at: str) -> None:
    assert run("rush", new_orders, "--at", at).exit_code == 2


def test_something_in_between_gives_the_next_version_too(run: Run, planned_once: Path) -> None:
    document = json.loads((planned_once / "plan.json").read_text(encoding="utf-8"))
    last = max(document["runs"], key=lambda one: one["start"])
    words = ["replan", "--plans", planned_once.parent, "--at", "08:10", "--cancel", last["order"]]
    result = run(*words, "--seconds", "0", "--json")
    assert result.exit_code == 0, result.output
    answer = json.loads(result.stdout)
    assert answer["version"] == 2
    assert last["order"] not in [order["id"] for order in answer["orders"]]
    assert "dropped" in [one["kind"] for one in answer["changes"]]


@pytest.mark.parametrize(
    "words",
    [
        ("--down", "=10:00"),
        ("--away", "Ben=soon"),
        ("--away", "Ben=10:00"),
        ("--away", "Ben=10:00-10:00"),
        ("--late-box", "4101"),
        ("--down", "Press 1=25:00"),
    ],
)
def test_what_came_in_between_written_otherwise_is_wrong_usage(run: Run, words: tuple[str, str]) -> None:
    assert run("replan", *words).exit_code == 2


def last_order(planned_once: Path) -> str:
    document = json.loads((planned_once / "plan.json").read_text(encoding="utf-8"))
    return str(max(document["runs"], key=lambda one: one["start"])["order"])


def test_another_cut_off_and_quantity_as_typed(run: Run, planned_once: Path) -> None:
    order = last_order(planned_once)
    words = ["replan", "--plans", planned_once.parent, "--at", "08:10", "--seconds", "0", "--json"]
    result = run(*words, "--cut-off", f"{order}=17:55")
    assert result.exit_code == 0, result.output
    (told,) = [one for one in json.loads(result.stdout)["orders"] if one["id"] == order]
    assert told["cut_off"] == f"{DAY}T17:55:00"
    result = run(*words, "--quantity", f"{order}/XXXXL=3", "--quantity", "0=3", "--cut-off", "0=12:00")
    assert result.exit_code == 1
    assert f"order {order} has no size XXXXL, only" in result.stderr
    assert f"expected one size, that is there once, such as {order}/" in result.stderr
    none = run(*words, "--quantity", f"{order}=0")
    assert none.exit_code == 2 and f"--cancel {order}" in none.stderr
    assert result.stderr.count('no order "0" in the plan') == 2


def test_one_of_two_planned_days_is_named(run: Run, planned_once: Path, shop: Path, new_orders: Path) -> None:
    order = last_order(planned_once)
    plans, other = planned_once.parent, "2027-03-10"
    result = run("plan", new_orders, "--day", other, "--out", plans, "--effort", "quick", "--seconds", "0")
    assert result.exit_code == 0, result.output
    words = ["replan", "--plans", plans, "--at", "08:10", "--seconds", "0", "--cut-off", f"{order}=17:55"]
    newest = run(*words)
    assert newest.exit_code == 1
    assert f'no order "{order}" in the plan of {other}' in newest.stdout
    assert run(*words, "--day", DAY).exit_code == 0
    assert json.loads((planned_once / "plan.json").read_text(encoding="utf-8"))["version"] == 2
    asked = run("promise", new_orders, "--out", plans, "--at", "08:20", "--day", DAY, "--seconds", "0")
    assert asked.exit_code == 0, asked.output
    assert rush(run, new_orders, planned_once, "--day", DAY).exit_code == 0
    assert json.loads((planned_once / "plan.json").read_text(encoding="utf-8"))["version"] == 3
    for command in (["rush", new_orders], ["replan"], ["promise", new_orders]):
        result = run(*command, "--at", AT, "--day", other)
        assert result.exit_code == 2
        assert f"--at is on {DAY}, and --day says {other}" in " ".join(result.stderr.split())


def test_the_orders_file_read_again_brings_what_changed_and_what_is_new(
    run: Run, planned_once: Path, shop: Path
) -> None:
    order = last_order(planned_once)
    workbook = openpyxl.load_workbook(shop / "orders.xlsx")
    sheet = workbook["Orders"]
    (head,) = [cell for row in sheet.iter_rows() for cell in row if cell.value == "Order"]
    names = {sheet.cell(head.row, column).value: column for column in range(1, sheet.max_column + 1)}
    rows = [
        r for r in range(head.row + 1, sheet.max_row + 1) if str(sheet.cell(r, head.column).value) == order
    ]
    size = next(
        name for name in names if name in ("S", "M", "L", "XL") and sheet.cell(rows[0], names[name]).value
    )
    more = sheet.cell(rows[0], names[size]).value + 1
    for row in rows:
        sheet.cell(row, names[size], more)
    for column in range(1, sheet.max_column + 1):
        sheet.cell(sheet.max_row + (column == 1), column, sheet.cell(rows[0], column).value)
    sheet.cell(sheet.max_row, head.column, "N9")
    (total,) = [column for name, column in names.items() if "total" in str(name).casefold()]
    for row in (*rows, sheet.max_row):
        sheet.cell(row, total).value = None
    workbook.save(shop / "orders.xlsx")
    words = ["replan", "--plans", planned_once.parent, "--at", "08:10", "--seconds", "0", "--json"]
    result = run(*words, "--changed", shop / "orders.xlsx")
    assert result.exit_code == 0, result.output
    document = json.loads(result.stdout)
    assert "N9" in [one["id"] for one in document["orders"]]
    text = "".join(page.extract_text() for page in pypdf.PdfReader(planned_once / "new-sheets.pdf").pages)
    assert f"Order {order}, " in text and "1 piece more, as order" in text and "New: order N9" in text


@pytest.mark.parametrize("words", [("--quantity", "4101=0"), ("--quantity", "4101"), ("--cut-off", "4101")])
def test_a_change_written_otherwise_is_wrong_usage(run: Run, words: tuple[str, str]) -> None:
    assert run("replan", *words).exit_code == 2


def test_what_came_in_between_stands_in_the_day_book_and_can_be_taken_back(
    run: Run, planned_once: Path, new_orders: Path
) -> None:
    plans = planned_once.parent
    press = json.loads((planned_once / "plan.json").read_text(encoding="utf-8"))["runs"][0]["press"]
    words = ["replan", "--plans", plans, "--seconds", "0", "--json"]
    assert run(*words, "--at", "08:10", "--down", f"{press}=12:00").exit_code == 0
    assert rush(run, new_orders, planned_once).exit_code == 0
    told = run("progress", "--history", "--plans", plans).stdout
    assert f"{press}: press down 08:10, until 12:00, led to version 2" in told
    assert "order N1: order new 08:10, " in told and "led to version 3" in told
    with open_day(plans, None, tell=silent) as day:
        assert [one.press for one in day.plan.between.down] == [press]
        assert [(event.version, event.led_to) for event in day.events] == [(1, 2), (2, 3)]
    refused = run("undo", "2", "--plans", plans)
    assert refused.exit_code == 1 and "Change the order or cancel it" in refused.stdout
    back = run("undo", "1", "--plans", plans)
    assert back.exit_code == 0 and "It counts from the next plan of the day on" in back.stdout
    assert run(*words, "--at", "08:20").exit_code == 0
    with open_day(plans, None, tell=silent) as day:
        assert day.plan.between.down == ()


def test_a_disruption_that_changes_nothing_counts_all_the_same(run: Run, planned_once: Path) -> None:
    plans = planned_once.parent
    runs = json.loads((planned_once / "plan.json").read_text(encoding="utf-8"))["runs"]
    last = max(runs, key=lambda one: one["end"])
    words = ["replan", "--plans", plans, "--at", "08:10", "--seconds", "0", "--json"]
    away = run(*words, "--away", f"{last['operator']}={last['end'][11:16]}-23:00".replace(":00-", ":59-"))
    assert away.exit_code == 0, away.output
    with open_day(plans, None, tell=silent) as day:
        (event,) = day.events
        assert event.led_to == json.loads(away.stdout)["version"]
        assert len(between_of(day.plan, day.events).away) == 1


def test_who_went_before_it_was_told_has_a_rest_to_be_pressed(run: Run, planned_once: Path) -> None:
    """Nobody said how far the run was, so it counts as planned until then, and no further."""
    runs = json.loads((planned_once / "plan.json").read_text(encoding="utf-8"))["runs"]
    cut = max(runs, key=lambda one: datetime.fromisoformat(one["end"]) - datetime.fromisoformat(one["start"]))
    end = datetime.fromisoformat(cut["end"]).replace(second=0)
    left, told = end - timedelta(minutes=10), end + timedelta(minutes=10)
    words = ["replan", "--plans", planned_once.parent, "--at", f"{told:%H:%M}", "--seconds", "0", "--json"]
    result = run(*words, "--away", f"{cut['operator']}={left:%H:%M}-")
    assert result.exit_code == 0, result.output
    after = {one["id"]: one for one in json.loads((planned_once / "plan.json").read_text("utf-8"))["runs"]}
    assert after[cut["id"]]["end"] == f"{left:%Y-%m-%dT%H:%M:%S}"
    assert 0 < after[cut["id"]]["quantity"] < cut["quantity"]
    assert after[f"{cut['id']} rest"]["start"] >= f"{told:%Y-%m-%dT%H:%M:%S}"


def test_orders_late_since_somebody_left_in_the_middle_say_so(run: Run, planned_once: Path) -> None:
    """What everybody at work presses afterwards is late for the absence, not since a run took longer."""
    runs = json.loads((planned_once / "plan.json").read_text(encoding="utf-8"))["runs"]
    first = min(runs, key=lambda one: one["pressing_start"])
    begun, end = (datetime.fromisoformat(first[name]) for name in ("pressing_start", "end"))
    left = (begun + (end - begun) / 2).replace(second=0)
    crew = sorted({one["operator"] for one in runs})
    away = [word for name in crew for word in ("--away", f"{name}={left:%H:%M}-")]
    words = ["replan", "--plans", planned_once.parent, "--at", f"{left:%H:%M}", "--seconds", "0"]
    assert run(*words, *away).exit_code == 0
    orders = json.loads((planned_once / "plan.json").read_text(encoding="utf-8"))["orders"]
    reasons = [one["reason"] for one in orders if one["late_minutes"]]
    assert reasons
    assert not [words for words in reasons if "took longer" in words]
    assert [words for words in reasons if "away from" in words]


def test_a_day_under_way_is_not_planned_from_its_morning_by_mistake(
    run: Run, planned_once: Path, new_orders: Path
) -> None:
    again = ["plan", planned_once.parent.parent / "orders.xlsx", "--day", DAY, "--seconds", "0"]
    assert run(*again).exit_code == 0
    assert rush(run, new_orders, planned_once).exit_code == 0
    refused = run(*again)
    assert refused.exit_code == 1
    assert "is under way: planned again as of 08:10 (version 2)" in refused.stdout
    assert "pressday rush" in refused.stdout
    assert json.loads((planned_once / "plan.json").read_text(encoding="utf-8"))["version"] == 2
    assert run(*again, "--anew").exit_code == 0
    after = json.loads((planned_once / "plan.json").read_text(encoding="utf-8"))
    assert after["version"] == 3
    assert "N1" not in [order["id"] for order in after["orders"]]
