"""An orders workbook as an owner might keep it: own headings, placements side by side, gaps left blank."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from datetime import date, datetime
from itertools import groupby
from pathlib import Path

from openpyxl import Workbook
from openpyxl.styles import Alignment, Font
from openpyxl.utils import get_column_letter

from example_orders.booking import Booked
from example_orders.shop_data import DAY, example_shop
from scheduler.domain.orders import OrderLine, Print

Cell = str | int | date | datetime
HEADING_ROW = 3
IN_A_ROW = 2
"""Placements that stand side by side; more of the same garment go on the next row."""

FIRST = {
    "Order no.": 10,
    "Customer": 30,
    "Ship date": 12,
    "Ship by": 11,
    "Priority": 9,
    "Style": 18,
    "Color": 11,
    "Material": 21,
}
OF_A_PLACEMENT = {"Placement": 15, "Transfer": 23, "Design": 23, "Width mm": 8, "Height mm": 8}
LAST = {"Blanks in": 16, "Transfers in": 16, "Remarks": 34}


def write_owner_sheet(orders: Sequence[Booked], path: Path) -> None:
    """Write the workbook; `read_orders` gives back the same orders, but for the sources."""
    sizes = _sizes(orders)
    rows = [row for order in orders for row in _rows(order)]
    headings = dict(FIRST) | dict.fromkeys(sizes, 8) | {"Total qty": 9}
    for number in range(1, IN_A_ROW + 1):
        headings |= {f"{name} {number}": width for name, width in OF_A_PLACEMENT.items()}
    headings |= LAST

    book = Workbook()
    sheet = book.active
    assert sheet is not None
    sheet.title = "Orders"
    sheet["A1"] = f"{example_shop().name}: to press from {DAY:%A} {DAY.day} {DAY:%B %Y}"
    sheet["A1"].font = Font(bold=True, size=14)
    for column, (heading, width) in enumerate(headings.items(), start=1):
        top = sheet.cell(row=HEADING_ROW, column=column, value=heading)
        top.font = Font(bold=True)
        top.alignment = Alignment(wrap_text=True, vertical="center")
        sheet.column_dimensions[get_column_letter(column)].width = width
    places = {heading: column for column, heading in enumerate(headings, start=1)}
    for number, (order, line, prints) in enumerate(rows, start=HEADING_ROW + 1):
        for heading, value in _cells(order, line, prints).items():
            cell = sheet.cell(row=number, column=places[heading], value=value)
            if heading in ("Ship date", "Blanks in", "Transfers in"):
                cell.number_format = "yyyy-mm-dd" if heading == "Ship date" else "yyyy-mm-dd hh:mm"
    sheet.freeze_panes = f"C{HEADING_ROW + 1}"
    book.save(path)


def _sizes(orders: Sequence[Booked]) -> tuple[str, ...]:
    """The sizes that some order has, in the shop's order."""
    used = {sized.size for booked in orders for line in booked.order.lines for sized in line.sizes}
    return tuple(size for size in example_shop().size_groups if size in used)


def _rows(booked: Booked) -> Iterator[tuple[Booked, OrderLine, list[Print]]]:
    """One row a garment and colour; more where there are many prints or they come at other times."""
    for line in booked.order.lines:
        for _, together in groupby(line.prints, key=lambda one: one.transfers_in):
            prints = list(together)
            for first in range(0, len(prints), IN_A_ROW):
                yield booked, line, prints[first : first + IN_A_ROW]


def _cells(booked: Booked, line: OrderLine, prints: Sequence[Print]) -> dict[str, Cell]:
    """What stands in a row, by heading; what the shop knows by itself stays blank."""
    shop = example_shop()
    cells: dict[str, Cell] = {
        "Order no.": int(booked.order.id),
        "Customer": booked.order.customer,
        "Ship date": booked.order.cut_off.date(),
        "Ship by": booked.courier,
        "Style": line.garment,
        "Color": line.colour,
        "Material": line.fabric,
        "Total qty": line.quantity,
    }
    if booked.priority != "normal":
        cells["Priority"] = booked.priority
    cells |= {sized.size: sized.quantity for sized in line.sizes}
    for number, one in enumerate(prints, start=1):
        usual = shop.placement(one.placement)
        cells[f"Placement {number}"] = one.placement
        cells[f"Transfer {number}"] = one.transfer
        cells[f"Design {number}"] = one.artwork
        if (one.width_mm, one.height_mm) != (usual.width_mm, usual.height_mm):
            cells |= {f"Width mm {number}": one.width_mm, f"Height mm {number}": one.height_mm}
    if line.garments_in:
        cells["Blanks in"] = line.garments_in
    if prints[0].transfers_in:
        cells["Transfers in"] = prints[0].transfers_in
    if line.note:
        cells["Remarks"] = line.note
    return cells
