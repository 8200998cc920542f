"""The prints of one row of an orders sheet: placements with their transfers, artwork and sizes."""

from __future__ import annotations

from datetime import datetime

from scheduler.domain.orders import Print
from scheduler.intake.cells.both_sides import take_sides_apart
from scheduler.intake.cells.findings import shown
from scheduler.intake.cells.lengths import LENGTH_UNITS, length_mm, unit_of
from scheduler.intake.cells.rows import Row
from scheduler.intake.cells.values import Taken
from scheduler.intake.files.grid import Value
from scheduler.intake.orders.artworks import artworks_of, with_breaks
from scheduler.intake.orders.headings.words import MOST_PLACEMENTS, OF_A_PLACEMENT
from scheduler.intake.shop.words import ShopWords
from scheduler.intake.words import name_key, words

_SLOTS = tuple(
    {base: base if slot == 1 else f"{base} {slot}" for base in OF_A_PLACEMENT}
    for slot in range(1, MOST_PLACEMENTS + 1)
)
"""The column keys of each placement that a row may have."""


def read_prints(
    row: Row, shop: ShopWords, fabric: str | None, transfers_in: datetime | None
) -> tuple[Print, ...]:
    """All prints of a row; those that are sound, if some are not."""
    prints: list[Print] = []
    used = False
    for slot, keys in enumerate(_SLOTS, start=1):
        if slot > 1 and row.headings.columns.keys().isdisjoint(keys.values()):
            continue
        name, about = row.headings.given.get(keys["placement"], ("", ()))
        if any(row.has(key) for key in about):
            row.given[keys["placement"]] = name
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
    if not used and row.lacks("placement"):
        row.sound = False
    elif not used:
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
    written = row.take(keys["placement"], with_breaks)
    if written is None:
        return []
    parts = shop.placements.split(written)
    take_sides_apart(row, keys, len(parts))
    found = [shop.placements.match(row, keys["placement"], part) for part in parts]
    # a further placement without a transfer of its own takes the first one's type; artwork is never shared so
    transfer_key = keys["transfer"] if row.has(keys["transfer"]) else "transfer"
    transfer_text = row.need(transfer_key, with_breaks, "transfer")
    transfers = _for_each(
        row, transfer_key, transfer_text, shop.transfers.split(transfer_text or ""), len(parts)
    )
    artwork_text = row.need(keys["artwork"], with_breaks, "artwork")
    if keys["placement"] in row.headings.given and name_key(artwork_text or "") in words().yes | words().no:
        mend = "Write the artwork's name there, or say where it goes in a column Placement."
        found_text = f"{shown(artwork_text)} under the heading of a placement"
        row.fault("artwork-unclear", keys["artwork"], found_text, "the name of the artwork", mend)
    artworks = artworks_of(row, keys["artwork"], artwork_text, parts)
    widths = _read_side(row, keys["width_mm"], "width", len(parts))
    heights = _read_side(row, keys["height_mm"], "height", len(parts))
    told = row.lacks("width_mm") or row.lacks("height_mm")
    if row.has(keys["width_mm"]) != row.has(keys["height_mm"]) and not told:
        there, missing = ("width", "height") if row.has(keys["width_mm"]) else ("height", "width")
        mend = f"Fill in the {missing}; until then the placement's usual {missing} is taken."
        at = missing if keys[f"{missing}_mm"] in row.headings.columns else there
        row.doubt("size-half-given", keys[f"{at}_mm"], f"a {there} without a {missing}", "both or none", mend)
    prints = []
    named = [shop.transfers.match(row, transfer_key, transfer) for transfer in transfers]
    for index, placement in enumerate(found):
        transfer = named[index] if index < len(named) else None
        if placement is None or transfer is None or fabric is None or artworks is None:
            continue
        if shop.shop is not None and shop.shop.recipe(transfer, fabric) is None:
            can = [one.transfer for one in shop.shop.recipes if one.fabric == fabric]
            ways = f" or take one that has: {', '.join(can)}" if can else ""
            mend = f"Add it to sheet Recipes of the shop workbook{ways}."
            what = f"transfer {shown(transfer)} on fabric {shown(fabric)}"
            row.fault("no-recipe", transfer_key, what, "a transfer with a recipe for that fabric", mend)
            continue
        usual_width, usual_height = shop.usual_size(placement)
        width, height = widths[index], heights[index]
        prints.append(
            Print(
                placement=placement,
                transfer=transfer,
                artwork=artworks[index],
                width_mm=usual_width if width is None else width,
                height_mm=usual_height if height is None else height,
                transfers_in=transfers_in,
                usual=tuple(name for name, side in (("width", width), ("height", height)) if side is None),
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


def _read_side(row: Row, key: str, label: str, count: int) -> list[int | None]:
    """A side of the transfers in mm, by placement, rounded up; None where the cell is blank."""
    unit = row.headings.units.get(key, "").replace("?", "")

    def parse(value: Value) -> list[int] | Taken[list[int]]:
        parts: list[Value] = [value]
        if count > 1 and isinstance(value, str):
            joined = next((mark for mark in ("+", "/") if len(value.split(mark)) == count), None)
            if joined and unit_of(value) is None:
                parts = [*value.split(joined)]
        sides = [length_mm(part, unit, what=label) for part in parts]
        found = [side for side, _ in sides] if len(parts) == count else [sides[0][0]] * count
        # what the heading says of a whole column is said there, once
        strange = [taken for _, taken in sides if taken not in ("mm", unit)]
        if not strange:
            return found
        expected = "a length in mm, or one whose unit is known"
        mend = f"Converted from {LENGTH_UNITS[strange[0]]}: {', '.join(str(side) for side, _ in sides)} mm."
        return Taken(value=found, code="length-converted", expected=expected, mend=mend)

    sides = row.take(key, parse, label)
    return [None] * count if sides is None else [*sides]
