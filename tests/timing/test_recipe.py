"""Parts of a cycle that are held longer than the recipe says."""

from __future__ import annotations

from datetime import datetime
from fractions import Fraction

import pytest

from scheduler.domain.faults import Source
from scheduler.domain.orders import Order, OrderLine, Print, Sized
from scheduler.domain.shop import Element, Peel, Pressure, Recipe, Setup, Shop
from scheduler.domain.studies import Held, Reading, Studied
from scheduler.intake import default_shop
from scheduler.timing.allowance import Allowance
from scheduler.timing.recipe import Longer, longer_than_recipe, shorter_than_recipe, touched_by
from scheduler.timing.study import ElementStudy, work_out


def recipe(transfer: str, fabric: str, *, dwell: int = 12, pre: int = 0, second: int = 0) -> Recipe:
    return Recipe(
        transfer=transfer,
        fabric=fabric,
        temp_c=150,
        pressure=Pressure.MEDIUM,
        pre_press_s=pre,
        dwell_s=dwell,
        peel=Peel.HOT,
        second_press_s=second,
    )


def shop(*recipes: Recipe) -> Shop:
    usual = default_shop()
    return Shop(
        name="made up",
        presses=(),
        platens=(),
        placements=(),
        recipes=recipes,
        crew=(),
        hours={},
        elements=usual.elements,
    )


SHOP = shop(
    recipe("film", "cotton", second=6),
    recipe("film", "polyester", second=6, dwell=10),
    recipe("vinyl", "cotton"),
)


def timed(
    part: str,
    *seconds: float,
    transfer: str = "film",
    fabric: str = "cotton",
    set_up: str = "",
    rating: str = "1",
) -> tuple[ElementStudy, ...]:
    studied = Studied(element=part, set_up=set_up, transfer=transfer, fabric=fabric)
    readings = [
        Reading(
            studied=studied,
            seconds=Fraction(str(second)),
            rating=Fraction(rating),
            source=Source(file="made up"),
        )
        for second in seconds
    ]
    return work_out(readings, Allowance(share=Fraction(0)))


def longer(*studies: ElementStudy, at: Shop = SHOP) -> tuple[Longer, ...]:
    return longer_than_recipe(studies, at)[0]


def test_a_dwell_beyond_the_recipe_is_named_with_its_seconds() -> None:
    (one,) = longer(*timed("dwell", 18, 18, 17, 19))
    assert (one.part, one.recipe_s, one.held_s, one.extra_s, one.sure) == (Held.DWELL, 12, 18, 6, True)


def test_a_second_press_that_the_recipe_does_not_have_costs_its_handling_too() -> None:
    """By hand: 8 s held and, at a plain press, 6 s to cover, close and open."""
    (one,) = longer(*timed("second press", 8, 8, 8, transfer="vinyl", set_up="plain"))
    assert one.recipe_s == 0
    assert one.handling_s == Fraction(str(SHOP.elements[Element.SECOND_PRESS, Setup.PLAIN])) == 6
    assert one.extra_s == 14
    (unsaid,) = longer(*timed("second press", 8, 8, 8, transfer="vinyl"))
    assert (unsaid.handling_s, unsaid.extra_s) == (0, 8)
    (has_one,) = longer(*timed("second press", 8, 8, 8, set_up="plain"))
    assert (has_one.handling_s, has_one.extra_s) == (0, 2)


@pytest.mark.parametrize("seconds", [(12, 12, 12), (11, 11, 11), (12.4, 12.4, 12.4), (9, 18, 11, 15)])
def test_what_may_lie_within_the_recipe_is_not_named(seconds: tuple[float, ...]) -> None:
    """The last: a mean of 13.25 s, but by Student's t anything from 6.9 s on."""
    assert longer(*timed("dwell", *seconds)) == ()


def test_half_a_second_more_is_named_when_it_is_sure() -> None:
    assert longer(*timed("dwell", 12.5, 12.5, 12.5))[0].extra_s == Fraction(1, 2)


def test_a_part_held_shorter_than_the_recipe_is_named() -> None:
    (one,) = shorter_than_recipe(timed("second press", 2, 2, 2), SHOP)
    assert (one.part, one.recipe_s, one.held_s, one.sure) == (Held.SECOND_PRESS, 6, 2, True)
    (single,) = shorter_than_recipe(timed("dwell", 8), SHOP)
    assert not single.sure


@pytest.mark.parametrize("seconds", [(12, 12, 12), (13, 13), (11.6, 11.6, 11.6), (15, 6, 13, 9)])
def test_what_may_be_as_long_as_the_recipe_is_not_called_shorter(seconds: tuple[float, ...]) -> None:
    """The last: a mean of 10.75 s, but by Student's t up to 17.2 s."""
    assert shorter_than_recipe(timed("dwell", *seconds), SHOP) == ()


def test_a_single_reading_is_named_but_not_sure() -> None:
    (one,) = longer(*timed("pre-press", 5))
    assert (one.part, one.extra_s, one.sure) == (Held.PRE_PRESS, 5, False)


def test_a_rating_has_no_part_in_what_the_press_holds() -> None:
    assert longer(*timed("dwell", 13, 13, 13, rating="0.5"))[0].held_s == 13


def test_without_a_fabric_recipes_must_agree_on_the_part() -> None:
    """Dwell differs between cotton and polyester, the second press doesn't."""
    found, without = longer_than_recipe(timed("dwell", 18, 18, fabric=""), SHOP)
    assert (found, [str(one) for one in without]) == ((), ["dwell, film"])
    (one,) = longer(*timed("second press", 9, 9, fabric=""))
    assert one.extra_s == 3


def test_handling_is_no_matter_of_the_recipe() -> None:
    assert longer_than_recipe(timed("load", 99, 99), SHOP) == ((), ())


def test_a_transfer_without_a_recipe_is_told() -> None:
    found, without = longer_than_recipe(timed("dwell", 18, transfer="patch"), SHOP)
    assert (found, len(without)) == ((), 1)


def order(id_: str, fabric: str, quantity: int, *transfers: str) -> Order:
    prints = tuple(
        Print(placement=f"place {number}", transfer=transfer, artwork="a", width_mm=90, height_mm=90)
        for number, transfer in enumerate(transfers)
    )
    sizes = (Sized(size="M", quantity=quantity),)
    line = OrderLine(garment="shirt", colour="red", fabric=fabric, sizes=sizes, prints=prints)
    return Order(id=id_, customer="C", cut_off=datetime(2027, 3, 9, 16), lines=(line,))


def test_the_order_lines_that_it_touches() -> None:
    orders = [
        order("1", "cotton", 10, "film", "vinyl", "film"),
        order("2", "polyester", 20, "film"),
        order("3", "cotton", 40, "vinyl"),
    ]
    (one,) = longer(*timed("dwell", 18, 18))
    touched = [(each.order.id, each.one.placement, each.quantity) for each in touched_by(one, orders)]
    assert touched == [("1", "place 0", 10), ("1", "place 2", 10)]
    (any_fabric,) = longer(*timed("second press", 9, 9, fabric=""))
    assert [each.order.id for each in touched_by(any_fabric, orders)] == ["1", "1", "2"]
