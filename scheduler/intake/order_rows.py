"""One row of an orders sheet: its sizes, its prints, and what it says of its order."""

from __future__ import annotations

import math
from dataclasses import dataclass
from datetime import date, datetime, time

from scheduler.domain.orders import Print, Sized
from scheduler.domain.shop import Shop
from scheduler.intake.findings import propose, shown
from scheduler.intake.grid import Value
from scheduler.intake.known import Known
from scheduler.intake.order_headings import MOST_PLACEMENTS, OF_A_PLACEMENT, Sizes
from scheduler.intake.orders_layout import SIZE
from scheduler.intake.rows import Row
from scheduler.intake.shop_layout import COURIERS, FABRICS, PLACEMENTS, SIZES, TRANSFERS
from scheduler.intake.shop_writer import known_fabrics, known_transfers
from scheduler.intake.values import Unfit, clock, day, moment, number, text, whole
from scheduler.intake.words import name_key, words

_MOST_PIECES = 100_000
_LEAST_MM, _MOST_MM = 5, 1000
_quantity = whole(0, _MOST_PIECES, "pieces", what="quantity")


class ShopWords:
    """The shop's names as orders use them."""

    def __init__(self, shop: Shop, planned: date) -> None:
        self.shop = shop
        self.day = planned
        self.sizes = Sizes(shop.size_groups)
        self.placements = Known("placement", PLACEMENTS.sheet, (one.name for one in shop.placements))
        self.transfers = Known("transfer", TRANSFERS.sheet, known_transfers(shop))
        self.fabrics = Known("fabric", FABRICS.sheet, known_fabrics(shop))
        self.couriers = Known("courier", COURIERS.sheet, (one.name for one in shop.couriers))

    def opening(self, on: date) -> time:
        """When the shop opens on a date; midnight on a closed day."""
        hours = self.shop.hours.get(on.weekday())
        return time(0) if hours is None or on in self.shop.closed_days else hours.open


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


def read_row(row: Row, shop: ShopWords) -> tuple[Facts | None, Entry | None]:
    """What a row says of its order (None without a number) and of garments (None when it is wrong)."""
    order = row.take("order", text)
    if not row.has("order"):
        mend = "Write the order's number on every row; merged cells hold it only on the first."
        row.fault("order-missing", "order", "no order number", "the order's number", mend)
    customer = row.take("customer", text)
    cut_off_date, late_time = row.take("cut_off_date", _day_and_time, "cut-off date") or (None, None)
    cut_off_time = row.take("cut_off_time", clock, "cut-off time") or late_time
    courier = shop.couriers.take(row, "courier")
    weight = row.take("priority", _weight)
    garment = row.need("garment", text)
    colour = row.take("colour", text) or ""
    fabric = shop.fabrics.take(row, "fabric", needed=True)
    line = row.take("line", text) or ""
    sizes = _read_sizes(row, shop.sizes)
    arrival = moment(shop.day, shop.opening)
    garments_in = row.take("garments_in", lambda value: _arrival(value, arrival), "garments in")
    transfers_in = row.take("transfers_in", lambda value: _arrival(value, arrival), "transfers in")
    prints = _read_prints(row, shop, fabric, transfers_in.at if transfers_in else None)
    note = row.take("notes", text) or ""
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


def _day_and_time(value: Value) -> tuple[date, time | None]:
    if isinstance(value, datetime) and value.time() != time(0):
        return day(value), clock(value.time())
    return day(value), None


@dataclass(frozen=True, slots=True)
class _Arrival:
    at: datetime | None


def _arrival(value: Value, parse: object) -> _Arrival:
    """When something arrives; "yes" means that it is here already."""
    key = name_key(text(value)) if isinstance(value, str | bool) else ""
    if value is True or key in words().yes:
        return _Arrival(None)
    if value is False or key in words().no:
        raise Unfit(
            "arrival-unknown", "when it arrives, or blank when it is here", "Write the date and time."
        )
    assert callable(parse)
    return _Arrival(parse(value))


def _weight(value: Value) -> int:
    if isinstance(value, str) and name_key(value) in words().priorities:
        return words().priorities[name_key(value)]
    try:
        return whole(1, 10, what="priority")(value)
    except Unfit:
        known = ", ".join(words().priorities)
        expected = f"one of: {known}; or a whole number from 1 to 10"
        raise Unfit("unknown-priority", expected, "Take one of these.") from None


def _read_sizes(row: Row, sizes: Sizes) -> tuple[Sized, ...]:
    """The quantities of a row, in the shop's order of sizes; empty when they are wrong or none."""
    was_sound = row.sound
    row.sound = True
    wide = {}
    for key in row.headings.columns:
        if key.startswith(SIZE):
            label = key.removeprefix(SIZE)
            quantity = row.take(key, _quantity, f"quantity of {label}")
            if quantity:
                wide[label] = quantity
    total = row.take("total", _quantity)
    single = row.take("quantity", _quantity)
    if not row.sound:
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
    pieces = sum(wide.values())
    for key, stated in (("total", total), ("quantity", single)):
        if stated is not None and stated != pieces:
            cells = ", ".join(row.source(f"{SIZE}{label}").cell for label in wide)
            expected = f"{pieces}, the sum of the sizes ({cells})"
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
    written = row.take("size", text)
    if written is None:
        return ()
    label = sizes.find(written)
    if label is None:
        mend = propose(written, sizes.labels, SIZES.sheet)
        row.fault("unknown-size", "size", f"size {shown(written)}", "a size of the shop", mend)
        return ()
    pieces = total if single is None else single
    if not pieces:
        key = "quantity" if "quantity" in row.headings.columns else "total"
        row.fault("sizes-missing", key, "no quantity", "how many pieces", "Fill in the quantity.")
        return ()
    return (Sized(size=label, quantity=pieces),)


def _read_prints(
    row: Row, shop: ShopWords, fabric: str | None, transfers_in: datetime | None
) -> tuple[Print, ...]:
    """All prints of a row; those that are sound, if some are not."""
    prints: list[Print] = []
    used = False
    for slot in range(1, MOST_PLACEMENTS + 1):
        keys = {base: base if slot == 1 else f"{base} {slot}" for base in OF_A_PLACEMENT}
        if not row.has(keys["placement"]):
            stray = next((keys[base] for base in OF_A_PLACEMENT if slot > 1 and row.has(keys[base])), None)
            if stray:
                mend = "Fill in the placement, or clear the cell."
                row.fault(
                    "placement-missing", keys["placement"], f"{stray} without placement", "a placement", mend
                )
            continue
        used = True
        prints.extend(_read_slot(row, keys, shop, fabric, transfers_in))
    if not used:
        mend = "Fill in where the transfer goes."
        row.fault("placement-missing", "placement", "no placement", "a placement", mend)
    seen: set[str] = set()
    for one in prints:
        if one.placement in seen:
            found = f"placement {shown(one.placement)} twice in one row"
            row.fault("placement-twice", "placement", found, "each placement once", "Take one out.")
        seen.add(one.placement)
    return tuple(prints)


def _read_slot(
    row: Row, keys: dict[str, str], shop: ShopWords, fabric: str | None, transfers_in: datetime | None
) -> list[Print]:
    """The prints of one placement cell, which may join several placements by + or /."""
    written = row.take(keys["placement"], text)
    if written is None:
        return []
    parts = shop.placements.split(written)
    found = [shop.placements.match(row, keys["placement"], part) for part in parts]
    # a further placement without a transfer of its own takes the first one's type; artwork is never shared so
    transfer_key = keys["transfer"] if row.has(keys["transfer"]) else "transfer"
    transfer_text = row.need(transfer_key, text, "transfer")
    transfers = _for_each(
        row, transfer_key, transfer_text, shop.transfers.split(transfer_text or ""), len(parts)
    )
    artwork_text = row.need(keys["artwork"], text, "artwork")
    artworks = _artworks(artwork_text, len(parts))
    widths = _read_side(row, keys["width_mm"], "width", len(parts))
    heights = _read_side(row, keys["height_mm"], "height", len(parts))
    if (row.has(keys["width_mm"])) != (row.has(keys["height_mm"])):
        there, missing = ("width", "height") if row.has(keys["width_mm"]) else ("height", "width")
        mend = f"Fill in the {missing}; until then the placement's usual {missing} is taken."
        row.doubt(
            "size-half-given", keys[f"{missing}_mm"], f"a {there} without a {missing}", "both or none", mend
        )
    prints = []
    named = [shop.transfers.match(row, transfer_key, transfer) for transfer in transfers]
    for index, placement in enumerate(found):
        transfer = named[index] if index < len(named) else None
        if placement is None or transfer is None or fabric is None or artworks is None:
            continue
        if shop.shop.recipe(transfer, fabric) is None:
            can = [one.transfer for one in shop.shop.recipes if one.fabric == fabric]
            ways = f" or take one that has: {', '.join(can)}" if can else ""
            mend = f"Add it to sheet Recipes of the shop workbook{ways}."
            what = f"transfer {shown(transfer)} on fabric {shown(fabric)}"
            row.fault("no-recipe", transfer_key, what, "a transfer with a recipe for that fabric", mend)
            continue
        usual = shop.shop.placement(placement)
        width, height = widths[index], heights[index]
        prints.append(
            Print(
                placement=placement,
                transfer=transfer,
                artwork=artworks[index],
                width_mm=usual.width_mm if width is None else width,
                height_mm=usual.height_mm if height is None else height,
                transfers_in=transfers_in,
                source=row.source(keys["placement"]),
            )
        )
    return prints


def _for_each(row: Row, key: str, written: str | None, parts: list[str], count: int) -> list[str]:
    """One part for each placement: a single one stands for all."""
    if written is None:
        return []
    if len(parts) == count:
        return parts
    if len(parts) == 1:
        return parts * count
    found = f"{len(parts)} names for {count} placement{'' if count == 1 else 's'}"
    row.fault(
        "parts-differ", key, found, "one for each placement, or one for all", "Join as many as placements."
    )
    return []


def _artworks(written: str | None, count: int) -> list[str] | None:
    """Artwork by placement: taken apart only where that gives one each, since its name is free text."""
    if written is None:
        return None
    for mark in ("+", "/"):
        parts = [part.strip() for part in written.split(mark)]
        if count > 1 and len(parts) == count and all(parts):
            return parts
    return [written] * count


def _read_side(row: Row, key: str, label: str, count: int) -> list[int | None]:
    """A side of the transfers in mm, by placement, rounded up; None where the cell is blank."""

    def parse(value: Value) -> list[int]:
        side = number(_LEAST_MM, _MOST_MM, "mm", what=label)
        if count > 1 and isinstance(value, str):
            for mark in ("+", "/"):
                parts = value.split(mark)
                if len(parts) == count:
                    return [math.ceil(side(part)) for part in parts]
        return [math.ceil(side(value))] * count

    sides = row.take(key, parse, f"{label} mm")
    return [None] * count if sides is None else [*sides]
