"""Two placements in one closing."""

from __future__ import annotations

from dataclasses import replace
from datetime import datetime

import pytest

from scheduler.domain.orders import Print
from scheduler.domain.shop import Peel, Pressure, Shop
from scheduler.planning.pairs import find_pairs, matchings, may_pair, order_holds, pair_ways
from scheduler.planning.placements import Run, split_order
from tests.planning.shops import (
    line,
    order,
    person,
    placement,
    platen,
    print_,
    recipe,
    shop,
    with_placement,
    with_platen,
    with_press,
)

OPENS = datetime(2026, 3, 2, 8)
FRONT, SLEEVE = print_("front"), print_("sleeve")


def runs_of(base: Shop, *prints: Print, **changes: object) -> tuple[Run, ...]:
    return split_order(base, order("1", line(*prints, **changes)), OPENS)


def pairs_of(base: Shop, *prints: Print) -> list[tuple[str, ...]]:
    found, _ = find_pairs(base, runs_of(base, *prints))
    return [tuple(run.placement.name for run in pair.runs) for pair in found]


def test_a_pair_and_how_it_is_pressed() -> None:
    base = shop()
    (pair,), refused = find_pairs(base, runs_of(base, FRONT, SLEEVE))
    assert [(way.press.name, way.platen.name) for way in pair.ways] == [("Main", "double")]
    assert pair.at == (0, 1)
    assert refused == ()


def test_either_placement_may_allow_the_pair() -> None:
    assert pairs_of(shop(), FRONT, SLEEVE) == [("front", "sleeve")]
    other = with_placement(with_placement(shop(), "front", pairs_with=()), "sleeve", pairs_with=("front",))
    assert pairs_of(other, FRONT, SLEEVE) == [("front", "sleeve")]
    neither = with_placement(shop(), "front", pairs_with=())
    assert pairs_of(neither, FRONT, SLEEVE) == []


@pytest.mark.parametrize(
    "changes",
    [
        {"temp_c": 155},
        {"pressure": Pressure.FIRM},
        {"dwell_s": 13},
        {"pre_press_s": 3},
        {"peel": Peel.WARM},
        {"second_press_s": 5},
    ],
    ids=lambda changes: next(iter(changes)),
)
def test_settings_must_be_the_same(changes: dict[str, object]) -> None:
    other = print_("sleeve", "other film")
    same = replace(shop(), recipes=(recipe(), recipe("other film")))
    assert pairs_of(same, FRONT, other) == [("front", "sleeve")]
    unlike = replace(shop(), recipes=(recipe(), recipe("other film", **changes)))
    assert pairs_of(unlike, FRONT, other) == []


def test_pieces_must_be_the_same() -> None:
    base = shop()
    lines = (line(FRONT, SLEEVE), line(FRONT))
    runs = split_order(base, order("1", *lines), OPENS)
    assert not may_pair(*runs)
    runs = split_order(base, order("1", lines[0], line(FRONT, SLEEVE)), OPENS)
    assert may_pair(*runs)


@pytest.mark.parametrize(
    ("width", "height", "fits"), [(100, 100, True), (101, 100, False), (100, 101, False)]
)
def test_both_must_fit_their_places(width: int, height: int, fits: bool) -> None:
    """The second place is 120 x 120 mm: 100 x 100 mm with a rim of 10 mm."""
    sleeve = print_("sleeve", width_mm=width, height_mm=height)
    assert bool(pairs_of(shop(), FRONT, sleeve)) is fits


def test_pairs_are_not_turned() -> None:
    base = with_platen(shop(), "double", second_width_mm=200, second_height_mm=100)
    assert pairs_of(base, FRONT, print_("sleeve", width_mm=180, height_mm=80)) == [("front", "sleeve")]
    assert pairs_of(base, FRONT, print_("sleeve", width_mm=80, height_mm=180)) == []


def test_places_may_be_the_other_way_round() -> None:
    base = with_platen(
        shop(),
        "double",
        placements=("sleeve",),
        second_placements=("front",),
        second_width_mm=300,
        second_height_mm=300,
    )
    assert pairs_of(base, FRONT, SLEEVE) == [("front", "sleeve")]


@pytest.mark.parametrize(
    ("base", "reason"),
    [
        (
            with_platen(shop(), "double", placements=("back",)),
            "the double platen does not serve front and sleeve together",
        ),
        (
            with_platen(shop(), "double", second_width_mm=90),
            "the artwork of front and sleeve does not fit the two places of the double platen",
        ),
        (with_platen(shop(), "double", second_width_mm=None), "the artwork of front and sleeve does not fit"),
        (
            with_platen(shop(), "double", size_groups=("youth",)),
            "the double platen does not take adult sizes",
        ),
        (with_press(shop(), platens=("big", "sleeve")), "Main does not take the double platen"),
        (with_press(shop(), temp_max_c=140), "Main goes up to 140 °C, the recipe needs 150 °C"),
        (with_press(shop(), skill="double"), "nobody has the skill double that Main needs"),
    ],
)
def test_refused_with_its_reason(base: Shop, reason: str) -> None:
    ways, refused = pair_ways(base, *runs_of(base, FRONT, SLEEVE))
    assert ways == ()
    assert [refusal.placement for refusal in refused] == ["front+sleeve"]
    assert refused[0].reason.startswith(reason)


def test_only_able_people() -> None:
    base = with_press(replace(shop(), crew=(person(), person("Bo", skills=("double",)))), skill="double")
    ways, _ = pair_ways(base, *runs_of(base, FRONT, SLEEVE))
    assert [who.name for who in ways[0].crew] == ["Bo"]


def three_way() -> Shop:
    """Front, sleeve and label may all be pressed with one another."""
    return replace(
        with_press(shop(), platens=("big", "double")),
        placements=(
            placement("front", pairs_with=("sleeve", "label")),
            placement("sleeve", pairs_with=("label",)),
            placement("label"),
            placement("back"),
        ),
        platens=(
            platen("big", placements=("front", "back", "sleeve", "label")),
            platen(
                "double",
                placements=("front", "sleeve"),
                second_placements=("sleeve", "label"),
                second_width_mm=300,
                second_height_mm=300,
            ),
        ),
    )


LABEL = print_("label")


def test_no_pair_around_what_comes_between() -> None:
    """With front before back and back before sleeve, front and sleeve can't be one closing."""
    assert pairs_of(shop(), FRONT, print_("back"), SLEEVE) == [("front", "sleeve")]
    base = with_placement(with_placement(shop(), "back", after=("front",)), "sleeve", after=("back",))
    assert pairs_of(base, FRONT, print_("back"), SLEEVE) == []
    # Without the back on the garment, nothing stands between them.
    assert pairs_of(base, FRONT, SLEEVE) == [("front", "sleeve")]


def test_no_pair_of_one_before_the_other() -> None:
    assert pairs_of(with_placement(shop(), "sleeve", after=("front",)), FRONT, SLEEVE) == []


def test_pairs_that_exclude_one_another_are_kept() -> None:
    assert pairs_of(three_way(), FRONT, SLEEVE, LABEL) == [
        ("front", "sleeve"),
        ("front", "label"),
        ("sleeve", "label"),
    ]


def test_pairs_that_make_a_circle_together() -> None:
    """a+b and c+d: with a before c and d before b, either pair works but never both."""
    names = ("a", "b", "c", "d")
    places = {"second_placements": names, "second_width_mm": 300, "second_height_mm": 300}
    base = replace(
        shop(),
        placements=(
            placement("a", pairs_with=("b",)),
            placement("b", after=("d",)),
            placement("c", after=("a",), pairs_with=("d",)),
            placement("d"),
        ),
        platens=(platen("double", placements=names, **places),),
        presses=(replace(shop().presses[0], platens=("double",), mounted=None),),
    )
    assert pairs_of(base, *(print_(name) for name in names)) == [("a", "b")]
    runs = runs_of(base, *(print_(name) for name in names))
    assert order_holds(runs, ((0, 1),))
    assert order_holds(runs, ((2, 3),))
    assert not order_holds(runs, ((0, 1), (2, 3)))


def test_matchings() -> None:
    assert matchings([(0, 1), (2, 3)]) == [(), ((0, 1),), ((2, 3),), ((0, 1), (2, 3))]
    assert matchings([(0, 1), (1, 2)]) == [(), ((0, 1),), ((1, 2),)]
    every_pair = [(i, j) for i in range(4) for j in range(i + 1, 4)]
    # Involutions of four things: 10 (1, 1, 2, 4, 10, 26, ...).
    assert len(matchings(every_pair)) == 10
