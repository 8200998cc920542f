"""Pressing by the recipe: cycles that hold the press closed longer, shorter or more often than it says."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from fractions import Fraction

from scheduler.domain.orders import Order, OrderLine, Print
from scheduler.domain.shop import Element, Recipe, Setup, Shop
from scheduler.domain.studies import Held, Studied
from scheduler.domain.times import exact
from scheduler.timing.study import ElementStudy, half_width

LEAST_S = Fraction(1, 2)
"""Less than half a second from the recipe may be the hand on the stopwatch (own choice)."""

_HANDLING = {Held.PRE_PRESS: Element.PRE_PRESS, Held.SECOND_PRESS: Element.SECOND_PRESS}
"""What is done by hand for a part that a recipe may not have at all."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Longer:
    """A part of a cycle that takes longer than the recipe.

    Attributes
    ----------
    recipe_s
        0 where the recipe has no such part.
    held_s
        Mean of the readings.
    handling_s
        Closing and opening by hand for a part that the recipe doesn't have; 0 when it has it, or when the
        study says no press set-up.
    sure
        The mean lies above the recipe at the confidence that was asked; False for a single reading.
    """

    study: ElementStudy
    part: Held
    recipe: Recipe
    recipe_s: Fraction
    held_s: Fraction
    handling_s: Fraction
    sure: bool

    @property
    def extra_s(self) -> Fraction:
        """Seconds a garment beyond the recipe."""
        return self.held_s - self.recipe_s + self.handling_s


@dataclass(frozen=True, slots=True, kw_only=True)
class Shorter:
    """A part of a cycle that is held shorter than the recipe says; attributes as those of `Longer`."""

    study: ElementStudy
    part: Held
    recipe: Recipe
    recipe_s: Fraction
    held_s: Fraction
    sure: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class Touched:
    """A print of an order line that is pressed by a recipe."""

    order: Order
    line: OrderLine
    one: Print

    @property
    def quantity(self) -> int:
        return self.line.quantity


def longer_than_recipe(
    studies: Iterable[ElementStudy], shop: Shop, *, confidence: float = 0.95
) -> tuple[tuple[Longer, ...], tuple[Studied, ...]]:
    """Parts that are held longer than the recipe says.

    Parameters
    ----------
    studies
        All that was timed; only what the press holds is looked at. A rating says how fast a person works
        and has no part in it.
    shop
        Its recipes, and the handling that a part without a recipe costs.
    confidence
        For `Longer.sure`.

    Returns
    -------
    longer
        In the order of the studies. A part whose mean may lie within the recipe is not among them, nor one
        that is less than half a second above it.
    without
        What was timed of a part that the press holds, but with a transfer and fabric to which the shop has
        no one recipe.
    """
    found, without = [], []
    for study in studies:
        part = next((part for part in Held if part.value == study.studied.element), None)
        if part is None:
            continue
        recipes = _recipes(study.studied, shop)
        if len({_seconds(recipe, part) for recipe in recipes}) != 1:
            without.append(study.studied)
            continue
        one = _longer(study, part, recipes[0], shop, confidence)
        if one is not None:
            found.append(one)
    return tuple(found), tuple(without)


def shorter_than_recipe(
    studies: Iterable[ElementStudy], shop: Shop, *, confidence: float = 0.95
) -> tuple[Shorter, ...]:
    """Parts that are held shorter than the recipe says, by the same measure as those held longer.

    Parameters
    ----------
    studies, shop, confidence
        As of `longer_than_recipe`, which also says what has no one recipe.
    """
    found = []
    for study in studies:
        part = next((part for part in Held if part.value == study.studied.element), None)
        recipes = _recipes(study.studied, shop) if part is not None else []
        if part is None or len({_seconds(recipe, part) for recipe in recipes}) != 1:
            continue
        said, held = exact(_seconds(recipes[0], part)), study.mean_s
        sure = len(study.counted) > 1
        high = float(held)
        if sure:
            high *= 1 + half_width([reading.seconds for reading in study.counted], confidence)
        if said - held >= LEAST_S and high < said:
            found.append(
                Shorter(study=study, part=part, recipe=recipes[0], recipe_s=said, held_s=held, sure=sure)
            )
    return tuple(found)


def _recipes(studied: Studied, shop: Shop) -> list[Recipe]:
    """The recipes that a study may mean; without a fabric all of its transfer."""
    return [
        recipe
        for recipe in shop.recipes
        if recipe.transfer == studied.transfer and studied.fabric in ("", recipe.fabric)
    ]


def _seconds(recipe: Recipe, part: Held) -> int:
    return {
        Held.PRE_PRESS: recipe.pre_press_s,
        Held.DWELL: recipe.dwell_s,
        Held.SECOND_PRESS: recipe.second_press_s,
    }[part]


def _longer(study: ElementStudy, part: Held, recipe: Recipe, shop: Shop, confidence: float) -> Longer | None:
    said, held = exact(_seconds(recipe, part)), study.mean_s
    if held - said < LEAST_S:
        return None
    sure = False
    if len(study.counted) > 1:
        times = [reading.seconds for reading in study.counted]
        sure = float(held) * (1 - half_width(times, confidence)) > said
        if not sure:
            return None
    handling = Fraction(0)
    if not said and part in _HANDLING and study.studied.set_up in list(Setup):
        handling = exact(shop.elements[_HANDLING[part], Setup(study.studied.set_up)])
    return Longer(
        study=study,
        part=part,
        recipe=recipe,
        recipe_s=said,
        held_s=held,
        handling_s=handling,
        sure=sure,
    )


def touched_by(longer: Longer, orders: Iterable[Order]) -> tuple[Touched, ...]:
    """The prints that are pressed by that recipe, in the order of the orders.

    Two prints of a garment that are pressed in one closing count twice: which are is the plan's to say.
    """
    fabrics = {longer.recipe.fabric} if longer.study.studied.fabric else None
    return tuple(
        Touched(order=order, line=line, one=one)
        for order in orders
        for line in order.lines
        for one in line.prints
        if one.transfer == longer.recipe.transfer and (fabrics is None or line.fabric in fabrics)
    )
