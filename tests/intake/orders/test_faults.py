"""Broken orders: each wrong cell with its code, place and mend, beside its accepted neighbour."""

from __future__ import annotations

from datetime import date, datetime, time
from pathlib import Path
from typing import Any

import pytest
from openpyxl import load_workbook

from scheduler.domain.faults import Fault, Severity
from scheduler.domain.orders import Order
from scheduler.exceptions import BadInput
from scheduler.intake import default_shop, read_orders, scan_orders
from scheduler.intake.files.grid import Unread, address
from tests.intake.books import book_of, codes, scan_order_books, sheets_book

SHOP = default_shop()
MONDAY = date(2026, 3, 2)
ROW: dict[str, Any] = {
    "Order": 1042,
    "Customer": "Ada",
    "Cut-off date": "2026-03-04",
    "Cut-off time": "12:00",
    "Courier": "parcel",
    "Priority": "normal",
    "Garment": "tee",
    "Colour": "navy",
    "Fabric": "polyester",
    "Placement": "left chest",
    "Transfer": "film hot peel",
    "Artwork": "badge",
    "Width mm": 80,
    "Height mm": 70,
    "S": 3,
    "M": 5,
    "Total": 8,
    "Garments in": None,
    "Line": None,
    "Notes": None,
}


def scan(*rows: dict[str, Any]) -> tuple[tuple[Order, ...], tuple[Fault, ...]]:
    """Read rows, each the usual one with some changes."""
    headings = list(dict.fromkeys(key for row in (ROW, *rows) for key in row))
    lines = [[{**ROW, **row}.get(key) for key in headings] for row in rows]
    return scan_order_books([book_of({"Orders": [headings, *lines]}, "orders.xlsx")], SHOP, MONDAY)


# heading; what is wrong, its code, part of its mend; and the nearest thing that is accepted
CELLS: list[tuple[str, Any, str, str, Any]] = [
    ("Order", None, "order-missing", "every row", "1042"),
    ("Cut-off date", "31/02", "not-a-date", "year-month-day", "2026-02-28".replace("02-28", "03-31")),
    ("Cut-off date", "2026-02-31", "not-a-date", "no such day", "2026-03-31"),
    ("Cut-off date", "31/04/2026", "not-a-date", "no such day", "31/03/2026"),
    ("Cut-off date", "04/03/2026", "date-ambiguous", "2026-03-04 or 2026-04-03", "2026.03.04"),
    ("Cut-off date", "Friday", "date-by-weekday", "2026-03-06", date(2026, 3, 6)),
    ("Cut-off date", 46085, "date-is-a-bare-number", "2026-03-04", datetime(2026, 3, 4)),
    ("Cut-off date", date(1900, 3, 4), "date-out-of-range", "year", date(2026, 3, 4)),
    ("Cut-off date", "2026-02-22", "cut-off-past", "Correct the date", "2026-03-02"),
    ("Cut-off time", "noonish", "not-a-time", "hours:minutes", "12 pm"),
    ("Courier", "parcell", "unknown-courier", 'Did you mean "parcel"?', "Parcel"),
    ("Priority", "very", "unknown-priority", "Take one", "Rush"),
    ("Priority", 11, "unknown-priority", "Take one", 10),
    ("Garment", None, "value-missing", "Fill in", "polo"),
    ("Fabric", "polyster", "unknown-fabric", 'Did you mean "polyester"?', " Polyester "),
    ("Fabric", None, "value-missing", "Fill in", "cotton"),
    ("Fabric", "canvass", "unknown-fabric", "canvas", "canvas"),
    ("Placement", "left chst", "unknown-placement", 'Did you mean "left chest"?', "LEFT CHEST"),
    ("Placement", None, "placement-missing", "where the transfer goes", "nape"),
    ("Placement", "left chest + full bck", "unknown-placement", '"full back"', "left chest + full back"),
    ("Placement", "left chest + left chest", "placement-twice", "Take one", "left chest + right chest"),
    ("Transfer", "film hot pel", "unknown-transfer", 'Did you mean "film hot peel"?', "film hot peel"),
    ("Transfer", "film cold peel", "no-recipe", "take one that has: film hot peel", "sublimation"),
    ("Transfer", None, "value-missing", "Fill in", "film hot peel"),
    ("Transfer", "film hot peel + sublimation", "parts-differ", "as many as placements", "sublimation"),
    ("Artwork", None, "value-missing", "Fill in", "=badge"),
    ("Width mm", "wide", "width-not-a-number", "number", "80"),
    ("Width mm", "80 px", "width-not-a-number", "unit", "80 mm"),
    ("Width mm", 1001, "width-out-of-range", "Correct", 1000),
    ("Height mm", 4, "height-out-of-range", "Correct", 5),
    ("Height mm", -70, "height-out-of-range", "Correct", 70.2),
    ("S", "12 pcs", "quantity-not-a-number", "alone: 12", "3"),
    ("S", -3, "quantity-out-of-range", "Correct", 3),
    ("S", 2.5, "quantity-not-whole", "whole", 3.0),
    ("S", "1,200", "quantity-not-a-number", "Write 1200, if that is meant", "3.0"),
    ("S", Unread("error", "#REF!"), "error-cell", "Mend the formula", 3),
    ("S", Unread("formula", "=A1+1"), "formula-without-value", "save it again", 3),
    ("Total", 9, "total-differs", "Correct the sizes", 8),
    ("Total", "eight", "quantity-not-a-number", "whole number", None),
    ("Garments in", "soon", "not-a-moment", "year-month-day", "10:00"),
    ("Garments in", "no", "arrival-unknown", "Write the date", "yes"),
    ("Garments in", 0.5, "time-is-a-bare-number", "12:00", "2026-03-02 12:00"),
]


@pytest.mark.parametrize(("heading", "bad", "code", "mend", "good"), CELLS)
def test_a_wrong_cell_is_named_and_its_neighbour_accepted(
    heading: str, bad: Any, code: str, mend: str, good: Any
) -> None:
    orders, found = scan({heading: bad})
    assert orders == ()
    assert codes(found) == [code]
    assert str(found[0].source) == f"orders.xlsx, Orders!{address(1, list(ROW).index(heading))}"
    assert mend in found[0].mend
    assert found[0].severity is Severity.FAULT
    accepted, left = scan({heading: good})
    assert len(accepted) == 1, [str(one) for one in left]
    assert left == ()


def test_an_order_that_slipped_is_planned_as_late_and_one_of_another_week_is_refused() -> None:
    """The planned day is 2026-03-02; a week before it is 2026-02-23. Its arrivals are no further doubt."""
    for on in ("2026-03-01", "2026-02-23"):
        row = {"Cut-off date": on, "Cut-off time": "12:00", "Garments in": "2026-03-02 09:00"}
        (order,), found = scan(row)
        assert f"{order.cut_off:%Y-%m-%d %H:%M}" == f"{on} 12:00"
        assert [(one.code, one.severity) for one in found] == [("cut-off-missed", Severity.DOUBT)]
        assert str(found[0].source) == "orders.xlsx, Orders!C2"
        assert "Planned as late. Take the order out if it has gone" in found[0].mend
    orders, found = scan({"Cut-off date": "2026-02-22"})
    assert (orders, codes(found)) == ((), ["cut-off-past"])
    assert "up to 7 days back it is planned as late" in found[0].mend


BACK = {"Placement": "full back", "Artwork": "name", "Width mm": 300, "Height mm": 360}

# two rows; the code of what is wrong, where, part of its mend; and a second row that is accepted
ROWS: list[tuple[dict[str, Any], str, str, str, dict[str, Any]]] = [
    (
        {**BACK, "Customer": "Bob"},
        "two-customers",
        "B3",
        "another order number",
        {**BACK, "Customer": "ADA "},
    ),
    (
        {**BACK, "Cut-off date": "2026-03-05"},
        "two-cut-offs",
        "C3",
        "Correct one",
        {**BACK, "Cut-off date": None},
    ),
    (
        {**BACK, "Cut-off time": "13:00"},
        "two-cut-offs",
        "D3",
        "Correct one",
        {**BACK, "Cut-off time": "12:00"},
    ),
    ({**BACK, "Courier": "own van"}, "two-couriers", "E3", "Correct one", {**BACK, "Courier": None}),
    ({**BACK, "Priority": "rush"}, "two-priorities", "F3", "Correct one", {**BACK, "Priority": 1}),
    ({}, "placement-twice", "J3", "Delete one row", {"Line": 2}),
    ({"Artwork": "other"}, "placement-twice", "J3", '"Line"', {"Artwork": "other", "S": 4, "Total": 9}),
    (
        {**BACK, "S": None, "M": None, "Total": None},
        "sizes-missing",
        "O3",
        "which size",
        {**BACK, "M": None, "Total": 3, "Line": 2},
    ),
]


@pytest.mark.parametrize(("second", "code", "cell", "mend", "good"), ROWS)
def test_rows_of_one_order_must_agree(
    second: dict[str, Any], code: str, cell: str, mend: str, good: dict[str, Any]
) -> None:
    orders, found = scan({}, second)
    assert orders == ()
    assert codes(found) == [code]
    assert found[0].source.cell == cell
    assert mend in found[0].mend
    accepted, left = scan({}, good)
    assert len(accepted) == 1, [str(one) for one in left]
    assert left == ()


def test_two_priorities_are_said_as_they_are_written() -> None:
    _, found = scan({"Priority": "High"}, {**BACK, "Priority": "rush"})
    assert '"rush" in an order with "High" in ' in found[0].found


def test_garments_that_are_the_same_arrive_once() -> None:
    orders, found = scan({"Garments in": "10:00"}, {**BACK, "Garments in": "11:00"})
    assert orders == () and codes(found) == ["two-arrivals"]
    orders, found = scan({"Garments in": "10:00"}, BACK)
    assert orders[0].lines[0].garments_in == datetime(2026, 3, 2, 10, 0) and found == ()


def test_a_wrong_row_spares_the_other_orders() -> None:
    orders, found = scan({"Order": 1}, {"Order": 2, "S": "x"}, {"Order": 3}, {"Order": 2, **BACK})
    assert [order.id for order in orders] == ["1", "3"]
    assert codes(found) == ["quantity-not-a-number"]


def test_a_size_given_by_half_is_doubted() -> None:
    orders, found = scan({"Height mm": None})
    assert codes(found) == ["size-half-given"] and orders[0].lines[0].prints[0].height_mm == 90
    assert scan({"Height mm": None, "Width mm": None})[1] == ()


def test_garments_after_the_cut_off_are_doubted() -> None:
    orders, found = scan({"Garments in": "2026-03-04 12:00"})
    assert codes(found) == ["arrives-after-cut-off"] and len(orders) == 1
    assert scan({"Garments in": "2026-03-04 11:59"})[1] == ()


def test_no_customer_on_any_row() -> None:
    orders, found = scan({"Customer": None}, {**BACK, "Customer": None})
    assert orders == () and codes(found) == ["value-missing"]
    assert found[0].source.cell == "B2"
    assert len(scan({"Customer": None}, BACK)[0]) == 1


def test_a_cut_off_on_a_closed_day_needs_a_time() -> None:
    orders, found = scan({"Cut-off date": "2026-03-07", "Cut-off time": None})
    assert orders == () and codes(found) == ["cut-off-unclear"]
    assert scan({"Cut-off date": "2026-03-07", "Cut-off time": "12:00"})[1] == ()


def scan_sheet(headings: list[str], *rows: list[Any]) -> tuple[tuple[Order, ...], tuple[Fault, ...]]:
    return scan_order_books([book_of({"Orders": [headings, *rows]}, "orders.xlsx")], SHOP, MONDAY)


SHORT = ["Order", "Customer", "Garment", "Fabric", "Placement", "Transfer", "Artwork"]
SHORT_ROW = [1, "c", "tee", "cotton", "left chest", "film hot peel", "badge"]

SHEETS: list[tuple[list[str], list[Any], str, str, str, list[str]]] = [
    ([*SHORT, "6XL"], [*SHORT_ROW, 3], "unknown-size", "H1", "sheet Sizes", [*SHORT, "qty 5XL"]),
    (
        [*SHORT, "M", "Width"],
        [*SHORT_ROW, 3, 80],
        "unit-missing",
        "I1",
        "Width mm",
        [*SHORT, "M", "Width (mm)"],
    ),
    ([*SHORT, "M", "medium"], [*SHORT_ROW, 3, 3], "column-twice", "I1", "Take one", [*SHORT, "M", "L"]),
    (
        [*SHORT, "Pieces there"],
        [*SHORT_ROW, 3],
        "column-missing",
        "A1",
        "column for each size",
        [*SHORT, "Pcs M"],
    ),
    (
        ["Our order", *SHORT[1:], "M"],
        [*SHORT_ROW, 3],
        "column-missing",
        "A1",
        '--column "Our order=Order"',
        ["Order no.", *SHORT[1:], "M"],
    ),
]


@pytest.mark.parametrize(("headings", "row", "code", "cell", "mend", "good"), SHEETS)
def test_headings_are_not_guessed(
    headings: list[str], row: list[Any], code: str, cell: str, mend: str, good: list[str]
) -> None:
    orders, found = scan_sheet(headings, row)
    faults = [one for one in found if one.severity is Severity.FAULT]
    assert orders == ()
    assert codes(tuple(faults)) == [code]
    assert faults[0].source.cell == cell
    assert mend in faults[0].mend
    accepted, left = scan_sheet(good, row)
    assert len(accepted) == 1, [str(one) for one in left]


# headings and a row with faults of its own; the codes, in reading order
HIDDEN: list[tuple[list[str], list[Any], list[str]]] = [
    ([*SHORT, "M", "6XL"], [*SHORT_ROW[:3], "cottn", *SHORT_ROW[4:], "3 pcs", "x"],
     ["unknown-size", "unknown-fabric", "quantity-not-a-number", "quantity-not-a-number"]),
    ([*SHORT, "M", "Width"], [*SHORT_ROW[:3], "cottn", *SHORT_ROW[4:], 3, 80],
     ["unit-missing", "unknown-fabric"]),
    ([*SHORT, "M", "medium"], [*SHORT_ROW[:3], None, *SHORT_ROW[4:], None, 3],
     ["column-twice", "value-missing"]),
    ([*SHORT, "Fabric", "M"], [*SHORT_ROW[:3], None, *SHORT_ROW[4:], "cotton", "3 pcs"],
     ["column-twice", "quantity-not-a-number"]),
    ([*SHORT[:3], *SHORT[4:], "M"], [*SHORT_ROW[:3], "left chst", *SHORT_ROW[5:], 3],
     ["column-missing", "unknown-placement"]),
    ([*SHORT[1:], "M"], [*SHORT_ROW[1:3], "cottn", *SHORT_ROW[4:], 3], ["column-missing", "unknown-fabric"]),
    ([SHORT[0], *SHORT[2:], "M"], [1, "tee", "cottn", *SHORT_ROW[4:], 3],
     ["column-missing", "unknown-fabric"]),
    (SHORT, [*SHORT_ROW[:3], "cottn", *SHORT_ROW[4:]], ["column-missing", "unknown-fabric"]),
]  # fmt: skip


@pytest.mark.parametrize(("headings", "row", "expected"), HIDDEN)
def test_a_bad_heading_hides_no_other_fault_and_makes_none(
    headings: list[str], row: list[Any], expected: list[str]
) -> None:
    orders, found = scan_sheet(headings, row)
    assert orders == ()
    assert codes(tuple(one for one in found if one.severity is Severity.FAULT)) == expected


def test_only_orders_with_pieces_of_a_strange_size_are_kept_back() -> None:
    """The total of a row counts them too, so it is not compared with the sizes that are known."""
    headings = [*SHORT, "M", "6XL", "Total"]
    orders, found = scan_sheet(headings, [*SHORT_ROW, 3, 2, 5], [2, *SHORT_ROW[1:], 4, None, 4])
    assert codes(found) == ["unknown-size"]
    assert [order.id for order in orders] == ["2"]
    orders, found = scan_sheet(headings, [*SHORT_ROW, 3, 2, 5], [2, *SHORT_ROW[1:], 4, 0, 9])
    assert codes(found) == ["unknown-size", "total-differs"]


@pytest.mark.parametrize("form", ["hh:mm", "yyyy-mm-dd hh:mm", "[h]:mm", "General"])
@pytest.mark.parametrize("heading", ["Cut-off time", "Garments in"])
def test_an_hour_typed_as_a_number_is_named_as_typed(tmp_path: Path, form: str, heading: str) -> None:
    """A cell formatted as a time holds the number 14 as the fourteenth day of 1900."""
    path = sheets_book(tmp_path / "a.xlsx", {"Orders": [[*SHORT, "M", heading], [*SHORT_ROW, 3, 14]]})
    book = load_workbook(path)
    book["Orders"]["I2"].number_format = form
    book.save(path)
    (found,) = scan_orders([path], SHOP, MONDAY)[1]
    assert found.source.cell == "I2"
    assert found.found == f'{heading.lower()} "14"'
    assert (found.expected, found.mend) == ("a time of day such as 16:30", "Write 14:00.")
    book["Orders"]["I2"] = time(14)
    book.save(path)
    assert len(scan_orders([path], SHOP, MONDAY)[0]) == 1


def test_an_unknown_column_is_said() -> None:
    orders, found = scan_sheet([*SHORT, "M", "Colour of it"], [*SHORT_ROW, 3, "navy"])
    assert codes(found) == ["unknown-column"]
    assert 'Did you mean "colour"?' in found[0].mend
    assert '--column "Colour of it=Colour"' in found[0].mend
    assert orders[0].lines[0].colour == ""
    orders, found = scan_sheet([*SHORT, "M", "Colr"], [*SHORT_ROW, 3, "navy"])
    assert codes(found) == ["column-nearly-known"]
    assert found[0].source.cell == "I1" and 'Read as "Colour"' in found[0].mend
    assert orders[0].lines[0].colour == "navy"


LONG = [*SHORT, "Size", "Quantity"]


@pytest.mark.parametrize(
    ("size", "quantity", "code", "cell"),
    [("6XL", 3, "unknown-size", "H2"), (None, 3, "sizes-missing", "I2"), ("M", None, "sizes-missing", "I2"),
     ("M", "3 doz", "quantity-not-a-number", "I2"), ("M", 0, "sizes-missing", "I2")],
)  # fmt: skip
def test_sizes_as_rows_need_a_known_size_and_a_quantity(
    size: Any, quantity: Any, code: str, cell: str
) -> None:
    orders, found = scan_sheet(LONG, [*SHORT_ROW, size, quantity])
    assert orders == () and codes(found) == [code] and found[0].source.cell == cell
    orders, found = scan_sheet(LONG, [*SHORT_ROW, "XXL", 3])
    assert found == () and orders[0].lines[0].sizes[0].size == "2XL"


def test_the_same_size_twice_for_the_same_placement_is_a_fault() -> None:
    orders, found = scan_sheet(LONG, [*SHORT_ROW, "M", 3], [*SHORT_ROW, "M", 3])
    assert orders == () and codes(found) == ["placement-twice"]
    assert len(scan_sheet(LONG, [*SHORT_ROW, "M", 3], [*SHORT_ROW, "L", 3])[0]) == 1


def test_an_order_belongs_to_one_file() -> None:
    first, second, changed = (
        book_of({"Orders": [[*SHORT, "M"], [*SHORT_ROW, count]]}, name)
        for name, count in (("a.xlsx", 3), ("b.xlsx", 3), ("b.xlsx", 4))
    )
    orders, found = scan_order_books([first, changed], SHOP, MONDAY)
    assert orders == () and codes(found) == ["order-in-two-files"]
    assert str(found[0].source) == "b.xlsx, Orders!A2"
    # the same order in two exports is a repeat: planned once, and said
    orders, found = scan_order_books([first, second], SHOP, MONDAY)
    assert [order.quantity for order in orders] == [3]
    assert [(one.code, one.severity) for one in found] == [("order-repeated", Severity.DOUBT)]
    assert str(found[0].source) == "b.xlsx, Orders!A2"
    other = book_of({"Orders": [[*SHORT, "M"], [2, *SHORT_ROW[1:], 3]]}, "b.xlsx")
    assert len(scan_order_books([first, other], SHOP, MONDAY)[0]) == 2


def test_files_of_one_name_in_two_folders_are_two_files(tmp_path: Path) -> None:
    paths = []
    for folder in ("north", "south"):
        (tmp_path / folder).mkdir()
        sheet = {"Orders": [[*SHORT, "M"], [*SHORT_ROW, len(paths) + 1]]}
        paths.append(sheets_book(tmp_path / folder / "small.xlsx", sheet))
    orders, found = scan_orders(paths, SHOP, MONDAY)
    assert orders == () and codes(found) == ["order-in-two-files"]
    assert str(found[0].source) == "south/small.xlsx, Orders!A2" and "north/small.xlsx" in found[0].found


def test_a_file_named_twice_is_read_once_and_said(tmp_path: Path) -> None:
    path = sheets_book(tmp_path / "small.xlsx", {"Orders": [[*SHORT, "M"], [*SHORT_ROW, 3]]})
    (tmp_path / "sub").mkdir()
    orders, found = scan_orders([path, tmp_path / "sub" / ".." / "small.xlsx"], SHOP, MONDAY)
    assert [line.quantity for order in orders for line in order.lines] == [3]
    assert [(one.code, one.severity, one.source.file) for one in found] == [
        ("file-twice", Severity.DOUBT, "small.xlsx")
    ]


def test_sheets_without_orders_are_said() -> None:
    sheets = {
        "Orders": [[*SHORT, "M"], [*SHORT_ROW, 3]],
        "Prices": [["a", "b"]],
        "Read me": [["text"]],
        "Empty": [],
    }
    orders, found = scan_order_books([book_of(sheets, "orders.xlsx")], SHOP, MONDAY)
    assert len(orders) == 1
    assert [(one.code, one.source.sheet) for one in found] == [("sheet-not-read", "Prices")]


@pytest.mark.parametrize(
    ("rows", "code"), [([["a", "b"], [1, 2]], "headings-missing"), ([[*SHORT, "M"], []], "no-orders")]
)
def test_a_file_without_orders_is_a_fault(rows: list[list[Any]], code: str) -> None:
    orders, found = scan_order_books([book_of({"Orders": rows}, "orders.xlsx")], SHOP, MONDAY)
    assert orders == () and codes(found) == [code]


def test_all_faults_of_all_files_are_raised_at_once(tmp_path: Path) -> None:
    good = sheets_book(tmp_path / "a.xlsx", {"Orders": [[*SHORT, "M"], [*SHORT_ROW, "12 pcs"]]})
    with pytest.raises(
        BadInput, match=r"a\.xlsx, Orders!H2: quantity of M \"12 pcs\"; expected a whole number"
    ) as caught:
        read_orders([good, tmp_path / "none.xlsx"], SHOP, MONDAY)
    assert codes(caught.value.faults) == ["quantity-not-a-number", "file-missing"]
