"""Tables of figures as a workbook: one sheet each, numbers as numbers, text never as a formula."""

from __future__ import annotations

import io
from collections.abc import Iterable, Sequence
from datetime import date, datetime, time

from scheduler.sheets.cells import Value, steady, table

Sheet = tuple[str, Sequence[str], Iterable[Sequence[Value]]]
"""Name, headings and rows."""


def figures_book(title: str, sheets: Iterable[Sheet], *, day: date) -> bytes:
    """The tables as an xlsx file, the same bytes for the same tables.

    Parameters
    ----------
    day
        Stands in the file for the day on which it was made.
    """
    from openpyxl import Workbook

    book = Workbook()
    first = book.active
    if first is not None:
        book.remove(first)
    for name, head, rows in sheets:
        table(book.create_sheet(name), head, rows)
    stamp = datetime.combine(day, time())
    book.properties.creator = "Pressday"
    book.properties.title = title
    book.properties.created = book.properties.modified = stamp
    target = io.BytesIO()
    book.save(target)
    return steady(target.getvalue(), stamp)
