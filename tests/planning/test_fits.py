"""Which press and platen can do a placement, and why the others can't."""

from __future__ import annotations

from dataclasses import replace
from datetime import datetime

import pytest

from scheduler.domain.shop import Shop
from scheduler.planning.fits import lies, lies_turned, refuse, size_that_fits, ways_of, why_nothing
from scheduler.planning.placements import Run, split_order
from tests.planning.shops import (
    line,
    order,
    person,
    press,
    print_,
    recipe,
    shop,
    with_platen,
    with_press,
)

OPENS = datetime(2026, 3, 2, 8)


def run_of(base: Shop, place: str = "front", sizes: dict[str, int] | None = None, **changes: object) -> Run:
    return split_order(base, order("1", line(print_(place, **changes), sizes=sizes)), OPENS)[0]


def why(base: Shop, run: Run, platen: str = "big") -> str:
    no = refuse(base, run, base.presses[0], next(p for p in base.platens if p.name == platen))
    return "" if no is None else no.reason


def nothing(base: Shop, run: Run) -> str:
    ways, refused = ways_of(base, run)
    assert not ways
    return why_nothing(base, run, refused)


def test_what_fits() -> None:
    ways, refused = ways_of(shop(), run_of(shop()))
    assert [(way.press.name, way.platen.name, [who.name for who in way.crew]) for way in ways] == [
        ("Main", "big", ["Ann"]),
        ("Main", "double", ["Ann"]),
    ]
    assert [(refusal.platen, refusal.reason) for refusal, _ in refused] == [
        ("sleeve", "the sleeve platen does not serve the placement front")
    ]


def test_every_combination_is_a_way_or_has_a_reason() -> None:
    base = replace(shop(), presses=(press(), press("Small", platens=("sleeve",), mounted=None)))
    for place in ("front", "back", "sleeve"):
        ways, refused = ways_of(base, run_of(base, place))
        assert len(ways) + len(refused) == len(base.presses) * len(base.platens)
        assert all(no.reason for _, no in refused)


# The platen is 400 x 500 mm and the rim 10 mm, so 380 x 480 mm is the largest artwork.
@pytest.mark.parametrize(
    ("width", "height", "fits"),
    [
        (380, 480, False),
        (381, 480, None),
        (380, 481, None),
        (480, 380, True),
        (480, 381, None),
        (481, 380, None),
    ],
)
def test_artwork_with_its_rim(width: int, height: int, fits: bool | None) -> None:
    assert lies(width, height, (400, 500), 10, turnable=True) is fits
    assert lies(width, height, (400, 500), 10, turnable=False) is (False if fits is False else None)


def test_artwork_too_large() -> None:
    base = shop()
    assert why(base, run_of(base, width_mm=380, height_mm=480)) == ""
    assert why(base, run_of(base, width_mm=390, height_mm=480)) == (
        "the artwork of 390 x 480 mm with a rim of 10 mm needs 410 x 500 mm; the big platen has 400 x 500 mm"
    )


def test_turning_where_the_placement_allows() -> None:
    base = shop()
    run = run_of(base, width_mm=480, height_mm=300)
    assert why(base, run) == ""
    assert lies_turned(base, run.placement, 480, 300, base.platens[0])
    assert not lies_turned(base, run.placement, 300, 480, base.platens[0])
    fixed = replace(base, placements=tuple(replace(p, turnable=False) for p in base.placements))
    assert "500 x 320 mm, and it may not be turned" in why(fixed, run_of(fixed, width_mm=480, height_mm=300))


def test_size_groups() -> None:
    youth = with_platen(shop(), "big", size_groups=("youth",))
    assert why(youth, run_of(youth, sizes={"Y-S": 1})) == ""
    assert why(youth, run_of(youth)) == "the big platen does not take adult sizes"
    assert (
        why(youth, run_of(youth, sizes={"odd": 1})) == "the big platen does not take sizes of no size group"
    )
    assert why(shop(), run_of(shop(), sizes={"odd": 1})) == ""


def test_press_does_not_take_the_platen() -> None:
    base = with_press(shop(), platens=("sleeve",), mounted=None)
    assert why(base, run_of(base)) == "Main does not take the big platen"


@pytest.mark.parametrize(
    ("least", "most", "reason"),
    [
        (100, 150, ""),
        (150, 200, ""),
        (100, 149, "Main goes up to 149 °C, the recipe needs 150 °C"),
        (151, 200, "Main starts at 151 °C, the recipe needs 150 °C"),
    ],
)
def test_temperature_range(least: int, most: int, reason: str) -> None:
    base = with_press(shop(), temp_min_c=least, temp_max_c=most)
    assert why(base, run_of(base)) == reason


def test_skill() -> None:
    base = with_press(shop(), skill="caps")
    assert why(base, run_of(base)) == "nobody has the skill caps that Main needs"
    able = replace(base, crew=(person(), person("Cap", skills=("caps",))))
    assert why(able, run_of(able)) == ""
    assert [who.name for who in ways_of(able, run_of(able))[0][0].crew] == ["Cap"]


def test_nobody_able_is_there() -> None:
    base = with_press(replace(shop(), crew=(person(), person("Cap", skills=("caps",)))), skill="caps")
    ways, refused = ways_of(base, run_of(base), (base.crew[0],))
    assert not ways
    expected = "nobody who may run Main is there on the planned days"
    assert refused[0][1].reason == expected
    assert why_nothing(base, run_of(base), refused) == expected


def test_a_platen_named_platen_is_not_said_twice() -> None:
    base = replace(shop(), platens=(replace(shop().platens[1], name="Sleeve platen"),))
    assert why(base, run_of(base), "Sleeve platen") == "the Sleeve platen does not serve the placement front"


def test_nothing_serves() -> None:
    base = with_platen(with_platen(shop(), "big", placements=("back",)), "double", placements=("back",))
    assert nothing(base, run_of(base)) == "no platen serves the placement front"


def test_no_press_takes_the_platen_above_a_temperature() -> None:
    base = replace(
        shop(),
        presses=(press(temp_max_c=200, platens=("big",)), press("Side", temp_max_c=160, platens=("sleeve",))),
        recipes=(recipe(temp_c=180),),
    )
    expected = "no press takes the sleeve platen above 160 °C, the recipe needs 180 °C"
    assert nothing(base, run_of(base, "sleeve")) == expected
    low = replace(base, recipes=(recipe(temp_c=90),))
    expected = "no press takes the sleeve platen below 100 °C, the recipe needs 90 °C"
    assert nothing(low, run_of(low, "sleeve")) == expected


def test_no_press_between_two_ranges() -> None:
    presses = (press(temp_max_c=140), press("Hot", temp_min_c=160, mounted=None))
    base = replace(shop(), presses=presses)
    expected = "no press that takes the sleeve platen can be set to 150 °C"
    assert nothing(base, run_of(base, "sleeve")) == expected


def test_reasons_of_several_platens() -> None:
    base = with_press(with_platen(shop(), "big", size_groups=("youth",)), platens=("big", "sleeve"))
    expected = "the big platen does not take adult sizes; no press takes the double platen"
    assert nothing(base, run_of(base)) == expected


def test_no_skill_for_any() -> None:
    base = with_press(shop(), skill="caps")
    expected = "nobody has the skill caps that Main needs for the sleeve platen"
    assert nothing(base, run_of(base, "sleeve")) == expected


def test_the_largest_size_that_fits_is_named_where_it_is_the_size_alone() -> None:
    """The big platen is 400 x 500 mm, the youth one made here 260 x 300 mm, the rim 10 mm all round."""
    base = shop()
    wide = run_of(base, width_mm=390, height_mm=480)
    assert size_that_fits(base, wide) == (
        "On the big platen up to 380 x 480 mm fits, thus 380 x 467 mm in the same proportions."
    )
    long = run_of(base, width_mm=500, height_mm=300)
    assert "up to 480 x 380 mm fits, thus 480 x 288 mm" in size_that_fits(base, long)
    fixed = replace(base, placements=tuple(replace(p, turnable=False) for p in base.placements))
    assert "up to 380 x 480 mm fits, thus 380 x 228 mm" in size_that_fits(
        fixed, run_of(fixed, width_mm=500, height_mm=300)
    )
    small = replace(base.platens[0], name="youth", width_mm=260, height_mm=300, size_groups=("youth",))
    adult = with_platen(with_platen(base, "big", size_groups=("adult",)), "double", placements=())
    mixed = with_press(
        replace(adult, platens=(*adult.platens, small)), platens=("big", "double", "sleeve", "youth")
    )
    youth = run_of(mixed, sizes={"Y-S": 1}, width_mm=280, height_mm=350)
    assert "On the youth platen up to 240 x 280 mm fits, thus 224 x 280 mm" in size_that_fits(mixed, youth)
    hot = replace(base, recipes=tuple(replace(one, temp_c=230) for one in base.recipes))
    assert size_that_fits(hot, run_of(hot, width_mm=390, height_mm=480)) == ""
