"""Timed elements into the shop workbook: new seconds in their cells, the old ones kept with the date.

The workbook stays as it is otherwise (charts and pictures apart), and a copy of it as it was is kept
beside it. What was written is read back before it takes the old file's place.
"""

from __future__ import annotations

import shutil
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date
from pathlib import Path
from typing import TYPE_CHECKING

from scheduler.aside import written_aside, written_numbered
from scheduler.domain.faults import Fault, Severity, Source
from scheduler.domain.figures import half_up
from scheduler.domain.shop import Element, Setup, Shop
from scheduler.exceptions import BadInput, PressdayError
from scheduler.intake.cells.findings import Findings
from scheduler.intake.cells.rows import Row
from scheduler.intake.cells.values import text
from scheduler.intake.files.grid import Book
from scheduler.intake.files.guard import Refused
from scheduler.intake.files.reader import open_book
from scheduler.intake.files.zip_parts import parts_of
from scheduler.intake.layout import OURS, Column, Table
from scheduler.intake.shop import layout
from scheduler.intake.shop.book import ShopSheets
from scheduler.intake.shop.reader import scan_shop_book
from scheduler.intake.words import heading_key
from scheduler.intake.writing.sheets import HEADING_ROW, Written, write_table
from scheduler.intake.writing.whole_book import whole_workbook
from scheduler.safe_text import put

if TYPE_CHECKING:
    from openpyxl import Workbook

PLACES = 2
"""Decimals of the seconds that are written: no stopwatch shows more."""

BEFORE = Table(
    key="elements_before",
    sheet="Element times before",
    explain="What stood in Element times before a study was taken over. Kept by Pressday; it is not read.",
    columns=(
        Column("date", "Date", "When it was taken over", kind="date"),
        Column("element", "Element", "", width=38),
        Column("set_up", "Press set-up", "", width=16),
        Column("before", "Seconds before", "", kind="number"),
        Column("now", "Seconds now", "Basic time", kind="number"),
        Column("readings", "Readings", "That it rests on", kind="whole", width=10),
        Column("spread", "Spread s", "Standard deviation", kind="number", width=10),
        Column("figures", "Figures were", "Whose the old figure was", width=12),
        Column("study", "Study", "File of the readings", width=30),
    ),
    needed=False,
)


@dataclass(frozen=True, slots=True, kw_only=True)
class NewTime:
    """The basic time of an element at a set-up, and what it rests on.

    Attributes
    ----------
    seconds
        Without allowance; the planner adds the shop's.
    spread_s
        Standard deviation of the readings; None for a single one.
    """

    element: Element
    set_up: Setup
    seconds: float
    readings: int
    spread_s: float | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Change:
    """A cell of the element times as it was and is."""

    time: NewTime
    before_s: float
    source: Source


@dataclass(frozen=True, slots=True, kw_only=True)
class TakenOver:
    """What became of the shop workbook.

    Attributes
    ----------
    changes
        Empty when each time stood there already.
    kept
        The copy of the workbook as it was; None when nothing was written.
    drawings
        It holds charts or pictures, which may be in that copy only.
    """

    changes: tuple[Change, ...]
    kept: Path | None
    drawings: bool


def take_over(path: Path, times: Sequence[NewTime], *, on: date, study: str) -> TakenOver:
    """Write times into a shop workbook; where each of them stands there from the same study, nothing is.

    Parameters
    ----------
    path
        An xlsx workbook.
    times
        At least one; each element and set-up once.
    on
        The date that is noted beside the old values.
    study
        What the readings came from, to be noted too.

    Raises
    ------
    BadInput
        When the workbook has a fault, is of another kind, was changed meanwhile or can't be written; it is
        as it was then.
    PressdayError
        When it reads otherwise after writing than it should: a defect of the program.
    """
    # A link stays one: it is the file behind it that is written.
    path = path.resolve()
    try:
        book = open_book(path)
        data = path.read_bytes()
    except Refused as refused:
        raise BadInput([refused.fault]) from None
    words, found = scan_shop_book(book, path.stem)
    if words.shop is None or any(one.severity is Severity.FAULT for one in found):
        raise BadInput(found)
    if path.suffix.casefold() != ".xlsx":
        raise BadInput([_unwritable(path)])
    changes, rows = _changes(book, words.shop, times)
    copy = _opened(path, data)
    if all(change.before_s == change.time.seconds for change in changes) and _noted(copy, changes, study):
        return TakenOver(changes=(), kept=None, drawings=False)
    _write(copy, changes, rows, words.shop, on=on, study=study)
    kept = _replace(path, copy, data, _expected(words.shop, changes), on)
    return TakenOver(changes=changes, kept=kept, drawings=_has_drawings(path, data))


def _changes(
    book: Book, shop: Shop, times: Iterable[NewTime]
) -> tuple[tuple[Change, ...], Mapping[Element, Row]]:
    by_key = {heading_key(element.value): element for element in Element}
    rows = {
        by_key[heading_key(text(row.value("element")))]: row
        for row in ShopSheets(book, Findings()).rows(layout.ELEMENT_TIMES)
    }
    column = {set_up: key for key, set_up in layout.SETUP_COLUMNS.items()}
    changes = []
    for time in times:
        source = rows[time.element].source(column[time.set_up])
        rounded = replace(time, seconds=float(half_up(time.seconds, PLACES)))
        before = shop.elements[time.element, time.set_up]
        changes.append(Change(time=rounded, before_s=before, source=source))
    return tuple(changes), rows


def _opened(path: Path, data: bytes) -> Workbook:
    try:
        return whole_workbook(path.name, data)
    except Exception:
        # The library raises whatever comes up for files of another kind, or with something odd in them.
        raise BadInput([_unwritable(path)]) from None


def _unwritable(path: Path) -> Fault:
    found = "a workbook that can be read but not written without loss"
    mend = "Save it as .xlsx in the spreadsheet program and name that file."
    return _fault(path, "not-writable-kind", found, "a workbook of kind .xlsx", mend)


def _has_drawings(path: Path, data: bytes) -> bool:
    """Whether there are charts or pictures in it, which the library that writes it may lose."""
    with parts_of(path.name, data) as parts:
        return any(
            name.startswith(("xl/charts/", "xl/drawings/drawing", "xl/media/")) for name in parts.names
        )


def _noted(copy: Workbook, changes: Iterable[Change], study: str) -> bool:
    """Whether the last note of each element and set-up is of the same study, seconds and readings."""
    if BEFORE.sheet not in copy.sheetnames:
        return False
    # Where an element and set-up stands twice, the later row is left.
    last = {
        row[1:3]: (row[4], row[5], row[8])
        for row in copy[BEFORE.sheet].iter_rows(min_row=HEADING_ROW + 1, max_col=9, values_only=True)
    }
    return all(
        last.get((time.element.value, time.set_up.value)) == (time.seconds, time.readings, study)
        for time in (change.time for change in changes)
    )


def _write(
    copy: Workbook,
    changes: Sequence[Change],
    rows: Mapping[Element, Row],
    shop: Shop,
    *,
    on: date,
    study: str,
) -> None:
    """New seconds into their cells, old ones into the sheet of those before, marks where all are ours."""
    if BEFORE.sheet not in copy.sheetnames:
        write_table(copy, BEFORE, (), lists={})
    sheet = copy[BEFORE.sheet]
    for change in changes:
        time, row = change.time, rows[change.time.element]
        copy[change.source.sheet][change.source.cell].value = time.seconds
        figures = row.value("figures")
        line: tuple[Written, ...] = (
            on,
            time.element.value,
            time.set_up.value,
            change.before_s,
            time.seconds,
            time.readings,
            None if time.spread_s is None else float(half_up(time.spread_s, PLACES)),
            None if figures is None else text(figures),
            study,
        )
        below = max(sheet.max_row, HEADING_ROW)
        while below > HEADING_ROW and sheet.cell(below, 2).value is None:
            below -= 1
        for number, value in enumerate(line, start=1):
            put(sheet.cell(below + 1, number), value)
        sheet.cell(below + 1, 1).number_format = "yyyy-mm-dd"
    taken = {
        (sheet.cell(number, 2).value, sheet.cell(number, 3).value)
        for number in range(HEADING_ROW + 1, sheet.max_row + 1)
    }
    for element in dict.fromkeys(change.time.element for change in changes):
        row = rows[element]
        ours = all((element.value, set_up.value) in taken for set_up in layout.SETUP_COLUMNS.values())
        if ours and "figures" in row.headings.columns:
            place = row.source("figures")
            put(copy[place.sheet][place.cell], OURS)


def _expected(shop: Shop, changes: Iterable[Change]) -> Shop:
    new = {(change.time.element, change.time.set_up): change.time.seconds for change in changes}
    return replace(shop, elements={**shop.elements, **new})


def _replace(path: Path, copy: Workbook, data: bytes, expected: Shop, on: date) -> Path:
    """Put the new workbook in place of the old one, which is kept under another name."""
    with written_aside(path, overwrite=True) as part:
        copy.save(part)
        words, _ = scan_shop_book(open_book(part, label=path.name), path.stem)
        if words.shop is None or replace(words.shop, defaults=expected.defaults) != expected:
            raise PressdayError(f"{path.name} would read otherwise after writing; it was left as it is")
        kept = _kept(path, data, on)
        if path.read_bytes() != data:
            kept.unlink()
            found = "it was changed by another program meanwhile"
            mend = "Close it there, then take over again."
            raise BadInput([_fault(path, "file-changed", found, "a workbook that nobody else writes", mend)])
        shutil.copymode(path, part)
    return kept


def _kept(path: Path, data: bytes, on: date) -> Path:
    """Write the old content beside it under the first name that is free."""
    with written_numbered(path.with_name(f"{path.stem}-before-{on.isoformat()}{path.suffix}")) as kept:
        kept.part.write_bytes(data)
    return kept.path


def _fault(path: Path, code: str, found: str, expected: str, mend: str) -> Fault:
    return Fault(code=code, source=Source(file=path.name), found=found, expected=expected, mend=mend)
