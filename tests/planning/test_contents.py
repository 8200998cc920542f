"""What a task means in the shop: notes, what it waits for, the order of sizes."""

from __future__ import annotations

from datetime import datetime

import pytest

from scheduler.domain.day_problem import RunContent
from scheduler.domain.orders import OrderLine
from scheduler.planning import build_day
from tests.planning.shops import MONDAY, line, order, print_, shop

TEN, NOON = datetime(2026, 3, 2, 10), datetime(2026, 3, 2, 12)


def contents(*lines: OrderLine) -> dict[str, RunContent]:
    return build_day(shop(), (order("1", *lines),), MONDAY).contents


def test_notes_of_all_lines_each_once_in_their_order() -> None:
    made = contents(
        line(print_("front"), note="fold after pressing"),
        line(print_("front"), print_("back"), colour="red", note=" names inside the box "),
        line(print_("front"), colour="black", note="fold after pressing"),
        line(print_("front"), colour="white"),
    )
    assert made["1-front"].notes == ("fold after pressing", "names inside the box")
    assert made["1-back"].notes == ("names inside the box",)
    assert contents(line())["1-front"].notes == ()


def test_a_lot_has_the_notes_of_its_own_lines() -> None:
    made = contents(
        line(print_("back"), sizes={"M": 1}, note="one only"),
        line(print_("back"), sizes={"M": 99}, note="the many"),
    )
    assert [content.notes for content in made.values() if content.lots == 2] == [
        ("one only", "the many"),
        ("the many",),
    ]


@pytest.mark.parametrize(
    ("garments_in", "transfers_in", "waits_for", "ready"),
    [
        (None, None, "", None),
        (TEN, None, "garments", TEN),
        (None, TEN, "transfers", TEN),
        (TEN, NOON, "transfers", NOON),
        (NOON, TEN, "garments", NOON),
        (TEN, TEN, "garments and transfers", TEN),
        (datetime(2026, 3, 2, 8), datetime(2026, 3, 1, 8), "", None),
    ],
)
def test_what_a_run_waits_for(
    garments_in: datetime | None, transfers_in: datetime | None, waits_for: str, ready: datetime | None
) -> None:
    made = contents(line(print_(transfers_in=transfers_in), garments_in=garments_in))["1-front"]
    assert (made.waits_for, made.ready) == (waits_for, ready)


def test_a_pair_waits_for_what_comes_last_of_both() -> None:
    made = contents(
        line(print_("front", transfers_in=NOON), print_("sleeve", transfers_in=TEN), garments_in=TEN)
    )
    assert made["1-sleeve"].waits_for == "garments and transfers"
    assert made["1-front+sleeve"].waits_for == "transfers"


def test_sizes_in_the_shops_order_within_garment_and_colour() -> None:
    """The shop lists S, M, L; the orders name them as they like; a size that it doesn't list comes last."""
    made = contents(
        line(sizes={"huge": 1, "L": 2, "S": 3}),
        line(sizes={"M": 4, "S": 5}, colour="red"),
        line(sizes={"M": 6, "L": 7}),
    )
    pieces = [(p.colour, p.size, p.quantity) for content in made.values() for p in content.pieces]
    assert pieces == [
        ("navy", "S", 3),
        ("navy", "M", 6),
        ("navy", "L", 9),
        ("navy", "huge", 1),
        ("red", "S", 5),
        ("red", "M", 4),
    ]


def test_sizes_of_lots_are_cut_in_the_shops_order() -> None:
    made = contents(line(print_("back"), sizes={"L": 50, "S": 25, "M": 25}))
    lots = [content for content in made.values() if content.lots == 2]
    assert [[(p.size, p.quantity) for p in lot.pieces] for lot in lots] == [
        [("S", 25), ("M", 25)],
        [("L", 50)],
    ]
