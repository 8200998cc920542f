"""What no heading explains: sizes and placements in columns that are not read, cells beside the table."""

from __future__ import annotations

from datetime import date
from typing import Any

import pytest

from scheduler.intake.cells.sizes import Sizes, sizes_joined
from tests.intake.orders.headings.test_headings_that_say_more import BACK, PLAIN
from tests.intake.orders.test_owner_sheets import HEAD, ROW, USUAL, doubts, found, other, pieces, read

SIZES = Sizes(["Y-S", "S", "M", "L", "XL", "2XL"])


@pytest.mark.parametrize(
    "written",
    ["S/M", "S-M", "S & M", "S+M", "S, M", "S M", "S\nM", "s or m", "L/XL", "S-XL", "M?", "XL+", "S (2)"],
)
def test_two_sizes_in_one_or_a_mark_beside_a_size_are_asked(written: str) -> None:
    """In a heading and in a cell; a shop that has such a size reads it."""
    assert SIZES.find(written) is None
    assert Sizes(["S", written]).find(written.lower()) == written
    assert ("unknown-size", "L1") in found(read([[*HEAD, written], [*ROW, 4]]))
    head = [*HEAD[:8], "Size", "Quantity"]
    looked = read([head, [*ROW[:8], written, 4]])
    assert found(looked) == [("unknown-size", "I2")]
    assert "Y-XL" not in looked.found[0].mend


@pytest.mark.parametrize(
    ("written", "label"),
    [("extra-large", "XL"), ("2 XL", "2XL"), ("2X Large", "2XL"), ("Y-S", "Y-S"), ("Youth S", "Y-S"),
     ("S.", "S"),     ("Double XL", "2XL"), ("sm", "S")],
)  # fmt: skip
def test_one_size_in_several_words_is_one(written: str, label: str) -> None:
    assert SIZES.find(written) == label and not sizes_joined(written)


@pytest.mark.parametrize("written", [date(2026, 10, 14), "14-Oct", "Oct-14"])
def test_a_size_that_became_a_date_is_told_as_such(written: Any) -> None:
    looked = read([[*HEAD[:8], "Size", "Quantity"], [*ROW[:8], written, 4]])
    assert found(looked) == [("size-is-a-date", "I2")] and "10-14" in looked.found[0].mend


@pytest.mark.parametrize(
    ("heading", "place", "cell"),
    [("Big", 10, 2), ("LT", 11, 2), ("S tall", 11, 2), ("Back", 11, "crest"), ("Other location", 11, "nape"),
     ("Left chest", 11, "x"), (None, 10, 7)],
)  # fmt: skip
def test_work_under_a_heading_that_is_not_read_is_a_fault(heading: Any, place: int, cell: Any) -> None:
    """Among the sizes, with a size in it, or with a word for a placement; rows without it are planned."""

    def with_it(row: list[Any], value: Any) -> list[Any]:
        return [*row[:place], value, *row[place:]]

    looked = read([with_it(HEAD, heading), with_it(ROW, cell), with_it(other("008"), None)])
    assert [place for _, place in found(looked)] == [f"{'ABCDEFGHIJKL'[place]}1"]
    assert [order.id for order in looked.orders] == ["008"]
    looked = read([with_it(HEAD, heading), with_it(ROW, None)])
    assert found(looked) == [] and len(looked.orders) == 1


@pytest.mark.parametrize(("heading", "cell"), [("Shelf", 4), ("Mood", "blue"), ("Packed by", "L")])
def test_other_columns_that_are_not_read_stay_doubts(heading: str, cell: Any) -> None:
    assert found(read([[*HEAD, heading], [*ROW, cell]])) == []


def test_ordinals_number_the_placements() -> None:
    looked = read([[*HEAD, "2nd location", "Zweites Motiv"], [*ROW, "full back", "crest"]])
    assert found(looked) == doubts(looked) == []
    assert [one.artwork for one in looked.orders[0].lines[0].prints] == ["badge", "crest"]


def test_dates_under_a_heading_that_may_mean_the_cut_off() -> None:
    looked = read([[*HEAD, "Ship"], [*ROW, "2026-03-04"]])
    assert doubts(looked)[0] == ("column-by-content", "L1") and looked.orders[0].cut_off.day == 4
    looked = read([[*HEAD, "Date"], [*ROW, "2026-03-04"]])
    assert doubts(looked) == [("unknown-column", "L1")]
    assert "every order is due when the courier next comes" in looked.found[0].mend


def test_cells_without_a_heading_are_said_and_rows_of_nothing_else_passed_over() -> None:
    rows = [HEAD, [*ROW, None, "only 2 of these!"], [*[None] * 11, "stock", 20], other("008")]
    looked = read(rows)
    assert found(looked) == [] and doubts(looked) == [("cells-beside", "M2")]
    assert 'M2 "only 2 of these!", L3 "stock", M3 "20"' in looked.found[0].found
    assert list(pieces(looked)) == ["007", "008"]
    # a list beside the orders that is longer than they are: its rows are none
    looked = read([[*HEAD, "Stock", "In"], [*ROW, "tee", 5], [*[None] * 11, "polo", 2]])
    assert found(looked) == [] and list(pieces(looked)) == ["007"]


def test_no_answer_is_proposed_that_would_drop_work() -> None:
    def mend(*more: str) -> str:
        (fault,) = [one for one in read([[*HEAD, *more], ROW]).found if one.severity.value == "fault"]
        return fault.mend

    assert "--column" not in mend("M") + mend("XXL") + mend("Order") + mend("Order", "Customer", "Garment")
    assert '"Artwork 2"' in mend("Design") and "another sheet" in mend("Order")
    assert '--column "Client=not needed"' in mend("Client")


def test_missing_columns_name_what_was_not_read() -> None:
    head = ["Type" if one == "Transfer" else one for one in HEAD]
    (fault,) = (one for one in read([head, ROW]).found if one.code == "column-missing")
    assert '--column "Type=Transfer"' in fault.mend


def test_placements_as_headings_propose_their_own_names() -> None:
    looked = read([[*PLAIN, "Left chest", "Back", "S"], [*BACK, "badge", "crest", 3]], USUAL)
    assert found(looked) == [("work-unread", "H1")] and looked.orders == ()


def test_words_over_groups_of_sizes() -> None:
    """One over all of them says nothing of the sizes; several, such as colours, can't be read."""
    lower = [*[None] * 8, "S", "M", "L"]
    row = [*ROW[:8], 1, 2, 4]
    looked = read([[*HEAD[:8], "Monday", None, None], lower, row])
    assert found(looked) == doubts(looked) == [] and pieces(looked) == {"007": {"S": 1, "M": 2, "L": 4}}
    for one, two in (("Red", "Navy"), ("Ordered", "Pressed")):
        upper = [*HEAD[:8], one, None, None, two, None, None]
        looked = read([upper, [*lower, "S", "M", "L"], [*row, 1, 1, 1]])
        assert found(looked) == [("sizes-in-groups", "I2")] and looked.orders == ()
        assert f'under "{one}", "{two}"' in looked.found[0].found


@pytest.mark.parametrize(
    ("more", "mend"),
    [(["Size"], "a column Quantity"), (["Size", "No. of shirts"], '--column "No. of shirts=Quantity"'),
     (["Qty"], "a column Size"), ([], "a column for each size")],
)  # fmt: skip
def test_missing_sizes_or_quantities(more: list[str], mend: str) -> None:
    looked = read([[*HEAD[:8], *more], [*ROW[:8], *["M"] * len(more)]])
    (fault,) = (one for one in looked.found if one.code == "column-missing")
    assert mend in fault.mend
