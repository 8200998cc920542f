"""Orders files as opened, and what was read of them."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from pathlib import Path

from scheduler.domain.faults import Fault, Source
from scheduler.domain.orders import Order
from scheduler.intake.cells.findings import Findings
from scheduler.intake.files.grid import Book, TextForm
from scheduler.intake.files.guard import Refused
from scheduler.intake.files.labels import label_files
from scheduler.intake.files.reader import open_book
from scheduler.intake.orders.headings.columns import ColumnRead
from scheduler.intake.orders.headings.kept import Kept, Kind
from scheduler.intake.orders.tables.status import LeftOut
from scheduler.intake.shop.book import is_shop_workbook


@dataclass(frozen=True, slots=True, kw_only=True)
class KeptBack:
    """An order that can't be planned: where it begins, and the faults of its rows.

    Attributes
    ----------
    reasons
        Empty when the fault is one of the headings, which holds for every row.
    """

    order: str
    customer: str
    source: Source
    reasons: tuple[Fault, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class OrdersRead:
    """What was read of orders files.

    Attributes
    ----------
    orders
        Those without a fault, in the order in which they appear.
    found
        All faults and doubts.
    columns
        How every column was understood.
    left_out
        Rows that are not to be pressed.
    kept_back
        Orders that have a fault.
    kinds
        Of what kind each sheet with orders is: its headings, and what the owner has said about it.
    """

    orders: tuple[Order, ...]
    found: tuple[Fault, ...]
    columns: tuple[ColumnRead, ...] = ()
    left_out: tuple[LeftOut, ...] = ()
    kept_back: tuple[KeptBack, ...] = ()
    kinds: tuple[Kind, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class OpenedOrders:
    """Orders files as opened: books, and in place of those that can't be read their one fault."""

    files: tuple[Book | Fault, ...]
    found: tuple[Fault, ...] = ()


def open_orders(paths: Iterable[Path | str], kept: Kept | None = None) -> OpenedOrders:
    """Open orders files, to be read once or more; text tables in the encoding that is kept for their kind."""
    findings = Findings()
    opened: list[Book | Fault] = []
    files, again = label_files(paths)
    for label in again:
        mend = "It is read once; if another file was meant, name that."
        found = "the same file, named again"
        findings.doubt("file-twice", Source(file=label), found, "each file once", mend)
    for label, path in files.items():
        try:
            book = _open(path, label, kept or Kept())
        except Refused as refused:
            opened.append(refused.fault)
            continue
        # One fault instead of all that is no order in it.
        opened.append(_shop_as_orders(label) if is_shop_workbook(book) else book)
    return OpenedOrders(files=tuple(opened), found=findings.all)


def _shop_as_orders(label: str) -> Fault:
    return Fault(
        code="shop-as-orders",
        source=Source(file=label),
        found="this is the shop workbook",
        expected="a file with orders",
        mend="Name the orders file here, and the shop workbook with --shop.",
    )


def _open(path: Path, label: str, kept: Kept) -> Book:
    """A file, its letters read as the owner has said for its kind."""
    if kept.said.encoding:
        return open_book(path, label=label, text_form=TextForm(encoding=kept.said.encoding))
    book = open_book(path, label=label)
    if any(doubt.code == "letters-judged" for doubt in book.doubts):
        for encoding in dict.fromkeys(kind.encoding for kind in kept.kinds if kind.encoding):
            try:
                other = open_book(path, label=label, text_form=TextForm(encoding=encoding))
            except Refused:
                continue
            if any(kept.of(grid).encoding == encoding for grid in other.grids):
                return other
    return book
