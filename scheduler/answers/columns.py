"""Rows of words as a table of text, aligned in columns."""

from __future__ import annotations

import unicodedata
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from collections.abc import Sequence


WIDE = 200
"""Columns to use when nobody watches: lines in a file don't wrap."""


def columns_of(rows: Sequence[Sequence[str]], *, right: bool = True) -> list[str]:
    """Rows as aligned text; the first column to the left, the others to the right or to the left."""
    widths = [max(width_of(row[column]) for row in rows) for column in range(len(rows[0]))]
    lines = []
    for row in rows:
        cells = []
        for column, (text, width) in enumerate(zip(row, widths, strict=True)):
            space = " " * (width - width_of(text))
            cells.append(space + text if right and column else text + space)
        lines.append("  ".join(cells).rstrip())
    return lines


def width_of(text: str) -> int:
    """Columns that a text takes on a terminal: wide letters take two, combining marks none."""
    return sum(
        0 if unicodedata.combining(letter) else 2 if unicodedata.east_asian_width(letter) in "WF" else 1
        for letter in text
    )
