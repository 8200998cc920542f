"""What must fit together across the sheets of a shop."""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Sequence
from itertools import product

from scheduler.domain.figures import nearest
from scheduler.domain.shop import Circuit, Placement, Platen, Press, Recipe, Shop
from scheduler.intake.cells.findings import shown
from scheduler.intake.cells.rows import Row

_HEATED_THICKNESS_M = 0.02
_ALUMINIUM_KG_PER_M3 = 2700
_ALUMINIUM_J_PER_KG_K = 897
_WORKING_C = 160
_IMPLAUSIBLE = 0.6
"""A warm-up below this part of what heating the plate alone takes is doubted.

The plate is taken as aluminium, as large as the largest platen and 20 mm thick (common practice, no source);
its heat capacity is a handbook's.
"""


def check_presses(
    presses: Sequence[tuple[Row, Press]], platens: Sequence[Platen], circuits: Sequence[Circuit], room_c: int
) -> None:
    """Circuits that carry the press alone, platens mounted no more often than owned, plausible warm-ups."""
    limits = {circuit.name: circuit for circuit in circuits}
    by_name = {platen.name: platen for platen in platens}
    mounted: Counter[str] = Counter()
    for row, press in presses:
        circuit = limits.get(press.circuit or "")
        if circuit and press.watts > circuit.limit_w:
            found = f"{press.watts} W on circuit {shown(circuit.name)}"
            expected = f"at most {circuit.limit_w} W, its share for long loads"
            mend = "Name another circuit, or correct the figures; ask a licensed electrician."
            row.fault("press-over-circuit", "watts", found, expected, mend)
        if press.mounted in by_name:
            platen = by_name[press.mounted]
            mounted[platen.name] += 1
            if mounted[platen.name] > platen.count:
                found = f"platen {shown(platen.name)} mounted on {mounted[platen.name]} presses"
                expected = f"at most {platen.count}, as many as are owned"
                row.fault(
                    "mounted-too-often",
                    "mounted",
                    found,
                    expected,
                    "Correct the platen, or how many are owned.",
                )
        _check_warm_up(row, press, [by_name[name] for name in press.platens if name in by_name], room_c)


def _check_warm_up(row: Row, press: Press, platens: Sequence[Platen], room_c: int) -> None:
    if press.warm_up_min is None or not platens:
        return
    area = max(platen.width_mm * platen.height_mm for platen in platens) / 1e6
    mass_kg = area * _HEATED_THICKNESS_M * _ALUMINIUM_KG_PER_M3
    rise = min(_WORKING_C, press.temp_max_c) - room_c
    least_min = mass_kg * _ALUMINIUM_J_PER_KG_K * rise / press.watts / 60
    if press.warm_up_min < _IMPLAUSIBLE * least_min:
        found = f"warm-up of {press.warm_up_min:g} min with {press.watts} W"
        expected = f"about {nearest(least_min)} min for a plate of that size"
        row.doubt(
            "warm-up-short",
            "warm_up_min",
            found,
            expected,
            "Time it from cold; a plan with too little is late.",
        )


def check_recipes(recipes: Sequence[tuple[Row, Recipe]], presses: Sequence[Press]) -> None:
    """Every recipe's temperature can be held by some press; there is at least one."""
    hottest = max(press.temp_max_c for press in presses)
    coolest = min(press.temp_min_c for press in presses)
    for row, recipe in recipes:
        if any(press.temp_min_c <= recipe.temp_c <= press.temp_max_c for press in presses):
            continue
        found = f"{recipe.temp_c} °C for {shown(recipe.transfer)} on {shown(recipe.fabric)}"
        mend = "Correct the temperature, or the range of the press that does it."
        if recipe.temp_c > hottest:
            row.fault("recipe-too-hot", "temp_c", found, f"at most {hottest} °C, the hottest press", mend)
        elif recipe.temp_c < coolest:
            row.fault("recipe-too-cool", "temp_c", found, f"at least {coolest} °C, the coolest press", mend)
        else:
            row.fault("recipe-no-press", "temp_c", found, "a temperature that a press holds", mend)


def check_circles(placements: Sequence[tuple[Row, Placement]]) -> None:
    """No placement comes after itself by way of others."""
    after = {placement.name: placement.after for _, placement in placements}
    rows = {placement.name: row for row, placement in placements}
    told: set[str] = set()
    for name in after:
        cycle = _cycle_from(name, after)
        if cycle and not told & set(cycle):
            told.update(cycle)
            path = " after ".join([*cycle, cycle[0]])
            expected = "an order that ends somewhere"
            rows[name].fault(
                "placements-in-a-circle", "after", path, expected, 'Clear "comes after" at one of them.'
            )


def check_placements_served(placements: Sequence[tuple[Row, Placement]], platens: Sequence[Platen]) -> None:
    """Each placement is served by some platen."""
    served = {name for platen in platens for name in (*platen.placements, *platen.second_placements)}
    for row, placement in placements:
        if placement.name not in served:
            mend = "Add it to the placements of a platen; orders with it can't be pressed."
            row.doubt(
                "placement-without-platen",
                "name",
                f"placement {shown(placement.name)}",
                "a platen for it",
                mend,
            )


def _cycle_from(name: str, after: dict[str, tuple[str, ...]]) -> list[str] | None:
    """The names of a circle that comes back to `name`, or None."""
    stack: list[list[str]] = [[name]]
    seen: set[str] = set()
    while stack:
        path = stack.pop()
        for before in after.get(path[-1], ()):
            if before == name:
                return path
            if before not in seen:
                seen.add(before)
                stack.append([*path, before])
    return None


def check_platens_fit(platens: Sequence[tuple[Row, Platen]], presses: Sequence[Press]) -> None:
    """Every platen fits some press."""
    fitting = {name for press in presses for name in press.platens}
    for row, platen in platens:
        if platen.name not in fitting:
            mend = "Add it to the platens that fit a press; it is never used."
            row.doubt(
                "platen-without-press", "name", f"platen {shown(platen.name)}", "a press that it fits", mend
            )


def check_second_places(platens: Sequence[tuple[Row, Platen]], placements: Sequence[Placement]) -> None:
    """A second place holds a placement that may pair with one of the first."""
    pairs = {placement.name: placement.pairs_with for placement in placements}
    for row, platen in platens:
        both = product(platen.placements, platen.second_placements)
        if platen.takes_two and not any(b in pairs.get(a, ()) or a in pairs.get(b, ()) for a, b in both):
            mend = 'Fill in "may pair with" on sheet Placements; until then the second place is never used.'
            row.doubt(
                "second-place-unused",
                "second_placements",
                "no placement here may pair with one of the first place",
                "a pair that may be pressed together",
                mend,
            )


def check_use(shop: Shop, transfers: Sequence[tuple[Row, str]], fabrics: Sequence[tuple[Row, str]]) -> None:
    """Transfers and fabrics without any recipe are doubted: no order can use them."""
    used: dict[str, set[str]] = defaultdict(set)
    for recipe in shop.recipes:
        used["transfer"].add(recipe.transfer)
        used["fabric"].add(recipe.fabric)
    for what, rows in (("transfer", transfers), ("fabric", fabrics)):
        for row, name in rows:
            if name not in used[what]:
                mend = f"Add a recipe on sheet Recipes; orders with this {what} can't be pressed."
                row.doubt(
                    f"{what}-without-recipe", "name", f"{what} {shown(name)}", "at least one recipe", mend
                )
