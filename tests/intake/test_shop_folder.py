"""A new shop folder: what is in it, what opens it, and that nothing is overwritten."""

from __future__ import annotations

from dataclasses import replace
from datetime import date, timedelta
from pathlib import Path
from typing import Any

import pytest
from openpyxl import load_workbook

from scheduler.domain.faults import Fault, Severity
from scheduler.exceptions import BadInput
from scheduler.intake import (
    default_shop,
    scan_orders,
    scan_shop,
    shop_folder,
    write_shop,
    write_shop_folder,
)
from scheduler.intake.layout import DEFAULT, FIGURES
from scheduler.intake.orders.layout import SAMPLE, orders_table
from scheduler.intake.shop import layout as shop_layout
from scheduler.intake.words import heading_key, merge, words
from tests.intake.books import bare, codes


@pytest.fixture(scope="module")
def folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    where = tmp_path_factory.mktemp("new") / "my shop"
    assert [path.name for path in write_shop_folder(where)] == ["shop.xlsx", "orders.xlsx"]
    return where


def test_a_new_folder_holds_the_two_workbooks_and_nothing_else(folder: Path) -> None:
    assert sorted(path.name for path in folder.iterdir()) == ["orders.xlsx", "shop.xlsx"]


@pytest.mark.parametrize("ahead", range(5))
def test_the_samples_fit_the_sample_shop_on_every_working_day(folder: Path, ahead: int) -> None:
    shop, found = scan_shop(folder / "shop.xlsx")
    assert found == () and bare(shop) == bare(default_shop())
    assert shop is not None
    orders, found = scan_orders([folder / "orders.xlsx"], shop, date(2026, 3, 2) + timedelta(days=ahead))
    assert codes(found) == ["sample-rows"]
    assert [order.id for order in orders] == ["S1", "S2", "S3", "S4"]
    assert all(order.customer.startswith(SAMPLE) for order in orders)
    assert all("sample row" in line.note for order in orders for line in order.lines)
    assert {one.placement for one in orders[1].lines[0].prints} == {"full front", "neck label"}


def test_deleted_samples_leave_a_workbook_to_fill_in(folder: Path, tmp_path: Path) -> None:
    book = load_workbook(folder / "orders.xlsx")
    book["Orders"].delete_rows(4, 20)
    book.save(tmp_path / "orders.xlsx")
    orders, found = scan_orders([tmp_path / "orders.xlsx"], default_shop(), date(2026, 3, 2))
    assert orders == () and codes(found) == ["no-orders"]


def test_sample_rows_are_doubted_until_the_last_is_deleted(folder: Path, tmp_path: Path) -> None:
    """By their customer or their note: changing one of the two leaves a sample a sample."""
    book = load_workbook(folder / "orders.xlsx")
    sheet = book["Orders"]
    heads = {cell.value: cell.column for cell in sheet[3]}

    def found() -> tuple[Fault, ...]:
        book.save(tmp_path / "orders.xlsx")
        return scan_orders([tmp_path / "orders.xlsx"], default_shop(), date(2026, 3, 2))[1]

    assert [str(one) for one in found()] == [
        "orders.xlsx, Orders!B4: sample rows of a new workbook (6 rows); expected your own orders only. "
        "Delete them before you plan; until then they are planned like other orders."
    ]
    assert found()[0].severity is Severity.DOUBT
    sheet.delete_rows(4, 5)
    assert "(row 4)" in found()[0].found
    sheet.cell(4, heads["Customer"], "Ada")
    assert codes(found()) == ["sample-rows"]
    sheet.cell(4, heads["Notes"], "urgent")
    assert found() == ()


def drop_downs(sheet: Any) -> dict[str, Any]:
    return {str(check.sqref).split(":")[0][:-1]: check for check in sheet.data_validations.dataValidation}


@pytest.mark.parametrize("name", ["shop.xlsx", "orders.xlsx"])
def test_every_drop_down_has_a_list_behind_it_and_refuses_what_is_not_there(folder: Path, name: str) -> None:
    book = load_workbook(folder / name)
    assert book["Lists"].sheet_state == "hidden"
    assert book.sheetnames[0] == "Read me"
    lists = 0
    for sheet in book.worksheets:
        for check in sheet.data_validations.dataValidation:
            assert check.showErrorMessage
            assert check.error
            if check.type == "list":
                lists += 1
                # an inline list may not be longer than 255 characters, so lists are always named
                assert check.formula1 in book.defined_names
    assert lists >= 5


def test_the_lists_hold_the_words_that_reading_knows(folder: Path) -> None:
    book = load_workbook(folder / "shop.xlsx")
    columns = {
        column[0].value: [cell.value for cell in column[1:] if cell.value] for column in book["Lists"].columns
    }
    for choice in ("opening", "pressure", "peel", "figures"):
        assert all(heading_key(word) in words().choices[choice] for word in columns[choice])
    assert len(columns["weekdays"]) == 7
    names = book.defined_names
    assert names["list_yes_no"].attr_text == "Lists!$A$2:$A$3"
    assert "COUNTA('Platens'!$A$4:" in names["list_platens"].attr_text


def test_headings_are_frozen_explained_and_wide_enough(folder: Path) -> None:
    for name, tables in (
        ("shop.xlsx", shop_layout.SHOP_TABLES),
        ("orders.xlsx", (orders_table(default_shop().size_groups),)),
    ):
        book = load_workbook(folder / name)
        for table in tables:
            sheet = book[table.sheet]
            assert sheet.freeze_panes == ("C4" if table.key == "orders" else "B4")
            assert sheet["A1"].value == table.explain
            for column in table.columns:
                cell = next(cell for cell in sheet[3] if cell.value == column.label)
                assert cell.offset(-1, 0).value == column.explain
                assert sheet.column_dimensions[cell.column_letter].width >= min(len(column.label) / 2 + 1, 20)


def test_every_default_figure_is_marked(folder: Path) -> None:
    book = load_workbook(folder / "shop.xlsx")
    shop = default_shop()
    marked = 0
    for table in shop_layout.SHOP_TABLES:
        sheet = book[table.sheet]
        headings = [cell.value for cell in sheet[3]]
        if FIGURES not in headings:
            continue
        column = headings.index(FIGURES)
        rows = [row for row in sheet.iter_rows(min_row=4, values_only=True) if row[0] is not None]
        assert [row[column] for row in rows] == [DEFAULT] * len(rows)
        assert sheet.conditional_formatting
        marked += 1
    assert marked == len(shop.defaults) == 8


@pytest.mark.parametrize(("present", "missing"), [("shop.xlsx", "orders.xlsx"), ("orders.xlsx", "shop.xlsx")])
def test_of_two_files_the_missing_one_is_written_and_the_other_kept(
    tmp_path: Path, present: str, missing: str
) -> None:
    (tmp_path / present).write_text("mine")
    assert write_shop_folder(tmp_path) == [tmp_path / missing]
    assert sorted(path.name for path in tmp_path.iterdir()) == ["orders.xlsx", "shop.xlsx"]
    assert (tmp_path / present).read_text() == "mine"
    before = (tmp_path / missing).read_bytes()
    with pytest.raises(BadInput, match=r"both there already.*There is nothing to do") as caught:
        write_shop_folder(tmp_path)
    assert codes(caught.value.faults) == ["file-present"]
    assert (tmp_path / present).read_text() == "mine"
    assert (tmp_path / missing).read_bytes() == before


def test_new_orders_beside_a_shop_use_its_words(tmp_path: Path) -> None:
    shop = default_shop()
    own = replace(
        shop,
        placements=tuple(one for one in shop.placements if one.name != "cap front"),
        platens=tuple(one for one in shop.platens if one.name != "cap"),
        presses=tuple(one for one in shop.presses if one.name != "Cap press"),
        size_groups={**shop.size_groups, "6XL": "adult"},
    )
    write_shop(own, tmp_path / "shop.xlsx")
    write_shop_folder(tmp_path)
    orders, found = scan_orders([tmp_path / "orders.xlsx"], own, date(2026, 3, 2))
    assert codes(found) == ["sample-rows"]
    assert [order.id for order in orders] == ["S1", "S2", "S4"]
    book = load_workbook(tmp_path / "orders.xlsx")
    assert "6XL" in [cell.value for cell in book["Orders"][3]]


def test_a_disk_that_fills_up_leaves_nothing_behind(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    real = shop_folder.move_without_overwriting

    def fail(part: Path, target: Path) -> None:
        if target.name == "orders.xlsx":
            raise OSError(28, "No space left on device")
        real(part, target)

    monkeypatch.setattr(shop_folder, "move_without_overwriting", fail)
    with pytest.raises(BadInput, match="No space left") as caught:
        write_shop_folder(tmp_path)
    assert codes(caught.value.faults) == ["not-writable"]
    assert list(tmp_path.iterdir()) == []


def test_a_file_that_turns_up_meanwhile_is_kept(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(shop_folder, "_is_there", lambda target: False)
    (tmp_path / "orders.xlsx").write_text("mine")
    with pytest.raises(BadInput, match="there is a file of that name"):
        write_shop_folder(tmp_path)
    assert (tmp_path / "orders.xlsx").read_text() == "mine"
    assert [path.name for path in tmp_path.iterdir()] == ["orders.xlsx"]


def test_a_folder_that_is_a_file_is_a_fault(tmp_path: Path) -> None:
    (tmp_path / "taken").write_text("mine")
    with pytest.raises(BadInput, match="can't be written") as caught:
        write_shop_folder(tmp_path / "taken")
    assert codes(caught.value.faults) == ["not-writable"]


def test_every_written_heading_is_read_back_as_its_column() -> None:
    for table in (*shop_layout.SHOP_TABLES, orders_table(())):
        for column in table.columns:
            assert words().headings[table.key][heading_key(column.label)] == column.key
        assert words().sheets[heading_key(table.sheet)] == table.key
    assert all(row.field in default_shop().allowances.__slots__ for row in shop_layout.ALLOWANCE_ROWS)
    assert len(shop_layout.ALLOWANCE_ROWS) == len(default_shop().allowances.__slots__)


def test_a_further_language_adds_its_words_and_may_not_change_the_others() -> None:
    english = ("en.toml", {"headings": {"orders": {"order": ["Order"], "total": ["Total"]}}})
    german = ("de.toml", {"headings": {"orders": {"order": ["Auftrag"], "total": ["TOTAL"]}}})
    known = merge([english, german]).headings["orders"]
    assert known == {"order": "order", "total": "total", "auftrag": "order"}
    with pytest.raises(ValueError, match=r'de\.toml: "order" already means \'order\', not \'total\''):
        merge([english, ("de.toml", {"headings": {"orders": {"total": ["order"]}}})])
