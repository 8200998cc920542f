"""One operator at two self-opening presses: which runs may be done so, and in what time a garment.

Garments alternate. While one press is closed the operator peels, unloads and loads at the other; a
press opens by itself, so that a garment never gets more than its dwell. The round of both presses is
the longest of what either of them needs for a garment and what the operator needs for both:

    round = max(l1 + m1, l2 + m2, l1 + l2 + 2 w)

with l the operator's time at a press, m the time in which it works alone, w the walk to the other one;
a garment takes half of it. Source: B. W. Niebel and A. Freivalds, *Methods, Standards, and Work
Design*, synchronous servicing; for presses alike it is their cycle for two machines.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace
from fractions import Fraction

from scheduler.domain.instance import Mode
from scheduler.domain.shop import Element, Operator, Peel, Platen, Press, PressPair, Recipe, Shop
from scheduler.domain.times import exact
from scheduler.planning.cycle import elements_of
from scheduler.planning.fits import Way, able, takes_recipe

LAST_ONE = 1
"""Garments by which a run takes longer than its rounds say: the last one has nobody to alternate with."""


def timed_pieces(mode: Mode, pieces: int) -> int:
    """For how many cycles so many garments last in a mode."""
    return pieces if mode.mate is None else pieces + LAST_ONE


@dataclass(frozen=True, slots=True, kw_only=True)
class Side:
    """What a garment takes at one of the presses, in seconds.

    Attributes
    ----------
    attended
        The operator's part: handling, and what is pressed before and after the dwell, which is too short
        to leave.
    alone
        The dwell and the opening, with nobody there.
    """

    attended: Fraction
    alone: Fraction


def side(shop: Shop, press: Press, recipe: Recipe, *, transfers: int, turns: bool) -> Side:
    """A cycle at a self-opening press, parted.

    Raises
    ------
    KeyError
        When the shop gives no time for an element at this press's set-up.
    """
    seconds = {
        element: times * exact(shop.elements[element, press.setup])
        for element, times in elements_of(press, recipe, transfers=transfers, turns=turns)
    }
    alone = seconds.pop(Element.OPEN_SELF) + exact(recipe.dwell_s)
    attended = sum(seconds.values(), exact(recipe.pre_press_s) + exact(recipe.second_press_s))
    return Side(attended=attended, alone=alone)


def round_s(first: Side, second: Side, walk_s: Fraction) -> Fraction:
    """Seconds in which each of the two presses turns out one garment."""
    return max(
        first.attended + first.alone,
        second.attended + second.alone,
        first.attended + second.attended + 2 * walk_s,
    )


def waits_open(first: Side, second: Side, walk_s: Fraction) -> bool:
    """Whether a garment lies under an open press for a while, since the operator is still at the other."""
    both = round_s(first, second, walk_s)
    return both > min(first.attended + first.alone, second.attended + second.alone)


@dataclass(frozen=True, slots=True, kw_only=True)
class Beside:
    """A way to do a run at two presses.

    Attributes
    ----------
    crew
        Who may run both presses.
    cycle
        Seconds per garment, without allowance.
    """

    pair: PressPair
    first: Press
    second: Press
    platen: Platen
    crew: tuple[Operator, ...]
    cycle: Fraction


def ways_beside(
    shop: Shop,
    recipe: Recipe,
    ways: tuple[Way, ...],
    *,
    transfers: int,
    turns: bool,
    personal: Fraction,
) -> Iterator[Beside]:
    """The ways at two presses that follow from those at each of them.

    A platen of the kind lies on each press. What is peeled hot must not lie and cool: it goes to two
    presses only where the operator is there whenever one of them opens. What comes back for a second pressing
    after it has cooled breaks the round, and goes to one press (both: common practice, no source).

    Parameters
    ----------
    personal
        Seconds more for a garment with a name or number of its own, on average.
    """
    if recipe.second_press_s and recipe.cooling_s:
        return
    by_place: Mapping[tuple[str, str], Way] = {(way.press.name, way.platen.name): way for way in ways}
    for pair in shop.press_pairs:
        for platen in shop.platens:
            one, other = (by_place.get((name, platen.name)) for name in (pair.first, pair.second))
            if one is None or other is None or platen.count < 2:
                continue
            crew = tuple(person for person in one.crew if person in other.crew)
            if not crew or not (one.press.self_opening and other.press.self_opening):
                continue
            first, second = (
                side(shop, way.press, recipe, transfers=transfers, turns=turns) for way in (one, other)
            )
            first = Side(attended=first.attended + personal, alone=first.alone)
            second = Side(attended=second.attended + personal, alone=second.alone)
            walk_s = exact(pair.walk_s)
            if recipe.peel is Peel.HOT and waits_open(first, second, walk_s):
                continue
            yield Beside(
                pair=pair,
                first=one.press,
                second=other.press,
                platen=platen,
                crew=crew,
                cycle=round_s(first, second, walk_s) / 2,
            )


def recipes_beside(shop: Shop, pair: PressPair) -> tuple[Recipe, ...]:
    """The recipes by which garments with one transfer can be pressed at both presses of a pair.

    Whatever the artwork and the sizes are, which decide between the platens that both presses take.

    Raises
    ------
    KeyError
        When the shop gives no time for an element at the set-up of one of the presses.
    """
    presses = [press for press in shop.presses if press.name in (pair.first, pair.second)]
    of_pair = replace(shop, press_pairs=(pair,))

    def at_both(recipe: Recipe) -> bool:
        ways = tuple(
            Way(press=press, platen=platen, crew=able(shop, press))
            for press in presses
            for platen in shop.platens
            if takes_recipe(shop, press, platen, recipe, None) is None
        )
        found = ways_beside(of_pair, recipe, ways, transfers=1, turns=False, personal=Fraction(0))
        return next(found, None) is not None

    return tuple(recipe for recipe in shop.recipes if at_both(recipe))
