"""plan.xlsx, read back."""

from __future__ import annotations

import io
from datetime import date, datetime

import pytest
from openpyxl import Workbook, load_workbook
from openpyxl.utils import range_boundaries

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
    # The heat of a newly mounted platen is a step of its own there too, and not by hand.
    parts = [part for one in plan.changeovers for part in one.parts]
    heated = [part for part in parts if part.heating_minutes]
    assert heated and book["Changeovers"].max_row == 1 + len(parts) + len(heated)
    rows = list(book["Changeovers"].iter_rows(min_row=2, values_only=True))
    assert [row[8] for row in rows if row[4] == "let it heat"] == ["no"] * len(heated)
    by_hand = sum(float(row[7]) for row in rows if row[8] == "yes")
    assert by_hand == pytest.approx(sum(one.by_hand_minutes for one in plan.changeovers))
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


def test_runs_are_printed_on_two_pages_beside_each_other(book: Workbook) -> None:
    runs = book["Runs"]
    assert runs.page_setup.orientation == "landscape"
    assert (runs.page_setup.fitToWidth, runs.page_setup.fitToHeight) == (2, 0)
    assert runs.sheet_properties.pageSetUpPr.fitToPage
    assert runs.freeze_panes == "B2"
    assert (runs.print_title_rows, runs.print_title_cols) == ("$1:$1", "$A:$A")
    area = str(runs.print_area)
    head = [cell.value for cell in runs[1]]
    last = head[range_boundaries(area.rpartition("!")[2].replace("$", ""))[2] - 1]
    assert last == "Notes"
    assert head[-3:] == ["Width × height mm", "Position", "Run id"]
    wide = max(runs.column_dimensions[cell.column_letter].width for cell in runs[1])
    assert wide <= 24


def test_notes_and_headings(book: Workbook) -> None:
    head = [cell.value for cell in book["Runs"][1]]
    column = head.index("Notes")
    noted = [row[column].value for row in book["Runs"].iter_rows(min_row=2) if row[column].value]
    assert noted == ["Fold with the crest up; =no bags"] * 2
    words = {cell.value for row in book["Summary"].iter_rows() for cell in row}
    assert "What counts" in words
    assert "Level" not in words
    assert book["Orders"]["D1"].value == "Counts as"
    assert [cell.value for cell in book["Switch-on"][1]][:5] == [
        "Switch on", "Who", "Press", "Set °C", "Ready at",
    ]  # fmt: skip


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
