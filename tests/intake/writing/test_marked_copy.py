"""Marked copies: notes on cells, a list with links, the owner's file unchanged, drop-downs kept."""

from __future__ import annotations

import warnings
from datetime import date
from pathlib import Path

import pytest
from openpyxl import load_workbook
from openpyxl.comments import Comment
from openpyxl.styles import PatternFill

from scheduler.domain.faults import Fault, Severity, Source
from scheduler.exceptions import BadInput
from scheduler.intake import default_shop, scan_orders, write_shop_folder
from scheduler.intake.files.reader import open_book
from scheduler.intake.writing.marked_copy import LISTING, write_marked_copies
from tests.intake.books import codes, sheets_book
from tests.intake.files.made_files import ods_bytes
from tests.intake.files.test_files import MAIN, SHEET, with_part

HEADINGS = ["Order", "Customer", "Garment", "Fabric", "Placement", "Transfer", "Artwork", "M"]
ROW = ["007", "=A1+1", "tee", "cottn", "left chest", "film hot peel", "badge", "a few"]
MONDAY = date(2026, 3, 2)


def faults_of(path: Path) -> tuple[Fault, ...]:
    return scan_orders([path], default_shop(), MONDAY)[1]


def marked(path: Path, folder: Path, findings: tuple[Fault, ...] | None = None) -> Path:
    found = faults_of(path) if findings is None else findings
    (copy,) = write_marked_copies({path.name: path}, found, folder)
    return copy


def test_a_workbook_keeps_its_formats_formulas_notes_and_drop_downs(tmp_path: Path) -> None:
    write_shop_folder(tmp_path)
    path = tmp_path / "orders.xlsx"
    book = load_workbook(path)
    sheet = book["Orders"]
    headings = {cell.value: cell.column for cell in sheet[3]}
    fabric = sheet.cell(5, headings["Fabric"])
    fabric.value = "cottn"
    fabric.comment = Comment("ask Jo", "Jo")
    sheet.cell(6, headings["M"]).value = "a few"
    sheet["AD5"] = "=1+1"
    sheet["AD6"].fill = PatternFill("solid", fgColor="FF00FF00")
    book.save(path)
    before = path.read_bytes()
    found = faults_of(path)
    copy = marked(path, tmp_path / "out")
    assert copy == tmp_path / "out" / "orders-marked.xlsx"
    assert path.read_bytes() == before

    back = load_workbook(copy)
    assert back.sheetnames[0] == LISTING and back.active is back[LISTING]
    assert [sheet.title for sheet in back.worksheets if sheet.sheet_view.tabSelected] == [LISTING]
    sheet = back["Orders"]
    noted = sheet.cell(5, headings["Fabric"])
    assert noted.value == "cottn"
    assert noted.comment is not None and noted.comment.text.startswith("ask Jo\n")
    assert 'Did you mean "cotton"?' in noted.comment.text
    assert noted.fill.fgColor.rgb == "FFF8B4AB"
    assert sheet["AD5"].value == "=1+1" and sheet["AD6"].fill.fgColor.rgb == "FF00FF00"
    kept = {rule.formula1 for rule in sheet.data_validations.dataValidation}
    assert "list_fabrics" in kept and "list_fabrics" in back.defined_names
    rows = list(back[LISTING].iter_rows(min_row=5, values_only=True))
    assert [row[1] for row in rows] == [one.severity.value for one in found]
    assert [row[3] for row in rows] == [one.source.cell or None for one in found]
    number = next(n for n, one in enumerate(found) if one.source.cell == noted.coordinate)
    link = back[LISTING].cell(5 + number, 4).hyperlink
    assert link is not None and link.location == f"'Orders'!{noted.coordinate}"
    doubt = next(
        one for one in found if one.severity is Severity.DOUBT and one.source.cell != noted.coordinate
    )
    assert sheet[doubt.source.cell].fill.fgColor.rgb == "FFFFE699"


def test_a_copy_that_was_mended_reads_and_is_marked_anew(tmp_path: Path) -> None:
    path = sheets_book(tmp_path / "orders.xlsx", {"Orders": [HEADINGS, [1, "Ada", *ROW[2:]]]})
    copy = marked(path, tmp_path)
    assert codes(faults_of(copy)) == codes(faults_of(path)) == ["unknown-fabric", "quantity-not-a-number"]
    book = load_workbook(copy)
    book["Orders"]["D2"] = "cotton"
    book.save(copy)
    (again,) = write_marked_copies({copy.name: copy}, faults_of(copy), tmp_path)
    assert again.name == "orders-marked-marked.xlsx"
    back = load_workbook(again)
    assert back.sheetnames == [LISTING, "Orders"]
    assert back["Orders"]["D2"].comment is None and back["Orders"]["D2"].fill.fill_type is None
    assert back["Orders"]["H2"].comment is not None
    book["Orders"]["H2"] = 3
    book.save(copy)
    assert faults_of(copy) == ()


def test_nothing_is_overwritten(tmp_path: Path) -> None:
    path = sheets_book(tmp_path / "orders.xlsx", {"Orders": [HEADINGS, ROW]})
    names = [marked(path, tmp_path).name for _ in range(3)]
    assert names == ["orders-marked.xlsx", "orders-marked-2.xlsx", "orders-marked-3.xlsx"]
    assert not list(tmp_path.glob(".*"))
    (tmp_path / "taken").write_text("a file")
    with pytest.raises(BadInput, match="can't be written"):
        marked(path, tmp_path / "taken")


@pytest.mark.parametrize("name", ["orders.csv", "orders.ods"])
def test_other_kinds_give_a_workbook_of_their_values(tmp_path: Path, name: str) -> None:
    path = tmp_path / name
    if name.endswith("csv"):
        path.write_text("\n".join(";".join(row) for row in (HEADINGS, ROW)) + "\n")
    else:
        path.write_bytes(ods_bytes([HEADINGS, ROW]))
    copy = marked(path, tmp_path)
    sheet = load_workbook(copy)["Table" if name.endswith("csv") else "Orders"]
    assert [cell.value for cell in sheet[2]] == ROW
    assert {cell.data_type for cell in sheet[2]} == {"s"}
    assert sheet["D2"].comment is not None and sheet["H2"].comment is not None
    assert codes(faults_of(copy)) == codes(faults_of(path))


def test_a_cell_inside_merged_ones_is_noted_at_their_corner(tmp_path: Path) -> None:
    path = sheets_book(tmp_path / "orders.xlsx", {"It's": [HEADINGS, ROW]})
    book = load_workbook(path)
    book["It's"].merge_cells("A2:A4")
    book.save(path)
    source = Source(file="orders.xlsx", sheet="It's", cell="A3")
    found = Fault(code="x", source=source, found="=1", expected="b", mend="+c")
    copy = load_workbook(marked(path, tmp_path, (found,)))
    assert copy["It's"]["A2"].comment is not None
    listed = copy[LISTING]
    assert (listed["E5"].value, listed["E5"].data_type, listed["G5"].data_type) == ("=1", "s", "s")
    assert listed["D5"].value == "A3"
    assert listed["D5"].hyperlink is not None and listed["D5"].hyperlink.location == "'It''s'!A2"


def test_files_without_findings_or_that_cannot_be_read_have_no_copy(tmp_path: Path) -> None:
    good = sheets_book(tmp_path / "good.xlsx", {"Orders": [HEADINGS, ROW]})
    (tmp_path / "bad.xlsx").write_bytes(good.read_bytes()[:-100])
    bad = tmp_path / "bad.xlsx"
    assert write_marked_copies({"bad.xlsx": bad, "good.xlsx": good}, faults_of(bad), tmp_path / "out") == []
    assert not (tmp_path / "out").exists()


def test_drop_downs_in_extensions_are_kept(tmp_path: Path) -> None:
    names = (
        'xmlns:x14="http://schemas.microsoft.com/office/spreadsheetml/2009/9/main" '
        'xmlns:xm="http://schemas.microsoft.com/office/excel/2006/main"'
    )
    rule = (
        f'<extLst><ext uri="{{CCE6A557-97BC-4b89-ADB6-D9C93CAAB3DF}}" {names}><x14:dataValidations count="1">'
        '<x14:dataValidation type="list" allowBlank="1" showErrorMessage="1"><x14:formula1>'
        "<xm:f>Other!$A$1:$A$9"
        "</xm:f></x14:formula1><xm:sqref>B2:B9</xm:sqref></x14:dataValidation></x14:dataValidations>"
        "</ext></extLst>"
    )
    cells = '<row r="1"><c r="A1"><v>1</v></c></row>'
    xml = f"<worksheet {MAIN}><sheetData>{cells}</sheetData>{rule}</worksheet>"
    path = tmp_path / "orders.xlsx"
    path.write_bytes(with_part(SHEET, xml.encode()))
    with warnings.catch_warnings():
        warnings.simplefilter("error")
        copy = marked(path, tmp_path)
    (kept,) = load_workbook(copy)["Orders"].data_validations.dataValidation
    assert (kept.type, kept.formula1, str(kept.sqref)) == ("list", "Other!$A$1:$A$9", "B2:B9")


def test_entities_in_parts_that_only_the_copy_needs_end_in_a_copy_of_values(tmp_path: Path) -> None:
    trick = b'<!DOCTYPE a [<!ENTITY x "ha">]><a>&x;</a>'
    path = tmp_path / "orders.xlsx"
    path.write_bytes(with_part("docProps/core.xml", trick))
    assert load_workbook(marked(path, tmp_path))["Orders"]["A1"].value == "a"
    assert open_book(path).grids[0].value(0, 0) == "a"
