"""Copies of the owner's files with every fault and doubt as a note on its cell; the files stay as they are.

A workbook of the xlsx kind is copied with its formats, formulas and drop-downs; of any other file the values
are. A first sheet lists what was found, with links to the cells.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from datetime import timedelta
from pathlib import Path
from typing import TYPE_CHECKING, Any

from scheduler.aside import unwritable, written_numbered
from scheduler.domain.faults import Fault, Severity
from scheduler.intake.files.grid import Book, Unread, Value, position
from scheduler.intake.files.guard import Refused
from scheduler.intake.files.look_comments import OWN_AUTHOR
from scheduler.intake.files.reader import open_book
from scheduler.intake.writing.sheets import Written, new_workbook
from scheduler.intake.writing.whole_book import whole_workbook
from scheduler.safe_text import put, writable

if TYPE_CHECKING:
    from openpyxl import Workbook
    from openpyxl.worksheet.worksheet import Worksheet

LISTING = "Pressday found"
"""Name of the first sheet; readers pass over it, so a copy that was mended can be checked again."""

AUTHOR = OWN_AUTHOR
_COLOURS = {Severity.FAULT: "FFF8B4AB", Severity.DOUBT: "FFFFE699"}
_HEADINGS = {"No.": 6, "What": 9, "Sheet": 16, "Cell": 9, "Found": 46, "Expected": 36, "Mend": 60}
_LONGEST_NOTE = 2000


def write_marked_copies(files: Mapping[str, Path], findings: Iterable[Fault], folder: Path) -> list[Path]:
    """Write a marked copy of each file with findings.

    Parameters
    ----------
    files
        Path of each file by what it is called in the findings.
    findings
        Faults and doubts; those about no file given are left out.
    folder
        Is made when it is not there. A copy of orders.xlsx is called orders-marked.xlsx, or, when there is
        one, orders-marked-2.xlsx: nothing is ever overwritten.

    Returns
    -------
    list of Path
        The copies. A file that can't be read at all has none.

    Raises
    ------
    scheduler.exceptions.BadInput
        When the folder can't be written.
    """
    by_file: dict[str, list[Fault]] = {label: [] for label in files}
    for finding in findings:
        by_file.get(finding.source.file, []).append(finding)
    written = []
    for label, about in by_file.items():
        book = _copy(files[label], label) if about else None
        if book is None:
            continue
        _mark(book, label, about)
        try:
            folder.mkdir(parents=True, exist_ok=True)
        except OSError as error:
            raise unwritable(folder, error) from None
        with written_numbered(folder / f"{files[label].stem}-marked.xlsx") as copy:
            book.save(copy.part)
        written.append(copy.path)
    return written


def _copy(path: Path, label: str) -> Workbook | None:
    """The file as a workbook to write notes into; None when it can't be read."""
    try:
        book = open_book(path, label=label)
    except Refused:
        return None
    if book.text_form is None:
        try:
            return whole_workbook(label, path.read_bytes())
        except Exception:
            # The library that keeps formats stumbles over files that its own kind of program opens; it raises
            # whatever comes up then. The values were read all the same.
            pass
    return _values(book)


def _values(book: Book) -> Workbook:
    """A new workbook with the values of a file that has no formats, or none that can be kept."""
    copy = new_workbook()
    for number, grid in enumerate(book.grids, start=1):
        sheet = copy.create_sheet(grid.sheet or "Table")
        sheet.sheet_state = "hidden" if grid.hidden and number < len(book.grids) else "visible"
        for row, values in enumerate(grid.rows, start=1):
            for column, value in enumerate(values, start=1):
                if value is not None:
                    put(sheet.cell(row, column), _written(value))
        for row in grid.hidden_rows:
            sheet.row_dimensions[row + 1].hidden = True
    return copy


def _written(value: Value) -> Any:
    """A value as it is written; what had none, as the text that stood for it."""
    if isinstance(value, Unread):
        return value.text
    return str(value) if isinstance(value, timedelta) else value


def _mark(book: Workbook, label: str, findings: Sequence[Fault]) -> None:
    """Put notes and colours on the cells, and the list in front."""
    sheets = {sheet.title: sheet for sheet in book.worksheets if sheet.title != LISTING}
    if LISTING in book.sheetnames and len(book.sheetnames) > 1:
        del book[LISTING]
        for sheet in sheets.values():
            _forget(sheet)
    by_cell: dict[tuple[str, str], list[tuple[int, Fault]]] = {}
    only = next(iter(sheets), "")
    for number, finding in enumerate(findings, start=1):
        name = finding.source.sheet or only
        if finding.source.cell and name in sheets:
            cell = _anchor(sheets[name], finding.source.cell)
            by_cell.setdefault((name, cell), []).append((number, finding))
    for (name, cell), about in by_cell.items():
        _note(sheets[name], cell, about)
    _list(book, label, findings, {number: place for place, about in by_cell.items() for number, _ in about})


def _forget(sheet: Worksheet) -> None:
    """Take the notes of an earlier copy away."""
    from openpyxl.styles import PatternFill

    for row in sheet.iter_rows():
        for cell in row:
            comment = getattr(cell, "comment", None)
            if comment is not None and comment.author == AUTHOR:
                cell.comment = None
                if cell.fill.fgColor.rgb in _COLOURS.values():
                    cell.fill = PatternFill()


def _anchor(sheet: Worksheet, cell: str) -> str:
    """The cell itself, or the top left one of the merged cells that it is in."""
    row, column = position(cell)
    for area in sheet.merged_cells.ranges:
        if area.min_row <= row + 1 <= area.max_row and area.min_col <= column + 1 <= area.max_col:
            return str(area.coord.partition(":")[0])
    return cell


def _note(sheet: Worksheet, cell: str, about: Sequence[tuple[int, Fault]]) -> None:
    from openpyxl.comments import Comment
    from openpyxl.styles import PatternFill

    target = sheet[cell]
    texts = [
        f"{finding.severity.value.upper()} {number}: {finding.found}; expected {finding.expected}. "
        f"{finding.mend}"
        for number, finding in about
    ]
    author = AUTHOR
    if target.comment is not None:
        texts.insert(0, str(target.comment.text))
        author = target.comment.author or AUTHOR
    text = writable("\n".join(texts))[:_LONGEST_NOTE]
    note = Comment(text, author)
    note.width = 320
    note.height = min(400, 40 + 18 * (len(text) // 42 + text.count("\n") + 1))
    target.comment = note
    worst = Severity.FAULT if any(one.severity is Severity.FAULT for _, one in about) else Severity.DOUBT
    target.fill = PatternFill("solid", fgColor=_COLOURS[worst])


def _list(
    book: Workbook, label: str, findings: Sequence[Fault], places: Mapping[int, tuple[str, str]]
) -> None:
    """The first sheet: everything that was found, with links."""
    from openpyxl.styles import Alignment, Font, PatternFill
    from openpyxl.utils import get_column_letter
    from openpyxl.worksheet.hyperlink import Hyperlink
    from openpyxl.worksheet.properties import PageSetupProperties

    sheet = book.create_sheet(LISTING, 0)
    put(sheet["A1"], f"What Pressday found in {label}")
    sheet["A1"].font = Font(name="Calibri", bold=True, size=14)
    put(
        sheet["A2"],
        "A copy; your file is unchanged. Cells with a fault or doubt carry a note and a colour. Formulas are "
        "worked out when you open the copy; charts and pictures may be missing here.",
    )
    for column, (heading, width) in enumerate(_HEADINGS.items(), start=1):
        cell = sheet.cell(4, column)
        put(cell, heading)
        cell.font = Font(name="Calibri", bold=True)
        sheet.column_dimensions[get_column_letter(column)].width = width
    wrapped = Alignment(wrap_text=True, vertical="top")
    for number, finding in enumerate(findings, start=1):
        row = number + 4
        source = finding.source
        place = source.sheet, source.cell
        texts = (finding.severity.value, *place, finding.found, finding.expected, finding.mend)
        values: tuple[Written, ...] = (number, *texts)
        for column, value in enumerate(values, start=1):
            cell = sheet.cell(row, column)
            put(cell, value or None)
            cell.alignment = wrapped
        sheet.cell(row, 2).fill = PatternFill("solid", fgColor=_COLOURS[finding.severity])
        if number in places:
            name, cell_name = places[number]
            quoted = name.replace("'", "''")
            link = sheet.cell(row, 4)
            link.hyperlink = Hyperlink(ref=link.coordinate, location=f"'{quoted}'!{cell_name}")
            link.font = Font(name="Calibri", color="FF0563C1", underline="single")
    sheet.freeze_panes = "A5"
    sheet.page_setup.orientation = "landscape"
    sheet.page_setup.fitToHeight = 0
    sheet.sheet_properties.pageSetUpPr = PageSetupProperties(fitToPage=True)
    book.active = 0
    for other in book.worksheets:
        # two sheets selected together take every entry twice
        other.sheet_view.tabSelected = other is sheet
