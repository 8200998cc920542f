"""Lists of names and numbers on a sheet of their own, tied to their orders."""

from __future__ import annotations

from datetime import date, time
from pathlib import Path
from typing import Any

import pytest
from openpyxl import Workbook

from scheduler.domain.orders import Named
from scheduler.intake import OrdersRead, look_at_orders
from scheduler.intake.files.grid import Area, Book, Grid
from scheduler.intake.orders.reader import OpenedOrders, open_orders
from tests.intake.orders.test_owner_sheets import HEAD, ROW, SHOP, doubts, found, other

BACK = [*ROW[:5], "full back", *ROW[6:7], "names", *ROW[8:]]
LIST = ["Order no.", "Size", "Player", "No.", "Placement"]
TEAM: list[list[Any]] = [
    *(["007", "S", name, number, "FB"] for name, number in (("Zoë", "07"), ("O'Neil", 8), ("Bo", None))),
    *(["007", "M", name, number, "full back"] for name, number in zip("ABCDE", range(10, 15), strict=True)),
]


def read(names: list[list[Any]], *orders: list[Any], **grid: Any) -> OrdersRead:
    sheets = [("Orders", [HEAD, *(orders or (ROW, BACK))], {}), ("Names", names, grid)]
    grids = tuple(
        Grid(file="orders.xlsx", sheet=name, rows=tuple(map(tuple, rows)), **more)
        for name, rows, more in sheets
    )
    return look_at_orders(OpenedOrders(files=(Book(file="orders.xlsx", grids=grids),)), SHOP)


def test_every_name_is_kept_with_its_size_number_and_place() -> None:
    looked = read([["Team list"], LIST, *TEAM])
    assert found(looked) == doubts(looked) == []
    (line,) = looked.orders[0].lines
    assert line.names[:3] == (
        Named(size="S", name="Zoë", number="07", placement="full back"),
        Named(size="S", name="O'Neil", number="8", placement="full back"),
        Named(size="S", name="Bo", placement="full back"),
    )
    assert len(line.names) == line.quantity == 8
    read_as = {one.heading: one.label for one in looked.columns if one.source.sheet == "Names"}
    assert read_as["Player"] == "Name" and read_as["No."] == "Number"


def test_an_order_number_merged_over_its_names_holds_for_all() -> None:
    rows = [[None if index else "007", *row[1:]] for index, row in enumerate(TEAM)]
    looked = read([LIST, *rows], merged=(Area(1, 0, 8, 0),))
    assert found(looked) == doubts(looked) == []
    assert {code for code, _ in doubts(read([LIST, *rows]))} == {"order-from-above"}


@pytest.mark.parametrize(
    ("change", "code", "cell"),
    [
        ({"Order no.": "008"}, "names-without-order", "A2"),
        ({"Order no.": None}, "value-missing", "A2"),
        ({"Size": "XL"}, "names-unfit", "B2"),
        ({"Size": "9XL"}, "unknown-size", "B2"),
        ({"Size": "M"}, "names-too-many", "B2"),
        ({"Placement": "nape"}, "names-unfit", "B2"),
        ({"Placement": "somewhere"}, "unknown-placement", "E2"),
        ({"Player": None, "No.": None}, "value-missing", "C2"),
    ],
)
def test_a_name_that_fits_nowhere_is_asked(change: dict[str, Any], code: str, cell: str) -> None:
    first = [change.get(heading, value) for heading, value in zip(LIST, TEAM[0], strict=True)]
    looked = read([LIST, first, *TEAM[1:]])
    assert found(looked) == [(code, cell)]
    if cell != "A2":
        assert looked.orders == () and [one.order for one in looked.kept_back] == ["007"]


def test_fewer_names_than_pieces_are_doubted() -> None:
    looked = read([LIST, *TEAM[1:]])
    assert doubts(looked) == [("names-too-few", "B2")] and len(looked.orders[0].lines[0].names) == 7
    one = read([LIST, TEAM[0]])
    (doubt,) = [each for each in one.found if each.code == "names-too-few"]
    assert doubt.found == '1 name for 3 pieces of size S of order "007"'


def test_a_name_that_could_be_on_two_garments_is_asked() -> None:
    white = [*ROW[:3], "white", *ROW[4:]]
    assert found(read([LIST[:4], [*TEAM[0][:4]]], ROW, white)) == [("names-unclear", "C2")]
    looked = read([[*LIST[:4], "Colour"], [*TEAM[0][:4], "white"]], ROW, white)
    assert [len(line.names) for line in looked.orders[0].lines] == [0, 1]


def test_zeros_lost_in_a_list_are_doubted_and_left_out_orders_have_no_names() -> None:
    looked = read([LIST, [7, *TEAM[0][1:]]])
    assert ("order-numbers-alike", "A2") in doubts(looked) and found(looked) == []
    done = [*ROW[:8], 3, 5, None, "done"]
    sheets = [("Orders", [[*HEAD, "Status"], done, other("008")]), ("Names", [LIST, *TEAM])]
    grids = tuple(Grid(file="a.xlsx", sheet=name, rows=tuple(map(tuple, rows))) for name, rows in sheets)
    looked = look_at_orders(OpenedOrders(files=(Book(file="a.xlsx", grids=grids),)), SHOP)
    assert found(looked) == [] and [order.id for order in looked.orders] == ["008"]


def test_names_for_garments_with_several_placements_are_asked_where_they_go() -> None:
    plain = [row[:4] for row in (LIST, *TEAM)]
    assert doubts(read(plain)) == [("names-place-unsaid", "C2")]
    assert doubts(read(plain, BACK)) == []


def test_names_with_and_without_a_size_are_counted_together() -> None:
    """Two lists of one order, the second without sizes: seven names on eight garments, then nine."""
    for count, faults in ((7, []), (8, [("names-too-many", "B2")])):
        sheets = (
            ("Orders", [HEAD, ROW, BACK]),
            ("Names", [LIST, *TEAM[:count]]),
            ("More", [["Order", "Name", "Placement"], ["007", "F", "full back"]]),
        )
        grids = tuple(
            Grid(file="orders.xlsx", sheet=name, rows=tuple(map(tuple, rows))) for name, rows in sheets
        )
        looked = look_at_orders(OpenedOrders(files=(Book(file="orders.xlsx", grids=grids),)), SHOP)
        assert [code for code, _ in found(looked)] == [code for code, _ in faults]


def test_what_a_program_has_made_of_a_name_is_asked() -> None:
    for value in (True, date(2027, 5, 10), time(7, 30)):
        looked = read([["Order", "Size", "Player", "No."], ["007", "S", value, 7]])
        assert found(looked) == [("name-changed", "C2")] and looked.orders == ()


def test_totals_and_repeats_on_a_list() -> None:
    head = ["Order", "Size", "Player", "No.", "Qty"]
    rows = [["007", "S", "Jones", 7, 1], ["007", "S", "jones", "7", 1], ["007", "M", "Total", None, 3]]
    looked = read([head, *rows, ["TOTAL", None, None, None, 5]])
    assert found(looked) == []
    assert doubts(looked)[:3] == [("row-not-read", "C4"), ("row-not-read", "A5"), ("name-twice", "C3")]
    assert [one.name for one in looked.orders[0].lines[0].names] == ["Jones", "jones"]
    # a person may be called so, and two may share a name
    looked = read([head[:4], ["007", "S", "Sum", 7], ["007", "M", "Bo", 8], ["007", "M", "Bo", 9]])
    assert "name-twice" not in dict(doubts(looked)) and len(looked.orders[0].lines[0].names) == 3


@pytest.mark.parametrize(
    ("heading", "said"), [("Status", "cancelled"), ("Cancelled", "x"), ("Notes", "cancelled")]
)
def test_a_name_that_is_cancelled_is_left_out(heading: str, said: str) -> None:
    head = ["Order", "Size", "Player", "No.", heading]
    looked = read([head, ["007", "S", "Jo", 7, None], ["007", "S", "Kay", 8, said]])
    assert ("row-left-out", "E3") in doubts(looked)
    assert [one.name for one in looked.orders[0].lines[0].names] == ["Jo"]


def test_numbers_are_taken_with_the_zeros_that_their_cells_show(tmp_path: Path) -> None:
    book = Workbook()
    orders, names = book.active, book.create_sheet("Names")
    for row in (HEAD, [7, *ROW[1:]], [7, *BACK[1:]]):
        orders.append(row)
    for row in (["Order", "Size", "Player", "No."], [7, "S", "Jones", 7], [7, "S", "Kay", 12]):
        names.append(row)
    for cell in (orders["A2"], orders["A3"], names["A2"], names["A3"]):
        cell.number_format = "000"
    names["D2"].number_format = names["D3"].number_format = orders["I2"].number_format = "00"
    book.save(tmp_path / "orders.xlsx")
    (order,) = look_at_orders(open_orders([tmp_path / "orders.xlsx"]), SHOP).orders
    assert order.id == "007" and [one.number for one in order.lines[0].names] == ["07", "12"]
    assert order.lines[0].sizes[0].quantity == 3
