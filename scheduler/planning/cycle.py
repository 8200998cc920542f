"""How long a run takes: cycle seconds from elements, then ticks of work at a person's pace."""

from __future__ import annotations

from fractions import Fraction
from functools import cache, lru_cache

from scheduler.domain.shop import Element, Peel, Press, Recipe, Shop
from scheduler.domain.times import exact, ticks_up

REMEMBERED = 1 << 16
"""Durations kept in mind: in a large shop the same one is asked for again and again."""


def elements_of(
    press: Press, recipe: Recipe, *, transfers: int, turns: bool
) -> tuple[tuple[Element, int], ...]:
    """The timed elements of one cycle at a press, each with how often it is done.

    Parameters
    ----------
    transfers
        Transfers laid for one closing, at least 1.
    turns
        The garment is turned inside out and back: an inside placement pressed by itself.
    """
    counted = [
        (Element.LOAD, 1),
        (Element.PRE_PRESS, 1 if recipe.pre_press_s else 0),
        (Element.LAY, transfers),
        (Element.CLOSE, 1),
        (Element.OPEN_SELF if press.self_opening else Element.OPEN, 1),
        (Element.PEEL, 0 if recipe.peel is Peel.NONE else transfers),
        (Element.SECOND_PRESS, 1 if recipe.second_press_s else 0),
        (Element.UNLOAD, 1),
        (Element.TURN, 1 if turns else 0),
    ]
    return tuple((element, times) for element, times in counted if times)


def cycle_s(shop: Shop, press: Press, recipe: Recipe, *, transfers: int, turns: bool) -> Fraction:
    """Seconds per garment, without allowance: the elements, and what the recipe says, never more.

    Parameters
    ----------
    transfers
        Transfers laid for one closing: 1, or 2 on a two-placement platen.
    turns
        The garment is turned inside out and back.

    Returns
    -------
    Fraction
        Exact seconds.

    Raises
    ------
    KeyError
        When the shop gives no time for an element at this press's set-up.
    """
    handling = sum(
        (
            times * exact(shop.elements[element, press.setup])
            for element, times in elements_of(press, recipe, transfers=transfers, turns=turns)
        ),
        Fraction(0),
    )
    return handling + exact(recipe.pre_press_s) + exact(recipe.dwell_s) + exact(recipe.second_press_s)


@lru_cache(maxsize=REMEMBERED)
def _piece_s(numerator: int, denominator: int, relaxation: float, pace: float) -> Fraction:
    """Seconds per garment with the relaxation allowance, at a person's pace.

    The allowance is a share of basic time: cycle x (1 + relaxation) / pace.
    Source: basic and standard time as in ILO, *Introduction to Work Study*, 4th ed.
    """
    # Whole numbers are found again far faster than fractions.
    return Fraction(numerator, denominator) * _factor(relaxation, pace)


def fixed_ticks(shop: Shop, tick_s: int) -> int:
    """Ticks for fetching the box and checking the first piece: once a run, whoever does it."""
    return _fixed(shop.allowances.fetch_box_min, shop.allowances.first_piece_min, tick_s)


@cache
def _factor(relaxation: float, pace: float) -> Fraction:
    return (1 + exact(relaxation)) / exact(pace)


@cache
def _fixed(fetch_box_min: float, first_piece_min: float, tick_s: int) -> int:
    return ticks_up(60 * (exact(fetch_box_min) + exact(first_piece_min)), tick_s)


@lru_cache(maxsize=REMEMBERED)
def _pressing_ticks(
    quantity: int, numerator: int, denominator: int, relaxation: float, pace: float, tick_s: int
) -> int:
    return ticks_up(quantity * _piece_s(numerator, denominator, relaxation, pace), tick_s)


@lru_cache(maxsize=REMEMBERED)
def _pieces(ticks: int, numerator: int, denominator: int, relaxation: float, pace: float, tick_s: int) -> int:
    return int(ticks * tick_s // _piece_s(numerator, denominator, relaxation, pace))


def work_ticks(shop: Shop, quantity: int, cycle: Fraction, pace: float, tick_s: int) -> int:
    """Ticks of pressing a run: the pressing part and the fixed part, each rounded up once.

    Parameters
    ----------
    quantity
        Garments, at least 1.
    cycle
        Seconds per garment without allowance.
    pace
        1.0 is the shop's standard; must be above 0.
    """
    relaxation = shop.allowances.relaxation
    pressing = _pressing_ticks(quantity, cycle.numerator, cycle.denominator, relaxation, pace, tick_s)
    return pressing + fixed_ticks(shop, tick_s)


def pieces_within(shop: Shop, ticks: int, cycle: Fraction, pace: float, tick_s: int) -> int:
    """The most garments whose run fits into so many ticks, rounded down; 0 when none."""
    left = ticks - fixed_ticks(shop, tick_s)
    relaxation = shop.allowances.relaxation
    return max(0, _pieces(left, cycle.numerator, cycle.denominator, relaxation, pace, tick_s))
