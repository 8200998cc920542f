"""Headings that say more than a column's name: placements, width and height in one, a status by its words."""

from __future__ import annotations

from typing import Any

import pytest

from scheduler.intake import OrdersRead
from scheduler.intake.files.grid import Area
from tests.intake.orders.test_owner_sheets import HEAD, ROW, USUAL, doubts, found, other, read

PLAIN = ["Order", "Customer", "Garment", "Colour", "Fabric", "Transfer"]
BACK = ["007", "Ada", "tee", "navy", "cotton", "film hot peel"]


def prints(looked: OrdersRead) -> list[list[tuple[Any, ...]]]:
    return [
        [(one.placement, one.artwork, one.width_mm, one.height_mm) for one in line.prints]
        for order in looked.orders
        for line in order.lines
    ]


def test_placements_named_by_their_columns() -> None:
    """A column for each placement, its artwork in the cell; a blank cell: nothing is pressed there."""
    head = [*PLAIN, "Left chest", "Full back", "S"]
    looked = read([head, [*BACK, "badge", "crest", 3], ["008", *BACK[1:], None, "crest", 3]], USUAL)
    assert prints(looked) == [
        [("left chest", "badge", 0, 0), ("full back", "crest", 0, 0)],
        [("full back", "crest", 0, 0)],
    ]
    assert found(looked) == [] and doubts(looked) == [("placements-in-headings", "G1")]
    assert found(read([head, [*BACK, None, None, 3]], USUAL)) == [("placement-missing", "A2")]


@pytest.mark.parametrize("written", ["x", "Yes", "no", "ja"])
def test_a_tick_under_a_placement_is_no_artwork(written: str) -> None:
    looked = read([[*PLAIN, "Left chest", "S"], [*BACK, written, 3]], USUAL)
    assert found(looked) == [("artwork-unclear", "G2")] and looked.orders == ()


def test_several_columns_about_one_placement() -> None:
    head = [*PLAIN[:5], "LC transfer", "LC design", "Left chest width mm", "Height mm left chest",
            "Full back transfer", "Artwork full back", "S"]  # fmt: skip
    row = [*BACK[:5], "film hot peel", "badge", 80, 70, "film cold peel", "crest", 3]
    looked = read([head, row], USUAL)
    assert prints(looked) == [[("left chest", "badge", 80, 70), ("full back", "crest", 0, 0)]]
    assert [one.transfer for one in looked.orders[0].lines[0].prints] == ["film hot peel", "film cold peel"]


def test_placements_over_groups_of_columns() -> None:
    upper = [None] * 6 + ["Left chest", None, "Full back", None, "Sizes"]
    lower = [*PLAIN, "Artwork", "Size", "Design", "Size", "S"]
    row = [*BACK, "badge", "90 x 100 mm", "crest", "30x36 cm", 3]
    merged = (Area(0, 6, 0, 7), Area(0, 8, 0, 9))
    for areas in ((), merged):
        looked = read([upper, lower, row], USUAL, merged=areas)
        assert found(looked) == []
        assert prints(looked) == [[("left chest", "badge", 90, 100), ("full back", "crest", 300, 360)]]


@pytest.mark.parametrize(
    ("heading", "cell", "sides"),
    [
        ("Print size", "90 x 100 mm", (90, 100)),
        ("Print size (mm)", "90x100", (90, 100)),
        ("W x H cm", "9 × 10", (90, 100)),
        ("WxH (in)", "3.5 x 4", (89, 102)),
        ("Druckgröße", "9,5 x 10 cm", (95, 100)),
        ("Largeur x hauteur", "90mm*100mm", (90, 100)),
        ("Medidas", '3 1/2" x 4"', (89, 102)),
        ("Dimensions", '3.5"W x 4"H', (89, 102)),
        ("Dimensions", '4"H x 3.5"W', (89, 102)),
        ("Dimensions", "3.5 by 4 in", (89, 102)),
    ],
)
def test_width_and_height_in_one_cell(heading: str, cell: str, sides: tuple[int, int]) -> None:
    """1 in = 25.4 mm (ISO 31); parts of a mm are rounded up."""
    looked = read([[*HEAD, heading], [*ROW, cell]])
    assert found(looked) == []
    ((one,),) = prints(looked)
    assert one[2:] == sides


@pytest.mark.parametrize(
    ("heading", "cell", "code"),
    [
        ("Print size", "90x100", "unit-missing"),
        ("Print size", "about a hand", "size-not-two-lengths"),
        ("Print size mm", "90", "size-not-two-lengths"),
        ("Print size mm", 90, "size-not-two-lengths"),
        ("Print size mm", "90 x 100 x 3", "size-not-two-lengths"),
        ("Print size mm", "90 x 5000", "height-out-of-range"),
    ],
)
def test_a_size_that_is_not_clear_is_asked(heading: str, cell: Any, code: str) -> None:
    looked = read([[*HEAD, heading], [*ROW, cell]])
    assert set(found(looked)) == {(code, "L2")}
    assert found(read([[*HEAD, heading], [*ROW, None]])) == []


def test_sizes_of_two_placements_in_one_cell_and_size_beside_width() -> None:
    head = [*HEAD, "Print size"]
    row = other("007", Placement="left chest + full back", Artwork="badge + crest")
    looked = read([head, [*row, "90 x 100 mm + 300 x 360 mm"]])
    assert [one[2:] for one in prints(looked)[0]] == [(90, 100), (300, 360)]
    assert found(read([[*head, "Width mm"], [*ROW, "90 x 100 mm", 90]])) == [("size-twice", "L2")]


def test_state_is_a_status_where_its_cells_are() -> None:
    """In an address it is none; over words of a status it leaves rows out, and says so."""
    looked = read([[*HEAD, "State"], [*ROW, "open"], [*other("008"), "done"]])
    assert [order.id for order in looked.orders] == ["007"]
    assert doubts(looked) == [("column-by-content", "L1"), ("row-left-out", "L3")]
    looked = read([[*HEAD, "State"], [*ROW, "Ohio"], [*other("008"), "done"]])
    assert [order.id for order in looked.orders] == ["007", "008"]


def test_a_blank_row_within_merged_cells_stays_blank() -> None:
    rows = [HEAD, ROW, [None] * len(HEAD), [None, None, *other("007", Placement="full back")[2:]]]
    looked = read(rows, merged=(Area(1, 0, 3, 0), Area(1, 1, 3, 1)))
    assert found(looked) == []
    assert [len(line.prints) for line in looked.orders[0].lines] == [2]


def test_the_lower_row_of_headings_repeated_is_no_new_table() -> None:
    upper = [*HEAD[:8], "Sizes", None, None]
    lower = [*HEAD[:2], *[None] * 4, HEAD[6], None, *HEAD[8:]]
    looked = read([upper, lower, ROW, lower, other("008")])
    assert found(looked) == [] and [order.id for order in looked.orders] == ["007", "008"]
