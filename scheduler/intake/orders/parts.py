"""One order that stands on several sheets or in several files."""

from __future__ import annotations

from dataclasses import dataclass, field

from scheduler.domain.orders import Order
from scheduler.intake.cells.findings import Findings, shown
from scheduler.intake.files.grid import Book
from scheduler.intake.orders.join import join_order
from scheduler.intake.orders.repeats import is_repeated, is_same_order
from scheduler.intake.orders.rows import Entry, Facts
from scheduler.intake.shop.words import ShopWords


@dataclass(slots=True)
class RowsOnSheet:
    """The rows of one order on one sheet: what each says of the order, and the garments of the sound ones."""

    book: Book
    sheet: str
    facts: list[Facts] = field(default_factory=list)
    entries: list[Entry] = field(default_factory=list)


def join_parts(parts: list[RowsOnSheet], shop: ShopWords, findings: Findings) -> Order | None:
    """The order of its rows on one sheet or several; in two files it is planned once if it is the same there.

    Returns
    -------
    Order or None
        None when its rows have faults, or differ from sheet to sheet or from file to file.
    """
    parts = _together(parts)
    orders = [join_order(rows.facts, rows.entries, shop, findings) for rows in parts]
    first = orders[0]
    for rows, order in zip(parts[1:], orders[1:], strict=True):
        if first is None or order is None:
            return None
        row = rows.facts[0].row
        if rows.book is parts[0].book:
            place, once, where = f"on sheet {shown(parts[0].sheet)}", "on one sheet", "sheets"
        else:
            place, once, where = f"in {parts[0].book.file}", "in one file", "files"
        found, expected = f"order {shown(order.id)}, which is {place} too", f"each order {once}"
        if is_same_order(first, order):
            mend = "It is the same there, so it is planned once."
            row.doubt("order-repeated", "order", found, expected, mend)
        else:
            mend = f"They differ: take it out of one of the {where}, or give it another number."
            row.fault(f"order-in-two-{where}", "order", found, expected, mend)
            first = None
    return first


def _together(parts: list[RowsOnSheet]) -> list[RowsOnSheet]:
    """The same with an order's sheets in one file as one part, where none of them repeats another."""
    found: list[RowsOnSheet] = []
    for part in parts:
        for one in found:
            if one.book is part.book and not is_repeated(one.entries, part.entries):
                one.facts.extend(part.facts)
                one.entries.extend(part.entries)
                break
        else:
            found.append(RowsOnSheet(part.book, part.sheet, [*part.facts], [*part.entries]))
    return found
