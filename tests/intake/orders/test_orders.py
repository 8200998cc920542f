"""Orders as the shop writes them: every accepted way, and what comes of it."""

from __future__ import annotations

from datetime import date, datetime
from pathlib import Path
from typing import Any

import pytest
from hypothesis import Phase, given, settings
from hypothesis import strategies as st

from scheduler.domain.faults import Fault
from scheduler.domain.orders import Order, OrderLine, Print, Sized
from scheduler.intake import default_shop, read_orders, scan_orders, write_orders
from scheduler.intake.files.grid import Book
from scheduler.intake.orders.writer import orders_workbook
from scheduler.intake.words import clean, name_key
from tests.intake.books import bare, book_of, codes, scan_order_books, sheets_book

SHOP = default_shop()
MONDAY = date(2026, 3, 2)
HEADINGS = [
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
    "L",
]


def chest(**changes: Any) -> Print:
    base: dict[str, Any] = {
        "placement": "left chest",
        "transfer": "film hot peel",
        "artwork": "badge",
        "width_mm": 90,
        "height_mm": 90,
    }
    return Print(**{**base, **changes})


def tee(*prints: Print, **changes: Any) -> OrderLine:
    base: dict[str, Any] = {
        "garment": "tee",
        "colour": "navy",
        "fabric": "cotton",
        "sizes": (Sized(size="S", quantity=3), Sized(size="M", quantity=5)),
        "prints": prints or (chest(),),
    }
    return OrderLine(**{**base, **changes})


def one_sheet(*rows: list[Any], headings: list[str] = HEADINGS) -> Book:
    return book_of({"Orders": [headings, *rows]}, "orders.xlsx")


def scan(book: Book) -> tuple[tuple[Order, ...], tuple[Fault, ...]]:
    return scan_order_books([book], SHOP, MONDAY)


def read(file: Path | Book) -> tuple[Order, ...]:
    orders, found = scan(file) if isinstance(file, Book) else scan_orders([file], SHOP, MONDAY)
    assert found == (), [str(one) for one in found]
    return orders


def test_orders_come_back_from_their_workbook(tmp_path: Path) -> None:
    orders = (
        Order(
            id="0042",
            customer="Żółw & Σία 東京",
            cut_off=datetime(2026, 3, 4, 12, 30),
            weight=10,
            lines=(
                tee(chest(), chest(placement="full back", width_mm=300, height_mm=360, artwork="=back")),
                tee(
                    chest(transfers_in=datetime(2026, 3, 2, 10, 0)),
                    colour="white",
                    garments_in=datetime(2026, 3, 3, 9, 15),
                    note="-careful",
                ),
            ),
        ),
        Order(
            id="7", customer="@two", cut_off=datetime(2026, 3, 2, 16, 30), weight=4, lines=(tee(colour=""),)
        ),
    )
    path = tmp_path / "orders.xlsx"
    write_orders(orders, path, SHOP)
    assert bare(read(path)) == orders


def test_like_garments_are_told_apart_by_line_numbers(tmp_path: Path) -> None:
    # twelve with a chest print and twelve others with a back print: not the same garments
    back = chest(placement="full back", width_mm=300, height_mm=360)
    order = Order(id="1", customer="c", cut_off=datetime(2026, 3, 2, 16, 30), lines=(tee(chest()), tee(back)))
    path = tmp_path / "orders.xlsx"
    write_orders([order], path)
    assert bare(read(path)) == (order,)


def test_rows_with_equal_sizes_and_other_placements_are_the_same_garments() -> None:
    path = one_sheet(
        [1, "c", "tee", "navy", "cotton", "left chest", "film hot peel", "badge", 3, 5, None],
        [1, None, "tee", "navy", "cotton", "full back", "film hot peel", "name", 3, 5, None],
        [1, None, "tee", "navy", "cotton", "full back", "film hot peel", "name", 4, None, 4],
    )
    orders, found = scan(path)
    (order,) = orders
    assert [[one.placement for one in line.prints] for line in order.lines] == [
        ["left chest", "full back"],
        ["full back"],
    ]
    assert [line.quantity for line in order.lines] == [8, 8]
    assert order.id == "1"
    assert found == ()


def test_same_garments_with_other_quantities_are_doubted() -> None:
    path = one_sheet(
        [1, "c", "tee", "navy", "cotton", "left chest", "film hot peel", "badge", 3, 5, None],
        [1, None, "tee", "navy", "cotton", "full back", "film hot peel", "name", 3, 4, None],
    )
    orders, found = scan(path)
    assert len(orders[0].lines) == 2
    assert codes(found) == ["same-garments-unclear"]
    assert found[0].source.cell == "C3"


def test_sizes_as_rows() -> None:
    headings = [*HEADINGS[:8], "Size", "Qty"]
    rows = [
        [1, "c", "tee", "navy", "cotton", place, "film hot peel", art, size, quantity]
        for size, quantity in (("M", 5), ("xxl", 2))
        for place, art in (("left chest", "badge"), ("full back", "name"))
    ]
    (order,) = read(one_sheet(*rows, headings=headings))
    (line,) = order.lines
    assert line.sizes == (Sized(size="M", quantity=5), Sized(size="2XL", quantity=2))
    assert [one.placement for one in line.prints] == ["left chest", "full back"]


def test_several_placements_in_one_row() -> None:
    headings = [*HEADINGS[:5], "Placement 1", "Transfer 1", "Artwork 1", "Width 1 mm", "Height 1 mm"]
    headings += ["Placement 2", "Transfer 2", "Artwork 2", "Placement 3", "Artwork 3", "qty M"]
    row = [1, "c", "tee", "navy", "cotton", "left chest", "film hot peel", "badge", 80, 70.5]
    row += ["full back", "film cold peel", "name", "Left Sleeve", "star", 6]
    (order,) = read(one_sheet(row, headings=headings))
    first, second, third = order.lines[0].prints
    assert (first.placement, first.width_mm, first.height_mm) == ("left chest", 80, 71)
    assert (second.placement, second.transfer, second.width_mm) == ("full back", "film cold peel", 300)
    assert (third.placement, third.transfer, third.artwork) == ("left sleeve", "film hot peel", "star")
    assert third.source.cell == "N2"


@pytest.mark.parametrize("mark", [" + ", "/", ", "])
def test_several_placements_in_one_cell(mark: str) -> None:
    row = [
        1,
        "c",
        "tee",
        "navy",
        "cotton",
        f"left chest{mark}full back",
        "film hot peel",
        "badge/name",
        3,
        5,
        None,
    ]
    (order,) = read(one_sheet(row))
    assert [(one.placement, one.artwork) for one in order.lines[0].prints] == [
        ("left chest", "badge"),
        ("full back", "name"),
    ]


def test_artwork_with_a_slash_stays_whole_for_one_placement() -> None:
    row = [1, "c", "tee", "navy", "cotton", "left chest", "film hot peel", "24/7", 3, 5, None]
    assert read(one_sheet(row))[0].lines[0].prints[0].artwork == "24/7"


@pytest.mark.parametrize(
    ("when", "due", "doubts"),
    [
        ({}, datetime(2026, 3, 2, 16, 30), []),
        ({"Cut-off time": "14:00"}, datetime(2026, 3, 2, 14, 0), []),
        ({"Cut-off date": "2026-03-04"}, datetime(2026, 3, 4, 16, 30), []),
        ({"Cut-off date": date(2026, 3, 4), "Cut-off time": "9:30"}, datetime(2026, 3, 4, 9, 30), []),
        ({"Cut-off date": datetime(2026, 3, 4, 9, 30)}, datetime(2026, 3, 4, 9, 30), []),
        # the shop's own van comes on Tuesdays and Thursdays at noon
        ({"Courier": "Own Van"}, datetime(2026, 3, 3, 12, 0), ["cut-off-taken-later"]),
        ({"Courier": "own van", "Cut-off date": "2026-03-05"}, datetime(2026, 3, 5, 12, 0), []),
        (
            {"Courier": "own van", "Cut-off date": "2026-03-04"},
            datetime(2026, 3, 4, 17, 0),
            ["cut-off-at-closing"],
        ),
        ({"Cut-off date": "2026-03-02"}, datetime(2026, 3, 2, 16, 30), []),
    ],
)
def test_cut_offs_are_completed_from_courier_and_hours(
    when: dict[str, Any], due: datetime, doubts: list[str]
) -> None:
    row = [
        1,
        "c",
        "tee",
        "navy",
        "cotton",
        "left chest",
        "film hot peel",
        "badge",
        3,
        5,
        None,
        *when.values(),
    ]
    orders, found = scan(one_sheet(row, headings=[*HEADINGS, *when]))
    assert codes(found) == doubts
    assert orders[0].cut_off == due


@pytest.mark.parametrize(
    ("written", "arrives"),
    [
        ("10:00", datetime(2026, 3, 2, 10, 0)),
        (datetime(2026, 3, 2, 10, 0), datetime(2026, 3, 2, 10, 0)),
        ("2026-03-02 10:00", datetime(2026, 3, 2, 10, 0)),
        (date(2026, 3, 2), datetime(2026, 3, 2, 7, 30)),
        ("yes", None),
        (None, None),
    ],
)
def test_arrivals(written: Any, arrives: datetime | None) -> None:
    row = [
        1,
        "c",
        "tee",
        "navy",
        "cotton",
        "left chest",
        "film hot peel",
        "badge",
        3,
        5,
        None,
        written,
        written,
    ]
    (order,) = read(one_sheet(row, headings=[*HEADINGS, "Garments in", "Transfers in"]))
    assert order.lines[0].garments_in == arrives
    assert order.lines[0].prints[0].transfers_in == arrives


@pytest.mark.parametrize(
    ("written", "weight"), [(None, 1), ("Normal", 1), ("high", 3), ("RUSH", 10), (7, 7), ("2", 2)]
)
def test_priorities(written: Any, weight: int) -> None:
    row = [1, "c", "tee", "navy", "cotton", "left chest", "film hot peel", "badge", 3, 5, None, written]
    (order,) = read(one_sheet(row, headings=[*HEADINGS, "Priority"]))
    assert order.weight == weight


def test_title_rows_blank_rows_and_the_order_of_columns_do_not_matter() -> None:
    row = [1, "c", "tee", "navy", "cotton", "left chest", "film hot peel", "badge", 3, 5, None]
    rows = [
        ["Our orders"],
        [],
        [None, *reversed(HEADINGS)],
        [],
        [None, *reversed(row)],
        [],
        [None, *reversed(row)],
    ]
    rows[-1][-1] = 2
    path = book_of({"Week 10": rows, "Empty": []}, "orders.xlsx")
    orders = read(path)
    assert [order.id for order in orders] == ["1", "2"]
    assert str(orders[1].source) == "orders.xlsx, Week 10!L7"


def test_orders_from_several_files_keep_their_order(tmp_path: Path) -> None:
    row = ["c", "tee", "navy", "cotton", "left chest", "film hot peel", "badge", 3, 5, None]
    first = sheets_book(tmp_path / "a.xlsx", {"Orders": [HEADINGS, ["9", *row], ["3", *row]]})
    second = sheets_book(tmp_path / "b.xlsx", {"Orders": [HEADINGS, ["5", *row]]})
    assert [order.id for order in read_orders([first, second], SHOP, MONDAY)] == ["9", "3", "5"]


# Behind a letter of its own, no text is a word that sheets give a meaning to, such as "done" or "total".
words_of_people = (
    st.text(st.characters(categories=["L", "N", "P", "S"]), min_size=1, max_size=12)
    .map(lambda text: f"ø{text}")
    .filter(lambda text: clean(text) == text)
)


@st.composite
def order_lines(draw: st.DrawFn) -> OrderLine:
    fabric = draw(st.sampled_from(SHOP.fabrics))
    transfers = [recipe.transfer for recipe in SHOP.recipes if recipe.fabric == fabric]
    names = [placement.name for placement in SHOP.placements]
    places = draw(st.lists(st.sampled_from(names), min_size=1, max_size=3, unique=True))
    labels = draw(st.lists(st.sampled_from(list(SHOP.size_groups)), min_size=1, max_size=3, unique=True))
    moments = st.none() | st.datetimes(datetime(2026, 3, 2, 6, 1), datetime(2026, 3, 2, 23, 59)).map(
        lambda at: at.replace(second=0, microsecond=0)
    )
    return OrderLine(
        garment=draw(st.sampled_from(["tee", "Tee", "polo"])),
        colour=draw(st.sampled_from(["", "navy", "+red"])),
        fabric=fabric,
        sizes=tuple(
            Sized(size=label, quantity=draw(st.integers(1, 500)))
            for label in sorted(labels, key=list(SHOP.size_groups).index)
        ),
        prints=tuple(
            Print(
                placement=place,
                transfer=draw(st.sampled_from(transfers)),
                artwork=draw(words_of_people),
                width_mm=draw(st.integers(5, 1000)),
                height_mm=draw(st.integers(5, 1000)),
                transfers_in=draw(moments),
            )
            for place in places
        ),
        garments_in=draw(moments),
        note=draw(st.just("") | words_of_people),
    )


@settings(max_examples=20, deadline=None, derandomize=True, phases=[Phase.generate])
@given(
    st.lists(
        st.builds(
            Order,
            id=words_of_people,
            customer=words_of_people,
            cut_off=st.datetimes(datetime(2026, 3, 4), datetime(2026, 3, 20)).map(
                lambda at: at.replace(second=0, microsecond=0)
            ),
            weight=st.integers(1, 10),
            lines=st.lists(order_lines(), min_size=1, max_size=4).map(tuple),
        ),
        min_size=1,
        max_size=3,
        unique_by=lambda order: name_key(order.id),
    )
)
def test_any_orders_come_back_from_their_workbook(orders: list[Order]) -> None:
    sheet = orders_workbook(orders)["Orders"]
    book = book_of({"Orders": [list(row) for row in sheet.iter_rows(values_only=True)]}, "orders.xlsx")
    back, found = scan(book)
    assert [str(one) for one in found if one.severity == "fault"] == []
    assert bare(back) == tuple(orders)
