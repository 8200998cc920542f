"""Workbooks of the kinds that no library here writes, made byte by byte: ods and xls."""

from __future__ import annotations

import io
import struct
import zipfile
from collections.abc import Iterable, Mapping, Sequence
from datetime import date, datetime, time
from typing import Any
from xml.sax.saxutils import escape, quoteattr

_NAMES = " ".join(
    f'xmlns:{prefix}="urn:oasis:names:tc:opendocument:xmlns:{name}:1.0"'
    for prefix, name in (("office", "office"), ("table", "table"), ("text", "text"), ("style", "style"))
)
_ODS = "application/vnd.oasis.opendocument.spreadsheet"
_NOT_XML = {number: " " for number in range(32) if chr(number) not in "\t\n\r"}


def ods_cell(value: Any) -> str:
    """A cell of an ods sheet: text, number, true or false, date, time, or nothing."""
    if value is None:
        return "<table:table-cell/>"
    if isinstance(value, bool):
        kind, stated = "boolean", f'office:boolean-value="{str(value).lower()}"'
    elif isinstance(value, int | float):
        kind, stated = "float", f'office:value="{value!r}"'
    elif isinstance(value, datetime | date):
        kind, stated = "date", f'office:date-value="{value.isoformat()}"'
    elif isinstance(value, time):
        kind, stated = "time", f'office:time-value="PT{value:%H}H{value:%M}M{value:%S}S"'
    else:
        kind, stated = "string", ""
    words = escape(str(value).translate(_NOT_XML))
    paragraphs = "".join(f"<text:p>{line}</text:p>" for line in words.split("\n"))
    return f'<table:table-cell office:value-type="{kind}" {stated}>{paragraphs}</table:table-cell>'


def ods_sheet(
    name: str, rows: Iterable[Iterable[Any]], *, hidden_rows: Iterable[int] = (), style: str = ""
) -> str:
    """A sheet of an ods workbook, as XML."""
    hidden = set(hidden_rows)
    lines = []
    for number, row in enumerate(rows):
        unseen = ' table:visibility="collapse"' if number in hidden else ""
        cells = "".join(ods_cell(value) for value in row) or "<table:table-cell/>"
        lines.append(f"<table:table-row{unseen}>{cells}</table:table-row>")
    return f"<table:table table:name={quoteattr(name)}{style}>{''.join(lines)}</table:table>"


def ods_of(sheets: str, *, styles: str = "", more: Mapping[str, bytes] | None = None) -> bytes:
    """An ods workbook of the XML of its sheets."""
    content = (
        f'<?xml version="1.0" encoding="UTF-8"?><office:document-content {_NAMES} office:version="1.3">'
        f"<office:automatic-styles>{styles}</office:automatic-styles>"
        f"<office:body><office:spreadsheet>{sheets}</office:spreadsheet></office:body>"
        "</office:document-content>"
    )
    manifest = (
        '<manifest:manifest xmlns:manifest="urn:oasis:names:tc:opendocument:xmlns:manifest:1.0">'
        f'<manifest:file-entry manifest:full-path="/" manifest:media-type="{_ODS}"/>'
        "</manifest:manifest>"
    )
    out = io.BytesIO()
    with zipfile.ZipFile(out, "w", zipfile.ZIP_DEFLATED) as archive:
        archive.writestr(zipfile.ZipInfo("mimetype"), _ODS)
        archive.writestr("content.xml", content)
        parts = {"META-INF/manifest.xml": manifest.encode(), **(more or {})}
        for name, part in parts.items():
            archive.writestr(name, part)
    return out.getvalue()


def ods_bytes(rows: Sequence[Sequence[Any]], *, sheet: str = "Orders") -> bytes:
    """An ods workbook with one sheet."""
    return ods_of(ods_sheet(sheet, rows))


def _record(kind: int, content: bytes = b"") -> bytes:
    return struct.pack("<HH", kind, len(content)) + content


def _begin(kind: int) -> bytes:
    return _record(0x0809, struct.pack("<HHHHII", 0x0600, kind, 0x0DBB, 0x07CC, 0, 6))


def _text(words: str, length: str) -> bytes:
    units = words.encode("utf-16-le")
    return struct.pack(f"<{length}B", len(units) // 2, 1) + units


def xls_cell(row: int, column: int, value: Any) -> bytes:
    """A record of a cell: text, number, true or false, date, or an error by its code as bytes."""
    place = struct.pack("<HH", row, column)
    if isinstance(value, bytes):
        return _record(0x0205, place + b"\0\0" + value + b"\1")
    if isinstance(value, bool):
        return _record(0x0205, place + b"\0\0" + bytes([value]) + b"\0")
    if isinstance(value, int | float):
        return _record(0x0203, place + struct.pack("<Hd", 0, value))
    if isinstance(value, date):
        on = value if isinstance(value, datetime) else datetime.combine(value, time())
        days = (on - datetime(1899, 12, 30)).total_seconds() / 86400
        return _record(0x0203, place + struct.pack("<Hd", 1, days))
    return _record(0x0204, place + struct.pack("<H", 0) + _text(str(value), "H"))


def xls_of(cells: bytes, *, globals_: bytes = b"", sheet: str = "Orders", state: int = 0) -> bytes:
    """An xls workbook of the records of its one sheet."""
    formats = b"".join(_record(0x00E0, struct.pack("<HHH14x", 0, number, 0)) for number in (0, 22))
    name = _text(sheet, "B")
    before = _begin(0x0005) + formats + globals_
    after = _record(0x000A)
    place = len(before) + 4 + 6 + len(name) + len(after)
    bound = _record(0x0085, struct.pack("<IBB", place, state, 0) + name)
    return compound_file({"Workbook": before + bound + after + _begin(0x0010) + cells + _record(0x000A)})


def xls_bytes(rows: Sequence[Sequence[Any]]) -> bytes:
    """An xls workbook with one sheet."""
    cells = (
        xls_cell(number, column, value)
        for number, row in enumerate(rows)
        for column, value in enumerate(row)
        if value is not None
    )
    return xls_of(b"".join(cells))


def compound_file(streams: Mapping[str, bytes]) -> bytes:
    """A compound file with some streams, each long enough not to be a small one."""
    size, end, free, table_mark = 512, 0xFFFFFFFE, 0xFFFFFFFF, 0xFFFFFFFD
    blocks = {name: content.ljust(max(4096, -(-len(content) // size) * size), b"\0")
              for name, content in streams.items()}  # fmt: skip
    directory = 1 + len(streams)
    sectors_of_directory = -(-directory * 128 // size)
    used = sectors_of_directory + sum(len(block) // size for block in blocks.values())
    tables, lists = 1, 0
    while tables * (size // 4) < used + tables + lists:
        tables += 1
        # the header names 109 tables, each further sector 127
        lists = -(-max(0, tables - 109) // (size // 4 - 1))
    chain: list[int] = [table_mark] * tables + [0xFFFFFFFC] * lists
    begin = tables + lists

    def follow(count: int) -> int:
        nonlocal begin
        first = begin
        chain.extend([*range(first + 1, first + count), end])
        begin += count
        return first

    first_directory = follow(sectors_of_directory)
    starts = {name: follow(len(block) // size) for name, block in blocks.items()}
    chain.extend([free] * (tables * (size // 4) - len(chain)))

    def entry(name: str, kind: int, start: int, length: int, right: int, child: int) -> bytes:
        label = name.encode("utf-16-le") + b"\0\0"
        return label.ljust(64, b"\0") + struct.pack(
            "<HBBIII16xI16xIII", len(label), kind, 1, free, right, child, 0, start, length, 0
        )

    root = entry("Root Entry", 5, end, 0, free, 1)
    names = list(blocks)
    entries = [
        entry(name, 2, starts[name], len(blocks[name]), number + 2 if number + 1 < len(names) else free, free)
        for number, name in enumerate(names)
    ]
    header = b"\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1" + struct.pack(
        "<16xHHHHH6xIIIIIIIII", 0x3E, 3, 0xFFFE, 9, 6, 0, tables, first_directory, 0, 4096, end, 0,
        tables if lists else end, lists,
    )  # fmt: skip
    places = struct.pack("<109I", *range(min(tables, 109)), *[free] * (109 - tables))
    body = struct.pack(f"<{len(chain)}I", *chain)
    for number in range(lists):
        more = list(range(109 + 127 * number, min(tables, 109 + 127 * (number + 1))))
        following = tables + number + 1 if number + 1 < lists else end
        body += struct.pack("<128I", *more, *[free] * (127 - len(more)), following)
    body += b"".join([root, *entries]).ljust(sectors_of_directory * size, b"\0")
    return header + places + body + b"".join(blocks.values())
