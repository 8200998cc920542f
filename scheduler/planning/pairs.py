"""Two placements pressed in one closing on a two-placement platen."""

from __future__ import annotations

from dataclasses import dataclass

from scheduler.domain.day_problem import Refusal
from scheduler.domain.shop import Operator, Platen, Shop
from scheduler.planning.fits import No, Way, able, lies, plate, takes_recipe, takes_sizes
from scheduler.planning.placements import Run, settings_of

MOST_WEIGHED = 6
"""Above so many pairs on the same garments, the rare doubtful ones are left out unweighed."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Pair:
    """Two runs of the same garments that can be pressed together, and how.

    `at` holds their places in the sequence of runs that they were found in.
    """

    runs: tuple[Run, Run]
    at: tuple[int, int]
    ways: tuple[Way, ...]


def may_pair(a: Run, b: Run) -> bool:
    """Whether two runs are of the same pieces, the same settings, and allowed to go together."""
    return (
        a.order.id == b.order.id
        and a.portions == b.portions
        and settings_of(a.recipe) == settings_of(b.recipe)
        and (b.placement.name in a.placement.pairs_with or a.placement.name in b.placement.pairs_with)
    )


def pair_ways(
    shop: Shop, a: Run, b: Run, present: tuple[Operator, ...] | None = None
) -> tuple[tuple[Way, ...], tuple[Refusal, ...]]:
    """Press and two-placement platen combinations for two runs that may pair, and those refused."""
    ways: list[Way] = []
    refused: list[Refusal] = []
    for press in shop.presses:
        for platen in shop.platens:
            if not platen.takes_two:
                continue
            no = _room_for_both(shop, platen, a, b) or takes_sizes(platen, a.size_groups)
            no = no or takes_recipe(shop, press, platen, a.recipe, present)
            if no is None:
                ways.append(Way(press=press, platen=platen, crew=able(shop, press, present)))
            else:
                refused.append(
                    Refusal(
                        order=a.order.id,
                        placement=f"{a.placement.name}+{b.placement.name}",
                        press=press.name,
                        platen=platen.name,
                        reason=no.reason,
                    )
                )
    return tuple(ways), tuple(refused)


def _room_for_both(shop: Shop, platen: Platen, a: Run, b: Run) -> No | None:
    """None when one run's artwork fits the first place and the other's the second, neither turned."""
    serves = False
    for first, second in ((a, b), (b, a)):
        if first.placement.name in platen.placements and second.placement.name in platen.second_placements:
            serves = True
            if _fits(shop, first, (platen.width_mm, platen.height_mm)) and _fits(
                shop, second, (platen.second_width_mm or 0, platen.second_height_mm or 0)
            ):
                return None
    both = f"{a.placement.name} and {b.placement.name}"
    if not serves:
        return No(kind="placement", reason=f"{plate(platen)} does not serve {both} together")
    return No(kind="artwork", reason=f"the artwork of {both} does not fit the two places of {plate(platen)}")


def _fits(shop: Shop, run: Run, place: tuple[int, int]) -> bool:
    return lies(run.width_mm, run.height_mm, place, shop.allowances.margin_mm, turnable=False) is False


def find_pairs(
    shop: Shop, runs: tuple[Run, ...], present: tuple[Operator, ...] | None = None
) -> tuple[tuple[Pair, ...], tuple[Refusal, ...]]:
    """The pairs of runs that can be pressed together.

    A pair that would put a placement both before and after another (the shop wants something
    between the two) is left out, and so is one that would do so together with pairs found before.

    Parameters
    ----------
    runs
        Runs of one order that share garments, directly or through others.
    """
    pairs: list[Pair] = []
    places: list[tuple[int, int]] = []
    refused: list[Refusal] = []
    for i, a in enumerate(runs):
        for j in range(i + 1, len(runs)):
            b = runs[j]
            if not may_pair(a, b):
                continue
            ways, no = pair_ways(shop, a, b, present)
            refused.extend(no)
            if ways and _never_a_circle(runs, [*places, (i, j)]):
                pairs.append(Pair(runs=(a, b), at=(i, j), ways=ways))
                places.append((i, j))
    return tuple(pairs), tuple(refused)


def _never_a_circle(runs: tuple[Run, ...], pairs: list[tuple[int, int]]) -> bool:
    """Whether the shop's order holds whichever of the pairs are pressed together."""
    # Pressing more together can only add circles: when all at once leave none, no choice does.
    if order_holds(runs, tuple(pairs)):
        return True
    return len(pairs) <= MOST_WEIGHED and all(order_holds(runs, chosen) for chosen in matchings(pairs))


def matchings(pairs: list[tuple[int, int]]) -> list[tuple[tuple[int, int], ...]]:
    """All sets of pairs in which nothing occurs twice, the empty one first."""
    found: list[tuple[tuple[int, int], ...]] = [()]
    for pair in pairs:
        found += [(*chosen, pair) for chosen in found if all(set(pair).isdisjoint(other) for other in chosen)]
    return found


def goes_before(a: Run, b: Run) -> bool:
    """Whether the shop wants run `a` pressed before run `b` on garments that both hold."""
    return a.placement.name in b.placement.after and not set(a.atoms).isdisjoint(b.atoms)


def order_holds(runs: tuple[Run, ...], pairs: tuple[tuple[int, int], ...]) -> bool:
    """Whether the runs can be put in an order that the shop wants when these pairs go together."""
    unit = list(range(len(runs)))
    for first, second in pairs:
        old, new = unit[second], unit[first]
        unit = [new if index == old else index for index in unit]
    needs: dict[int, set[int]] = {index: set() for index in unit}
    for i, a in enumerate(runs):
        for j, b in enumerate(runs):
            if i != j and goes_before(a, b):
                needs[unit[j]].add(unit[i])
    while needs:
        free = [index for index, before in needs.items() if not before]
        if not free:
            return False
        for index in free:
            del needs[index]
        for before in needs.values():
            before.difference_update(free)
    return True
