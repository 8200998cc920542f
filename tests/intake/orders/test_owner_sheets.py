"""Orders as owners keep them: each way of the trade to write a sheet, read right or asked by cell."""

from __future__ import annotations

from datetime import date, datetime
from typing import Any

import pytest

from scheduler.domain.faults import Severity
from scheduler.intake import OrdersRead, ShopWords, default_shop, look_at_orders
from scheduler.intake.cells.rows import How
from scheduler.intake.files.grid import Area, Book, Grid, Unread
from scheduler.intake.orders.reader import OpenedOrders

MONDAY = date(2026, 3, 2)
SHOP = ShopWords.of(default_shop()).on(MONDAY)
USUAL = ShopWords.of_the_trade().on(MONDAY)
HEAD = [
    "Order",
    "Customer",
    "Garment",
    "Colour",
    "Fabric",
    "Placement",
    "Transfer",
    "Artwork",
    "S",
    "M",
    "2XL",
]
ROW = ["007", "Ada", "tee", "navy", "cotton", "left chest", "film hot peel", "badge", 3, 5, None]
Rows = list[list[Any]]


def read(rows: Rows, words: ShopWords = SHOP, **grid: Any) -> OrdersRead:
    one = Grid(file="orders.xlsx", sheet="Orders", rows=tuple(map(tuple, rows)), **grid)
    return look_at_orders(OpenedOrders(files=(Book(file="orders.xlsx", grids=(one,)),)), words)


def found(read_as: OrdersRead, severity: Severity = Severity.FAULT) -> list[tuple[str, str]]:
    return [(one.code, one.source.cell) for one in read_as.found if one.severity is severity]


def doubts(read_as: OrdersRead) -> list[tuple[str, str]]:
    return found(read_as, Severity.DOUBT)


def pieces(read_as: OrdersRead) -> dict[str, dict[str, int]]:
    """Sizes and their pieces by order."""
    return {
        order.id: {sized.size: sized.quantity for line in order.lines for sized in line.sizes}
        for order in read_as.orders
    }


def other(number: str, **changes: Any) -> list[Any]:
    """The usual row with another number and some cells changed by heading."""
    return [number, *(changes.get(heading, value) for heading, value in zip(HEAD[1:], ROW[1:], strict=True))]


def test_title_rows_and_two_rows_of_headings() -> None:
    upper = ["Order", "Customer", "Garment", None, "Fabric", "Print 1", None, None, "Sizes", None, None]
    lower = [None, None, "Style", "Colour", None, "Location", "Transfer", "Design", "S", "M", "XXL"]
    looked = read([["Our orders of the week"], [], upper, lower, ROW])
    assert found(looked) == doubts(looked) == []
    assert pieces(looked) == {"007": {"S": 3, "M": 5}}
    assert [one.source.cell for one in looked.columns] == [
        "A3", "B3", "C4", "D4", "E3", "F4", "G4", "H4", "I4", "J4", "K4",
    ]  # fmt: skip


def test_sizes_of_two_sets_in_two_rows_of_headings() -> None:
    upper = [*HEAD[:8], "Youth", None, "Adult"]
    lower = [*[None] * 8, "S", "M", "M"]
    row = [*ROW[:8], 1, 2, 4]
    merged = (Area(0, 8, 0, 9),)
    assert pieces(read([upper, lower, row], merged=merged)) == {"007": {"Y-S": 1, "Y-M": 2, "M": 4}}
    looked = read([[*HEAD[:8], "Ladies", None, None], lower, row], merged=(Area(0, 8, 0, 10),))
    assert ("unknown-size", "I2") in found(looked) and looked.orders == ()


def test_a_title_over_the_first_column_is_no_heading() -> None:
    assert pieces(read([["Youth team"], HEAD, ROW])) == {"007": {"S": 3, "M": 5}}


def test_cells_merged_over_rows_hold_for_each_of_them() -> None:
    back = [None, None, None, None, None, "full back", "film hot peel", "name", None, None, None]
    over = tuple(Area(1, column, 2, column) for column in (0, 1, 2, 3, 4, 8, 9))
    looked = read([HEAD, ROW, back], merged=over)
    assert found(looked) == doubts(looked) == []
    (line,) = looked.orders[0].lines
    assert line.quantity == 8 and [one.placement for one in line.prints] == ["left chest", "full back"]
    # without the merge the same sheet is read alike, with doubts
    looked = read([HEAD, ROW, back])
    assert doubts(looked) == [("order-from-above", "A3"), ("garments-from-above", "C3")]
    assert found(looked) == [] and looked.orders[0].lines[0].quantity == 8
    for part in (["polo"], [None, None, "nylon"]):
        assert "value-missing" in dict(found(read([HEAD, ROW, [*back[:2], *part, *back[2 + len(part) :]]])))


def test_pieces_merged_over_rows_of_other_garments_are_asked() -> None:
    white = [None, None, "tee", "white", "cotton", "left chest", "film hot peel", "badge", None, 2, None]
    over = (Area(1, 0, 2, 0), Area(1, 1, 2, 1), Area(1, 8, 2, 8))
    assert found(read([HEAD, ROW, white], merged=over)) == [("quantity-merged", "I2")]


def test_a_cell_merged_across_two_columns_is_asked() -> None:
    assert found(read([HEAD, ROW], merged=(Area(1, 8, 1, 9),))) == [("cells-merged-across", "I2")]
    assert found(read([HEAD, ROW], merged=(Area(1, 10, 1, 14),))) == []


def test_a_row_without_a_number_belongs_to_the_row_above_where_nothing_speaks_against_it() -> None:
    back = [None, None, *ROW[2:5], "full back", *ROW[6:]]
    looked = read([HEAD, ROW, back])
    assert doubts(looked) == [("order-from-above", "A3")] and len(looked.orders[0].lines[0].prints) == 2
    for rows in ([HEAD, ROW, [], back], [HEAD, ROW, [None, "Bob", *back[2:]]], [HEAD, back]):
        assert found(read(rows))[0][0] == "order-missing"


def test_totals_blank_rows_remarks_and_repeated_headings_are_no_orders() -> None:
    rows: Rows = [
        HEAD,
        ROW,
        ["Subtotal", *[None] * 7, 3, 5, None],
        [],
        ["Rush orders of Tuesday"],
        HEAD,
        other("008", S=1),
        [*[None] * 8, 1, 5, 0],
        ["Grand total", *[None] * 7, 4, Unread("formula", "=SUM(J2:J7)"), 0],
    ]
    looked = read(rows)
    assert found(looked) == []
    assert doubts(looked) == [("row-not-read", "A5")]
    assert pieces(looked) == {"007": {"S": 3, "M": 5}, "008": {"S": 1, "M": 5}}


def test_a_total_that_differs_is_doubted_and_numbers_alone_are_asked() -> None:
    assert doubts(read([HEAD, ROW, ["Total", *[None] * 7, 4, 5, None]])) == [("total-row-differs", "I3")]
    assert found(read([HEAD, ROW, [*[None] * 8, 4, 5, None]])) == [("row-without-order", "A3")]


def test_a_second_table_below_has_headings_of_its_own() -> None:
    swapped = [*HEAD[:8], "M", "S", "L"]
    looked = read([HEAD, ROW, [], swapped, [*other("008")[:8], 1, 2, 4]])
    assert pieces(looked) == {"007": {"S": 3, "M": 5}, "008": {"S": 2, "M": 1, "L": 4}}


def test_hidden_rows_and_columns_are_read_and_said() -> None:
    rows = [HEAD, ROW, other("008"), other("009")]
    looked = read(rows, hidden_rows=frozenset({2, 3}), hidden_columns=frozenset({3}))
    assert len(looked.orders) == 3
    assert doubts(looked) == [("rows-hidden", "A3"), ("column-hidden", "D1")]
    assert "hidden rows 3-4" in looked.found[0].found


@pytest.mark.parametrize(
    ("heading", "cell", "mm", "doubted"),
    [
        ("Width mm", 89.2, 90, []),
        ("Width (in)", 3.5, 89, ["length-converted"]),
        ("Width inches", '5"', 127, ["length-converted"]),
        ("Width cm", "9,05", 91, ["length-converted"]),
        ("Width", "90 mm", 90, []),
        ("Print width", '3 1/2"', 89, ["length-converted"]),
        ("Width mm", "3½ in", 89, ["length-converted"]),
        ("Width mm", "9 cm", 90, ["length-converted"]),
    ],
)
def test_lengths_are_read_by_their_unit(heading: str, cell: Any, mm: int, doubted: list[str]) -> None:
    looked = read([[*HEAD, heading, "Height mm"], [*ROW, cell, 50]])
    assert found(looked) == [] and [code for code, _ in doubts(looked)] == doubted
    assert looked.orders[0].lines[0].prints[0].width_mm == mm


@pytest.mark.parametrize(
    ("heading", "cell", "code"),
    [
        ("Width", 90, "unit-missing"),
        ("Width (in)", 50, "width-out-of-range"),
        ("Width mm", "3 px", "width-not-a-number"),
    ],
)
def test_a_length_without_a_unit_or_out_of_reach_is_asked(heading: str, cell: Any, code: str) -> None:
    looked = read([[*HEAD, heading, "Height mm"], [*ROW, cell, 50]])
    assert [one for one, _ in found(looked)] == [code]


@pytest.mark.parametrize(
    ("written", "label"),
    [
        ("XXL", "2XL"), ("2X", "2XL"), ("xx-large", "2XL"), ("L ", "L"), ("\u00a0l", "L"), ("Ｌ", "L"),
        ("youth M", "Y-M"), ("M youth", "Y-M"), ("kids m", "Y-M"), ("YM", "Y-M"), ("adult m", "M"),
        ("3T", "3T"), ("toddler 3", "3T"), ("18 M", "18M"),
    ],
)  # fmt: skip
def test_sizes_of_all_sets_by_all_their_names(written: str, label: str) -> None:
    head = [*HEAD[:8], "Size", "Qty"]
    looked = read([head, [*ROW[:8], written, 4]], USUAL)
    assert found(looked) == [] and pieces(looked) == {"007": {label: 4}}
    assert pieces(read([[*HEAD[:8], written], [*ROW[:8], 4]], USUAL)) == {"007": {label: 4}}


@pytest.mark.parametrize("written", ["ladies M", "M tall", "7XL", "42", "toddler M"])
def test_a_size_of_another_cut_is_never_taken_for_one_of_the_shop(written: str) -> None:
    looked = read([[*HEAD[:8], "Size", "Qty"], [*ROW[:8], written, 4]], USUAL)
    assert found(looked) == [("unknown-size", "I2")] and looked.orders == ()


@pytest.mark.parametrize(
    ("written", "mend"),
    [("2 doz", "alone: 24"), ("1O", "alone: 10"), ("O", "alone: 0"), ("24 pcs", "alone: 24"),
     ("12 (2 spare)", "alone: 12"), ("6 (rush)", "alone: 6"), ("1.2E+01", "without other signs"),
     ("1.200", "Write 1200, if that is meant"), ("some", "without other signs")],
)  # fmt: skip
def test_pieces_with_letters_are_asked_with_the_likely_number(written: str, mend: str) -> None:
    looked = read([HEAD, [*ROW[:9], written, None]])
    assert found(looked) == [("quantity-not-a-number", "J2")] and mend in looked.found[0].mend


@pytest.mark.parametrize(
    ("written", "count"), [("24", 24), (" 24\u00a0", 24), ("２４", 24), (24.0, 24), ("24,0", 24), ("-", 0)]
)
def test_pieces_as_text_are_read(written: Any, count: int) -> None:
    looked = read([HEAD, [*ROW[:8], 1, written, None]])
    assert found(looked) == [] and pieces(looked)["007"].get("M", 0) == count
    assert doubts(looked) == ([("dash-as-none", "J2")] if written == "-" else [])


@pytest.mark.parametrize(
    ("written", "places"),
    [("LC + FB", ["left chest", "full back"]), ("LC/RS", ["left chest", "right sleeve"]),
     ("Center chest", ["centre chest"]), ("neck tag", ["neck label"])],
)  # fmt: skip
def test_placements_by_their_usual_short_names(written: str, places: list[str]) -> None:
    looked = read([HEAD, [*ROW[:5], written, *ROW[6:]]])
    assert found(looked) == []
    assert [one.placement for one in looked.orders[0].lines[0].prints] == places


def test_a_placement_that_could_be_two_is_asked() -> None:
    looked = read([HEAD, [*ROW[:5], "front/back", *ROW[6:]]])
    assert [code for code, _ in found(looked)] == ["unknown-placement", "unknown-placement"]


@pytest.mark.parametrize(
    ("written", "fabric"), [("100% Cotton", "cotton"), ("50/50", "cotton-polyester blend")]
)
def test_fabrics_by_other_usual_names(written: str, fabric: str) -> None:
    looked = read([HEAD, [*ROW[:4], written, *ROW[5:]]])
    assert looked.orders[0].lines[0].fabric == fabric
    assert found(read([HEAD, [*ROW[:4], "tri-blend", *ROW[5:]]])) == [("unknown-fabric", "E2")]


@pytest.mark.parametrize(
    ("heading", "cell", "why"),
    [("Status", "Done", "done"), ("Order status", "CANCELLED", "cancelled"), ("Status", "on hold", "on hold"),
     ("Done?", "x", "done"), ("Notes", "Cancelled - they called", "cancelled"), ("Notes", "DONE", "done")],
)  # fmt: skip
def test_rows_that_are_not_to_be_pressed_are_left_out_and_said(heading: str, cell: str, why: str) -> None:
    head = [*HEAD, heading]
    # what else is wrong with such a row is nobody's worry
    looked = read([head, [*ROW, None], [*other("008", Fabric="felt"), cell]])
    assert found(looked) == [] and doubts(looked) == [("row-left-out", "L3")]
    assert list(pieces(looked)) == ["007"]
    assert [(one.order, one.source.cell, one.why) for one in looked.left_out] == [("008", "L3", why)]


@pytest.mark.parametrize(
    ("heading", "cell", "code"),
    [("Status", "open", None), ("Status", None, None), ("Done", "no", None), ("Notes", "with care", None),
     ("Status", "with the artist", "status-unclear"), ("Notes", "RUSH!! needed early", "note-says-rush"),
     ("Notes", "hold for stock", "note-says-wait"), ("Notes", "not done by us before", None)],
)  # fmt: skip
def test_rows_to_be_pressed_and_notes_that_change_the_work(heading: str, cell: str | None, code: str) -> None:
    looked = read([[*HEAD, heading], [*ROW, cell]])
    assert found(looked) == [] and len(looked.orders) == 1
    assert doubts(looked) == ([(code, "L2")] if code else [])


def test_headings_nearly_known_are_said_those_like_others_only_asked() -> None:
    looked = read([["Order", "Custmer", *HEAD[2:], "PO", "Order date", "Shelf"], [*ROW, "P1", "x", "B4"]])
    assert doubts(looked) == [("column-nearly-known", "B1"), ("unknown-column", "N1")]
    assert looked.orders[0].customer == "Ada"
    how = {one.heading: (one.how, one.label) for one in looked.columns}
    assert how["Custmer"] == (How.NEAR, "Customer") and how["PO"] == (How.NOT_NEEDED, "")
    assert how["Order"] == (How.KNOWN, "Order") and how["Shelf"] == (How.NOT_READ, "")
    assert ("column-missing", "A1") in found(read([[*HEAD[:4], "Fabric of it", *HEAD[5:]], ROW]))


@pytest.mark.parametrize(
    ("written", "due"),
    [("2026-03-12", datetime(2026, 3, 12, 23, 59)), ("12 March 2026 14:00", datetime(2026, 3, 12, 14, 0)),
     (None, datetime(2026, 3, 2, 23, 59))],
)  # fmt: skip
def test_without_a_shop_the_usual_words_serve(written: str | None, due: datetime) -> None:
    looked = read([[*HEAD, "In-hands date"], [*ROW, written]], USUAL)
    assert found(looked) == doubts(looked) == []
    (order,) = looked.orders
    assert order.cut_off == due
    assert (order.lines[0].prints[0].width_mm, order.lines[0].prints[0].usual) == (0, ("width", "height"))
    assert [one.customer for one in read([HEAD, ROW], SHOP).orders] == ["Ada"]


@pytest.mark.parametrize(
    ("written", "code"),
    [("Fri", "date-by-weekday"), ("ASAP", "date-by-word"), ("02/03/2026", "date-ambiguous"),
     ("2026-02-22", "cut-off-past"), (date(1900, 1, 5), "date-out-of-range")],
)  # fmt: skip
def test_dates_that_are_not_clear_are_asked(written: Any, code: str) -> None:
    assert found(read([[*HEAD, "Due"], [*ROW, written]], USUAL)) == [(code, "L2")]


def test_letters_of_all_kinds_come_through_and_order_numbers_keep_their_zeros() -> None:
    name = "Zoë O’Brien-Jose\u0301 👨‍👩‍👧"
    (order,) = read([HEAD, ["0007", name, *ROW[2:]]]).orders
    assert order.id == "0007" and order.customer == "Zoë O’Brien-José 👨‍👩‍👧"
    assert found(read([HEAD, other("1.2E+12")])) == [("order-number-shortened", "A2")]


def test_order_numbers_that_differ_in_their_zeros_are_doubted() -> None:
    looked = read([HEAD, ROW, other("7")])
    assert len(looked.orders) == 2 and doubts(looked) == [("order-numbers-alike", "A3")]
    assert doubts(read([HEAD, ROW, other("70")])) == []


def test_ship_by_is_a_date_or_a_courier_by_what_stands_under_it() -> None:
    looked = read([[*HEAD, "Ship by"], [*ROW, "2026-03-12"]])
    assert doubts(looked) == [("column-by-content", "L1")]
    assert looked.orders[0].cut_off.date() == date(2026, 3, 12)
    looked = read([[*HEAD, "Ship by"], [*ROW, "parcel"]])
    assert found(looked) == doubts(looked) == []


def test_rows_without_a_number_are_kept_back_like_orders() -> None:
    looked = read([HEAD, other("007"), [], [None, "Other Ltd", *ROW[2:]], [None, None, *ROW[2:]]])
    assert [(one.order, one.customer) for one in looked.kept_back] == [("row 4", "Other Ltd"), ("row 5", "")]
    assert [one.reasons[0].code for one in looked.kept_back] == ["order-missing", "order-missing"]


@pytest.mark.parametrize("written", ["here", "arrived", "in stock", "Da", "yes"])
def test_goods_that_are_here(written: str) -> None:
    looked = read([[*HEAD, "Garments in"], [*ROW, written]])
    assert found(looked) == [] and looked.orders[0].lines[0].garments_in is None


@pytest.mark.parametrize(
    ("written", "code"), [("ordered", "arrival-unknown"), ("perhaps", "not-a-moment"), ("10", "not-a-time")]
)
def test_goods_of_which_it_is_not_said_when_they_come(written: str, code: str) -> None:
    looked = read([[*HEAD, "Garments in"], [*ROW, written]])
    assert found(looked) == [(code, "L2")]
    assert code != "not-a-moment" or "yes, or nothing, when it is here" in looked.found[0].mend


def test_a_unit_in_a_heading_is_said_once_and_a_missing_one_with_its_cell() -> None:
    rows = [[*ROW, 9, "4 in"], [*other("008"), 8, "9 cm"]]
    looked = read([[*HEAD, "Width (cm)", "Height (cm)"], *rows])
    assert doubts(looked) == [
        ("length-converted", "L1"),
        ("length-converted", "M1"),
        ("length-converted", "M2"),
    ]
    assert [line.prints[0].width_mm for order in looked.orders for line in order.lines] == [90, 80]
    looked = read([[*HEAD, "Width"], [*ROW, "9 cm"], [*other("008"), 9]])
    assert found(looked) == [("unit-missing", "L1")] and "no unit in L3" in looked.found[0].found


def test_an_order_is_kept_back_when_a_row_without_a_number_may_be_its_own() -> None:
    """A blank row between them is too little to plan without that row, and too much to join them."""
    further = other(None, Customer=None, Placement="full back")
    looked = read([HEAD, ROW, [], further, other("008")])
    assert found(looked) == [("order-missing", "A4")]
    assert [order.id for order in looked.orders] == ["008"]
    assert [(one.order, one.reasons[0].source.cell) for one in looked.kept_back] == [
        ("007", "A4"),
        ("row 4", "A4"),
    ]


def test_a_row_without_a_number_that_speaks_against_the_order_above_leaves_it_alone() -> None:
    looked = read([HEAD, ROW, [], other(None, Customer="Bert"), other("008")])
    assert [order.id for order in looked.orders] == ["007", "008"]
    assert [one.order for one in looked.kept_back] == ["row 4"]
