"""The default shop: its figures against the trade's, and its way through a workbook."""

from __future__ import annotations

from dataclasses import replace
from datetime import date, time
from pathlib import Path

import pytest

from scheduler.domain.shop import Element, OperatorHours, Peel, Pressure, Recipe, Setup, Shop
from scheduler.intake import default_shop, read_shop, scan_shop, write_shop
from tests.intake.books import bare


def cycle_s(
    shop: Shop, setup: Setup, recipe: Recipe, *, self_opening: bool, transfers: int = 1, turned: bool = False
) -> float:
    """Seconds for one garment: the sum of its elements and of the recipe's seconds."""
    seconds = {element: shop.elements[element, setup] for element in Element}
    total = seconds[Element.LOAD] + seconds[Element.CLOSE] + recipe.dwell_s + seconds[Element.UNLOAD]
    total += seconds[Element.OPEN_SELF if self_opening else Element.OPEN]
    total += transfers * (seconds[Element.LAY] + seconds[Element.PEEL])
    if recipe.pre_press_s:
        total += seconds[Element.PRE_PRESS] + recipe.pre_press_s
    if recipe.second_press_s:
        total += seconds[Element.SECOND_PRESS] + recipe.second_press_s
    return total + (seconds[Element.TURN] if turned else 0)


MAIN_PRESS_12_S = Recipe(
    transfer="any", fabric="any", temp_c=150, pressure=Pressure.MEDIUM, dwell_s=12, peel=Peel.HOT
)


@pytest.mark.parametrize(
    ("setup", "self_opening", "transfers", "seconds"),
    [
        (Setup.PLAIN, False, 1, 41),
        (Setup.COVER, False, 1, 30),
        (Setup.COVER_AND_STAND, True, 1, 26),
        (Setup.PLAIN, False, 2, 46),
    ],
)
def test_default_elements_give_the_cycles_timed_in_the_trade(
    setup: Setup, self_opening: bool, transfers: int, seconds: int
) -> None:
    # whole cycles by stopwatch, main press of 10-15 s: common practice, no published source
    got = cycle_s(default_shop(), setup, MAIN_PRESS_12_S, self_opening=self_opening, transfers=transfers)
    assert got == seconds


def test_two_pressings_and_turning() -> None:
    # 82 s as two pressings; 100 to 120 s when the garment is turned between: common practice, no source
    shop = default_shop()
    once = cycle_s(shop, Setup.PLAIN, MAIN_PRESS_12_S, self_opening=False)
    inside = cycle_s(shop, Setup.PLAIN, MAIN_PRESS_12_S, self_opening=False, turned=True)
    assert 2 * once == 82
    assert 100 <= once + inside <= 120


# By transfer type: least and most °C, least and most dwell (common practice, no published source).
TRANSFER_RANGES = {
    "film hot peel": (140, 160, 10, 15),
    "film cold peel": (150, 165, 10, 15),
    "screen-printed hot split": (175, 195, 6, 12),
    "screen-printed low bleed": (130, 165, 7, 15),
    "cut vinyl": (145, 165, 10, 20),
    "cut vinyl low heat": (120, 140, 10, 15),
    "flock vinyl": (155, 165, 15, 20),
    "sublimation": (190, 205, 35, 60),
    "patch": (150, 180, 15, 30),
    "neck label transfer": (130, 160, 4, 10),
}
# Most °C that fibres take for so long without marks or dye migration (common practice, no published source).
FABRIC_MOST = {"cotton": 180, "canvas": 180, "cotton-polyester blend": 140, "polyester": 140, "nylon": 140}


@pytest.mark.parametrize(
    "recipe", default_shop().recipes, ids=lambda recipe: f"{recipe.transfer} on {recipe.fabric}"
)
def test_default_recipes_lie_in_the_usual_ranges(recipe: Recipe) -> None:
    coolest, hottest, shortest, longest = TRANSFER_RANGES[recipe.transfer]
    assert coolest <= recipe.temp_c <= hottest
    assert shortest <= recipe.dwell_s <= longest
    if recipe.transfer != "sublimation":  # its dye has to move
        assert recipe.temp_c <= FABRIC_MOST[recipe.fabric]
    if recipe.peel is Peel.COLD:
        assert 30 <= recipe.cooling_s <= 60


def test_defaults_cover_every_transfer_and_fabric() -> None:
    shop = default_shop()
    assert {recipe.transfer for recipe in shop.recipes} == set(shop.spoilage) == set(TRANSFER_RANGES)
    assert {recipe.fabric for recipe in shop.recipes} == set(shop.fabrics) == set(FABRIC_MOST)


def test_default_shop_comes_back_from_its_workbook_without_a_fault_or_doubt(tmp_path: Path) -> None:
    path = tmp_path / "shop.xlsx"
    write_shop(default_shop(), path)
    shop, found = scan_shop(path)
    assert found == ()
    assert bare(shop) == bare(default_shop())
    assert [one.name for one in tmp_path.iterdir()] == ["shop.xlsx"]


def test_everything_a_shop_can_say_comes_back(tmp_path: Path) -> None:
    shop = default_shop()
    odd = replace(
        shop,
        name="Łódź & Söhne — ΑΒΓ 東京",
        presses=(replace(shop.presses[0], warm_up_min=None, circuit=None, mounted=None), *shop.presses[1:]),
        placements=(
            replace(shop.placements[0], after=("neck label",), turnable=False, pairs_with=("neck label",)),
            *shop.placements[1:],
        ),
        closed_days=(date(2026, 12, 25), date(2027, 1, 1)),
        hours={**shop.hours, 5: replace(shop.hours[0], overtime_end=None, close=time(12, 0))},
        allowances=replace(shop.allowances, relaxation=0.075, margin_mm=12, room_c=18, packing_piece_s=7.5),
        circuits=(replace(shop.circuits[0], continuous_share=1.0, amps=12.5), shop.circuits[1]),
        spoilage={**shop.spoilage, "patch": 0.005},
        crew=(
            replace(
                shop.crew[0],
                pace=1.1,
                hours={
                    **shop.crew[0].hours,
                    2: OperatorHours(start=time(9), end=time(13)),
                    5: OperatorHours(start=time(8), end=time(12), breaks=((time(10), time(10, 15)),)),
                },
            ),
            *shop.crew[1:],
        ),
        defaults=("Recipes", "Element times"),
    )
    path = tmp_path / "shop.xlsx"
    write_shop(odd, path)
    assert bare(read_shop(path)) == bare(odd)


def test_names_that_look_like_formulas_stay_text(tmp_path: Path) -> None:
    # spreadsheet programs run text that begins with = + - @ unless it is marked as text (CWE-1236)
    shop = default_shop()
    odd = replace(shop, name="=HYPERLINK(1)", crew=(replace(shop.crew[0], name="@SUM(A1)"), *shop.crew[1:]))
    path = tmp_path / "shop.xlsx"
    write_shop(odd, path)
    assert bare(read_shop(path)) == bare(odd)


def test_values_know_their_cells(tmp_path: Path) -> None:
    path = tmp_path / "my shop.xlsx"
    write_shop(default_shop(), path)
    shop = read_shop(path)
    assert str(shop.presses[0].source) == "my shop.xlsx, Presses!A4"
    assert str(shop.recipes[1].source) == "my shop.xlsx, Recipes!A5"
