"""One row of an orders sheet: its sizes, its prints, and what it says of its order."""

from __future__ import annotations

import re
from dataclasses import dataclass
from datetime import date, datetime, time

from scheduler.domain.orders import Print, Sized
from scheduler.intake.cells.clock_values import clock
from scheduler.intake.cells.dates import Dates
from scheduler.intake.cells.findings import shown
from scheduler.intake.cells.quantities import pieces
from scheduler.intake.cells.rows import Row
from scheduler.intake.cells.sizes import Sizes
from scheduler.intake.cells.values import Parser, Taken, Unfit, text, whole
from scheduler.intake.files.grid import Value
from scheduler.intake.orders.hours import agreed_time, doubt_night
from scheduler.intake.orders.layout import SAMPLE, SAMPLE_NOTE, SIZE, STRANGE_SIZE
from scheduler.intake.orders.prints import read_prints
from scheduler.intake.orders.size_cells import read_size
from scheduler.intake.orders.tables.status import doubt_note
from scheduler.intake.shop.words import ShopWords
from scheduler.intake.words import heading_key, name_key, words

_RUSH = 10
_SHORTENED = re.compile(r"\d(?:[.,]\d+)?E\+\d+\Z", re.IGNORECASE)
"""A long number that a spreadsheet program has rounded and written with an exponent."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Facts:
    """What one row says of its order; None where its cell is blank or wrong."""

    row: Row
    order: str
    customer: str | None
    cut_off_date: date | None
    cut_off_time: time | None
    courier: str | None
    weight: int | None


@dataclass(frozen=True, slots=True, kw_only=True)
class Entry:
    """The garments and prints of one sound row.

    Attributes
    ----------
    line
        The number that tells like garments apart; empty when none is given.
    prints
        At least one; all on the same garments.
    """

    row: Row
    garment: str
    colour: str
    fabric: str
    line: str
    sizes: tuple[Sized, ...]
    prints: tuple[Print, ...]
    garments_in: datetime | None
    note: str


def read_row(row: Row, shop: ShopWords, dates: Dates) -> tuple[Facts | None, Entry | None]:
    """What a row says of its order (None without a number) and of garments (None when it is wrong)."""
    order = row.take("order", _order_number)
    if not row.has("order") and not row.lacks("order"):
        mend = "Write the order's number on every row; merged cells hold it only on the first."
        row.fault("order-missing", "order", "no order number", "the order's number", mend)
    customer = row.take("customer", text)
    cut_off_date, late_time = row.take("cut_off_date", dates.day_and_time, "cut-off date") or (None, None)
    cut_off_time = agreed_time(row, row.take("cut_off_time", clock, "cut-off time"), late_time)
    if cut_off_time is not None:
        doubt_night(row, "cut_off_time", cut_off_time, shop.opening(cut_off_date or shop.day))
    courier = shop.couriers.take(row, "courier")
    weight = row.take("priority", _weight)
    garment = row.need("garment", text)
    colour = shop.colour(row)
    fabric = shop.fabrics.take(row, "fabric", needed=True)
    line = row.take("line", text) or ""
    sizes = _read_sizes(row, shop.sizes)
    arrival = dates.moment(shop.day, shop.opening)
    garments_in = row.take("garments_in", lambda value: _arrival(value, arrival), "garments in")
    transfers_in = row.take("transfers_in", lambda value: _arrival(value, arrival), "transfers in")
    for key, arrives in (("garments_in", garments_in), ("transfers_in", transfers_in)):
        if arrives and arrives.at and arrives.at.time() != time(0):
            doubt_night(row, key, arrives.at.time(), shop.opening(arrives.at.date()))
    prints = read_prints(row, shop, fabric, transfers_in.at if transfers_in else None)
    note = row.take("notes", text) or ""
    doubt_note(row, weight=weight, waits=row.has("garments_in") or row.has("transfers_in"))
    if order is None:
        return None, None
    facts = Facts(
        row=row,
        order=order,
        customer=customer,
        cut_off_date=cut_off_date,
        cut_off_time=cut_off_time,
        courier=courier,
        weight=weight,
    )
    if not row.sound or garment is None or fabric is None or not sizes or not prints:
        return facts, None
    return facts, Entry(
        row=row,
        garment=garment,
        colour=colour,
        fabric=fabric,
        line=line,
        sizes=sizes,
        prints=prints,
        garments_in=garments_in.at if garments_in else None,
        note=note,
    )


@dataclass(frozen=True, slots=True)
class _Arrival:
    at: datetime | None


def _arrival(value: Value, parse: Parser[datetime]) -> _Arrival | Taken[_Arrival]:
    """When something arrives; "yes" means that it is here already."""
    key = name_key(text(value)) if isinstance(value, str | bool) else ""
    if value is True or key in words().yes or heading_key(key) in words().arrived:
        return _Arrival(None)
    if value is False or key in words().no or heading_key(key) in words().awaited:
        raise Unfit(
            "arrival-unknown", "when it arrives, or blank when it is here", "Write the date and time."
        )
    try:
        found = parse(value)
    except Unfit as unfit:
        if unfit.code != "not-a-moment":
            raise
        mend = "Write when it arrives, as year-month-day hours:minutes; or yes, or nothing, when it is here."
        raise Unfit(unfit.code, unfit.expected, mend) from None
    if isinstance(found, Taken):
        return Taken(value=_Arrival(found.value), code=found.code, expected=found.expected, mend=found.mend)
    return _Arrival(found)


def _order_number(value: Value) -> str:
    """An order's number as it stands, leading zeros and all."""
    number = text(value)
    if _SHORTENED.match(number):
        expected = "the order's whole number"
        raise Unfit("order-number-shortened", expected, "Digits were lost; format the column as text.")
    return number


def _weight(value: Value) -> int:
    """The weight of a priority; under a heading such as "Rush" yes and no are answers too."""
    if isinstance(value, str):
        for key in (name_key(value), heading_key(value)):
            if key in words().priorities:
                return words().priorities[key]
    key = name_key(text(value))
    if key in words().yes | words().no and not key.isdigit():
        return _RUSH if key in words().yes else 1
    try:
        return whole(1, 10, what="priority")(value)
    except Unfit:
        expected = "one of: normal, high, rush, urgent; or a whole number from 1 to 10"
        raise Unfit("unknown-priority", expected, "Take one of these.") from None


def _read_sizes(row: Row, sizes: Sizes) -> tuple[Sized, ...]:
    """The quantities of a row, in the shop's order of sizes; empty when they are wrong or none."""
    was_sound = row.sound
    row.sound = True
    wide = {}
    # pieces under a heading that is a fault already: the row's sum and sizes can't be judged
    unclear = row.lacks(SIZE)
    for key in row.headings.columns:
        if key.startswith(SIZE):
            label = key.removeprefix(SIZE)
            quantity = row.take(key, pieces, f"quantity of {label}")
            if quantity:
                wide[label] = quantity
        elif key.startswith(STRANGE_SIZE):
            label = key.removeprefix(STRANGE_SIZE)
            unclear |= row.has(key) and row.take(key, pieces, f"quantity of {label}") != 0
    total = row.take("total", pieces)
    single = row.take("quantity", pieces)
    if not row.sound:
        return ()
    if unclear:
        row.sound = False
        return ()
    row.sound = was_sound
    if wide:
        return _wide_sizes(row, wide, total, single, sizes)
    return _long_sizes(row, total, single, sizes)


def _wide_sizes(
    row: Row, wide: dict[str, int], total: int | None, single: int | None, sizes: Sizes
) -> tuple[Sized, ...]:
    if row.has("size"):
        mend = "Give the quantity in one way only."
        row.fault(
            "sizes-twice",
            "size",
            f"size {shown(row.value('size'))} beside size columns",
            "one of the two",
            mend,
        )
        return ()
    count = sum(wide.values())
    for key, stated in (("total", total), ("quantity", single)):
        if stated is not None and stated != count:
            cells = ", ".join(row.source(f"{SIZE}{label}").cell for label in wide)
            expected = f"{count}, the sum of the sizes ({cells})"
            row.fault("total-differs", key, f"{key} {stated}", expected, "Correct the sizes or the total.")
            return ()
    return tuple(Sized(size=label, quantity=wide[label]) for label in sorted(wide, key=sizes.place))


def _long_sizes(row: Row, total: int | None, single: int | None, sizes: Sizes) -> tuple[Sized, ...]:
    if not row.has("size"):
        key = next((key for key in row.headings.columns if key.startswith(SIZE)), "quantity")
        found = "no quantity of any size" if not (total or single) else "a quantity without a size"
        mend = "Fill in how many pieces of which size."
        row.fault("sizes-missing", key, found, "pieces by size", mend)
        return ()
    label = read_size(row, sizes)
    if label is None:
        return ()
    count = total if single is None else single
    if not count:
        key = "quantity" if "quantity" in row.headings.columns else "total"
        row.fault("sizes-missing", key, "no quantity", "how many pieces", "Fill in the quantity.")
        return ()
    return (Sized(size=label, quantity=count),)


def is_sample(row: Row) -> bool:
    """Whether a row is one of the samples of a new workbook, by its customer or its note."""
    said = {key: value for key in ("customer", "notes") if isinstance(value := row.value(key), str)}
    begins, note = said.get("customer", ""), said.get("notes", "")
    return name_key(begins).startswith(name_key(SAMPLE)) or name_key(note) == name_key(SAMPLE_NOTE)


def doubt_samples(rows: list[Row]) -> None:
    """Doubt the sample rows of a sheet, all in one."""
    if not rows:
        return
    numbers = f"row {rows[0].index + 1}" if len(rows) == 1 else f"{len(rows)} rows"
    found = f"sample rows of a new workbook ({numbers})"
    mend = "Delete them before you plan; until then they are planned like other orders."
    rows[0].doubt("sample-rows", "customer", found, "your own orders only", mend)
