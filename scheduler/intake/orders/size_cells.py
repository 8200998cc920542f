"""A size in a cell of its own: the shop's label for it, or what is wrong with it."""

from __future__ import annotations

import re
from datetime import date, datetime

from scheduler.intake.cells.findings import propose, shown
from scheduler.intake.cells.rows import Row
from scheduler.intake.cells.sizes import Sizes, is_unsure, sizes_joined, without_marks
from scheduler.intake.cells.values import text
from scheduler.intake.shop.layout import SIZES
from scheduler.intake.words import heading_key, words

_DATE_LIKE = re.compile(r"(?:(\d{1,2})[-. ]([a-z]{3,4})|([a-z]{3,4})[-. ](\d{1,2}))\.?\Z", re.IGNORECASE)


def read_size(row: Row, sizes: Sizes) -> str | None:
    """The shop's label for the size of a row; None when it is blank or wrong (then a fault is noted)."""
    value = row.value("size")
    written = row.take("size", text)
    if written is None:
        return None
    label = sizes.find(written)
    if label is None:
        numbers = _numbers_of_a_date(value)
        if numbers:
            mend = f"Format the column as text and write the size again, such as {numbers}."
            found = f"size {shown(written)}, which a spreadsheet program has made a date of"
            row.fault("size-is-a-date", "size", found, "a size of the shop", mend)
            return None
        row.fault(
            "unknown-size", "size", f"size {shown(written)}", "a size of the shop", _mend(written, sizes)
        )
    return label


def _mend(written: str, sizes: Sizes) -> str:
    if sizes_joined(written):
        return (
            "Write one row for each size; or, where the garment is made in such sizes, "
            f"add {shown(written)} to sheet {SIZES.sheet} of the shop workbook."
        )
    if is_unsure(written):
        plain = sizes.find(without_marks(written))
        if plain:
            return f"Write {shown(plain)} alone, if that is meant."
    return propose(written, sizes.labels, SIZES.sheet)


def _numbers_of_a_date(value: object) -> str:
    """The two numbers that were typed where a cell holds a day and a month; empty for anything else."""
    if isinstance(value, date | datetime):
        return f"{value.month}-{value.day}"
    match = _DATE_LIKE.match(value.strip()) if isinstance(value, str) else None
    if match is None:
        return ""
    month = words().months.get(heading_key(match[2] or match[3]), 0)
    return f"{month}-{match[1] or match[4]}" if month else ""
