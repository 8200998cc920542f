"""Garments of an order that are different ones only by how they are written, which is doubted."""

from __future__ import annotations

from collections.abc import Sequence
from functools import lru_cache

from scheduler.domain.orders import Print, Sized
from scheduler.intake.cells.findings import shown
from scheduler.intake.orders.repeats import style_key
from scheduler.intake.orders.rows import Entry
from scheduler.intake.words import heading_key

_MOST_COMPARED = 40
"""Lines of the same sizes and fabric beyond which they are no longer compared one with another."""


def doubt_spelt_apart(lines: Sequence[tuple[Entry, Sequence[Sized], Sequence[Print]]]) -> None:
    """Doubt lines with the same pieces and other placements whose garment or colour is nearly the same.

    Parameters
    ----------
    lines
        Of each its first row, its pieces by size and its prints.
    """
    if len(lines) < 2:
        return
    alike: dict[object, list[tuple[Entry, frozenset[str]]]] = {}
    for entry, sizes, prints in lines:
        places = frozenset(one.placement for one in prints)
        before = alike.setdefault((entry.fabric, entry.line, tuple(sizes)), [])
        for other, other_places in before[:_MOST_COMPARED]:
            if places.isdisjoint(other_places) and (key := _nearly_the_same(entry, other)):
                _say(entry, other, key)
                break
        before.append((entry, places))


def _say(entry: Entry, other: Entry, key: str) -> None:
    written, above = getattr(entry, key), getattr(other, key)
    pieces = sum(sized.quantity for sized in entry.sizes)
    found = (
        f"{key} {shown(written or None)} beside {shown(above or None)} in row {other.row.index + 1}, "
        "with the same pieces and other placements"
    )
    mend = (
        f"Taken as different garments, {pieces} each; if they are the same, write "
        f"{shown(above or written)} in both."
    )
    entry.row.doubt("garments-spelt-apart", key, found, f"the same {key} for the same garments", mend)


def _nearly_the_same(one: Entry, other: Entry) -> str:
    """The column by which alone two garments differ, and only just: "garment", "colour" or neither."""
    garment, colour = near_name(one.garment, other.garment), near_name(one.colour, other.colour)
    if not (garment and colour):
        return ""
    return "garment" if style_key(one.garment) != style_key(other.garment) else "colour"


@lru_cache(maxsize=65_536)
def near_name(one: str, other: str) -> bool:
    """Whether two names may be one: a slip of the pen, a word more, or nothing beside something."""
    first, second = style_key(one), style_key(other)
    if first == second or not first or not second:
        return True
    words, other_words = set(heading_key(one).split()), set(heading_key(other).split())
    if words and other_words and (words <= other_words or other_words <= words):
        return True
    from rapidfuzz.distance import OSA

    longest = max(len(first), len(second))
    return OSA.distance(first, second) <= (2 if longest >= 6 else 1 if longest >= 3 else 0)
