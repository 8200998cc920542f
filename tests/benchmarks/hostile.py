"""Hostile files of real size, made on the spot."""

from __future__ import annotations

import os
import struct
import zlib
from collections.abc import Iterator
from pathlib import Path

from tests.intake.files.made_files import ods_of, xls_bytes, xls_cell, xls_of
from tests.intake.files.test_files import ENTITIES, MAIN, SHEET, sheet_with, with_part, workbook_bytes
from tests.intake.files.test_tricks import again, lying, two_sheets_of_one_part, zipped

_MB = 2**20


def _rows(count: int, cells: str = "") -> str:
    return "".join(f'<row r="{row}">{cells.replace("#", str(row))}</row>' for row in range(1, count + 1))


def _deep() -> bytes:
    return (f"<worksheet {MAIN}>" + "<a>" * 1_000_000).encode()


def _overlapping() -> bytes:
    """Many names for one compressed part: a few bytes that unpack to gigabytes."""
    content = zlib.compressobj(9, zlib.DEFLATED, -15)
    packed = content.compress(b"0" * 10 * _MB) + content.flush()
    crc = zlib.crc32(b"0" * 10 * _MB)
    first = b"a000"
    local = struct.pack("<4sHHHHHIIIHH", b"PK\3\4", 20, 0, 8, 0, 33, crc, len(packed), 10 * _MB, 4, 0) + first
    body, directory = local + packed, b""
    for number in range(1000):
        name = f"a{number:03}".encode()
        directory += (
            struct.pack(
                "<4sHHHHHHIIIHHHHHII",
                b"PK\1\2",
                20,
                20,
                0,
                8,
                0,
                33,
                crc,
                len(packed),
                10 * _MB,
                4,
                0,
                0,
                0,
                0,
                0,
                0,
            )
            + name
        )
    end = struct.pack("<4sHHHHIIH", b"PK\5\6", 0, 0, 1000, 1000, len(directory), len(body), 0)
    return body + directory + end


def hostile_files(folder: Path) -> Iterator[tuple[str, Path]]:
    """Name and path of each file, made when it is asked for."""
    zeros = b"\0" * (400 * _MB)
    seven = '<c r="A#"><v>7</v></c>'
    cell = '<row r="1"><c r="A1"><v>1</v></c></row>'
    far = '<row r="1048576"><c r="{}1048576"><v>1</v></c></row>'
    ods_rows = '<table:table-row table:number-rows-repeated="1048576">{}</table:table-row>'
    ods = '<table:table table:name="A">' + ods_rows + "</table:table>"
    text = '<c r="A#" t="inlineStr"><is><t>' + "x" * 3000 + "</t></is></c>"
    made = {
        "zip bomb, 400 MB of zeros": lambda: with_part("xl/media/a.bin", zeros),
        "zip bomb in the sheet, 60 MB": lambda: sheet_with(_rows(19_000, text)),
        "zip bomb, directory says 1 kB": lambda: lying(with_part(SHEET, zeros[: 100 * _MB]), SHEET, 1000),
        "zip bomb, 1000 names for one part": _overlapping,
        "stray cell XFD1048576": lambda: sheet_with(cell + far.format("XFD")),
        "stray cell A1048576": lambda: sheet_with(cell + far.format("A")),
        "stray cell XFD1": lambda: sheet_with('<row r="1"><c r="XFD1"><v>1</v></c></row>'),
        "a million blank rows": lambda: sheet_with(cell + _rows(1_000_000)),
        "a million rows of blank cells": lambda: sheet_with(cell + _rows(1_000_000, '<c r="A#" s="1"/>')),
        "a million rows of 7": lambda: sheet_with(_rows(1_000_000, seven)),
        "50,000 rows, one column": lambda: sheet_with(_rows(50_000, seven)),
        "entity bomb": lambda: sheet_with(cell, ENTITIES),
        "external entity": lambda: sheet_with(cell, '<!DOCTYPE a [<!ENTITY x SYSTEM "file:///etc/passwd">]>'),
        "a million nested tags": lambda: with_part(SHEET, _deep()),
        "two parts of one name": lambda: again(workbook_bytes(), SHEET, b"<worksheet/>"),
        "path that climbs": lambda: again(workbook_bytes(), "../../evil", b"x"),
        "two sheets of one part": two_sheets_of_one_part,
        "zip in a zip": lambda: zipped(("orders.xlsx", workbook_bytes())),
        "workbook cut off": lambda: workbook_bytes()[:-200],
        "web page named .xls": lambda: b"<html><table><tr><td>1</td></tr></table></html>",
        "ods, a million rows of 7": lambda: ods_of(
            ods.format('<table:table-cell office:value-type="float" office:value="7"/>')
        ),
        "ods, blank to its end": lambda: ods_of(
            ods.format('<table:table-cell table:number-columns-repeated="16384"/>')
        ),
        "xls, stray cell": lambda: xls_of(xls_cell(65_535, 255, 1)),
        "xls, cut off": lambda: xls_bytes([["a", 1]])[:2000],
        "xls, declared 4 billion rows": lambda: xls_of(
            struct.pack("<HHIIHHH", 0x0200, 14, 0, 2**32 - 1, 0, 2**16 - 1, 0) + xls_cell(0, 0, 1)
        ),
        "csv with a zero byte": lambda: b"a,b\n" + b"1,2\n" * 5000 + b"1,\x002\n",
        "csv, one line of 100 MB": lambda: b"a" * (100 * _MB),
        "csv, one line of 19 MB": lambda: b"a," * (19 * _MB // 2),
        "csv, one cell of 19 MB": lambda: b"a,b\n" + b"x" * (19 * _MB),
        "csv, an open quote and 19 MB": lambda: b'a,b\n1,"' + b"x\n" * (19 * _MB // 2),
        "csv, 19 MB of quotes": lambda: b"a,b\n" + b'"' * (19 * _MB),
        "csv, 19 MB of odd letters": lambda: b"a,b\n" + b"\xe9\xdf,\xa4\n" * (19 * _MB // 5),
    }
    for name, make in made.items():
        path = folder / "hostile.xlsx"
        path.write_bytes(make())
        yield name, path
        path.unlink()
    huge = folder / "huge.xlsx"
    with huge.open("wb") as stream:
        stream.truncate(200 * _MB)
    yield "200 MB", huge
    pipe = folder / "pipe.xlsx"
    os.mkfifo(pipe)
    yield "pipe", pipe
    yield "folder", folder
    yield "device", Path("/dev/zero")
