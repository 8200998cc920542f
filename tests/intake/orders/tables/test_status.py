"""Rows that may not be pressed: by a status, a date, a tick, a note, a line over them, a struck cell."""

from __future__ import annotations

import re
import zipfile
from datetime import date
from pathlib import Path
from typing import Any

import pytest
from openpyxl import Workbook
from openpyxl.cell.rich_text import CellRichText, TextBlock
from openpyxl.cell.text import InlineFont
from openpyxl.comments import Comment
from openpyxl.styles import Font

from scheduler.intake.orders.reader import look_at_orders, open_orders
from tests.intake.orders.test_owner_sheets import HEAD, ROW, SHOP, doubts, found, other, read


def fate(heading: str, written: Any) -> str:
    """What becomes of a row: "left out", "asked", "doubted" or "pressed"."""
    looked = read([[*HEAD, heading], [*ROW, written], [*other("008"), None]])
    if looked.left_out:
        assert doubts(looked) == [("row-left-out", "L2")]
        return "left out"
    if found(looked):
        assert found(looked) == [("status-unclear", "L2")] and [one.id for one in looked.orders] == ["008"]
        return "asked"
    assert len(looked.orders) == 2
    return "doubted" if doubts(looked) else "pressed"


@pytest.mark.parametrize(
    ("written", "what"),
    [
        ("SHIPPED 5/3", "left out"), ("done Tue 9 March", "left out"), ("on hold - art", "left out"),
        ("packed", "left out"), ("awaiting approval", "left out"), ("quote", "left out"),
        ("versendet", "left out"),
        ("Versendet am 5.3.", "left out"), ("devis", "left out"),
        ("pressed 2, 8 left", "asked"), ("half done", "asked"), ("done?", "asked"), ("printed", "asked"),
        ("done left sleeve", "asked"), ("shipped - 2 to do", "asked"),
        ("✓", "doubted"), ("???", "doubted"), ("lost", "doubted"),
        ("-", "pressed"), ("not shipped", "pressed"), ("new", "pressed"),
    ],
)  # fmt: skip
def test_a_status(written: str, what: str) -> None:
    assert fate("Status", written) == what


@pytest.mark.parametrize(
    ("written", "what"),
    [("✓", "left out"), ("✔", "left out"), (date(2026, 2, 27), "left out"), ("27.02.2026", "left out"),
     ("8 of 10", "asked"), (8, "asked"), ("partly", "asked"),
     ("JK", "doubted"), (0, "pressed"), ("no", "pressed")],
)  # fmt: skip
def test_a_tick_a_date_or_a_count_under_done(written: Any, what: str) -> None:
    assert fate("Done", written) == what


@pytest.mark.parametrize(
    ("note", "code"),
    [("already shipped", "row-left-out"), ("customer cancelled 2 XL", "note-says-change"),
     ("only press 5 of them", "note-says-change"), ("bereits 3 fertig", "note-says-change"),
     ("fold neatly", "")],
)  # fmt: skip
def test_a_note_that_takes_work_away(note: str, code: str) -> None:
    assert doubts(read([[*HEAD, "Notes"], [*ROW, note]])) == ([(code, "L2")] if code else [])


@pytest.mark.parametrize("line", ["CANCELLED ORDERS", "DONE:", "Storniert", "on hold"])
def test_rows_under_a_line_with_a_status_are_asked(line: str) -> None:
    looked = read([HEAD, ROW, [line], other("008")])
    assert found(looked) == [("section-of-status", "A3")]
    assert [order.id for order in looked.orders] == ["007"]
    looked = read([HEAD, ROW, ["Next week's orders"], other("008")])
    assert found(looked) == [] and len(looked.orders) == 2


def test_cells_struck_through_are_doubted(tmp_path: Path) -> None:
    book = Workbook()
    sheet = book.active
    for row in (HEAD, ROW, other("008"), other("009"), other("010")):
        sheet.append(row)
    for cell in ("J2", "A3", *(f"{letter}4" for letter in "ABCDEFGHIJ")):
        sheet[cell].font = Font(strike=True)
    book.save(tmp_path / "orders.xlsx")
    looked = look_at_orders(open_orders([tmp_path / "orders.xlsx"]), SHOP)
    assert doubts(looked) == [("rows-marked", "A4"), ("cells-struck", "J2")]
    assert 'J2 "5", A3 "008"' in looked.found[-1].found and len(looked.orders) == 4


def share_texts(path: Path) -> None:
    """Write a workbook again with its texts in a part of their own, as other spreadsheet programs do."""
    with zipfile.ZipFile(path) as archive:
        parts = {name: archive.read(name).decode() for name in archive.namelist()}
    texts: list[str] = []

    def moved(found: re.Match[str]) -> str:
        texts.append(f"<si>{found[1]}</si>")
        return f't="s"><v>{len(texts) - 1}</v>'

    sheet, main = "xl/worksheets/sheet1.xml", "http://schemas.openxmlformats.org/spreadsheetml/2006/main"
    parts[sheet] = re.sub(r't="inlineStr"><is>(.*?)</is>', moved, parts[sheet])
    assert texts
    parts["xl/sharedStrings.xml"] = f'<sst xmlns="{main}">{"".join(texts)}</sst>'
    kind = "http://schemas.openxmlformats.org/officeDocument/2006/relationships/sharedStrings"
    related = f'<Relationship Id="rTexts" Type="{kind}" Target="sharedStrings.xml"/></Relationships>'
    relations = "xl/_rels/workbook.xml.rels"
    parts[relations] = parts[relations].replace("</Relationships>", related)
    with zipfile.ZipFile(path, "w") as archive:
        for name, content in parts.items():
            archive.writestr(name, content)


@pytest.mark.parametrize("shared", [False, True])
def test_a_text_struck_through_in_part_is_doubted(shared: bool, tmp_path: Path) -> None:
    """What held before the change stands in the cell with a line over it, and no value tells so."""
    book = Workbook()
    sheet = book.active
    for row in (HEAD, ROW, other("008")):
        sheet.append(row)
    struck, bold = InlineFont(strike=True), InlineFont(b=True)
    sheet["B2"] = CellRichText(TextBlock(struck, "Harbour"), " Mill")
    sheet["B3"] = CellRichText(TextBlock(bold, "Mill"), " Lane")
    book.save(tmp_path / "orders.xlsx")
    if shared:
        share_texts(tmp_path / "orders.xlsx")
    looked = look_at_orders(open_orders([tmp_path / "orders.xlsx"]), SHOP)
    assert doubts(looked) == [("cells-struck", "B2")]
    assert 'B2 "Harbour Mill"' in looked.found[0].found


def test_comments_on_cells_are_said(tmp_path: Path) -> None:
    book = Workbook()
    sheet = book.active
    for row in (HEAD, ROW):
        sheet.append(row)
    sheet["I2"].comment = Comment("customer wants 1 not 3", "Jo")
    sheet["J2"].comment = Comment("found earlier", "Pressday")
    book.save(tmp_path / "orders.xlsx")
    looked = look_at_orders(open_orders([tmp_path / "orders.xlsx"]), SHOP)
    assert doubts(looked) == [("cell-comments", "I2")]
    assert looked.found[0].found == 'comments on cells: I2 "customer wants 1 not 3"'
