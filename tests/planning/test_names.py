"""Readable, unique ids."""

from __future__ import annotations

from dataclasses import replace
from datetime import datetime

from scheduler.planning import build_day
from scheduler.planning.names import run_names, task_name
from scheduler.planning.placements import split_order
from tests.planning.shops import MONDAY, line, order, placement, print_, shop, with_platen

OPENS = datetime(2026, 3, 2, 8)


def names(*lines: object) -> list[str]:
    runs = split_order(shop(), order("1", *lines), OPENS)  # type: ignore[arg-type]
    return [task_name("1", (name,), 1, 1) for name in run_names(runs)]


def test_the_placement_is_enough_when_it_is_alone() -> None:
    assert names(line(print_("front"), print_("back"))) == ["1-front", "1-back"]


def test_size_groups_where_they_differ() -> None:
    assert names(line(print_("front"), sizes={"M": 1, "Y-S": 1, "huge": 1}), line(print_("back"))) == [
        "1-front adult",
        "1-front youth",
        "1-front other sizes",
        "1-back",
    ]


def test_arrival_artwork_transfer_and_size() -> None:
    late = datetime(2026, 3, 2, 10)
    assert names(line(print_()), line(print_(), garments_in=late)) == [
        "1-front",
        "1-front box 2026-03-02 10:00",
    ]
    assert names(line(print_(artwork="a"), print_(artwork="b"))) == ["1-front a", "1-front b"]
    assert names(line(print_(), print_("front", "cold film"))) == ["1-front film", "1-front cold film"]
    assert names(line(print_(), print_(width_mm=190))) == ["1-front 200 x 200 mm", "1-front 190 x 200 mm"]


def test_numbers_at_last() -> None:
    assert names(line(print_(), print_(), print_())) == ["1-front", "1-front (2)", "1-front (3)"]


def test_pairs_and_lots() -> None:
    assert task_name("1042", (("front", ""), ("sleeve", "")), 1, 1) == "1042-front+sleeve"
    assert task_name("1042", (("front", "youth"), ("sleeve", "youth")), 1, 1) == "1042-front+sleeve youth"
    assert task_name("1042", (("front", "a"), ("sleeve", "")), 1, 1) == "1042-front a+sleeve"
    assert task_name("1042", (("front", "youth"),), 2, 3) == "1042-front youth lot 2 of 3"


def test_ids_are_unique_over_orders() -> None:
    """Order 1-front with a back, and order 1 with a placement called front-back."""
    base = with_platen(shop(), "big", placements=("back", "front-back"))
    changed = replace(base, placements=(*base.placements, placement("front-back")))
    problem = build_day(
        changed,
        (order("1-front", line(print_("back"))), order("1", line(print_("front-back")))),
        MONDAY,
    )
    assert [task.id for task in problem.instance.tasks] == ["1-front-back", "1-front-back (2)"]
    assert set(problem.contents) == {"1-front-back", "1-front-back (2)"}
