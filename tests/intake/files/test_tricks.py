"""Files that mean harm: zips with tricks, sizes that lie, paths that are no files; each refused in words."""

from __future__ import annotations

import io
import os
import struct
import warnings
import zipfile
from collections.abc import Callable
from datetime import date
from pathlib import Path

import pytest

from scheduler.intake import default_shop, scan_orders
from scheduler.intake.files import guard, reader
from scheduler.intake.files.grid import Area, Unread
from scheduler.intake.files.guard import Fault, Refused
from scheduler.intake.files.reader import open_book
from tests.intake.books import codes
from tests.intake.files.made_files import xls_cell, xls_of
from tests.intake.files.test_files import MAIN, SHEET, refusal, sheet_with, with_part, workbook_bytes


def zipped(*parts: tuple[str, bytes]) -> bytes:
    out = io.BytesIO()
    with zipfile.ZipFile(out, "w", zipfile.ZIP_DEFLATED) as archive:
        for name, content in parts:
            archive.writestr(name, content)
    return out.getvalue()


def again(data: bytes, name: str, content: bytes) -> bytes:
    """A zip with one part more, whose name may be there already."""
    out = io.BytesIO(data)
    with warnings.catch_warnings(), zipfile.ZipFile(out, "a", zipfile.ZIP_DEFLATED) as archive:
        warnings.simplefilter("ignore")
        archive.writestr(name, content)
    return out.getvalue()


def lying(data: bytes, name: str, size: int) -> bytes:
    """A zip whose directory states another unpacked size of a part."""
    changed = bytearray(data)
    place = data.index(b"PK\x01\x02")
    while data[place : place + 4] == b"PK\x01\x02":
        length, extra, comment = struct.unpack_from("<HHH", data, place + 28)
        if data[place + 46 : place + 46 + length] == name.encode():
            struct.pack_into("<I", changed, place + 24, size)
        place += 46 + length + extra + comment
    return bytes(changed)


def two_sheets_of_one_part() -> bytes:
    sheets = (
        '<sheets><sheet name="A" sheetId="1" r:id="rId1"/><sheet name="B" sheetId="2" r:id="rId1"/></sheets>'
    )

    def change(old: bytes) -> bytes:
        start, end = old.index(b"<sheets>"), old.index(b"</sheets>") + len(b"</sheets>")
        space = b' xmlns:r="http://schemas.openxmlformats.org/officeDocument/2006/relationships"'
        sheets_here = sheets.encode().replace(b"<sheet ", b"<sheet" + space + b" ")
        return old[:start] + sheets_here + old[end:]

    return with_part("xl/workbook.xml", change)


CELL = '<row r="1"><c r="A1"><v>1</v></c></row>'
TRICKS: list[tuple[str, Callable[[], bytes], str, str]] = [
    ("twice", lambda: again(workbook_bytes(), SHEET, b"<worksheet/>"), "file-with-tricks", "two parts"),
    ("capitals", lambda: again(workbook_bytes(), SHEET.upper(), b"x"), "file-with-tricks", "two parts"),
    ("climbs", lambda: again(workbook_bytes(), "../../evil.xml", b"x"), "file-with-tricks", "leads out"),
    ("rooted", lambda: again(workbook_bytes(), "/etc/evil", b"x"), "file-with-tricks", "leads out"),
    ("drive", lambda: again(workbook_bytes(), "C:evil", b"x"), "file-with-tricks", "leads out"),
    ("one-part", two_sheets_of_one_part, "file-with-tricks", "two sheets"),
    ("says-less", lambda: lying(workbook_bytes(), SHEET, 20), "file-damaged", "cut off"),
    ("says-more", lambda: lying(workbook_bytes(), SHEET, 2**31), "file-too-large", "unpacks to"),
    ("nested", lambda: zipped(("orders.xlsx", workbook_bytes())), "not-a-workbook", "packed"),
    ("letter", lambda: zipped(("word/document.xml", b"<a/>")), "other-workbook", "another kind"),
    (
        "far-formula",
        lambda: sheet_with('<row r="1"><c r="XFD1"><f>A1</f></c></row>'),
        "cell-too-far",
        "far",
    ),
    ("row-0", lambda: sheet_with('<row r="1"><c r="A0"><v>1</v></c></row>'), "file-damaged", "cut off"),
]


@pytest.mark.parametrize(("name", "made", "code", "found"), TRICKS, ids=[row[0] for row in TRICKS])
def test_tricks_are_refused(
    tmp_path: Path, name: str, made: Callable[[], bytes], code: str, found: str
) -> None:
    fault = refusal(tmp_path, f"{name}.xlsx", made())
    assert fault.code == code
    assert found in fault.found
    if name == "nested":
        assert "orders.xlsx" in fault.mend


def test_the_neighbours_of_those_tricks_are_read(tmp_path: Path) -> None:
    harmless = [
        again(workbook_bytes(), "xl/media/evil..png", b"x"),
        again(workbook_bytes(), "xl/embeddings/orders.xlsx", workbook_bytes()),
        lying(workbook_bytes(), SHEET, 2**20),
    ]
    for data in harmless:
        (tmp_path / "a.xlsx").write_bytes(data)
        assert open_book(tmp_path / "a.xlsx").grids[0].rows == (("a", 1),)


def test_parts_with_backslashes_and_capitals_are_found(tmp_path: Path) -> None:
    """Some programs write their zips so."""
    out = io.BytesIO()
    with zipfile.ZipFile(io.BytesIO(workbook_bytes())) as old, zipfile.ZipFile(out, "w") as new:
        for name in old.namelist():
            other = name.replace("sheet1", "Sheet1").replace("/", "\\")
            new.writestr(other, old.read(name))
    (tmp_path / "a.xlsx").write_bytes(out.getvalue())
    assert open_book(tmp_path / "a.xlsx").grids[0].rows == (("a", 1),)


def test_the_reader_sees_nothing_but_what_was_looked_at(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    seen: list[bytes] = []
    read = reader._read_in_child

    def spy(file: str, look: guard.Look, timeout_s: float) -> object:
        seen.append(bytes(look.data))
        return read(file, look, timeout_s)

    monkeypatch.setattr(reader, "_read_in_child", spy)
    (tmp_path / "a.xlsx").write_bytes(again(workbook_bytes(), "xl/worksheets/sheet9.xml", b"<worksheet/>"))
    assert open_book(tmp_path / "a.xlsx").grids[0].rows == (("a", 1),)
    with zipfile.ZipFile(io.BytesIO(seen[0])) as archive:
        assert SHEET in archive.namelist()
        assert "xl/worksheets/sheet9.xml" not in archive.namelist()


def test_a_declared_size_that_lies_loses_no_row(tmp_path: Path) -> None:
    rows = "".join(f'<row r="{n}"><c r="A{n}"><v>{n}</v></c></row>' for n in range(1, 13))
    for stated in ("A1", "A1:B3", "A1:XFD1048576"):
        xml = f'<worksheet {MAIN}><dimension ref="{stated}"/><sheetData>{rows}</sheetData></worksheet>'
        (tmp_path / "a.xlsx").write_bytes(with_part(SHEET, xml.encode()))
        (grid,) = open_book(tmp_path / "a.xlsx").grids
        assert [row[0] for row in grid.rows] == list(range(1, 13))


def test_blank_cells_far_away_do_not_count(tmp_path: Path) -> None:
    """A sheet formatted down to its end holds blank cells there."""
    far = '<row r="1048576"><c r="A1048576" s="0"/><c r="XFD1048576" s="0"/></row>'
    (tmp_path / "a.xlsx").write_bytes(sheet_with(CELL + far))
    assert open_book(tmp_path / "a.xlsx").grids[0].rows == ((1,),)


def test_a_million_blank_rows_are_passed_over(tmp_path: Path) -> None:
    """In several chunks, with what follows behind the rows, and refused when one of them holds anything."""
    blank = [f'<row r="{n}" hidden="1"><c r="A{n}" s="0"/></row>' for n in range(49_000, 60_000)]
    merged = '<mergeCells count="1"><mergeCell ref="A1:B2"/></mergeCells>'

    def sheet(rows: list[str]) -> bytes:
        xml = f"<worksheet {MAIN}><sheetData>{CELL}{''.join(rows)}</sheetData>{merged}</worksheet>"
        return with_part(SHEET, xml.encode())

    (tmp_path / "a.xlsx").write_bytes(sheet(blank))
    (grid,) = open_book(tmp_path / "a.xlsx").grids
    assert grid.rows == ((1,),)
    assert grid.merged == (Area(0, 0, 1, 1),)
    assert grid.hidden_rows == frozenset(range(48_999, 50_000))
    for last in (1_000, 1_001, 5_000, 10_999):
        rows = [*blank[:last], blank[last].replace('s="0"/>', "><v>7</v></c>"), *blank[last + 1 :]]
        number = 49_000 + last
        (tmp_path / "a.xlsx").write_bytes(sheet(rows))
        if number <= guard.MOST_ROWS:
            assert open_book(tmp_path / "a.xlsx").grids[0].value(number - 1, 0) == 7
        else:
            assert str(refused(tmp_path / "a.xlsx").source) == f"a.xlsx, Orders!A{number}"


def test_crowds_of_cells_merges_and_errors_are_refused(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    merged = "".join(f'<mergeCell ref="A{n}:B{n}"/>' for n in range(1, 5))
    xml = f"<worksheet {MAIN}><sheetData>{CELL * 4}</sheetData><mergeCells>{merged}</mergeCells></worksheet>"
    errors = "".join(f'<row r="{n}"><c r="A{n}" t="e"><v>#N/A</v></c></row>' for n in range(1, 5))
    for limit, data in (
        ("MOST_AREA", sheet_with('<row r="1"><c s="0"/><c/></row>' * 2 + CELL)),
        ("MOST_MERGED", with_part(SHEET, xml.encode())),
        ("MOST_UNREAD", sheet_with(errors)),
    ):
        (tmp_path / "a.xlsx").write_bytes(data)
        with monkeypatch.context() as change:
            change.setattr(guard, limit, 3)
            assert refused(tmp_path / "a.xlsx").code == "table-too-large"
            change.setattr(guard, limit, 5)
            assert open_book(tmp_path / "a.xlsx").grids


def test_an_error_without_text_and_a_shared_formula_without_result(tmp_path: Path) -> None:
    cells = '<c r="A1"><f t="shared" si="0"/></c><c r="B1" t="e"/><c r="C1" t="e"><v>#N/A</v></c>'
    (tmp_path / "a.xlsx").write_bytes(sheet_with(f'<row r="1">{cells}<c r="D1"><v>1</v></c></row>'))
    (grid,) = open_book(tmp_path / "a.xlsx").grids
    assert grid.rows[0] == (Unread("formula", "="), None, Unread("error", "#N/A"), 1)


def refused(path: Path) -> Fault:
    with pytest.raises(Refused) as caught:
        open_book(path)
    return caught.value.fault


@pytest.mark.skipif(not hasattr(os, "mkfifo"), reason="no pipes with names here")
def test_a_pipe_or_device_is_not_opened(tmp_path: Path) -> None:
    pipe = tmp_path / "orders.xlsx"
    os.mkfifo(pipe)
    fault = refused(pipe)
    assert (fault.code, fault.source.file) == ("not-a-workbook", "orders.xlsx")
    assert "pipe" in fault.found
    assert "pipe" in refused(Path(os.devnull)).found


def test_a_huge_file_is_refused_by_its_size_alone(tmp_path: Path) -> None:
    path = tmp_path / "huge.xlsx"
    with path.open("wb") as stream:
        stream.truncate(200 * 2**20)
    fault = refused(path)
    assert (fault.code, fault.found) == ("file-too-large", "the file has 200 MB")


def test_names_that_no_file_can_have(tmp_path: Path) -> None:
    assert refused(tmp_path / ("x" * 300 + ".xlsx")).code == "file-locked"
    assert refused(tmp_path / "a\0b.xlsx").code == "file-locked"
    loop = tmp_path / "loop.xlsx"
    loop.symlink_to(loop)
    assert refused(loop).code == "file-locked"
    paths = [loop, tmp_path / "a\0b.xlsx", loop]
    found = scan_orders(paths, default_shop(), date(2026, 3, 2))[1]
    assert codes(found) == ["file-twice", "file-locked", "file-locked"]


def test_zero_bytes_and_endless_lines_in_text_tables(tmp_path: Path) -> None:
    path = tmp_path / "a.csv"
    path.write_bytes(b"a,b\n" + b"1,2\n" * 2000 + b"1,\x002\n")
    assert (refused(path).code, refused(path).found) == (
        "file-damaged",
        "line 2002 holds bytes that are no letters",
    )
    path.write_bytes(b"a,b\n1," + b"x" * 2**20)
    assert refused(path).code == "table-damaged"
    path.write_bytes(b"a,b\n1," + b"x" * 100_000 + b"\n")
    assert len(str(open_book(path).grids[0].value(1, 1))) == 100_000


def test_a_far_cell_of_a_damaged_xls_is_refused_by_its_address(tmp_path: Path) -> None:
    """Such a file can name a column that no spreadsheet has: 64,513 is CQKH."""
    file = tmp_path / "a.xls"
    file.write_bytes(xls_of(xls_cell(5, 64_513, "far")))
    orders, found = scan_orders([file], default_shop(), date(2026, 3, 2))
    assert orders == () and [(one.code, one.source.cell) for one in found] == [("cell-too-far", "CQKH6")]


def test_merged_cells_count_as_far_as_cells_may_hold_anything(tmp_path: Path) -> None:
    """Merged down to the end of the sheet is common; beyond it, a trick."""
    cells = "".join(f'<mergeCell ref="{area}"/>' for area in ("A1:XFD1048576", "ABCDEFG1:ABCDEFG9"))
    sheet = f"<worksheet {MAIN}><sheetData>{CELL}</sheetData><mergeCells>{cells}</mergeCells></worksheet>"
    (tmp_path / "a.xlsx").write_bytes(with_part(SHEET, sheet.encode()))
    (grid,) = open_book(tmp_path / "a.xlsx").grids
    assert grid.merged == (Area(0, 0, guard.MOST_ROWS - 1, guard.MOST_COLUMNS - 1),)
