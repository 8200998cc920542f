"""What was understood of orders files, in words."""

from __future__ import annotations

from datetime import datetime

from scheduler.answers.reading import sheets_line
from scheduler.domain.faults import Source
from scheduler.domain.orders import Order


def test_orders_are_counted_by_sheet_where_there_are_several() -> None:
    def on(sheet: str, number: str, file: str = "a.xlsx") -> Order:
        place = Source(file=file, sheet=sheet, cell="A2")
        return Order(id=number, customer="Ada", cut_off=datetime(2026, 3, 2), lines=(), source=place)

    one, two = on("This week", "1"), on("OLD", "2")
    assert sheets_line([one, one]) == ""
    assert sheets_line([one, one, two]) == "Orders by sheet: This week 2; OLD 1."
    assert sheets_line([one, on("", "3", "b.csv")]) == "Orders by sheet: a.xlsx, This week 1; b.csv 1."
