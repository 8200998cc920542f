"""Looking at a file before it is read: what kind it is, and whether it is safe to read.

Nothing here unpacks more than it has counted, and no XML entity is ever expanded. A cell far away from the
others can make a workbook reader ask for more memory than there is, so every sheet is streamed first and
every cell's place is looked at.
"""

from __future__ import annotations

import io
import lzma
import posixpath
import struct
import zipfile
import zlib
from dataclasses import dataclass, field
from enum import StrEnum
from xml.parsers import expat

from scheduler.domain.faults import Fault, Source
from scheduler.intake.grid import Unread, column_letters, position

MOST_BYTES = 20 * 2**20
MOST_UNPACKED = 64 * 2**20
MOST_PARTS = 2000
MOST_ROWS = 50_000
MOST_COLUMNS = 200
MOST_AREA = 2_000_000
"""Most rows times columns of all sheets together: a reader makes room for blank cells too."""

_CHUNK = 2**16

_OLE = b"\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1"
_ENCRYPTED = "EncryptedPackage".encode("utf-16-le")


_DAMAGE = (
    zipfile.BadZipFile,
    zlib.error,
    lzma.LZMAError,
    struct.error,
    EOFError,
    NotImplementedError,
    OSError,
    ValueError,
    KeyError,
    IndexError,
    RuntimeError,
)
"""What unpacking a damaged file may raise."""


class Refused(Exception):  # noqa: N818 - a verdict on a file, turned into a fault at once
    """Raised when a file is not to be read; carries the one fault that says why."""

    def __init__(self, fault: Fault) -> None:
        super().__init__(str(fault))
        self.fault = fault


class Kind(StrEnum):
    """Kinds of file that are read."""

    XLSX = "xlsx"
    TEXT = "text"


@dataclass(slots=True)
class Sheet:
    """What the guard saw of one sheet of a workbook.

    Attributes
    ----------
    unread
        By row and column, counted from 0: cells whose value was never stored or is an error.
    """

    name: str
    hidden: bool = False
    unread: dict[tuple[int, int], Unread] = field(default_factory=dict)


def refuse(
    file: str, code: str, found: str, expected: str, mend: str, *, sheet: str = "", cell: str = ""
) -> Refused:
    """The refusal of a file, with its one fault."""
    source = Source(file=file, sheet=sheet, cell=cell)
    return Refused(Fault(code=code, source=source, found=found, expected=expected, mend=mend))


def kind_of(file: str, data: bytes) -> Kind:
    """What a file is by its first bytes, whatever its name says.

    Raises
    ------
    Refused
        When it is too large, empty, locked with a password or nothing that is read.
    """
    workbook = "a workbook (.xlsx) or a text table (.csv)"
    if len(data) > MOST_BYTES:
        size = f"the file has {len(data) / 2**20:.0f} MB"
        mend = "Take out pictures and old sheets, or split the file."
        raise refuse(file, "file-too-large", size, f"at most {MOST_BYTES // 2**20} MB", mend)
    if not data.strip(b"\x00\t\r\n \xef\xbb\xbf\xff\xfe"):
        raise refuse(file, "file-empty", "the file is empty", workbook, "Save it again with its content.")
    if data.startswith(b"PK"):
        return Kind.XLSX
    if data.startswith(_OLE):
        if _ENCRYPTED in data:
            mend = "Save a copy without a password."
            raise refuse(
                file, "file-encrypted", "the workbook is locked with a password", "an open workbook", mend
            )
        raise refuse(
            file,
            "old-workbook",
            "a workbook of the old kind (.xls)",
            workbook,
            "Save it as .xlsx, then try again.",
        )
    start = data[:512].lstrip(b"\xef\xbb\xbf \t\r\n").lower()
    if start.startswith((b"<!doctype", b"<html", b"<?xml", b"<table", b"<head", b"<body", b"<meta")):
        mend = "Open it in a spreadsheet program and save it as .xlsx."
        raise refuse(file, "not-a-workbook", "a web page or XML text, whatever its name says", workbook, mend)
    if data.startswith(
        (b"%PDF", b"\x89PNG", b"\xff\xd8\xff", b"GIF8", b"{\\rtf", b"Rar!", b"7z\xbc\xaf", b"\x1f\x8b")
    ):
        raise refuse(file, "not-a-workbook", "not a table", workbook, "Save the table as .xlsx or .csv.")
    if b"\x00" in data[:4096] and not data.startswith((b"\xff\xfe", b"\xfe\xff")):
        raise refuse(
            file, "not-a-workbook", "not a text and not a workbook", workbook, "Save it as .xlsx or .csv."
        )
    return Kind.TEXT


def look_through(file: str, data: bytes) -> tuple[Sheet, ...]:
    """Look through a workbook without reading its values; its sheets in order.

    Raises
    ------
    Refused
        When it is cut off, unpacks to too much, holds tricks, or a cell beyond the limits.
    """
    try:
        with zipfile.ZipFile(io.BytesIO(data)) as archive:
            return _look_through(file, archive)
    except _DAMAGE as error:
        mend = "Save it again in the spreadsheet program; if it was sent or copied, fetch it anew."
        if isinstance(error, RuntimeError) and "password" in str(error):
            mend = "Save a copy without a password."
            raise refuse(
                file, "file-encrypted", "the file is locked with a password", "an open file", mend
            ) from None
        raise refuse(
            file, "file-damaged", "the workbook is cut off or damaged", "a whole workbook", mend
        ) from None
    except expat.ExpatError:
        mend = "Save it again in the spreadsheet program."
        raise refuse(
            file, "file-damaged", "the workbook's inside is damaged", "a whole workbook", mend
        ) from None


def _look_through(file: str, archive: zipfile.ZipFile) -> tuple[Sheet, ...]:
    parts = archive.infolist()
    names = {part.filename for part in parts}
    _check_sizes(file, parts)
    if "xl/workbook.xml" not in names:
        if "mimetype" in names or "content.xml" in names:
            mend = "Save it as .xlsx, then try again."
            raise refuse(
                file, "other-workbook", "a workbook of another kind (.ods)", "a workbook (.xlsx)", mend
            )
        if any(name.startswith("xl/") for name in names):
            mend = "Save it as .xlsx, then try again."
            raise refuse(file, "other-workbook", "a workbook of another kind", "a workbook (.xlsx)", mend)
        mend = "Hand in the workbook itself, not a packed folder."
        raise refuse(file, "not-a-workbook", "a packed file without a workbook", "a workbook (.xlsx)", mend)
    budget = _Budget(file)
    sheets = []
    targets = _targets(archive, budget)
    for name, state, relation in _sheet_list(archive, budget):
        part = targets.get(relation, "")
        sheet = Sheet(name=name, hidden=state in ("hidden", "veryHidden"))
        sheets.append(sheet)
        if part in names:
            _SheetLook(file, sheet).look(archive, part, budget)
    # sheets that the workbook does not list are looked at too: a reader may still open them
    listed = set(targets.values())
    for name in sorted(names - listed):
        if name.startswith("xl/worksheets/") and name.endswith(".xml"):
            _SheetLook(file, Sheet(name=posixpath.basename(name))).look(archive, name, budget)
    for name in ("xl/sharedStrings.xml", "xl/styles.xml"):
        if name in names:
            _Plain(file).stream(archive, name, budget)
    return tuple(sheets)


def _check_sizes(file: str, parts: list[zipfile.ZipInfo]) -> None:
    mend = "Save it again in the spreadsheet program, without pictures and unused sheets."
    if len(parts) > MOST_PARTS:
        found = f"the workbook holds {len(parts)} parts"
        raise refuse(file, "file-too-large", found, f"at most {MOST_PARTS}", mend)
    unpacked = sum(part.file_size for part in parts)
    if unpacked > MOST_UNPACKED:
        found = f"the workbook unpacks to {unpacked / 2**20:.0f} MB"
        raise refuse(file, "file-too-large", found, f"at most {MOST_UNPACKED // 2**20} MB", mend)
    if any(part.flag_bits & 1 for part in parts):
        mend = "Save a copy without a password."
        raise refuse(file, "file-encrypted", "the file is locked with a password", "an open file", mend)


class _Budget:
    """Counts what is really unpacked: a zip's directory can lie about sizes."""

    def __init__(self, file: str) -> None:
        self.file = file
        self.left = MOST_UNPACKED
        self.area = MOST_AREA

    def spend(self, size: int) -> None:
        self.left -= size
        if self.left < 0:
            mend = "Save it again in the spreadsheet program."
            found = f"the workbook unpacks to more than {MOST_UNPACKED // 2**20} MB"
            raise refuse(self.file, "file-too-large", found, "less", mend)

    def spread(self, sheet: str, rows: int, columns: int) -> None:
        self.area -= rows * columns
        if self.area < 0:
            mend = "Delete the blank rows and columns behind the table, or split the file."
            found = f"a table of {rows:,} rows and {columns} columns"
            expected = f"at most {MOST_AREA:,} cells in all sheets, blank ones counted"
            raise refuse(self.file, "table-too-large", found, expected, mend, sheet=sheet)


class _Plain:
    """Streams one XML part and refuses a document type, which is where entities are made."""

    def __init__(self, file: str) -> None:
        self.file = file
        self.parser = expat.ParserCreate()
        self.parser.buffer_text = True
        self.parser.StartDoctypeDeclHandler = self._doctype

    def _doctype(self, *_: object) -> None:
        mend = "Save it again in the spreadsheet program."
        raise refuse(
            self.file, "file-with-tricks", "the workbook holds a document type", "plain sheets", mend
        )

    def stream(self, archive: zipfile.ZipFile, part: str, budget: _Budget) -> None:
        with archive.open(part) as stream:
            while chunk := stream.read(_CHUNK):
                budget.spend(len(chunk))
                self.parser.Parse(chunk, False)
            self.parser.Parse(b"", True)


class _Collector(_Plain):
    """Collects the attributes of all elements of one local name."""

    def __init__(self, file: str, local: str) -> None:
        super().__init__(file)
        self.local = local
        self.found: list[dict[str, str]] = []
        self.parser.StartElementHandler = self._start

    def _start(self, name: str, attributes: dict[str, str]) -> None:
        if name.rpartition(":")[2] == self.local:
            self.found.append({key.rpartition(":")[2]: value for key, value in attributes.items()})


def _targets(archive: zipfile.ZipFile, budget: _Budget) -> dict[str, str]:
    """Relation id to part of the workbook."""
    look = _Collector(budget.file, "Relationship")
    look.stream(archive, "xl/_rels/workbook.xml.rels", budget)
    return {
        one.get("Id", ""): posixpath.normpath(posixpath.join("/xl", one.get("Target", ""))).lstrip("/")
        for one in look.found
    }


def _sheet_list(archive: zipfile.ZipFile, budget: _Budget) -> list[tuple[str, str, str]]:
    """Name, state and relation id of each sheet, in order."""
    look = _Collector(budget.file, "sheet")
    look.stream(archive, "xl/workbook.xml", budget)
    return [(one.get("name", ""), one.get("state", ""), one.get("id", "")) for one in look.found]


class _SheetLook(_Plain):
    """Streams a sheet: where its cells are, and which hold no usable value."""

    def __init__(self, file: str, sheet: Sheet) -> None:
        super().__init__(file)
        self.sheet = sheet
        self.parser.StartElementHandler = self._start
        self.parser.EndElementHandler = self._end
        self.parser.CharacterDataHandler = self._text
        self.row = -1
        self.column = -1
        self.rows = 0
        self.columns = 0
        self.type = ""
        self.has_formula = False
        self.formula: list[str] = []
        self.result: list[str] = []
        self.into: list[str] | None = None

    def look(self, archive: zipfile.ZipFile, part: str, budget: _Budget) -> None:
        self.stream(archive, part, budget)
        budget.spread(self.sheet.name, self.rows, self.columns)

    def _start(self, name: str, attributes: dict[str, str]) -> None:
        local = name.rpartition(":")[2] if ":" in name else name
        if local == "row":
            number = attributes.get("r", "")
            self.row = int(number) - 1 if number.isdigit() else self.row + 1
            self.column = -1
        elif local == "c":
            self._place(attributes.get("r", ""))
            self.type = attributes.get("t", "")
            self.has_formula = False
            self.formula, self.result = [], []
        elif local == "f":
            self.has_formula = True
            self.into = self.formula
        elif local == "v":
            self.into = self.result

    def _place(self, cell: str) -> None:
        if cell:
            self.row, self.column = position(cell.upper())
        else:
            self.column += 1
        self.rows = max(self.rows, self.row + 1)
        self.columns = max(self.columns, self.column + 1)
        if self.row >= MOST_ROWS or self.column >= MOST_COLUMNS:
            raise refuse(
                self.file,
                "cell-too-far",
                "a cell far away from the table",
                f"cells up to row {MOST_ROWS:,} and column {column_letters(MOST_COLUMNS - 1)}",
                "Delete the rows and columns behind the table, then save.",
                sheet=self.sheet.name,
                cell=f"{column_letters(self.column)}{self.row + 1}",
            )

    def _text(self, data: str) -> None:
        if self.into is not None:
            self.into.append(data)

    def _end(self, name: str) -> None:
        local = name.rpartition(":")[2] if ":" in name else name
        if local in ("f", "v"):
            self.into = None
        elif local == "c":
            result = "".join(self.result)
            place = (self.row, self.column)
            if self.type == "e":
                self.sheet.unread[place] = Unread("error", result or "#ERROR")
            elif self.has_formula and not result and self.type != "str":
                self.sheet.unread[place] = Unread("formula", f"={''.join(self.formula)}")
