"""The sheet and columns of the orders workbook."""

from __future__ import annotations

from collections.abc import Iterable

from scheduler.intake.layout import Column, Table

SIZE = "size "
"""Begins the column key of a size; the size label follows."""

STRANGE_SIZE = "strange size "
"""Begins the column key of a size that the shop does not have; the heading follows."""

SAMPLE = "SAMPLE customer"
"""Begins the customer of every sample row of a new workbook."""

SAMPLE_NOTE = "sample row: delete it before you plan"
"""The note of every sample row."""

_BEFORE = (
    Column("order", "Order", "Its number; on every row of the order", needed=True, width=11),
    Column("customer", "Customer", "On the order's first row at least", needed=True, width=24),
    Column("cut_off_date", "Cut-off date", "Blank: the courier's next cut-off", kind="date", width=13),
    Column("cut_off_time", "Cut-off time", "Blank: the courier's, that day", kind="time"),
    Column(
        "courier", "Courier", "Blank: the first on sheet Couriers", choices="couriers", strict=False, width=13
    ),
    Column(
        "priority",
        "Priority",
        "normal, high, rush (or urgent), or 1 to 10",
        choices="priorities",
        strict=False,
    ),
    Column("garment", "Garment", "Style, as on the box", needed=True, width=20),
    Column("colour", "Colour", "Of the garment"),
    Column(
        "fabric", "Fabric", "As in the shop workbook", needed=True, choices="fabrics", strict=False, width=24
    ),
    Column(
        "placement", "Placement", "One row each", needed=True, choices="placements", strict=False, width=16
    ),
    Column("transfer", "Transfer", "Its type", needed=True, choices="transfers", strict=False, width=24),
    Column("artwork", "Artwork", "Name or number of the design", needed=True, width=18),
    Column("width_mm", "Width mm", "Blank: the placement's usual", kind="number"),
    Column("height_mm", "Height mm", "Blank: the placement's usual", kind="number"),
)
_AFTER = (
    Column("total", "Total", "Blank, or the sum of the sizes", kind="whole", width=9),
    Column("garments_in", "Garments in", "Blank: here already; else when", kind="moment", width=17),
    Column("transfers_in", "Transfers in", "Blank: here already; else when", kind="moment", width=17),
    Column("line", "Line", "Only to tell like garments apart: 1, 2 ...", width=9),
    Column("notes", "Notes", "Printed on the sheets", width=30),
)
EXPLAIN = (
    "One row for each placement of each garment and colour. Rows of one order with the same garment, colour, "
    "fabric and sizes are the same garments."
)


def orders_table(sizes: Iterable[str]) -> Table:
    """The sheet of orders with a column for each size."""
    columns = tuple(Column(f"{SIZE}{size}", size, "Pieces", kind="whole", width=7) for size in sizes)
    columns = (*_BEFORE, *columns, *_AFTER)
    # order and customer stay in view
    return Table(key="orders", sheet="Orders", explain=EXPLAIN, columns=columns, frozen=2)
