"""Sheets that repeat themselves: copies of a sheet, near spellings of one garment, ditto marks and dashes."""

from __future__ import annotations

from typing import Any

import pytest

from scheduler.intake import OrdersRead, look_at_orders
from scheduler.intake.files.grid import Book, Grid
from scheduler.intake.orders.reader import OpenedOrders
from scheduler.intake.orders.spelling import near_name
from tests.intake.orders.test_owner_sheets import HEAD, ROW, SHOP, Rows, doubts, found, other, pieces, read


def sheets(**rows: Rows) -> OrdersRead:
    grids = (
        Grid(file="orders.xlsx", sheet=name.replace("_", " "), rows=tuple(map(tuple, one)))
        for name, one in rows.items()
    )
    return look_at_orders(OpenedOrders(files=(Book(file="orders.xlsx", grids=tuple(grids)),)), SHOP)


def test_a_copy_of_a_sheet_is_planned_once_or_asked() -> None:
    looked = sheets(This_week=[HEAD, ROW], Next=[HEAD, ROW])
    assert found(looked) == [] and doubts(looked) == [("order-repeated", "A2")]
    assert pieces(looked) == {"007": {"S": 3, "M": 5}} and len(looked.orders[0].lines[0].prints) == 1
    looked = sheets(This_week=[HEAD, ROW], Next=[HEAD, other("007", M=6)])
    assert found(looked) == [("order-in-two-sheets", "A2")] and looked.orders == ()
    # an order may go on on another sheet, with other placements, garments or sizes
    for change in ({"Placement": "full back"}, {"Colour": "white"}, {"S": None, "M": None, "2XL": 4}):
        looked = sheets(This_week=[HEAD, ROW], Next=[HEAD, other("007", **change)])
        assert found(looked) == [] and "order-repeated" not in dict(doubts(looked))


@pytest.mark.parametrize(
    ("name", "aside"),
    [("Cancelled", True), ("Archive 2026", True), ("Copy of Orders", True), ("Erledigt", True),
     ("ancien", True),     ("This week", False), ("To press", False), ("Golden", False)],
)  # fmt: skip
def test_a_sheet_named_as_one_that_is_kept_aside_is_doubted(name: str, aside: bool) -> None:
    looked = sheets(**{name: [HEAD, ROW]})
    assert len(looked.orders) == 1 and doubts(looked) == ([("sheet-name", "")] if aside else [])


@pytest.mark.parametrize(
    ("change", "doubt"),
    [
        ({"Colour": "Nvay"}, "E3"),
        ({"Colour": "navy blue"}, "E3"),
        ({"Colour": None}, "E3"),
        ({"Garment": "tees"}, "D3"),
        ({"Colour": "white"}, ""),
        ({"Garment": "hoodie"}, ""),
        ({"Colour": "Nvay", "M": 6}, ""),
    ],
)
def test_garments_that_differ_by_a_slip_of_the_pen_are_doubted(change: dict[str, Any], doubt: str) -> None:
    head = ["Line", *HEAD]
    looked = read([head, [None, *ROW], [None, *other("007", Placement="full back", **change)]])
    assert doubts(looked) == ([("garments-spelt-apart", doubt)] if doubt else [])
    assert len(looked.orders[0].lines) == 2
    looked = read([head, [1, *ROW], [2, *other("007", Placement="full back", **change)]])
    assert doubts(looked) == []


@pytest.mark.parametrize(
    ("one", "two", "near"),
    [("hoodie", "hoody", True), ("red", "rde", True), ("red", "", True), ("red", "tan", False)],
)  # fmt: skip
def test_what_is_nearly_the_same_name(one: str, two: str, near: bool) -> None:
    assert near_name(one, two) is near


@pytest.mark.parametrize("other_way", ["T Shirt", "tshirt", "t-SHIRT"])
def test_marks_and_spaces_make_no_other_garment(other_way: str) -> None:
    rows = [other("007", Garment="T-shirt"), other("007", Garment=other_way, Placement="full back")]
    (line,) = read([HEAD, *rows]).orders[0].lines
    assert line.quantity == 8 and len(line.prints) == 2


def test_ditto_marks_are_the_cell_above_and_dashes_nothing() -> None:
    back = ['"', '"', "ditto", "〃", "do.", "full back", '"', "name", '"', '"', None]
    looked = read([HEAD, ROW, back])
    assert found(looked) == [] and doubts(looked) == [("ditto-marks", "A3")]
    (line,) = looked.orders[0].lines
    assert line.quantity == 8 and [one.transfer for one in line.prints] == ["film hot peel"] * 2
    assert found(read([HEAD, back]))[0] == ("ditto-without-row", "A2")
    head, row = [*HEAD, "Due", "Notes"], [*other("007", Colour="-"), "–", "-"]
    looked = read([head, row])
    assert found(looked) == [] and doubts(looked) == [("dash-as-none", "L2")]
    assert looked.orders[0].lines[0].colour == looked.orders[0].lines[0].note == ""
