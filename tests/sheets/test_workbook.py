"""plan.xlsx, read back."""

from __future__ import annotations

import io
from datetime import date, datetime

import pytest
from openpyxl import Workbook, load_workbook

from scheduler.sheets.cells import put
from scheduler.sheets.workbook import plan_workbook
from tests.sheets.sample_plan import sample_plan


@pytest.fixture(scope="module")
def book() -> Workbook:
    return load_workbook(io.BytesIO(plan_workbook(sample_plan())))


def test_sheets_and_sizes(book: Workbook) -> None:
    assert book.sheetnames == ["Runs", "Orders", "Changeovers", "Switch-on", "Pull list", "Summary"]
    plan = sample_plan()
    assert book["Runs"].max_row == 1 + len(plan.runs)
    assert book["Orders"].max_row == 1 + len(plan.orders) + len(plan.left_over)
    assert book["Changeovers"].max_row == 1 + sum(len(one.parts) for one in plan.changeovers)
    assert book["Switch-on"].max_row == 1 + len(plan.warm_ups)


def test_times_and_numbers_are_real(book: Workbook) -> None:
    head = [cell.value for cell in book["Runs"][1]]
    rows = {row[0].value: dict(zip(head, row, strict=True)) for row in book["Runs"].iter_rows(min_row=2)}
    for run in sample_plan().runs:
        row = rows[run.number]
        assert row["Start"].value == run.start
        assert row["End"].value == run.end
        assert isinstance(row["Start"].value, datetime)
        assert row["Pieces"].value == run.content.quantity
        assert row["Temperature °C"].value == run.temp_c
        assert row["Customer"].value == run.content.customer
    assert book["Summary"]["B2"].value == datetime(2026, 12, 3)
    assert book["Summary"]["B2"].number_format == "yyyy-mm-dd"


def test_no_cell_is_a_formula(book: Workbook) -> None:
    risky = []
    for sheet in book:
        for row in sheet.iter_rows():
            for cell in row:
                assert cell.data_type != "f", f"{sheet.title}!{cell.coordinate}"
                if isinstance(cell.value, str) and cell.value[:1] in "=+-@":
                    risky.append(cell.value)
                    assert cell.quotePrefix
    assert {"=SUM(A1:A9)", "=1048", "+bag", "-festival-logo"} <= set(risky)


# CWE-1236 and OWASP "CSV injection": text starting with = + - @, a tab or a line end can be run as a formula.
@pytest.mark.parametrize("text", ["=1+1", "+1", "-1", "@A1", "\t=1", "\r=1", "=cmd|' /C calc'!A0", "  =1"])
def test_risky_text_comes_back_as_text(text: str) -> None:
    book = Workbook()
    sheet = book.worksheets[0]
    put(sheet.cell(1, 1), text)
    put(sheet.cell(1, 2), -1)
    put(sheet.cell(1, 3), "bad\x00\x0bletter")
    put(sheet.cell(1, 4), date(2026, 12, 3))
    target = io.BytesIO()
    book.save(target)
    back = load_workbook(target).worksheets[0]
    assert back["A1"].data_type == "s"
    assert str(back["A1"].value).strip() == text.strip()
    assert (back["B1"].data_type, back["B1"].value) == ("n", -1)
    assert back["C1"].value == "bad\ufffd\ufffdletter"


def test_same_plan_makes_the_same_bytes() -> None:
    assert plan_workbook(sample_plan()) == plan_workbook(sample_plan())
