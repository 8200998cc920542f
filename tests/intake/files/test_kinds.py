"""Kinds of workbook: what each tells of merged cells, hidden rows, errors, formulas, macros and links."""

from __future__ import annotations

import io
import struct
import zipfile
from datetime import date, datetime, time, timedelta
from pathlib import Path
from typing import Any

import pytest
from openpyxl import Workbook

from scheduler.intake import default_shop, scan_orders
from scheduler.intake.files.grid import NO_FORMULAS, NO_MERGED, Area, Book, Unread
from scheduler.intake.files.guard import Refused
from scheduler.intake.files.reader import open_book
from tests.intake.books import codes
from tests.intake.files.made_files import (
    compound_file,
    ods_bytes,
    ods_of,
    ods_sheet,
    xls_bytes,
    xls_cell,
    xls_of,
)

HEADINGS = ["Order", "Customer", "Garment", "Fabric", "Placement", "Transfer", "Artwork", "M", "L"]
ROW = ["0042", "Müller, Żół", "tee", "cotton", "left chest", "film hot peel", "=badge", 12, None]


def opened(folder: Path, name: str, data: bytes) -> Book:
    (folder / name).write_bytes(data)
    return open_book(folder / name)


def xlsx_bytes(rows: list[list[Any]]) -> bytes:
    book = Workbook()
    sheet = book.active
    assert sheet is not None
    sheet.title = "Orders"
    for number, row in enumerate(rows, start=1):
        for column, value in enumerate(row, start=1):
            cell = sheet.cell(number, column, value)
            if isinstance(value, str):
                cell.data_type = "s"
    out = io.BytesIO()
    book.save(out)
    return out.getvalue()


def added(data: bytes, **parts: bytes) -> bytes:
    """A zip with more parts; underscores in names stand for slashes."""
    out = io.BytesIO(data)
    with zipfile.ZipFile(out, "a") as archive:
        for name, content in parts.items():
            archive.writestr(name.replace("__", "/").replace("_dot_", "."), content)
    return out.getvalue()


@pytest.mark.parametrize(
    ("name", "made"), [("a.xlsx", xlsx_bytes), ("a.ods", ods_bytes), ("a.xls", xls_bytes)]
)
def test_the_same_orders_in_every_kind_of_workbook(tmp_path: Path, name: str, made: Any) -> None:
    (tmp_path / name).write_bytes(made([HEADINGS, ROW]))
    (order,), found = scan_orders([tmp_path / name], default_shop(), date(2026, 3, 2))
    assert found == ()
    assert (order.id, order.customer, order.quantity) == ("0042", "Müller, Żół", 12)
    assert order.lines[0].prints[0].artwork == "=badge"
    assert str(order.source) == f"{name}, Orders!A2"


@pytest.mark.parametrize(("name", "made"), [("a.ods", ods_bytes), ("a.xls", xls_bytes)])
def test_values_keep_their_kinds_and_places(tmp_path: Path, name: str, made: Any) -> None:
    when = datetime(2026, 3, 2, 10, 30)
    (grid,) = opened(
        tmp_path, name, made([[], [None, 2.5, True, when, date(2026, 3, 2), "007", "a\nb"]])
    ).grids
    assert grid.rows[1] == (None, 2.5, True, when, date(2026, 3, 2), "007", "a\nb")
    assert str(grid.source(1, 1)) == f"{name}, Orders!B2"


def test_an_ods_tells_times_and_stretches(tmp_path: Path) -> None:
    long = '<table:table-cell office:value-type="time" office:time-value="PT30H00M00S"/>'
    cells = f"<table:table-row>{long}</table:table-row>"
    sheet = ods_sheet("Times", [[time(9, 15)]]).replace("</table:table>", f"{cells}</table:table>")
    (grid,) = opened(tmp_path, "times.ods", ods_of(sheet)).grids
    assert grid.rows == ((time(9, 15),), (timedelta(hours=30),))


def test_an_ods_tells_what_is_merged_hidden_wrong_or_without_result(tmp_path: Path) -> None:
    cells = (
        '<table:table-column table:number-columns-repeated="2"/>'
        '<table:table-column table:visibility="collapse"/>'
        '<table:table-row table:number-rows-repeated="3"><table:table-cell/></table:table-row>'
        '<table:table-row table:visibility="filter"><table:table-cell/>'
        '<table:table-cell office:value-type="string" table:number-columns-spanned="2" '
        'table:number-rows-spanned="2"><office:annotation><text:p>note</text:p></office:annotation>'
        "<text:p>one</text:p></table:table-cell><table:covered-table-cell/></table:table-row>"
        '<table:table-row><table:table-cell table:formula="of:=1/0" office:value-type="string" '
        'calcext:value-type="error"><text:p>#DIV/0!</text:p></table:table-cell>'
        '<table:covered-table-cell table:number-columns-repeated="2"/>'
        '<table:table-cell table:formula="of:=[.A1]"/>'
        '<table:table-cell table:number-columns-repeated="2" office:value-type="float" office:value="7"/>'
        '<table:table-cell table:number-columns-repeated="16000"/></table:table-row>'
        '<table:table-row table:number-rows-repeated="1048000" table:visibility="collapse">'
        '<table:table-cell table:number-columns-repeated="16384"/></table:table-row>'
    )
    sheet = f'<table:table table:name="A" xmlns:calcext="urn:x">{cells}</table:table>'
    style = (
        '<style:style style:name="away" style:family="table">'
        '<style:table-properties table:display="false"/></style:style>'
    )
    hidden = ods_sheet("B", [[1]], style=' table:style-name="away"')
    first, second = opened(tmp_path, "a.ods", ods_of(sheet + hidden, styles=style)).grids
    assert first.merged == (Area(3, 1, 4, 2),)
    assert 3 in first.hidden_rows and 4 not in first.hidden_rows
    assert first.hidden_columns == {2}
    assert first.value(3, 1) == "one"
    assert first.value(4, 0) == Unread("error", "#DIV/0!")
    assert first.value(4, 3) == Unread("formula", "=[.A1]")
    assert (first.value(4, 4), first.value(4, 5)) == (7, 7)
    assert (first.hidden, second.hidden) == (False, True)
    assert first.untold == ()


def test_an_xls_tells_what_is_merged_hidden_or_wrong(tmp_path: Path) -> None:
    def record(kind: int, content: bytes) -> bytes:
        return struct.pack("<HH", kind, len(content)) + content

    cells = (
        record(0x007D, struct.pack("<HHHHHH", 2, 3, 2000, 0, 1, 0))
        + record(0x0208, struct.pack("<HHHHHHI", 4, 0, 3, 255, 0, 0, 0x0120))
        + xls_cell(3, 1, "one")
        + xls_cell(4, 0, b"\x2a")
        + record(0x0006, struct.pack("<HHHBxBxxxHHIH", 4, 1, 0, 2, 0x07, 0xFFFF, 0, 0, 3) + b"\x1e\x01\x00")
        + record(0x00E5, struct.pack("<H4H", 1, 3, 4, 1, 2))
    )
    book = opened(tmp_path, "a.xls", xls_of(cells, state=1))
    (grid,) = book.grids
    assert grid.hidden and book.doubts == ()
    assert grid.merged == (Area(3, 1, 4, 2),)
    assert grid.hidden_rows == {4} and grid.hidden_columns == {2, 3}
    assert grid.value(3, 1) == "one"
    assert grid.value(4, 0) == Unread("error", "#N/A")
    assert grid.value(4, 1) == Unread("error", "#DIV/0!")
    assert grid.untold == (NO_FORMULAS,)


def test_an_xlsx_tells_what_is_merged_and_hidden(tmp_path: Path) -> None:
    book = Workbook()
    sheet = book.active
    assert sheet is not None
    sheet["B4"] = "one"
    sheet.merge_cells("B4:C5")
    sheet.row_dimensions[4].hidden = True
    sheet.column_dimensions["C"].hidden = True
    book.save(tmp_path / "a.xlsx")
    (grid,) = open_book(tmp_path / "a.xlsx").grids
    assert grid.merged == (Area(3, 1, 4, 2),)
    assert grid.hidden_rows == {3} and grid.hidden_columns == {2}
    (tmp_path / "a.csv").write_text("a,b\n1,2\n")
    assert NO_MERGED in open_book(tmp_path / "a.csv").grids[0].untold


def test_macros_and_links_are_said_and_not_used(tmp_path: Path) -> None:
    rows = [HEADINGS, ROW]
    plain = xlsx_bytes(rows)
    cases = [
        (added(plain, xl__vbaProject_dot_bin=b"x"), ["macros-not-run"]),
        (added(plain, xl__externalLinks__externalLink1_dot_xml=b"<a/>"), ["links-not-followed"]),
        (plain, []),
        (added(ods_bytes(rows), Basic__Standard__Module1_dot_xml=b"<a/>"), ["macros-not-run"]),
        (xls_of(xls_cell(0, 0, 1), globals_=struct.pack("<HHHHH", 0x01AE, 6, 1, 5, 0)),
         ["links-not-followed"]),
        (xls_of(xls_cell(0, 0, 1), globals_=struct.pack("<HHHH", 0x01AE, 4, 1, 0x0401)), []),
    ]  # fmt: skip
    for number, (data, expected) in enumerate(cases):
        assert codes(opened(tmp_path, f"{number}.xlsx", data).doubts) == expected
    linked = "of:='file:///a.ods'#$A.A1"
    formula = f'<table:table-cell table:formula="{linked}" office:value-type="float" office:value="3"/>'
    sheet = f'<table:table table:name="A"><table:table-row>{formula}</table:table-row></table:table>'
    book = opened(tmp_path, "links.ods", ods_of(sheet))
    assert codes(book.doubts) == ["links-not-followed"] and book.grids[0].value(0, 0) == 3


LOCKED_MANIFEST = (
    b'<manifest:manifest xmlns:manifest="m"><manifest:file-entry manifest:full-path="content.xml">'
    b"<manifest:encryption-data/></manifest:file-entry></manifest:manifest>"
)


def row_of(cells: str, repeated: int = 1) -> str:
    return f'<table:table-row table:number-rows-repeated="{repeated}">{cells}</table:table-row>'


def ods_with(rows: str) -> bytes:
    return ods_of(f'<table:table table:name="Orders">{rows}</table:table>')


SEVEN = '<table:table-cell office:value-type="float" office:value="7"/>'
BLANK = "<table:table-cell/>"


@pytest.mark.parametrize(
    ("data", "code", "cell"),
    [
        (ods_with(row_of(BLANK, 60_000) + row_of(SEVEN)), "cell-too-far", "A60001"),
        (ods_with(row_of(SEVEN, 1_000_000)), "cell-too-far", "A1000000"),
        (ods_with(row_of(BLANK.replace("/>", ' table:number-columns-repeated="300"/>') + SEVEN)),
         "cell-too-far", "KO1"),
        (ods_with(row_of(SEVEN.replace("/>", ' table:number-columns-repeated="300"/>'))),
         "cell-too-far", "KN1"),
        (ods_with(row_of(BLANK, 49_999) + row_of(BLANK.replace("/>", ' table:number-columns-repeated="150"/>')
                                                 + SEVEN)), "table-too-large", ""),
        (ods_with(row_of(SEVEN.replace('"7"', '"7" table:number-columns-repeated="none"'))),
         "file-damaged", ""),
        (ods_of("", more={"META-INF/manifest.xml": LOCKED_MANIFEST}), "file-encrypted", ""),
        (xls_of(xls_cell(50_000, 0, 1)), "cell-too-far", "A50001"),
        (xls_of(xls_cell(0, 200, "x")), "cell-too-far", "GS1"),
        (xls_of(xls_cell(49_999, 100, 1)), "table-too-large", ""),
        (xls_of(xls_cell(0, 0, 1), globals_=struct.pack("<HHHHH", 0x2F, 6, 0, 0, 0)), "file-encrypted", ""),
        (compound_file({"EncryptedPackage": b"x", "EncryptionInfo": b"x"}), "file-encrypted", ""),
        (compound_file({"WordDocument": b"x"}), "not-a-workbook", ""),
        (xls_bytes([["a", 1]])[:2000], "file-damaged", ""),
    ],
)  # fmt: skip
def test_traps_in_ods_and_xls(tmp_path: Path, data: bytes, code: str, cell: str) -> None:
    with pytest.raises(Refused) as caught:
        opened(tmp_path, "trap", data)
    assert (caught.value.fault.code, caught.value.fault.source.cell) == (code, cell)


def test_the_neighbours_of_those_traps_are_read(tmp_path: Path) -> None:
    (grid,) = opened(tmp_path, "edge.ods", ods_with(row_of(BLANK, 49_999) + row_of(SEVEN))).grids
    assert grid.value(49_999, 0) == 7
    # a sheet formatted down to its very end
    (grid,) = opened(tmp_path, "end.ods", ods_with(row_of(SEVEN, 2) + row_of(BLANK, 1_048_574))).grids
    assert [row for row in grid.rows if any(row)] == [(7,), (7,)]
    (grid,) = opened(tmp_path, "edge.xls", xls_of(xls_cell(49_999, 0, 1) + xls_cell(3, 3, 2))).grids
    assert (grid.value(49_999, 0), grid.value(3, 3)) == (1, 2)
    (grid,) = opened(tmp_path, "edge2.xls", xls_of(xls_cell(0, 199, "x"))).grids
    assert grid.value(0, 199) == "x"
