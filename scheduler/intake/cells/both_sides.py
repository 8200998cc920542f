"""Width and height in one cell: "90 x 100 mm", '3.5"W x 4"H', "9x10cm"."""

from __future__ import annotations

import re

from scheduler.intake.cells.findings import shown
from scheduler.intake.cells.lengths import unit_of
from scheduler.intake.cells.rows import Row
from scheduler.intake.files.grid import Unread
from scheduler.intake.words import clean

_BY = re.compile(r"\s*(?:[x×*✕]|(?<=\s)by(?=\s))\s*", re.IGNORECASE)
_SIDE = re.compile(r"(?:([wbh])[\s:.]*)?(.*?)(?:(?<=[\d\s\"”″m])([wbh]))?\Z", re.IGNORECASE)
_UNIT = re.compile(r"[^\d.,/⁄½¼¾⅛⅜⅝⅞\s].*\Z")


def take_sides_apart(row: Row, keys: dict[str, str], count: int) -> None:
    """Give a row the width and height that stand in one cell; a fault when they are not two lengths.

    Parameters
    ----------
    keys
        Column keys of the placement.
    count
        Placements in the row's cell: so many sizes may be joined by +.
    """
    both = row.value(keys["both_mm"])
    if both is None or isinstance(both, Unread):
        return
    column = row.headings.columns[keys["both_mm"]]
    sides = [keys[side] for side in ("width_mm", "height_mm")]
    if any(row.headings.columns.get(side) != column for side in sides):
        row.given.update({side: None for side in sides if row.headings.columns.get(side) == column})
        found = f"size {shown(both)} beside a column of its own for width or height"
        row.fault("size-twice", keys["both_mm"], found, "one of the two", "Take one of the columns out.")
        return
    parts = clean(both).split("+") if isinstance(both, str) and count > 1 else [both]
    taken = [_sides(part) for part in parts]
    told = [side for side in taken if side is not None]
    if len(told) < len(taken):
        mend = "Write width and height with x between, such as 90 x 100 mm."
        row.fault("size-not-two-lengths", keys["both_mm"], f"size {shown(both)}", "width x height", mend)
    whole = len(told) == len(taken)
    row.given[keys["width_mm"]] = " + ".join(width for width, _ in told) if whole else None
    row.given[keys["height_mm"]] = " + ".join(height for _, height in told) if whole else None


def _sides(written: object) -> tuple[str, str] | None:
    """Width and height as written, each with its unit; None when it isn't two lengths."""
    if not isinstance(written, str):
        return None
    parts = _BY.split(clean(written))
    if len(parts) != 2:
        return None
    found = []
    for part in parts:
        match = _SIDE.match(part.strip())
        assert match is not None  # it fits any text
        found.append(((match[1] or match[3] or "").lower(), match[2].strip()))
    (first, width), (second, height) = found
    if first == "h" and second != "h":
        width, height = height, width
    ending = _UNIT.search(parts[1] if second == "" else height)
    if ending and unit_of(width) == "":
        width = f"{width} {ending[0]}"
    if unit_of(width) is None or unit_of(height) is None:
        return None
    return width, height
