"""Files as they come: kinds, damage, hostile ones, text tables with their letters and delimiters."""

from __future__ import annotations

import codecs
import io
import random
import zipfile
from collections.abc import Callable
from datetime import date, datetime, time, timedelta
from pathlib import Path

import pytest
from openpyxl import Workbook

from scheduler.intake import default_shop, scan_orders, scan_shop
from scheduler.intake.files import guard, reader, zip_parts
from scheduler.intake.files.child import decode, encode
from scheduler.intake.files.grid import Unread, address, column_letters, position
from scheduler.intake.files.guard import Kind, Look, Refused
from scheduler.intake.files.reader import look_through, open_book
from tests.intake.books import codes, sheets_book

SHEET = "xl/worksheets/sheet1.xml"
MAIN = 'xmlns="http://schemas.openxmlformats.org/spreadsheetml/2006/main"'


def workbook_bytes(*rows: list[object]) -> bytes:
    book = Workbook()
    book.active.title = "Orders"  # type: ignore[union-attr]
    for row in rows or (["a", 1],):
        book.active.append(row)  # type: ignore[union-attr]
    out = io.BytesIO()
    book.save(out)
    return out.getvalue()


def with_part(name: str, content: bytes | Callable[[bytes], bytes], **kinds: int) -> bytes:
    """A small workbook with one part replaced or added."""
    out = io.BytesIO()
    with (
        zipfile.ZipFile(io.BytesIO(workbook_bytes())) as source,
        zipfile.ZipFile(out, "w", zipfile.ZIP_DEFLATED) as target,
    ):
        old = source.read(name) if name in source.namelist() else b""
        for part in source.namelist():
            if part != name:
                target.writestr(part, source.read(part))
        target.writestr(name, content(old) if callable(content) else content)
    return out.getvalue()


def sheet_with(cells: str, before: str = "") -> bytes:
    sheet = f"<worksheet {MAIN}><sheetData>{cells}</sheetData></worksheet>"
    xml = f'<?xml version="1.0" encoding="UTF-8"?>{before}{sheet}'
    return with_part(SHEET, xml.encode())


def refusal(tmp_path: Path, name: str, data: bytes) -> guard.Fault:
    path = tmp_path / name
    path.write_bytes(data)
    with pytest.raises(Refused) as caught:
        open_book(path)
    return caught.value.fault


OLE = b"\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1" + b"\0" * 600
ENTITIES = '<!DOCTYPE a [<!ENTITY x "ha"><!ENTITY y "&x;&x;&x;&x;">]>'

HOSTILE: list[tuple[str, bytes, str, str]] = [
    ("empty.xlsx", b"", "file-empty", "empty"),
    ("blank.csv", b"\xef\xbb\xbf \r\n\r\n", "file-empty", "empty"),
    ("page.xlsx", b"<html><table><tr><td>1</td></tr></table></html>", "not-a-workbook", "web page"),
    ("page.xls", b"  <!DOCTYPE html><html></html>", "not-a-workbook", "web page"),
    ("picture.xlsx", b"\x89PNG\r\n\x1a\n" + b"\0" * 50, "not-a-workbook", "not a table"),
    ("paper.csv", b"%PDF-1.7 ...", "not-a-workbook", "not a table"),
    ("noise.csv", b"abc\x00\x01\x02def", "not-a-workbook", "not a text"),
    ("old.xls", OLE, "file-damaged", "cut off"),
    ("cut.xlsx", workbook_bytes()[:-200], "file-damaged", "cut off"),
    ("half.xlsx", workbook_bytes()[: len(workbook_bytes()) // 2], "file-damaged", "cut off"),
    ("mangled.xlsx", with_part(SHEET, b"<worksheet><sheetData>"), "file-damaged", "inside"),
    ("text.xlsx", with_part(SHEET, b"not xml at all"), "file-damaged", "inside"),
    (
        "far-row.xlsx",
        sheet_with('<row r="1048576"><c r="A1048576"><v>1</v></c></row>'),
        "cell-too-far",
        "far",
    ),
    ("far-column.xlsx", sheet_with('<row r="1"><c r="XFD1"><v>1</v></c></row>'), "cell-too-far", "far"),
    (
        "sparse.xlsx",
        sheet_with('<row r="50000"><c r="GR50000"><v>1</v></c></row>'),
        "table-too-large",
        "50,000 rows",
    ),
    ("no-such-cell.xlsx", sheet_with('<row r="1"><c r="1A"><v>1</v></c></row>'), "file-damaged", "cut off"),
    (
        "entities.xlsx",
        sheet_with('<row r="1"><c r="A1"><v>1</v></c></row>', ENTITIES),
        "file-with-tricks",
        "type",
    ),
    ("bomb.xlsx", with_part("xl/media/zeros.bin", b"\0" * (65 * 2**20)), "file-too-large", "unpacks to"),
    (
        "folder.zip",
        b"PK\x05\x06" + b"\0" * 18,
        "not-a-workbook",
        "packed",
    ),
]


@pytest.mark.parametrize(("name", "data", "code", "found"), HOSTILE, ids=[row[0] for row in HOSTILE])
def test_a_file_that_is_none_or_a_trap_is_one_clear_fault(
    tmp_path: Path, name: str, data: bytes, code: str, found: str
) -> None:
    fault = refusal(tmp_path, name, data)
    assert fault.code == code
    assert found in fault.found
    assert fault.source.file == name
    assert fault.mend


def test_the_neighbours_of_those_traps_are_read(tmp_path: Path) -> None:
    path = tmp_path / "edge.xlsx"
    for cell, row, column in (("B50000", 49_999, 1), ("GR7", 6, 199)):
        path.write_bytes(sheet_with(f'<row r="{row + 1}"><c r="{cell}"><v>1</v></c></row>'))
        (grid,) = open_book(path).grids
        assert grid.value(row, column) == 1 and grid.value(row, 0) is None
    for name, data in (("kind.csv", workbook_bytes()), ("no-name", workbook_bytes(["x"]))):
        (tmp_path / name).write_bytes(data)
        assert open_book(tmp_path / name).grids[0].sheet == "Orders"
    (tmp_path / "part.xlsx").write_bytes(with_part("xl/media/zeros.bin", b"\0" * 2**20))
    assert open_book(tmp_path / "part.xlsx").grids[0].value(0, 0) == "a"


def test_a_far_cell_is_named(tmp_path: Path) -> None:
    fault = refusal(tmp_path, "far.xlsx", sheet_with('<row r="50001"><c r="C50001"><v>1</v></c></row>'))
    assert str(fault.source) == "far.xlsx, Orders!C50001"
    fault = refusal(tmp_path, "far.xlsx", sheet_with("<row>" + "<c><v>1</v></c>" * 201 + "</row>"))
    assert str(fault.source) == "far.xlsx, Orders!GS1"


def test_a_directory_that_lies_about_sizes_is_found_out(monkeypatch: pytest.MonkeyPatch) -> None:
    data = sheet_with("<row>" + '<c t="str"><v>xxxxxxxxxx</v></c>' * 150 + "</row>")
    monkeypatch.setattr(zip_parts.Parts, "_check", lambda *_: None)
    monkeypatch.setattr(guard, "MOST_UNPACKED", 3000)
    with pytest.raises(Refused, match="unpacks to more than"):
        look_through("liar.xlsx", data, Kind.ZIP)
    monkeypatch.setattr(guard, "MOST_UNPACKED", 64 * 2**20)
    assert [sheet.name for sheet in look_through("liar.xlsx", data, Kind.ZIP).sheets] == ["Orders"]


def test_too_many_parts_and_too_many_bytes(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(guard, "MOST_PARTS", 3)
    assert refusal(tmp_path, "parts.xlsx", workbook_bytes()).code == "file-too-large"
    monkeypatch.setattr(guard, "MOST_BYTES", 100)
    assert refusal(tmp_path, "bytes.xlsx", workbook_bytes()).expected == "at most 0 MB"


def test_flipped_bytes_never_end_in_anything_but_a_verdict() -> None:
    data = workbook_bytes(*([f"text {row}", row, row / 7] for row in range(50)))
    dice = random.Random(5)
    verdicts = set()
    for _ in range(400):
        broken = bytearray(data)
        for _ in range(dice.randint(1, 12)):
            broken[dice.randrange(len(broken))] = dice.randrange(256)
        if dice.random() < 0.2:
            del broken[dice.randrange(len(broken)) :]
        try:
            kind = guard.kind_of("flipped.xlsx", bytes(broken))
            if kind is not Kind.TEXT:
                look_through("flipped.xlsx", bytes(broken), kind)
            verdicts.add("passed")
        except Refused as refused:
            verdicts.add(refused.fault.code)
    assert {"passed", "file-damaged"} <= verdicts


def test_missing_file_and_folder(tmp_path: Path) -> None:
    shop, found = scan_shop(tmp_path / "none.xlsx")
    assert shop is None and codes(found) == ["file-missing"]
    orders, found = scan_orders([tmp_path], default_shop(), date(2026, 3, 2))
    assert orders == () and codes(found) == ["not-a-workbook"]


def test_a_reader_that_dies_is_a_fault_and_not_the_end(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    path = tmp_path / "far.xlsx"
    path.write_bytes(sheet_with('<row r="1"><c r="XFD1048576"><v>1</v></c></row>'))
    # without the guard, the reader asks for more memory than there is and its process ends
    monkeypatch.setattr(reader, "look_through", lambda _, data, kind: Look(sheets=(), data=data))
    with pytest.raises(Refused) as caught:
        open_book(path)
    assert caught.value.fault.code == "file-unreadable"


def test_a_reader_that_hangs_is_given_up(tmp_path: Path) -> None:
    path = sheets_book(tmp_path / "orders.xlsx", {"Orders": [["a"]]})
    with pytest.raises(Refused, match="took longer") as caught:
        open_book(path, timeout_s=0.001)
    assert caught.value.fault.code == "file-unreadable"


def test_cells_keep_their_addresses_and_kinds(tmp_path: Path) -> None:
    book = Workbook()
    sheet = book.active
    assert sheet is not None
    sheet.title = "Data"
    sheet["C4"] = "text"
    sheet["D4"] = 12
    sheet["E4"] = datetime(2026, 3, 2, 10, 30)
    sheet["F4"] = date(2026, 3, 2)
    sheet["F4"].number_format = "yyyy-mm-dd"
    sheet["G4"] = time(9, 15)
    sheet["H4"] = True
    sheet["I4"] = "  "
    sheet["J4"] = "=1+1"
    sheet["K4"] = "#N/A"
    sheet["K4"].data_type = "e"
    book.create_sheet("Away").sheet_state = "hidden"
    path = tmp_path / "data.xlsx"
    book.save(path)
    data, away = open_book(path).grids
    row = {address(3, column): data.value(3, column) for column in range(11)}
    assert (row["A4"], row["C4"], row["D4"], row["H4"], row["I4"]) == (None, "text", 12, True, None)
    assert row["E4"] == datetime(2026, 3, 2, 10, 30)
    assert row["F4"] in (date(2026, 3, 2), datetime(2026, 3, 2))
    assert row["G4"] == time(9, 15)
    assert row["J4"] == Unread("formula", "=1+1")
    assert row["K4"] == Unread("error", "#N/A")
    assert str(data.source(3, 9)) == "data.xlsx, Data!J4"
    assert not data.hidden and away.hidden


@pytest.mark.parametrize(
    ("column", "letters"), [(0, "A"), (25, "Z"), (26, "AA"), (199, "GR"), (16383, "XFD")]
)
def test_column_letters(column: int, letters: str) -> None:
    assert column_letters(column) == letters
    assert position(f"{letters}7") == (6, column)


@pytest.mark.parametrize(
    "value",
    [
        None,
        "é=1",
        3,
        2.5,
        True,
        datetime(2026, 3, 2, 1, 2),
        date(2026, 3, 2),
        time(1, 2),
        timedelta(hours=30),
    ],
)
def test_values_pass_through_the_child_unchanged(value: object) -> None:
    assert decode(encode(value)) == value
    assert type(decode(encode(value))) is type(value)


LINES = "Order,Customer,Garment,Fabric,Placement,Transfer,Artwork,M,Width mm,Height mm\n"
FIELDS = [
    "0042",
    "Müller, Żół",
    "tee",
    "cotton",
    "left chest",
    "film hot peel",
    "line\nbreak",
    "12",
    "80,5",
    "70",
]


def csv_text(delimiter: str) -> str:
    quoted = [f'"{field}"' if delimiter in field or "\n" in field else field for field in FIELDS]
    return LINES.replace(",", delimiter) + delimiter.join(quoted) + "\n"


TABLES: list[tuple[str, bytes]] = [
    ("comma", csv_text(",").encode()),
    ("semicolon", csv_text(";").encode()),
    ("tab", csv_text("\t").encode()),
    ("bar", csv_text("|").encode()),
    ("mark", codecs.BOM_UTF8 + csv_text(";").encode()),
    ("utf-16", csv_text("\t").encode("utf-16")),
    ("crlf", csv_text(",").replace("\n", "\r\n").encode()),
]


@pytest.mark.parametrize("data", [row[1] for row in TABLES], ids=[row[0] for row in TABLES])
def test_text_tables_of_all_kinds_say_the_same(tmp_path: Path, data: bytes) -> None:
    path = tmp_path / "orders.csv"
    path.write_bytes(data)
    (order,), found = scan_orders([path], default_shop(), date(2026, 3, 2))
    assert found == ()
    assert (order.id, order.customer, order.quantity) == ("0042", "Müller, Żół", 12)
    assert order.lines[0].prints[0].artwork == "line break"
    assert order.lines[0].prints[0].width_mm == 81
    assert str(order.source) == "orders.csv, A2"


def test_a_line_that_names_the_delimiter_counts_as_a_row(tmp_path: Path) -> None:
    path = tmp_path / "orders.csv"
    path.write_bytes(b"sep=;\r\n" + csv_text(";").encode())
    (order,), found = scan_orders([path], default_shop(), date(2026, 3, 2))
    assert found == ()
    assert str(order.source) == "orders.csv, A3"


def test_letters_that_are_not_utf_8_are_judged_and_said(tmp_path: Path) -> None:
    path = tmp_path / "orders.csv"
    text = (
        LINES + '1,"Jörg Müller, Straße, Größe, für Übung",tee,cotton,left chest,film hot peel,a,12,80,70\n'
    )
    path.write_bytes(text.encode("cp1252"))
    (order,), found = scan_orders([path], default_shop(), date(2026, 3, 2))
    assert codes(found) == ["letters-judged"]
    assert order.customer == "Jörg Müller, Straße, Größe, für Übung"
    path.write_bytes(text.encode())
    assert scan_orders([path], default_shop(), date(2026, 3, 2))[1] == ()


@pytest.mark.parametrize(
    ("data", "code"),
    [
        (codecs.BOM_UTF8 + b"Order,\xff\xfe\xfa", "letters-unclear"),
        (b'a,b\n1,"un"closed"\n', "table-damaged"),
        (b'a,b\n1,"never closed\n', "table-damaged"),
        (b"," * 200 + b"\n", "table-too-large"),
        (b"a,b\n" * 50_001, "table-too-large"),
    ],
)
def test_broken_text_tables(tmp_path: Path, data: bytes, code: str) -> None:
    assert refusal(tmp_path, "orders.csv", data).code == code


def test_a_text_table_is_no_shop(tmp_path: Path) -> None:
    path = tmp_path / "shop.csv"
    path.write_text(LINES)
    shop, found = scan_shop(path)
    assert shop is None and codes(found) == ["not-a-shop-workbook"]
