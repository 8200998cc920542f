"""Order lines to runs."""

from __future__ import annotations

from dataclasses import replace
from datetime import datetime

import pytest

from scheduler.domain.orders import Order
from scheduler.planning.placements import Run, split_order
from tests.planning.shops import line, order, print_, recipe, shop

OPENS = datetime(2026, 3, 2, 8)


def split(one: Order) -> dict[str, Run]:
    runs = split_order(shop(), one, OPENS)
    return {f"{run.placement.name} {run.artwork} {run.size_group}": run for run in runs}


def test_each_placement_of_a_line_is_a_run() -> None:
    runs = split(order("1", line(print_("front"), print_("back"), print_("sleeve"), sizes={"M": 4, "L": 6})))
    assert list(runs) == ["front logo adult", "back logo adult", "sleeve logo adult"]
    assert [run.quantity for run in runs.values()] == [10, 10, 10]
    assert all(run.atoms == ((0, "adult"),) for run in runs.values())


def test_like_garments_merge_over_lines_colours_and_sizes() -> None:
    runs = split(
        order(
            "1",
            line(print_("front"), sizes={"S": 2, "M": 3}, colour="navy"),
            line(print_("front"), print_("back"), sizes={"M": 5}, colour="black"),
        )
    )
    assert runs["front logo adult"].quantity == 10
    assert runs["front logo adult"].atoms == ((0, "adult"), (1, "adult"))
    assert runs["back logo adult"].atoms == ((1, "adult"),)


@pytest.mark.parametrize(
    "other",
    [print_("front", artwork="other"), print_("front", "cold film"), print_("front", width_mm=190)],
    ids=["artwork", "transfer", "size"],
)
def test_what_differs_is_a_run_of_its_own(other: object) -> None:
    assert isinstance(other, type(print_()))
    assert len(split_order(shop(), order("1", line(print_("front")), line(other)), OPENS)) == 2
    assert len(split_order(shop(), order("1", line(print_("front")), line(print_("front"))), OPENS)) == 1


def test_fabrics_merge_only_when_the_recipe_says_the_same() -> None:
    lines = (line(print_()), line(print_(), fabric="blend"))
    same = replace(shop(), recipes=(*shop().recipes, recipe(fabric="blend")))
    cooler = replace(shop(), recipes=(*shop().recipes, recipe(fabric="blend", temp_c=140)))
    assert len(split_order(same, order("1", *lines), OPENS)) == 1
    assert [run.recipe.temp_c for run in split_order(cooler, order("1", *lines), OPENS)] == [150, 140]


def test_size_groups_and_unknown_sizes() -> None:
    runs = split(order("1", line(print_(), sizes={"M": 4, "Y-S": 3, "huge": 2})))
    assert {name: run.quantity for name, run in runs.items()} == {
        "front logo adult": 4,
        "front logo youth": 3,
        "front logo ": 2,
    }


def test_no_run_of_no_garments() -> None:
    assert split(order("1", line(print_(), sizes={"M": 0, "Y-S": 3}))).keys() == {"front logo youth"}


def test_a_box_that_comes_later_is_a_run_of_its_own() -> None:
    late = datetime(2026, 3, 2, 10)
    runs = split_order(shop(), order("1", line(print_()), line(print_(), garments_in=late)), OPENS)
    assert [run.ready for run in runs] == [None, late]
    # In by opening time counts as there from the start.
    assert len(split_order(shop(), order("1", line(print_()), line(print_(), garments_in=OPENS)), OPENS)) == 1


def test_ready_is_when_garments_and_transfers_are_in() -> None:
    ten, noon = datetime(2026, 3, 2, 10), datetime(2026, 3, 2, 12)
    both = line(print_(transfers_in=noon), print_("back"), garments_in=ten)
    assert [run.ready for run in split_order(shop(), order("1", both), OPENS)] == [noon, ten]
    two = (line(print_(transfers_in=ten)), line(print_(transfers_in=noon)))
    merged = split_order(shop(), order("1", *two), OPENS)
    assert [(run.ready, run.quantity) for run in merged] == [(noon, 20)]


def test_the_same_print_twice_is_two_pressings() -> None:
    runs = split_order(shop(), order("1", line(print_(), print_(), sizes={"M": 7})), OPENS)
    assert [run.quantity for run in runs] == [7, 7]
    assert runs[0].atoms == runs[1].atoms


def test_nothing_is_lost() -> None:
    one = order(
        "1",
        line(print_("front"), print_("back"), sizes={"S": 3, "Y-M": 4}),
        line(print_("front"), sizes={"L": 5}),
    )
    runs = split_order(shop(), one, OPENS)
    asked = sum(one_line.quantity * len(one_line.prints) for one_line in one.lines)
    assert sum(run.quantity for run in runs) == asked == 19


def test_unknown_recipe() -> None:
    with pytest.raises(KeyError, match="no recipe for film on silk"):
        split_order(shop(), order("1", line(print_(), fabric="silk")), OPENS)
