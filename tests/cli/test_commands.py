"""The commands end to end, on the folder that `pressday new` lays out."""

from __future__ import annotations

import json
from dataclasses import replace
from datetime import date, datetime, timedelta
from pathlib import Path

import jsonschema
import openpyxl
import pytest
from pypdf import PdfReader

from scheduler.cli import main
from scheduler.domain.schedule import Break, Result, Status, Verdict
from scheduler.engine import solve
from scheduler.sheets.plan_json import schema
from scheduler.workflow import search as planned
from tests.support.commands import DAY, Run, change, hold

FILES = {
    "run-sheets.pdf",
    "press-sheets.pdf",
    "day-lists.pdf",
    "summary.pdf",
    "plan.xlsx",
    "plan.json",
    "day.html",
    "kept-plan.json",
}


def names_in(folder: Path) -> set[str]:
    return {path.name for path in folder.iterdir()}


def text_of(pdf: Path) -> str:
    return "\n".join(page.extract_text() for page in PdfReader(pdf).pages)


def test_new_lays_out_a_folder_and_overwrites_nothing(run: Run, tmp_path: Path) -> None:
    folder = tmp_path / "a shop"
    result = run("new", folder)
    assert result.exit_code == 0
    assert names_in(folder) == {"shop.xlsx", "orders.xlsx"}
    before = (folder / "shop.xlsx").read_bytes()
    result = run("new", folder)
    assert result.exit_code == 1
    assert "shop.xlsx and orders.xlsx are both there already" in result.stdout
    assert "There is nothing to do" in result.stdout
    assert (folder / "shop.xlsx").read_bytes() == before
    (folder / "orders.xlsx").unlink()
    result = run("new", folder)
    assert result.exit_code == 0
    assert f"Kept as it is: {folder / 'shop.xlsx'}\nNew: {folder / 'orders.xlsx'}\n" in result.stdout
    assert (folder / "shop.xlsx").read_bytes() == before


def test_check_reads_the_shop_beside_the_orders(run: Run, shop: Path) -> None:
    result = run("check", shop / "orders.xlsx", "--day", DAY)
    assert result.exit_code == 0
    lines = result.stdout.splitlines()
    assert lines[0] == "1 doubt (taken as said):"
    assert "orders.xlsx, Orders!B4: sample rows of a new workbook (6 rows)" in lines[1]
    assert lines[-1] == f"No faults for {DAY}: 4 orders, 60 garments."
    assert result.stderr == ""


def test_one_order_is_said_in_the_singular_and_without_samples_there_is_no_doubt(
    run: Run, shop: Path
) -> None:
    workbook = openpyxl.load_workbook(shop / "orders.xlsx")
    workbook["Orders"].delete_rows(5, 20)
    workbook.save(shop / "orders.xlsx")
    change(shop / "orders.xlsx", "Orders", "Customer", 1, "Ada")
    change(shop / "orders.xlsx", "Orders", "Notes", 1, "in a hurry")
    result = run("check", shop / "orders.xlsx", "--day", DAY)
    assert result.exit_code == 0
    assert result.stdout == (
        f"Columns of orders.xlsx, Orders: as named.\nNo faults for {DAY}: 1 order, 18 garments.\n"
    )


def test_check_as_json_says_what_was_understood(run: Run, shop: Path) -> None:
    result = run("check", shop / "orders.xlsx", "--shop", shop / "shop.xlsx", "--day", DAY, "--json")
    assert result.exit_code == 0
    document = json.loads(result.stdout)
    assert document["faults"] == []
    assert document["day"] == DAY
    first = document["orders"][0]
    assert (first["order"], first["due"], first["priority"]) == ("S1", f"{DAY}T16:30:00", 1)
    (line,) = first["lines"]
    assert line["sizes"] == {"S": 4, "M": 8, "L": 6}
    assert line["quantity"] == 18
    assert line["placements"][0] == {
        "placement": "left chest",
        "transfer": "film hot peel",
        "artwork": "club badge",
        "width_mm": 90,
        "height_mm": 90,
        "transfers_in": None,
    }


def test_faults_of_all_files_come_at_once_by_cell(run: Run, shop: Path) -> None:
    orders = shop / "orders.xlsx"
    quantity = change(orders, "Orders", "M", 1, "12 pcs")
    transfer = change(orders, "Orders", "Transfer", 3, "film hot pel")
    result = run("check", orders, shop / "more.csv", "--day", DAY)
    assert result.exit_code == 1
    lines = result.stdout.splitlines()
    assert lines[0] == "3 faults:"
    found = [
        line for line in lines[: lines.index("1 doubt (would be taken as said):")] if line.startswith("  ")
    ]
    assert len(found) == 3
    assert found[0].startswith(f"  orders.xlsx, Orders!{quantity}: ")
    assert "12 pcs" in found[0]
    assert found[1].startswith(f"  orders.xlsx, Orders!{transfer}: ")
    assert 'Did you mean "film hot peel"?' in found[1]
    assert found[2].startswith("  more.csv: there is no such file")

    result = run("plan", orders, shop / "more.csv", "--day", DAY, "--json")
    assert result.exit_code == 1
    document = json.loads(result.stdout)
    assert [fault["cell"] for fault in document["faults"]] == [quantity, transfer, ""]
    assert names_in(shop) == {"shop.xlsx", "orders.xlsx"}


@pytest.mark.parametrize("command", ["check", "plan"])
def test_faults_of_a_bad_shop_do_not_hide_those_of_the_orders(run: Run, shop: Path, command: str) -> None:
    """Names are held against the sheets that could be read; what was not checked is said."""
    orders = shop / "orders.xlsx"
    watts = change(shop / "shop.xlsx", "Presses", "Watts", 1, "a lot")
    change(shop / "shop.xlsx", "Recipes", "°C", 1, "hot")
    quantity = change(orders, "Orders", "M", 1, "12 pcs")
    fabric = change(orders, "Orders", "Fabric", 2, "cottn")
    (shop / "more.xlsx").write_bytes(b"PK\x03\x04 cut off")
    result = run(command, orders, shop / "more.xlsx", "--day", DAY, "--json")
    assert result.exit_code == 1
    document = json.loads(result.stdout)
    where = [(one["file"], one["cell"]) for one in document["faults"]]
    assert where[0] == ("shop.xlsx", watts) and where[1][0] == "shop.xlsx"
    assert where[2:] == [("orders.xlsx", quantity), ("orders.xlsx", fabric), ("more.xlsx", "")]
    assert 'Did you mean "cotton"?' in document["faults"][3]["mend"]
    (said,) = [one for one in document["doubts"] if one["code"] == "shop-first"]
    assert said["found"].startswith("a shop workbook with faults, so that only")
    plain = run(command, orders, shop / "more.xlsx", "--day", DAY)
    assert plain.exit_code == 1
    assert plain.stdout.splitlines()[0] == "5 faults:"


@pytest.mark.parametrize("orders", ["no-such-file.xlsx", "."])
def test_of_orders_that_are_not_there_nothing_is_said_to_be_checked(
    run: Run, shop: Path, tmp_path: Path, orders: str
) -> None:
    """As when a command is given in another folder: neither file is there."""
    (tmp_path / "empty").mkdir()
    document = json.loads(run("plan", tmp_path / "empty" / orders, "--day", DAY, "--json").stdout)
    assert len(document["faults"]) == 2 and document["doubts"] == []
    words = ("plan", shop / "orders.xlsx", "--shop", "none.xlsx", "--day", DAY, "--json")
    (said,) = [one for one in json.loads(run(*words).stdout)["doubts"] if one["code"] == "shop-first"]
    assert (
        said["found"].startswith("no shop workbook, so that only") and said["expected"] == "a shop workbook"
    )


@pytest.mark.parametrize("sheet", ["Sizes", "Placements", "Fabrics", "Transfers", "Hours", "Recipes"])
def test_orders_are_not_blamed_for_a_sheet_that_the_shop_lacks(run: Run, shop: Path, sheet: str) -> None:
    book = openpyxl.load_workbook(shop / "shop.xlsx")
    del book[sheet]
    book.save(shop / "shop.xlsx")
    result = run("check", shop / "orders.xlsx", "--json")
    document = json.loads(result.stdout)
    assert [one["code"] for one in document["faults"]] == ["sheet-missing"]


def test_a_missing_shop_is_a_fault(run: Run, shop: Path) -> None:
    result = run("plan", shop / "orders.xlsx", "--shop", shop / "none.xlsx", "--day", DAY)
    assert result.exit_code == 1
    assert "none.xlsx: there is no such file" in result.stdout
    assert result.stdout.splitlines()[0] == "1 fault:"
    assert "held against the orders then" in result.stdout
    quantity = change(shop / "orders.xlsx", "Orders", "M", 1, "12 pcs")
    result = run("plan", shop / "orders.xlsx", "--shop", shop / "none.xlsx", "--day", DAY)
    assert f"orders.xlsx, Orders!{quantity}: " in result.stdout
    assert result.stdout.splitlines()[0] == "2 faults:"


def test_a_placement_that_nothing_can_press_is_a_fault_by_cell(run: Run, shop: Path) -> None:
    change(shop / "orders.xlsx", "Orders", "Width mm", 1, 600)
    cell = change(shop / "orders.xlsx", "Orders", "Placement", 1, "left chest")
    result = run("plan", shop / "orders.xlsx", "--day", DAY)
    assert result.exit_code == 1
    line = result.stdout.splitlines()[1]
    assert line.startswith(f"  orders.xlsx, Orders!{cell}: order S1, left chest: the artwork of 600 x 90 mm")
    assert " mm fits, thus " in line and "in the same proportions. Change artwork" in line
    assert names_in(shop) == {"shop.xlsx", "orders.xlsx"}


def test_what_nothing_can_press_comes_with_the_faults_of_other_orders(run: Run, shop: Path) -> None:
    """Order S3 has a fault of its own, order S1 a print that fits nowhere; a heading is unknown too."""
    orders = shop / "orders.xlsx"
    change(orders, "Orders", "Width mm", 1, 600)
    wide = change(orders, "Orders", "Placement", 1, "left chest")
    typed = change(orders, "Orders", "one size", 5, "12 pcs")
    heading = change(orders, "Orders", "3XL", 0, "6XL")
    strange = change(orders, "Orders", "6XL", 6, 2)
    expected = {heading: "unknown-size", typed: "quantity-not-a-number", wide: "nothing-can-press"}
    assert strange.startswith(heading[0])
    for command in ("check", "plan"):
        result = run(command, orders, "--day", DAY, "--json")
        assert result.exit_code == 1
        found = {fault["cell"]: fault["code"] for fault in json.loads(result.stdout)["faults"]}
        assert found == expected
        result = run(command, orders, "--day", DAY)
        assert result.exit_code == 1
        assert result.stdout.startswith("3 faults:\n")
        assert f"  orders.xlsx, Orders!{wide}: order S1, left chest: the artwork of 600 x" in result.stdout
        assert f"  orders.xlsx, Orders!{typed}: " in result.stdout


def test_a_size_that_nobody_typed_is_said_where_nothing_can_press_it(run: Run, shop: Path) -> None:
    """Either a height that is typed beside a blank width, or both blank."""
    change(shop / "shop.xlsx", "Placements", "Width mm", 1, 600)
    placement = openpyxl.load_workbook(shop / "shop.xlsx")["Placements"]["A4"].value
    assert placement == "left chest"
    orders = shop / "orders.xlsx"
    told = "not given: the placement's usual"
    result = run("check", orders, "--day", DAY)
    assert result.exit_code == 0
    for heading, words in (("Width mm", "(width"), ("Height mm", "(width and height")):
        workbook = openpyxl.load_workbook(orders)
        cells = {cell.value: cell.offset(1, 0) for cell in workbook["Orders"][3]}
        cells[heading].value = None
        workbook.save(orders)
        result = run("check", orders, "--day", DAY)
        assert result.exit_code == 1
        assert f"{words} {told})" in result.stdout
    change(orders, "Orders", "Width mm", 1, 500)
    change(orders, "Orders", "Height mm", 1, 90)
    result = run("check", orders, "--day", DAY)
    assert result.exit_code == 1
    assert told not in result.stdout


def test_a_closed_day_comes_with_the_faults_of_the_orders(run: Run, shop: Path) -> None:
    """2027-03-07 is a Sunday. That no sound order is left is no fault of its own."""
    for row in (1, 3, 5, 6):
        change(shop / "orders.xlsx", "Orders", "Fabric", row, "felt")
    result = run("check", shop / "orders.xlsx", "--day", "2027-03-07", "--json")
    codes = [fault["code"] for fault in json.loads(result.stdout)["faults"]]
    assert codes == ["unknown-fabric"] * 4 + ["day-closed"]


def set_cut_offs(book: Path, *dates: str) -> None:
    """Give the rows that hold an order these cut-off dates, the last one for all that are left."""
    workbook = openpyxl.load_workbook(book)
    sheet = workbook["Orders"]
    headings = {cell.value: cell for row in sheet.iter_rows(max_row=6) for cell in row if cell.value}
    order, cut_off = headings["Order"], headings["Cut-off date"]
    rows = [row for row in range(order.row + 1, sheet.max_row + 1) if sheet.cell(row, order.column).value]
    for row, on in zip(rows, [*dates, *dates[-1:] * len(rows)], strict=False):
        sheet.cell(row, cut_off.column, on)
    workbook.save(book)


def test_orders_that_are_all_past_are_checked_as_for_their_own_day(run: Run, shop: Path) -> None:
    """A stored example stays clean for ever. 2001-05-09 was a Wednesday."""
    set_cut_offs(shop / "orders.xlsx", "2001-05-09")
    result = run("check", shop / "orders.xlsx")
    assert result.exit_code == 0
    assert "\nNo faults for 2001-05-09: 4 orders" in result.stdout
    assert result.stdout.endswith(
        "2001-05-09 was taken from the orders and the shop; check for another day with --day.\n"
    )


def test_a_past_cut_off_is_a_fault(run: Run, shop: Path) -> None:
    """Against the day that is given, and against today among orders that are still to come."""
    set_cut_offs(shop / "orders.xlsx", "2001-05-09", "2001-05-09", "2096-05-09")
    for day in ([], ["--day", DAY]):
        result = run("check", shop / "orders.xlsx", *day)
        assert result.exit_code == 1
        assert "cut-off 2001-05-09, which is past" in result.stdout
    assert run("plan", shop / "orders.xlsx", "--day", DAY).exit_code == 1


def test_the_shop_workbook_given_as_orders_is_told_in_one_fault(run: Run, shop: Path) -> None:
    book = shop / "shop.xlsx"
    for words in (["check", book, "--shop", book], ["check", book], ["check", book, shop / "orders.xlsx"]):
        result = run(*words, "--day", DAY, "--json")
        assert result.exit_code == 1
        found = json.loads(result.stdout)
        assert [(one["code"], one["file"]) for one in found["faults"]] == [("shop-as-orders", "shop.xlsx")]
        assert not any(one["file"] == "shop.xlsx" for one in found["doubts"])
    assert "shop.xlsx: this is the shop workbook; expected a file with orders." in run("check", book).stdout


def test_a_shop_workbook_with_a_sheet_of_orders_holds_orders(run: Run, shop: Path) -> None:
    both = openpyxl.load_workbook(shop / "shop.xlsx")
    sheet = both.create_sheet("Orders")
    for row in openpyxl.load_workbook(shop / "orders.xlsx")["Orders"].iter_rows(values_only=True):
        sheet.append(row)
    both.save(shop / "both.xlsx")
    result = run("check", shop / "both.xlsx", "--day", DAY)
    assert "this is the shop workbook" not in result.stdout


def test_orders_given_as_the_shop_are_told_in_one_fault(run: Run, shop: Path) -> None:
    """What the orders themselves hold is read by the usual names."""
    book = shop / "orders.xlsx"
    result = run("check", book, "--shop", book, "--day", DAY)
    assert result.exit_code == 1
    assert (
        "1 fault:\n  orders.xlsx: this is a workbook with orders; expected a shop workbook" in result.stdout
    )
    assert "PIECES" not in result.stdout
    assert "not read" not in result.stdout.split("Columns of")[1].replace('not read: "one size"', "")


def test_an_order_that_slipped_is_planned_and_late_from_its_own_cut_off(run: Run, shop: Path) -> None:
    """DAY is a Tuesday: the order was due on the Monday before it."""
    yesterday = (date.fromisoformat(DAY) - timedelta(days=1)).isoformat()
    set_cut_offs(shop / "orders.xlsx", yesterday, yesterday, DAY)
    result = run("check", shop / "orders.xlsx", "--day", DAY)
    assert (result.exit_code, f"cut-off {yesterday}, which is past" in result.stdout) == (0, True)
    words = ["plan", shop / "orders.xlsx", "--day", DAY, "--effort", "quick", "--seconds", 0, "--json"]
    result = run(*words)
    assert result.exit_code == 0, result.stderr
    plan = json.loads((shop / "plans" / DAY / "plan.json").read_text(encoding="utf-8"))
    (order,) = (one for one in plan["orders"] if one["cut_off"].startswith(yesterday))
    late = datetime.fromisoformat(order["finished"]) - datetime.fromisoformat(order["cut_off"])
    assert order["late_minutes"] == pytest.approx(late.total_seconds() / 60, abs=0.11)
    assert order["late_minutes"] > 12 * 60
    assert order["reason"] == "its cut-off was before the planned day"


@pytest.mark.parametrize(("day", "code"), [("1999-12-31", 1), ("2000-01-03", 0), ("2099-12-30", 0),
    ("2100-01-04", 1), ("1027-03-09", 1), ("9999-12-30", 1)])  # fmt: skip
def test_a_year_that_is_a_slip_is_refused_before_the_search(
    run: Run, shop: Path, day: str, code: int
) -> None:
    checked = run("check", shop / "orders.xlsx", "--day", day)
    planned = run("plan", shop / "orders.xlsx", "--day", day, "--effort", "quick", "--seconds", "0")
    for done in (checked, planned):
        assert done.exit_code == code, done.output
        assert ("a date from 2000 to 2099" in done.output) == (code == 1)
    assert "Looking for a plan" not in planned.stderr or code == 0
    assert (shop / "plans").exists() == (code == 0)
    assert run("check", shop / "orders.xlsx", "--today", day).exit_code == code


def test_plan_writes_every_file_and_says_where(run: Run, shop: Path, tmp_path: Path) -> None:
    out = tmp_path / "elsewhere" / "plans"
    words = ["plan", shop / "orders.xlsx", "--shop", shop / "shop.xlsx", "--day", DAY, "--out", out]
    result = run(*words, "--effort", "quick", "--seconds", "0", "--seed", "3", "--json")
    assert result.exit_code == 0
    document = json.loads(result.stdout)
    jsonschema.validate(document, schema())
    assert (document["day"], document["version"], document["seed"]) == (DAY, 1, 3)
    assert document == json.loads((out / DAY / "plan.json").read_text(encoding="utf-8"))
    assert names_in(out) == {DAY, "day-book.sqlite"}
    assert names_in(out / DAY) == FILES
    assert "Looking for a plan of" in result.stderr
    assert "The independent check passed." in result.stderr
    assert f"In {out / DAY}:" in result.stderr
    assert names_in(shop) == {"shop.xlsx", "orders.xlsx"}


def test_the_summary_is_on_standard_output_without_json(run: Run, shop: Path) -> None:
    result = run("plan", shop / "orders.xlsx", "--day", DAY, "--effort", "quick", "--seconds", "0")
    assert result.exit_code == 0
    for words in (
        "Tuesday 9 March 2027",
        "Late orders:",
        "How full the day is",
        "taken as they come",
        "run-sheets.pdf",
    ):
        assert words in result.stdout
    assert "Looking for a plan" not in result.stdout


def test_a_second_plan_of_the_day_is_version_two_and_the_first_is_kept(
    run: Run, shop: Path, planned_once: Path
) -> None:
    first = (planned_once / "plan.json").read_bytes()
    change(shop / "orders.xlsx", "Orders", "Artwork", 1, "another badge")
    words = ["plan", shop / "orders.xlsx", "--day", DAY, "--effort", "quick", "--seconds", "0", "--json"]
    result = run(*words)
    assert json.loads(result.stdout)["version"] == 2
    assert "This is the same plan" not in result.stderr
    assert names_in(planned_once) == FILES | {"version-1"}
    assert (planned_once / "version-1" / "plan.json").read_bytes() == first


def test_the_same_plan_again_keeps_its_version(run: Run, shop: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Same seed and effort, same plan; the search is not stopped by the clock. Files are written anew."""
    monkeypatch.setitem(solve.EFFORTS, "quick", replace(solve.EFFORTS["quick"], moves=300))
    words = ("plan", shop / "orders.xlsx", "--day", DAY, "--effort", "quick", "--seed", "2", "--json")
    first = run(*words)
    folder = shop / "plans" / DAY
    (folder / "my notes.txt").write_text("mine")
    second = run(*words, "--paper", "letter")
    assert not json.loads(first.stdout)["stopped_early"]
    assert first.stdout == second.stdout
    told = "This is the same plan as version 1; sheets in hand stay valid."
    assert told in second.stderr.splitlines()
    assert told not in first.stderr
    assert names_in(folder) == FILES | {"my notes.txt"}
    box = PdfReader(folder / "run-sheets.pdf").pages[0].mediabox
    assert sorted((round(box.width), round(box.height))) == [612, 792]  # Letter: 8.5 x 11 inch

    change(shop / "orders.xlsx", "Orders", "Cut-off time", 1, "16:00")
    third = run(*words)
    assert json.loads(third.stdout)["version"] == 2
    assert names_in(folder) == FILES | {"version-1"}
    assert "sheets in hand" not in third.stderr
    assert "This is the same plan as version 2;" in run(*words).stderr
    assert names_in(folder) == FILES | {"version-1"}


def test_an_output_folder_that_can_not_be_written_is_told_before_the_search(
    run: Run, shop: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    out = tmp_path / "out"
    out.write_text("a file")

    def search(*_: object, **__: object) -> planned.Answer:
        raise AssertionError("searched")

    monkeypatch.setattr(planned, "search", search)
    result = run("plan", shop / "orders.xlsx", "--day", DAY, "--out", out)
    assert result.exit_code == 1
    assert "it can't be written (a file, not a folder)" in result.stdout
    assert out.read_text() == "a file"
    with pytest.raises(AssertionError, match="searched"):
        run("plan", shop / "orders.xlsx", "--day", DAY, "--out", tmp_path / "fine")


def test_a_plan_that_the_check_refuses_is_never_written(
    run: Run, shop: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    broken = Break(rule="press", tasks=("S1",), message="Press 1 holds two runs at tick 4")
    monkeypatch.setattr("scheduler.verify.check", lambda *_: Verdict(breaks=(broken,), values={}))
    result = run("plan", shop / "orders.xlsx", "--day", DAY, "--effort", "quick", "--seconds", "0")
    assert result.exit_code == 3
    assert result.stdout == ""
    assert "This is a defect of Pressday, not of your files" in result.stderr
    assert "press: Press 1 holds two runs at tick 4" in result.stderr
    assert names_in(shop) == {"shop.xlsx", "orders.xlsx"}


def test_no_plan_is_said_and_nothing_is_written(
    run: Run, shop: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    nothing = Result(status=Status.NO_PLAN, schedule=None, runtime_s=2.0)
    monkeypatch.setattr("scheduler.engine.paid_hours.solve_day", lambda *_, **__: nothing)
    result = run("plan", shop / "orders.xlsx", "--day", DAY, "--json")
    assert result.exit_code == 3
    assert json.loads(result.stdout)["no_plan"].startswith("The search ended after 2.0 s without a plan")
    assert names_in(shop) == {"shop.xlsx", "orders.xlsx"}


def test_a_disk_that_fills_up_leaves_the_older_plan(
    run: Run, shop: Path, planned_once: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    before = {path.name: path.read_bytes() for path in planned_once.iterdir()}
    write = Path.write_bytes

    def full(self: Path, data: bytes) -> int:
        if self.name == "plan.xlsx":
            raise OSError(28, "No space left on device")
        return write(self, data)

    monkeypatch.setattr(Path, "write_bytes", full)
    result = run("plan", shop / "orders.xlsx", "--day", DAY, "--effort", "quick", "--seconds", "0")
    assert result.exit_code == 1
    assert "it can't be written (No space left on device)" in result.stdout
    assert {path.name: path.read_bytes() for path in planned_once.iterdir()} == before
    assert names_in(planned_once.parent) == {DAY, "day-book.sqlite"}


def test_a_file_of_the_same_plan_that_is_open_elsewhere_is_named(
    run: Run, shop: Path, planned_once: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    hold(monkeypatch, "run-sheets.pdf")
    words = ["plan", shop / "orders.xlsx", "--day", DAY, "--effort", "quick", "--seconds", "0"]
    result = run(*words, "--paper", "letter")
    assert result.exit_code == 0 and "This is the same plan as version 1" in result.stdout, result.output
    said, _, listed = result.stdout.partition(f"In {planned_once}:")
    assert "since another program has it open: run-sheets.pdf." in said
    assert "press-sheets.pdf" in listed and "run-sheets.pdf" not in listed


def test_sheets_prints_again_for_one_person_and_one_press(run: Run, planned_once: Path) -> None:
    result = run("sheets", planned_once, "--operator", "ana", "--press", "Press 1", "--paper", "letter")
    assert result.exit_code == 0
    assert names_in(planned_once) == FILES | {"run-sheets-ana.pdf", "press-sheets-press-1.pdf"}
    page = PdfReader(planned_once / "run-sheets-ana.pdf").pages[0]
    assert (round(page.mediabox.width), round(page.mediabox.height)) == (612, 792)  # Letter: 8.5 x 11 inch
    assert "Ana" in text_of(planned_once / "run-sheets-ana.pdf")
    assert "Ben" in text_of(planned_once / "run-sheets.pdf")
    assert "Ben" not in text_of(planned_once / "run-sheets-ana.pdf")


def test_sheets_prints_all_again_on_the_other_paper(run: Run, planned_once: Path) -> None:
    before = text_of(planned_once / "run-sheets.pdf").casefold()
    data = (planned_once / "plan.json").read_bytes()
    result = run("sheets", planned_once.parent, "--paper", "letter")
    assert result.exit_code == 0
    assert names_in(planned_once) == FILES
    after = text_of(planned_once / "run-sheets.pdf").casefold()
    for words in ("S1", "S2", "S3", "S4", "Ana", "left chest"):
        assert words.casefold() in before and words.casefold() in after
    for name in ("run-sheets.pdf", "press-sheets.pdf", "day-lists.pdf", "summary.pdf"):
        box = PdfReader(planned_once / name).pages[0].mediabox
        assert sorted((round(box.width), round(box.height))) == [612, 792]
    assert (planned_once / "plan.json").read_bytes() == data


def test_sheets_of_nobody_is_a_fault_that_names_who_is_there(run: Run, planned_once: Path) -> None:
    result = run("sheets", planned_once, "--operator", "Zoe")
    assert result.exit_code == 1
    assert 'no person called "Zoe" has a run in this plan; expected one of: Ana' in result.stdout
    assert names_in(planned_once) == FILES


def test_sheets_of_no_plan_is_a_fault(run: Run, tmp_path: Path) -> None:
    result = run("sheets", tmp_path)
    assert result.exit_code == 1
    assert "no file kept-plan.json here" in result.stdout


@pytest.mark.parametrize(
    "words",
    [
        ["plan"],
        ["plan", "orders.xlsx"],
        ["plan", "orders.xlsx", "--day", "09/03/2027"],
        ["plan", "orders.xlsx", "--day", "2027-02-30"],
        ["plan", "orders.xlsx", "--day", "20270309"],
        ["check", "orders.xlsx", "--day", "26.11.26"],
        ["plan", "orders.xlsx", "--day", DAY, "--effort", "heroic"],
        ["plan", "orders.xlsx", "--day", DAY, "--seconds", "-1"],
        ["plan", "orders.xlsx", "--day", DAY, "--seed", "-1"],
        ["plan", "orders.xlsx", "--day", DAY, "--paper", "a5"],
        ["check"],
        ["new"],
        ["sheets"],
        ["bake"],
    ],
    ids=" ".join,
)
def test_wrong_usage_is_exit_code_two(words: list[str], run: Run) -> None:
    result = run(*words)
    assert result.exit_code == 2
    assert result.stdout == ""
    assert "Usage:" in result.stderr


DAY_FORMS = "year-month-day, such as 2026-11-26, or with points day.month.year, such as 26.11.2026"


@pytest.mark.parametrize(
    ("written", "how"),
    [
        ("26.11.26", f"write the day as 2026-11-26: {DAY_FORMS}."),
        ("2026/11/26", f"write the day as 2026-11-26: {DAY_FORMS}."),
        ("02/03/2027", f"write the day as 2027-03-02 or 2027-02-03: {DAY_FORMS}."),
        ("02-03-2027", f"write the day as 2027-03-02 or 2027-02-03: {DAY_FORMS}."),
        ("tomorrow", f"write the day as {DAY_FORMS}; there may be no such day."),
        ("2027-02-30", f"write the day as {DAY_FORMS}; there may be no such day."),
        ("30.02.2027", f"write the day as {DAY_FORMS}; there may be no such day."),
    ],
)
@pytest.mark.parametrize("command", ["check", "plan"])
def test_a_day_written_otherwise_is_told_how_to_write_it(
    command: str, written: str, how: str, run: Run
) -> None:
    result = run(command, "orders.xlsx", "--day", written)
    assert result.exit_code == 2
    told = " ".join(word for word in result.stderr.split() if word != "│")
    assert f'"{written}": {how}' in told


def test_version(run: Run) -> None:
    from scheduler import __version__

    result = run("--version")
    assert (result.exit_code, result.stdout) == (0, f"pressday {__version__}\n")


def test_what_nobody_foresaw_is_told_as_a_defect(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    def break_down() -> None:
        raise ZeroDivisionError("a press without hours")

    monkeypatch.setattr(main, "app", break_down)
    with pytest.raises(SystemExit) as caught:
        main.run()
    assert caught.value.code == 70
    captured = capsys.readouterr()
    assert captured.out == ""
    assert "ZeroDivisionError: a press without hours" in captured.err
    assert "This is a defect of Pressday." in captured.err
