"""The tables of an orders sheet: rows under their headings, without totals, remarks and repeated headings."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, field
from functools import lru_cache

from scheduler.intake.cells.findings import Findings, shown
from scheduler.intake.cells.rows import Headings, Row
from scheduler.intake.cells.values import text
from scheduler.intake.files.grid import Area, Grid, Unread, Value
from scheduler.intake.orders.headings.checks import check_order_headings, columns_read
from scheduler.intake.orders.headings.columns import ColumnRead
from scheduler.intake.orders.headings.kept import headings_in
from scheduler.intake.orders.headings.rows import LEAST_HEADINGS, find_order_headings, headings_at
from scheduler.intake.orders.headings.unread import Beside
from scheduler.intake.orders.headings.words import HeadingWords
from scheduler.intake.orders.tables.looks import say_how_rows_look
from scheduler.intake.orders.tables.merged import fill_down, refuse_across
from scheduler.intake.orders.tables.stand_ins import take_stand_ins
from scheduler.intake.orders.tables.status import LEAVING_OUT, status_of
from scheduler.intake.orders.tables.sums import Sums, is_quantity
from scheduler.intake.words import heading_key, words

_OF_GARMENTS = ("garment", "fabric", "placement", "transfer", "artwork")
_CARRIED = ("customer", "cut_off_date", "cut_off_time", "courier", "priority")


@dataclass(slots=True)
class SheetRead:
    """The rows of a sheet with orders, in its order, its headings and how they were understood."""

    rows: list[Row] = field(default_factory=list)
    columns: list[ColumnRead] = field(default_factory=list)
    headings: tuple[str, ...] = ()


def read_tables(grid: Grid, known: HeadingWords, findings: Findings) -> SheetRead | None:
    """The rows of a sheet; None when it holds no orders.

    Several tables may stand one below the other, each with headings of its own.
    """
    headings = find_order_headings(grid, known)
    if headings is None:
        return None
    upper = () if headings.top is None else headings_in(grid.rows[headings.top])
    found = SheetRead(headings=(*upper, *headings_in(grid.rows[headings.row])))
    while headings is not None:
        following = _next_headings(grid, headings, known)
        last = len(grid.rows) if following is None else following.row
        if following is not None and following.top is not None:
            last = following.top
        _read_table(grid, headings, range(headings.row + 1, last), known, findings, found)
        headings = following
    say_how_rows_look(grid, found.rows, found.columns, findings)
    return found


def _next_headings(grid: Grid, above: Headings, known: HeadingWords) -> Headings | None:
    """The next row of headings that differ from those above; the same ones repeated are no new table."""
    for index in range(above.row + 1, len(grid.rows)):
        if not _begins_like_headings(grid.rows[index]):
            continue
        one = headings_at(grid, index, known)
        # the lower one of two rows of headings may be repeated alone
        again = one.columns.items() <= above.columns.items()
        if _is_heading_row(grid.rows[index], one) and not again:
            return one
    return None


def _begins_like_headings(row: tuple[Value, ...]) -> bool:
    """A quick look at the first texts of a row."""
    seen = 0
    for value in row:
        if value is None:
            continue
        if not isinstance(value, str):
            return False
        if heading_key(value) in words().headings["orders"]:
            return True
        seen += 1
        if seen == LEAST_HEADINGS:
            return False
    return False


def _is_heading_row(row: tuple[Value, ...], headings: Headings) -> bool:
    texts = sum(isinstance(value, str) for value in row)
    filled = sum(value is not None for value in row)
    known = len(headings.columns) + len(headings.doubled)
    return texts == filled and known >= LEAST_HEADINGS and known * 2 > filled


def _read_table(
    grid: Grid, headings: Headings, rows: range, known: HeadingWords, findings: Findings, found: SheetRead
) -> None:
    grid = fill_down(grid, rows, headings, findings)
    read_by, complete = check_order_headings(grid, headings, known, findings, rows)
    found.columns.extend(columns_read(grid, read_by))
    across: dict[int, list[Area]] = {}
    for area in grid.merged:
        if area.right > area.left:
            for index in range(area.top, area.bottom + 1):
                across.setdefault(index, []).append(area)
    for row in _rows_of(grid, rows, read_by, known, findings):
        row.sound = row.sound and complete
        if read_by.blocked and any(grid.value(row.index, at) is not None for at in read_by.blocked):
            row.sound = False
        refuse_across(row, across.get(row.index, ()))
        found.rows.append(row)


def _rows_of(
    grid: Grid, rows: range, headings: Headings, known: HeadingWords, findings: Findings
) -> Iterator[Row]:
    """The rows that speak of orders."""
    sums = Sums(headings)
    beside = Beside(grid, headings.labels)
    before: Row | None = None
    aside = False
    for index in rows:
        if grid.is_blank(index):
            before = None
            continue
        if _begins_like_headings(grid.rows[index]) and _is_heading_row(
            grid.rows[index], headings_at(grid, index, known)
        ):
            before, aside = None, False
            continue
        row = Row(grid, index, headings, findings)
        if _is_total(row):
            sums.check(row)
            before = None
            continue
        if _is_remark(row):
            before = None
            aside = _is_aside(row_text(row))
            if aside:
                _ask_about_section(row)
            continue
        if _has_quantities_only(row):
            before = None
            if not sums.fit(row):
                mend = 'Write "Total" in front if it is one; otherwise fill in the rest of the row.'
                row.fault("row-without-order", "", "a row with quantities only", "a whole row", mend)
            sums.start_anew()
            continue
        beside.look(row)
        if all(row.value(key) is None for key in headings.columns):
            before = None
            continue
        take_stand_ins(row, before)
        row.sound = row.sound and not aside
        sums.add(row)
        _carry_order(row, before)
        _carry_garments(row, before)
        before = row
        yield row
    beside.say(grid, findings)


def _is_total(row: Row) -> bool:
    """A row of totals: it says so, and names nothing that could be pressed."""
    if not any(_says_total(value) for value in row.grid.rows[row.index] if isinstance(value, str)):
        return False
    return not any(_names_something(row.value(key)) for key in _OF_GARMENTS)


@lru_cache(maxsize=65_536)
def _says_total(written: str) -> bool:
    key = heading_key(written)
    return bool(key) and (key in words().totals or key.split()[0] in words().totals)


def _names_something(value: Value) -> bool:
    if value is None:
        return False
    return isinstance(value, Unread) or not _says_total(text(value))


def _is_remark(row: Row) -> bool:
    """A row with nothing but one text that is no order's number; it is said."""
    filled = [(column, value) for column, value in enumerate(row.grid.rows[row.index]) if value is not None]
    if len(filled) != 1:
        return False
    column, value = filled[0]
    if not isinstance(value, str):
        return False
    keys = {column: key for key, column in row.headings.columns.items()}
    number = any(letter.isdigit() for letter in value)
    titled = value.strip().endswith(":") or _is_aside(value)
    if keys.get(column) not in (None, "order", "notes", "customer") or (
        keys.get(column) == "order" and not titled and (number or " " not in value.strip())
    ):
        return False
    if _is_aside(value):
        return True
    mend = "Taken as a remark between the rows; it is not read."
    row.findings.doubt(
        "row-not-read",
        row.grid.source(row.index, column),
        f"only {shown(value)} in the row",
        "a whole row",
        mend,
    )
    return True


def _is_aside(line: str) -> bool:
    """Whether a line says that the rows below are not to be pressed: "DONE:", "Cancelled orders"."""
    parts = heading_key(line).split()
    return any(status_of(" ".join(part)) in LEAVING_OUT for part in (parts, parts[:-1], parts[1:]) if part)


def row_text(row: Row) -> str:
    """The one text of a row that holds nothing else."""
    return next(value for value in row.grid.rows[row.index] if isinstance(value, str))


def _ask_about_section(row: Row) -> None:
    """Ask about a line such as "Cancelled orders" over other rows: how far it holds can't be known."""
    column = next(at for at, value in enumerate(row.grid.rows[row.index]) if value is not None)
    found = f"the line {shown(row_text(row))} between the rows"
    mend = "Say so in a column Status in each row below, or move the rows away; then delete the line."
    source = row.grid.source(row.index, column)
    row.findings.fault("section-of-status", source, found, "a status in each row", mend)


def _has_quantities_only(row: Row) -> bool:
    filled = {column for column, value in enumerate(row.grid.rows[row.index]) if value is not None}
    return bool(filled) and filled <= {
        column for key, column in row.headings.columns.items() if is_quantity(key)
    }


def _carry_order(row: Row, before: Row | None) -> None:
    """Let a row without a number belong to the order right above it, where nothing speaks against it."""
    if row.has("order") or before is None or not before.has("order") or not may_belong(row, before):
        return
    if not any(row.has(key) for key in _OF_GARMENTS):
        return
    row.given["order"] = before.value("order")
    found = "no order number"
    expected = "the order's number on every row"
    mend = f"Taken as order {shown(before.value('order'))}, like the row above; fill it in if that is wrong."
    row.doubt("order-from-above", "order", found, expected, mend)


def may_belong(row: Row, before: Row) -> bool:
    """Whether nothing in a row without a number speaks against its being of an earlier row's order."""
    return all(row.value(key) in (None, before.value(key)) for key in _CARRIED)


def _carry_garments(row: Row, before: Row | None) -> None:
    """Let a row that gives nothing but a further print be of the garments of the row right above."""
    if (
        before is None
        or row.has("garment")
        or row.has("fabric")
        or row.value("order") != before.value("order")
    ):
        return
    if not row.has("order") or not any(row.has(key) for key in ("placement", "artwork")):
        return
    keys = (
        "garment",
        "colour",
        "fabric",
        "size",
        *(key for key in row.headings.columns if is_quantity(key)),
    )
    if any(row.has(key) for key in keys):
        return
    row.given.update({key: before.value(key) for key in (*keys, "line") if before.has(key)})
    found, expected = "a print without garments", "garment, fabric and pieces on every row"
    mend = f"Taken to be on those of row {before.index + 1}; fill the row in if that is wrong."
    row.doubt("garments-from-above", "garment", found, expected, mend)
