"""Which press and platen can do a placement, and for every other combination why not."""

from __future__ import annotations

from dataclasses import dataclass, replace
from fractions import Fraction

from scheduler.domain.day_problem import Refusal
from scheduler.domain.shop import Operator, Placement, Platen, Press, Recipe, Shop
from scheduler.planning.placements import Run


@dataclass(frozen=True, slots=True, kw_only=True)
class Way:
    """A press and platen that can do a run, and who may run that press."""

    press: Press
    platen: Platen
    crew: tuple[Operator, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class No:
    """Why a combination is refused.

    Attributes
    ----------
    kind
        What the reason is about, for grouping: "placement", "sizes", "artwork", "press",
        "temperature" or "crew".
    """

    kind: str
    reason: str


def plate(platen: Platen) -> str:
    """The platen in a sentence: "the sleeve platen"."""
    return f"the {platen.name}" if "platen" in platen.name.lower() else f"the {platen.name} platen"


def lies(
    width_mm: int, height_mm: int, place: tuple[int, int], margin_mm: int, *, turnable: bool
) -> bool | None:
    """How artwork lies on a place of a platen with a free rim all round.

    Returns
    -------
    bool or None
        False: straight; True: only turned by 90 degrees; None: it doesn't fit.
    """
    wide, high = width_mm + 2 * margin_mm, height_mm + 2 * margin_mm
    if wide <= place[0] and high <= place[1]:
        return False
    if turnable and high <= place[0] and wide <= place[1]:
        return True
    return None


def lies_turned(shop: Shop, placement: Placement, width_mm: int, height_mm: int, platen: Platen) -> bool:
    """Whether artwork must be turned by 90 degrees to fit the first place of a platen."""
    place = (platen.width_mm, platen.height_mm)
    return bool(lies(width_mm, height_mm, place, shop.allowances.margin_mm, turnable=placement.turnable))


def able(shop: Shop, press: Press, present: tuple[Operator, ...] | None = None) -> tuple[Operator, ...]:
    """Who may run a press, out of those present (all the crew when None)."""
    people = shop.crew if present is None else present
    return tuple(person for person in people if press.skill is None or press.skill in person.skills)


def takes_sizes(platen: Platen, size_groups: tuple[str, ...]) -> No | None:
    """None when garments of all these size groups go over the platen."""
    unfit = [group for group in size_groups if group not in platen.size_groups]
    if not platen.size_groups or not unfit:
        return None
    sizes = f"{unfit[0]} sizes" if unfit[0] else "sizes of no size group"
    return No(kind="sizes", reason=f"{plate(platen)} does not take {sizes}")


def takes_recipe(
    shop: Shop, press: Press, platen: Platen, recipe: Recipe, present: tuple[Operator, ...] | None
) -> No | None:
    """None when the press takes the platen, reaches the recipe's temperature and has somebody to run it."""
    if platen.name not in press.platens:
        return No(kind="press", reason=f"{press.name} does not take {plate(platen)}")
    if recipe.temp_c > press.temp_max_c:
        return No(
            kind="temperature",
            reason=f"{press.name} goes up to {press.temp_max_c} °C, the recipe needs {recipe.temp_c} °C",
        )
    if recipe.temp_c < press.temp_min_c:
        return No(
            kind="temperature",
            reason=f"{press.name} starts at {press.temp_min_c} °C, the recipe needs {recipe.temp_c} °C",
        )
    if not able(shop, press):
        return No(kind="crew", reason=f"nobody has the skill {press.skill} that {press.name} needs")
    if not able(shop, press, present):
        return No(kind="crew", reason=f"nobody who may run {press.name} is there on the planned days")
    return None


def refuse(
    shop: Shop, run: Run, press: Press, platen: Platen, present: tuple[Operator, ...] | None = None
) -> No | None:
    """None when a press and platen can do a run; else the first thing in the way.

    Parameters
    ----------
    present
        Who is there on the days that may be planned; None: all the crew.
    """
    placement, margin = run.placement, shop.allowances.margin_mm
    if placement.name not in platen.placements:
        return No(kind="placement", reason=f"{plate(platen)} does not serve the placement {placement.name}")
    refused = takes_sizes(platen, run.size_groups)
    if refused:
        return refused
    place = (platen.width_mm, platen.height_mm)
    if lies(run.width_mm, run.height_mm, place, margin, turnable=placement.turnable) is None:
        also = "" if placement.turnable else ", and it may not be turned"
        return No(
            kind="artwork",
            reason=f"the artwork of {run.width_mm} x {run.height_mm} mm with a rim of {margin} mm needs "
            f"{run.width_mm + 2 * margin} x {run.height_mm + 2 * margin} mm{also}; "
            f"{plate(platen)} has {platen.width_mm} x {platen.height_mm} mm",
        )
    return takes_recipe(shop, press, platen, run.recipe, present)


def ways_of(
    shop: Shop, run: Run, present: tuple[Operator, ...] | None = None
) -> tuple[tuple[Way, ...], tuple[tuple[Refusal, No], ...]]:
    """Every press and platen that can do a run, and every refused combination with its reason."""
    ways: list[Way] = []
    refused: list[tuple[Refusal, No]] = []
    for press in shop.presses:
        for platen in shop.platens:
            no = refuse(shop, run, press, platen, present)
            if no is None:
                ways.append(Way(press=press, platen=platen, crew=able(shop, press, present)))
            else:
                refusal = Refusal(
                    order=run.order.id,
                    placement=run.placement.name,
                    press=press.name,
                    platen=platen.name,
                    reason=no.reason,
                )
                refused.append((refusal, no))
    return tuple(ways), tuple(refused)


def has_way(shop: Shop, run: Run, present: tuple[Operator, ...] | None = None) -> bool:
    """Whether any press and platen can do a run by itself."""
    return any(
        refuse(shop, run, press, platen, present) is None for press in shop.presses for platen in shop.platens
    )


def why_nothing(shop: Shop, run: Run, refused: tuple[tuple[Refusal, No], ...]) -> str:
    """Why no press at all can do a run: the refusals, one short reason a platen.

    Platens that don't serve the placement are only named when none does; then comes what stands in
    the way of each that does: its size groups, its room, its presses, their heat, their operators.
    """
    serving = [platen for platen in shop.platens if run.placement.name in platen.placements]
    if not serving:
        return f"no platen serves the placement {run.placement.name}"
    reasons: list[str] = []
    for platen in serving:
        nos = [no for refusal, no in refused if refusal.platen == platen.name]
        by_kind = {no.kind: no.reason for no in reversed(nos)}
        for kind in ("sizes", "artwork"):
            if kind in by_kind:
                reasons.append(by_kind[kind])
                break
        else:
            reasons.append(_why_no_press(shop, run.recipe, platen))
    return "; ".join(dict.fromkeys(reasons))


def _why_no_press(shop: Shop, recipe: Recipe, platen: Platen) -> str:
    takers = [press for press in shop.presses if platen.name in press.platens]
    if not takers:
        return f"no press takes {plate(platen)}"
    hottest = max(press.temp_max_c for press in takers)
    if recipe.temp_c > hottest:
        return f"no press takes {plate(platen)} above {hottest} °C, the recipe needs {recipe.temp_c} °C"
    coolest = min(press.temp_min_c for press in takers)
    if recipe.temp_c < coolest:
        return f"no press takes {plate(platen)} below {coolest} °C, the recipe needs {recipe.temp_c} °C"
    in_range = [press for press in takers if press.temp_min_c <= recipe.temp_c <= press.temp_max_c]
    if not in_range:
        return f"no press that takes {plate(platen)} can be set to {recipe.temp_c} °C"
    skills = dict.fromkeys(press.skill for press in in_range if press.skill is not None)
    without = [skill for skill in skills if not any(skill in person.skills for person in shop.crew)]
    names = ", ".join(press.name for press in in_range)
    if without:
        return f"nobody has the skill {', '.join(without)} that {names} needs for {plate(platen)}"
    return f"nobody who may run {names} is there on the planned days"


def size_that_fits(shop: Shop, run: Run, present: tuple[Operator, ...] | None = None) -> str:
    """In words: the size up to which a run's artwork would fit, on the platen that needs the least less.

    Empty when it isn't for its size alone that nothing can press the run.
    """
    rim = 2 * shop.allowances.margin_mm
    best: tuple[Fraction, str] | None = None
    for platen in shop.platens:
        free = platen.width_mm - rim, platen.height_mm - rim
        if min(free) <= 0 or run.placement.name not in platen.placements:
            continue
        ways = (free, free[::-1]) if run.placement.turnable else (free,)
        for width, height in ways:
            small = replace(run, width_mm=min(run.width_mm, width), height_mm=min(run.height_mm, height))
            if all(refuse(shop, small, press, platen, present) for press in shop.presses):
                continue
            share = min(Fraction(width, run.width_mm), Fraction(height, run.height_mm), Fraction(1))
            if best is None or share > best[0]:
                alike = (
                    f"{int(run.width_mm * share)} x {int(run.height_mm * share)} mm in the same proportions"
                )
                best = share, f"On {plate(platen)} up to {width} x {height} mm fits, thus {alike}."
    return "" if best is None else best[1]
