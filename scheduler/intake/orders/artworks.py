"""Artwork by placement: its name is free text, so that it is taken apart only where that is surely meant."""

from __future__ import annotations

import re
from collections.abc import Sequence

from scheduler.intake.cells.findings import shown
from scheduler.intake.cells.rows import Row
from scheduler.intake.cells.values import text
from scheduler.intake.files.grid import Value
from scheduler.intake.words import clean

_NAME = re.compile(r"[^\W\d_]{3}")
"""A part that is a name by itself, unlike those of AC/DC and 24/7."""
_SURE = (" + ", "+", "\n", " / ", ";")
"""Marks that stand between names and hardly ever within one, the surest first."""
_UNSURE = ("/", ",", " & ", " and ")
"""Marks that stand within names as well."""


def with_breaks(value: Value) -> str:
    """Any value as its text, with the line breaks within it."""
    if not isinstance(value, str) or "\n" not in value:
        return text(value)
    return "\n".join(part for part in map(clean, value.split("\n")) if part)


def artworks_of(row: Row, key: str, written: str | None, placements: Sequence[str]) -> list[str] | None:
    """The artwork of each placement of a cell: one for all or as many, joined in the same way.

    None when there is none, or it can't be known which goes where (then a fault is noted).
    """
    if written is None:
        return None
    count = len(placements)
    whole = clean(written)
    if count == 1:
        return [whole]
    for mark in _SURE:
        parts = [clean(part) for part in written.split(mark) if part.strip()]
        if len(parts) == count:
            return parts
    for mark in ("+", " / "):
        parts = [part for part in written.split(mark) if part.strip()]
        if len(parts) > 1:
            found = f"{len(parts)} artworks for {count} placements, {shown(whole)}"
            mend = "Join as many as placements, in their order, or give each placement a row of its own."
            row.fault("artworks-differ", key, found, "one for all placements, or one for each", mend)
            return None
    for mark in _UNSURE:
        parts = [clean(part) for part in written.split(mark) if part.strip()]
        if len(parts) != count:
            continue
        split = mark == "/"
        if split and all(_NAME.match(part) for part in parts):
            return parts
        each = ", ".join(f"{shown(part)} on {place}" for part, place in zip(parts, placements, strict=True))
        taken = f"Taken as {each}" if split else f"Taken as one artwork, {shown(whole)}, on each placement"
        other = (
            "one artwork on each, give each a row of its own" if split else f"{each}, write + between them"
        )
        found, expected = f"artwork {shown(whole)} for {count} placements", "artworks with + between"
        row.doubt("artwork-unclear", key, found, expected, f"{taken}; if it is {other}.")
        return parts if split else [whole] * count
    return [whole] * count
