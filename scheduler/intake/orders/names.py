"""Lists of names and numbers: one row for each personal garment, tied to its order by the order's number."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field, replace
from datetime import date, datetime, time, timedelta

from scheduler.domain.figures import counted
from scheduler.domain.orders import Named, Order, OrderLine
from scheduler.intake.cells.findings import Findings, shown
from scheduler.intake.cells.quantities import pieces
from scheduler.intake.cells.rows import Headings, How, Row, find_headings, report_headings, rows_under
from scheduler.intake.cells.values import DASHES, Unfit, text
from scheduler.intake.files.grid import Grid, Value
from scheduler.intake.orders.headings.columns import ColumnRead
from scheduler.intake.orders.size_cells import read_size
from scheduler.intake.orders.tables.merged import fill_down
from scheduler.intake.orders.tables.status import left_out
from scheduler.intake.shop.words import ShopWords
from scheduler.intake.words import clean, heading_key, name_key, words

_OF_ORDERS = ("transfer", "artwork")


@dataclass(frozen=True, slots=True, kw_only=True)
class NameRow:
    """One row of a list; blank texts where it says nothing."""

    row: Row
    order: str
    size: str
    name: str
    number: str
    placement: str
    garment: str
    colour: str
    count: int


@dataclass(slots=True)
class NamesRead:
    """The rows of a list that are sound, the orders of those that are not, and its columns."""

    rows: list[NameRow] = field(default_factory=list)
    unsound: set[str] = field(default_factory=set)
    columns: list[ColumnRead] = field(default_factory=list)


def names_headings(grid: Grid) -> Headings | None:
    """The headings of a list of names and numbers; None when the sheet is none."""
    known = words().headings["names"]
    headings = find_headings(grid, lambda label: known.get(heading_key(label)), least=3)
    if headings is None or "order" not in headings.columns:
        return None
    if not {"name", "number"} & set(headings.columns):
        return None
    of_orders = words().headings["orders"]
    others = {of_orders.get(heading_key(label)) for label in headings.unknown.values()}
    return None if others & set(_OF_ORDERS) else headings


def read_names(grid: Grid, headings: Headings, shop: ShopWords, findings: Findings) -> NamesRead:
    """The rows of a list, with what is wrong with each."""
    found = NamesRead(columns=_columns(grid, headings))
    report_headings(grid, headings, words().headings["names"], findings)
    rows = range(headings.row + 1, len(grid.rows))
    grid = fill_down(grid, rows, headings, findings)
    before: Row | None = None
    for row in rows_under(grid, headings, findings):
        if _is_total(row):
            before = None
            continue
        if before is not None and not row.has("order") and before.index == row.index - 1:
            row.given["order"] = before.value("order")
            found_text = "no order number"
            mend = f"Taken as order {shown(before.value('order'))}, like the row above."
            row.doubt("order-from-above", "order", found_text, "the order's number on every row", mend)
        before = row
        if left_out(row) is None:
            _take(row, shop, found)
    _doubt_twice(found.rows)
    return found


def _take(row: Row, shop: ShopWords, found: NamesRead) -> None:
    order = row.need("order", text)
    size: str | None = ""
    if "size" in row.headings.columns:
        size = read_size(row, shop.sizes) if row.has("size") else row.need("size", text)
    place = row.take("placement", text)
    placement = shop.placements.match(row, "placement", place) if place else ""
    count = row.take("quantity", pieces)
    name, number = row.take("name", _printed) or "", row.take("number", _printed) or ""
    if row.sound and not name and not number:
        row.fault("value-missing", "name", "neither name nor number", "one of the two", "Fill it in.")
    if order is None:
        return
    if not row.sound or size is None or placement is None:
        found.unsound.add(name_key(order))
        return
    found.rows.append(
        NameRow(
            row=row,
            order=order,
            size=size,
            name=name,
            number=number,
            placement=placement,
            garment=row.take("garment", text) or "",
            colour=shop.colour(row),
            count=1 if count is None else count,
        )
    )


def _printed(value: Value) -> str:
    """A name or number as it is to be printed: what a program has made of it is asked about."""
    if isinstance(value, bool | date | datetime | time | timedelta):
        what = "true or false" if isinstance(value, bool) else "a date or time"
        mend = f"A spreadsheet program has made {what} of it; format the cell as text and write it again."
        raise Unfit("name-changed", "the name or number as text", mend)
    return "" if clean(text(value)) in DASHES else text(value)


def _is_total(row: Row) -> bool:
    """Whether a row is a sum of those above and no name; it is said."""
    if row.has("number"):
        return False
    for key in ("order", "size", "name"):
        value = row.value(key)
        if isinstance(value, str) and heading_key(value) in words().totals:
            mend = (
                'Taken as a row of totals, not as a name to press; if it is a name, give it a number or "-".'
            )
            row.doubt("row-not-read", key, f"{key} {shown(value)}", "a name to press", mend)
            return True
    return False


def _doubt_twice(rows: Iterable[NameRow]) -> None:
    """Doubt a name with its number that stands twice for one order."""
    seen: dict[tuple[str, ...], NameRow] = {}
    for one in rows:
        key = (
            name_key(one.order),
            name_key(one.name),
            name_key(one.number),
            one.placement,
            name_key(one.garment),
        )
        first = seen.setdefault(key, one)
        if first is one or not one.number:
            continue
        who = " ".join(filter(None, (one.name, one.number)))
        found = f"{shown(who)} again, which is in row {first.row.index + 1} too"
        mend = "Both are pressed; take one out if it is the same person."
        one.row.doubt("name-twice", "name", found, "each name and number once", mend)


def _columns(grid: Grid, headings: Headings) -> list[ColumnRead]:
    known = [(column, key) for key, column in headings.columns.items()]
    every = sorted([*known, *((column, "") for column in headings.unknown)])
    return [
        ColumnRead(
            source=grid.source(headings.row, column),
            heading=text(grid.value(headings.row, column)),
            key=key,
            how=How.KNOWN if key else How.NOT_READ,
        )
        for column, key in every
    ]


def tie_names(order: Order, rows: Sequence[NameRow]) -> Order | None:
    """The order with its names; None when one of them can't be tied to it."""
    by_line: dict[int, list[Named]] = {}
    sound = True
    for one in rows:
        fit = [number for number, line in enumerate(order.lines) if _fits(one, line)]
        if len(fit) == 1:
            named = Named(size=one.size, name=one.name, number=one.number, placement=one.placement)
            by_line.setdefault(fit[0], []).extend([named] * one.count)
            continue
        sound = False
        who = " ".join(filter(None, (one.name, one.number, one.size)))
        if fit:
            found = f"{shown(who)}, which could be on {len(fit)} garments of order {shown(order.id)}"
            mend = "Add the columns Garment, Colour or Placement to the list."
            one.row.fault("names-unclear", "name", found, "which garment it is on", mend)
        else:
            found = f"{shown(who)}, for which order {shown(order.id)} has no garment"
            mend = "Correct the size, garment or placement, or the order."
            one.row.fault("names-unfit", "size", found, "a size and placement of the order", mend)
    if not sound:
        return None
    lines = list(order.lines)
    for number, names in by_line.items():
        if not _counts_fit(order, lines[number], names, rows):
            return None
        _doubt_place(order, lines[number], names, rows)
        lines[number] = replace(lines[number], names=tuple(names))
    return replace(order, lines=tuple(lines))


def _fits(one: NameRow, line: OrderLine) -> bool:
    return (
        (not one.size or one.size in {sized.size for sized in line.sizes})
        and (not one.garment or name_key(one.garment) == name_key(line.garment))
        and (not one.colour or name_key(one.colour) == name_key(line.colour))
        and (not one.placement or one.placement in {done.placement for done in line.prints})
    )


def _doubt_place(order: Order, line: OrderLine, names: Iterable[Named], rows: Sequence[NameRow]) -> None:
    """Say once when names could go on several placements of their garments."""
    places = list(dict.fromkeys(one.placement for one in line.prints))
    if len(places) < 2 or all(one.placement for one in names):
        return
    row = next(one.row for one in rows if not one.placement and _fits(one, line))
    found = f"names of order {shown(order.id)} for garments with {', '.join(places)}"
    mend = "Taken to go on each of them; add the column Placement if they go on one."
    row.doubt("names-place-unsaid", "name", found, "the placement that they go on", mend)


def _counts_fit(order: Order, line: OrderLine, names: Iterable[Named], rows: Sequence[NameRow]) -> bool:
    """Whether no size has more names than pieces; fewer are doubted."""
    there: dict[str, int] = {}
    # a garment with a name on one placement and a number on another is one garment
    for placement in dict.fromkeys(one.placement for one in names):
        counts: dict[str, int] = {}
        for one in names:
            if one.placement == placement:
                counts[one.size] = counts.get(one.size, 0) + 1
        for size, count in counts.items():
            there[size] = max(there.get(size, 0), count)
    pieces_of = {sized.size: sized.quantity for sized in line.sizes}
    if "" in there:
        pieces_of[""] = line.quantity
    given = sum(there.values())
    if "" in there and there[""] <= line.quantity < given:
        row = next(one.row for one in rows if not one.size)
        found = f"{counted(given, 'name')} for {counted(line.quantity, 'piece')} of order {shown(order.id)}"
        mend = "Take names out, or correct the pieces of the order."
        row.fault("names-too-many", "size", found, "a name for each piece at most", mend)
        return False
    for size, count in there.items():
        row = next(one.row for one in rows if one.size == size)
        label = f" of size {size}" if size else ""
        counts_words = f"{counted(count, 'name')} for {counted(pieces_of[size], 'piece')}{label}"
        found = f"{counts_words} of order {shown(order.id)}"
        if count > pieces_of[size]:
            mend = "Take names out, or correct the pieces of the order."
            row.fault("names-too-many", "size", found, "a name for each piece at most", mend)
            return False
        if count < pieces_of[size]:
            mend = "The other pieces are pressed without a name; add names if some are missing."
            row.doubt("names-too-few", "size", found, "a name for each piece", mend)
    return True
