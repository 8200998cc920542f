"""Size groups that nothing tells apart are one run."""

from __future__ import annotations

from dataclasses import replace
from datetime import datetime

import pytest

from scheduler.domain.orders import OrderLine
from scheduler.domain.shop import Shop
from scheduler.planning import build_day
from scheduler.planning.merge import merge_sizes
from scheduler.planning.placements import split_order
from tests.planning.by_hand import checked, one_by_one
from tests.planning.shops import (
    MONDAY,
    line,
    order,
    platen,
    print_,
    recipe,
    shop,
    with_placement,
    with_platen,
    with_press,
    youth_apart,
)

OPENS = datetime(2026, 3, 2, 8)
BOTH = {"Y-S": 3, "M": 4}


def merged(base: Shop, *lines: OrderLine) -> list[tuple[str, str, int]]:
    runs = merge_sizes(base, split_order(base, order("1", *lines), OPENS))
    return [(run.placement.name, run.size_group, run.quantity) for run in runs]


def with_youth_platen(base: Shop) -> Shop:
    """A second platen for fronts and backs, for youth sizes alone."""
    base = replace(base, platens=(*base.platens, platen("small", size_groups=("youth",))))
    return with_press(base, platens=("big", "sleeve", "double", "small"))


def test_the_same_platens_and_words_make_one_run() -> None:
    assert merged(shop(), line(sizes=BOTH)) == [("front", "adult and youth", 7)]
    assert merged(shop(), line(sizes={"M": 4})) == [("front", "adult", 4)]
    assert merged(shop(), line(sizes=BOTH | {"huge": 1})) == [("front", "adult and youth", 8)]


def test_other_words_for_where_keep_them_apart() -> None:
    assert merged(youth_apart(shop()), line(sizes=BOTH)) == [("front", "youth", 3), ("front", "adult", 4)]
    same = with_placement(shop(), "front", positions={"adult": "centred", "youth": "centred"})
    assert merged(same, line(sizes=BOTH)) == [("front", "adult and youth", 7)]


def test_another_platen_keeps_them_apart_where_a_press_takes_it() -> None:
    base = with_youth_platen(shop())
    assert merged(base, line(print_("front"), print_("sleeve"), sizes=BOTH))[:2] == [
        ("front", "youth", 3),
        ("front", "adult", 4),
    ]
    nowhere = with_press(base, platens=("big", "sleeve", "double"))
    assert merged(nowhere, line(print_("front"), sizes=BOTH)) == [("front", "adult and youth", 7)]


@pytest.mark.parametrize(
    "youth",
    [
        line(print_(artwork="other"), sizes={"Y-S": 3}),
        line(print_(width_mm=190), sizes={"Y-S": 3}),
        line(print_("front", "cold film"), sizes={"Y-S": 3}),
        line(print_(transfers_in=datetime(2026, 3, 2, 10)), sizes={"Y-S": 3}),
        line(print_(), sizes={"Y-S": 3}, garments_in=datetime(2026, 3, 2, 10)),
        line(print_(), sizes={"Y-S": 3}, fabric="blend"),
    ],
    ids=["artwork", "size", "transfer", "transfers in", "garments in", "recipe"],
)
def test_what_differs_otherwise_stays_apart(youth: OrderLine) -> None:
    base = replace(shop(), recipes=(*shop().recipes, recipe(fabric="blend", temp_c=140)))
    assert [quantity for *_, quantity in merged(base, line(sizes={"M": 4}), youth)] == [4, 3]
    like = line(sizes={"Y-S": 3}, colour="red")
    assert [quantity for *_, quantity in merged(base, line(sizes={"M": 4}), like)] == [7]


def test_a_pair_for_one_group_alone_keeps_both_placements_apart() -> None:
    """The double platen takes adults only: adults may be pressed in pairs, youth sizes may not."""
    both = line(print_("front"), print_("sleeve"), sizes=BOTH)
    assert [group for _, group, _ in merged(shop(), both)] == ["adult and youth"] * 2
    # Fronts lie on the double platen too; the big one and the sleeve platen take everybody.
    base = with_platen(shop(), "double", size_groups=("adult",))
    base = with_placement(base, "front", pairs_with=("sleeve",))
    groups = merged(base, both)
    assert groups == [
        ("front", "youth", 3),
        ("front", "adult", 4),
        ("sleeve", "youth", 3),
        ("sleeve", "adult", 4),
    ]
    # Without a pair in sight, sleeves are alike: only the sleeve platen does them.
    assert merged(base, line(print_("sleeve"), sizes=BOTH)) == [("sleeve", "adult and youth", 7)]


def test_pairs_stay_pairs_when_only_one_placement_differs() -> None:
    """Fronts are laid elsewhere on youth sizes; sleeves merge no more than the pairs allow."""
    base = with_placement(shop(), "front", positions={"": "centred", "youth": "higher"})
    both = order("1", line(print_("front"), print_("sleeve"), sizes=BOTH))
    problem = build_day(base, (both,), MONDAY)
    assert {"1-front+sleeve adult", "1-front+sleeve youth"} <= set(problem.contents)


def test_the_same_print_twice_is_two_runs_of_both_groups() -> None:
    assert merged(shop(), line(print_(), print_(), sizes=BOTH)) == [("front", "adult and youth", 7)] * 2


def test_runs_that_nothing_can_press_keep_their_own_reasons() -> None:
    base = with_press(shop(), temp_max_c=155)
    cold = line(print_("front", "cold film"), sizes=BOTH)
    assert len(merged(base, cold)) == 2


def test_garments_of_a_merged_run_are_held_once() -> None:
    """Backs apart, fronts together: the front shares garments with both backs, in that order."""
    base = with_placement(shop(), "back", positions={"": "centred", "youth": "higher"}, after=("front",))
    both = order("1", line(print_("front"), print_("back"), sizes=BOTH))
    problem = build_day(base, (both,), MONDAY)
    assert list(problem.contents) == ["1-front", "1-back youth", "1-back adult"]
    content = problem.contents["1-front"]
    assert (content.size_group, [(p.size, p.quantity) for p in content.pieces]) == (
        "adult and youth",
        [("M", 4), ("Y-S", 3)],
    )
    bundles = {task.id: set(task.bundles) for task in problem.instance.tasks}
    assert bundles["1-front"] == bundles["1-back youth"] | bundles["1-back adult"]
    assert {(pair.before, pair.after) for pair in problem.instance.precedences} == {
        ("1-front", "1-back youth"),
        ("1-front", "1-back adult"),
    }
    _, verdict = checked(problem, one_by_one(problem, [(name, "Main / big", "Ann") for name in bundles]))
    assert verdict.values["left_over"] == 0
