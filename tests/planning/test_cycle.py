"""Cycle seconds and ticks of work, against figures from outside the project.

Sources: work measurement after ILO, *Introduction to Work Study*, 4th ed. (Kanawaty, ed., 1992);
cycle times by stopwatch (41, 30, 26, 46, 82, 100-120 s): common practice, no source.
"""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction

import pytest

from scheduler.domain.shop import Element, Peel, Setup
from scheduler.domain.times import exact
from scheduler.intake.shop.defaults import default_shop
from scheduler.planning.cycle import cycle_s, elements_of, fixed_ticks, pieces_within, work_ticks
from tests.planning.shops import press, recipe, shop, with_allowances

MAIN = recipe(dwell_s=12)


def default_cycle(*, transfers: int = 1, turns: bool = False, **setup: bool) -> Fraction:
    return cycle_s(default_shop(), press(**setup), MAIN, transfers=transfers, turns=turns)


def test_default_elements_give_the_timed_cycles() -> None:
    assert default_cycle() == 41
    assert default_cycle(platen_cover=True) == 30
    assert default_cycle(platen_cover=True, on_stand=True, self_opening=True) == 26
    assert default_cycle(transfers=2) == 46
    assert 2 * default_cycle() == 82


def test_two_pressings_with_turning_take_100_to_120_seconds() -> None:
    assert 100 <= default_cycle() + default_cycle(turns=True) <= 120


def test_a_cycle_is_the_sum_of_its_elements() -> None:
    # load 10, lay 4, close 2, dwell 12, open 2, peel 3, unload 5
    assert cycle_s(shop(), press(), MAIN, transfers=1, turns=False) == 38
    assert cycle_s(shop(), press(self_opening=True), MAIN, transfers=1, turns=False) == 37
    # two transfers: 4 + 3 s more; no peel: 2 x 3 s less
    assert cycle_s(shop(), press(), MAIN, transfers=2, turns=False) == 45
    assert cycle_s(shop(), press(), recipe(peel=Peel.NONE), transfers=2, turns=False) == 39
    assert cycle_s(shop(), press(), MAIN, transfers=1, turns=True) == 58


@pytest.mark.parametrize(
    ("changes", "seconds"),
    [
        ({}, 38),
        ({"pre_press_s": 4}, 38 + 2 + 4),
        ({"second_press_s": 6}, 38 + 5 + 6),
        ({"pre_press_s": 4, "second_press_s": 6}, 38 + 6 + 11),
    ],
)
def test_a_recipe_is_never_padded(changes: dict[str, int], seconds: int) -> None:
    assert cycle_s(shop(), press(), recipe(**changes), transfers=1, turns=False) == seconds


def test_elements_of_the_set_up_are_used() -> None:
    elements = dict(shop().elements) | {(Element.LOAD, Setup.COVER): 4.5}
    faster = replace(shop(), elements=elements)
    assert cycle_s(faster, press(platen_cover=True), MAIN, transfers=1, turns=False) == Fraction(65, 2)
    assert cycle_s(faster, press(), MAIN, transfers=1, turns=False) == 38


def test_only_elements_that_occur_are_named() -> None:
    names = [element for element, _ in elements_of(press(), MAIN, transfers=1, turns=False)]
    assert Element.PRE_PRESS not in names
    assert Element.TURN not in names
    assert dict(elements_of(press(), MAIN, transfers=2, turns=False))[Element.PEEL] == 2


def piece_s(relaxation: float, basic: Fraction) -> Fraction:
    """Seconds a garment with the allowance, by so many that ticks of a second hold them exactly."""
    bare = with_allowances(shop(), relaxation=relaxation, fetch_box_min=0.0, first_piece_min=0.0)
    return Fraction(work_ticks(bare, 10_000, basic, 1.0, 1), 10_000)


def test_the_allowance_is_a_share_of_basic_time() -> None:
    """41 s with 11 % of basic time is 45.51 s; as a share of the shift it would be 46.07 s."""
    assert piece_s(0.11, Fraction(41)) == exact("45.51")


@pytest.mark.parametrize(
    ("observed", "rating", "allowance", "standard"),
    [(41, 95, 0.15, "44.7925"), (41, 100, 0.11, "45.51"), (12, 120, 0.12, "16.128")],
)
def test_standard_times(observed: int, rating: int, allowance: float, standard: str) -> None:
    """Basic time is observed x rating / 100; 0.20 min at rating 120 with 12 % is 0.2688 min."""
    basic = Fraction(observed * rating, 100)
    assert piece_s(allowance, basic) == exact(standard)


@pytest.mark.parametrize(
    ("cycle", "relaxation", "pieces"), [(41, 0.0, 636), (41, 0.11, 573), (30, 0.11, 783), (26, 0.11, 904)]
)
def test_capacity_of_a_shift(cycle: int, relaxation: float, pieces: int) -> None:
    """480 min of shift, less 30 min of breaks and 15 min of warm-up, are 26 100 s; whole pieces only."""
    bare = with_allowances(shop(), relaxation=relaxation, fetch_box_min=0.0, first_piece_min=0.0)
    assert pieces_within(bare, 4350, Fraction(cycle), 1.0, 6) == pieces
    assert work_ticks(bare, pieces, Fraction(cycle), 1.0, 6) <= 4350
    assert work_ticks(bare, pieces + 1, Fraction(cycle), 1.0, 6) > 4350


def test_each_part_is_rounded_up_once() -> None:
    # 7 x 38 = 266 s: 44.33 ticks, 45; fixed part 2 min: 20 ticks
    assert work_ticks(shop(), 7, Fraction(38), 1.0, 6) == 45 + 20
    # 61 s of fixed part: 10.17 ticks, 11
    odd = with_allowances(shop(), fetch_box_min=1.0, first_piece_min=1 / 60)
    assert fixed_ticks(with_allowances(odd, first_piece_min=0.0), 6) == 10
    assert fixed_ticks(odd, 6) == 11


def test_pace_works_on_the_pressing_only() -> None:
    # 10 x 38 / 0.8 = 475 s: 79.17 ticks, 80
    assert work_ticks(shop(), 10, Fraction(38), 0.8, 6) == 80 + 20
    # 10 x 39.6 / 1.1 = 360 s exactly: no tick too many from 1.1 in binary
    assert work_ticks(shop(), 10, exact("39.6"), 1.1, 6) == 60 + 20


def test_splitting_never_shortens_the_work() -> None:
    for quantity in range(2, 40):
        whole = work_ticks(shop(), quantity, Fraction(38), 1.1, 6)
        for first in range(1, quantity):
            parts = [work_ticks(shop(), part, Fraction(38), 1.1, 6) for part in (first, quantity - first)]
            assert sum(parts) >= whole
            assert max(parts) < whole


def test_no_time_for_an_element() -> None:
    with pytest.raises(KeyError, match="LOAD"):
        cycle_s(replace(shop(), elements={}), press(), MAIN, transfers=1, turns=False)


@pytest.mark.parametrize(
    ("hands_on", "unattended", "seconds", "an_hour"),
    [(26, 15, 41, "87.8"), (15, 15, 30, "120.0"), (12, 30, 42, "85.7")],
)
def test_one_operator_at_one_press(hands_on: int, unattended: int, seconds: int, an_hour: str) -> None:
    """One press served by one operator: the cycle is load and unload plus press time.

    Source: formula after Niebel & Freivalds for N = 1 press, cycle = l + m; figures made for this
    project. A run of one operator at several presses is not planned yet.
    """
    idle = dict.fromkeys(default_shop().elements, 0)
    at_press = replace(default_shop(), elements={**idle, (Element.LOAD, Setup.PLAIN): hands_on})
    cycle = cycle_s(at_press, press(), recipe(dwell_s=unattended), transfers=1, turns=False)
    assert cycle == seconds
    assert f"{float(3600 / cycle):.1f}" == an_hour
