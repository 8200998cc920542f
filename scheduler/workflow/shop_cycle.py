"""A cycle from the shop's own times, for `pressday savings`, and what another set-up makes of it."""

from __future__ import annotations

from dataclasses import dataclass, replace
from fractions import Fraction
from typing import TYPE_CHECKING

from scheduler.domain.faults import Severity
from scheduler.domain.shop import Element, Press, Recipe, Setup, Shop
from scheduler.domain.studies import Held
from scheduler.domain.times import exact
from scheduler.exceptions import BadInput, WrongUsage

if TYPE_CHECKING:
    from collections.abc import Iterable
    from pathlib import Path

    from scheduler.savings.measures import Change

SET_UP, OPENS = "set-up", "opens"
"""What a measure on a press of the shop can be called by: "set-up=cover", "opens=by itself"."""

_NAMES = {
    Element.LOAD: "load",
    Element.PRE_PRESS: "pre-press by hand",
    Element.LAY: "lay",
    Element.CLOSE: "close",
    Element.OPEN: "open",
    Element.OPEN_SELF: "open",
    Element.PEEL: "peel",
    Element.SECOND_PRESS: "second press by hand",
    Element.UNLOAD: "unload",
    Element.TURN: "turn",
}
"""Short names to type; opening is one element, whoever does it."""

_SET_UPS = {
    Setup.PLAIN: (False, False),
    Setup.COVER: (True, False),
    Setup.STAND: (False, True),
    Setup.COVER_AND_STAND: (True, True),
}
"""Cover and stand of each set-up."""


@dataclass(frozen=True, slots=True, kw_only=True)
class ShopCycle:
    """What one garment takes at a press of the shop by a recipe, one transfer laid.

    Attributes
    ----------
    program_times
        Of the shop's element times those that are still the program's, nobody's readings.
    """

    file: Path
    shop: Shop
    press: Press
    recipe: Recipe
    program_times: frozenset[tuple[Element, Setup]] = frozenset()

    @property
    def cycle(self) -> dict[str, Fraction]:
        """Seconds by element, what the recipe holds among them."""
        return self._at(self.press)

    @property
    def source(self) -> str:
        """Where the cycle is from: "Press 1, film hot peel on cotton, from shop.xlsx"."""
        return f"{self.press.name}, {self.recipe.transfer} on {self.recipe.fabric}, from {self.file.name}"

    @property
    def untimed(self) -> dict[str, Fraction]:
        """Of the cycle what nobody has timed: seconds by element."""
        untimed = self._untimed(self.press)
        return {name: seconds for name, seconds in self.cycle.items() if name in untimed}

    def _untimed(self, press: Press) -> set[str]:
        """Short names of the elements whose times at a press are still the program's."""
        from scheduler.planning.cycle import elements_of

        return {
            _NAMES[element]
            for element, _ in elements_of(press, self.recipe, transfers=1, turns=False)
            if (element, press.setup) in self.program_times
        }

    def _at(self, press: Press) -> dict[str, Fraction]:
        from scheduler.planning.cycle import elements_of

        timed = {
            _NAMES[element]: times * exact(self.shop.elements[element, press.setup])
            for element, times in elements_of(press, self.recipe, transfers=1, turns=False)
        }
        held = (self.recipe.pre_press_s, self.recipe.dwell_s, self.recipe.second_press_s)
        return {
            **timed,
            **{part.value: exact(seconds) for part, seconds in zip(Held, held, strict=True) if seconds},
        }

    def changes(self, said: dict[str, str]) -> list[Change]:
        """What becomes of the elements with another set-up, or when the press opens by itself.

        Parameters
        ----------
        said
            By `SET_UP` or `OPENS`: as typed.

        Raises
        ------
        ValueError
            When it is no set-up, or no way to open.
        """
        from scheduler.intake.cells.findings import propose
        from scheduler.intake.words import heading_key, words
        from scheduler.savings.measures import Change

        press = self.press
        if SET_UP in said:
            known = [set_up.value for set_up in Setup]
            typed = words().choices["set_up"].get(heading_key(said[SET_UP]), "")
            if typed not in known:
                raise ValueError(f"no press set-up. {propose(said[SET_UP], known)}")
            cover, stand = _SET_UPS[Setup(typed)]
            press = replace(press, platen_cover=cover, on_stand=stand)
        if OPENS in said:
            if heading_key(said[OPENS]) not in ("by itself", "itself"):
                raise ValueError("write opens=by itself")
            press = replace(press, self_opening=True)
        today, then, untimed = self.cycle, self._at(press), self._untimed(press)
        return [
            Change(element=name, to_s=seconds, untimed=name in untimed)
            for name, seconds in then.items()
            if seconds != today[name]
        ]


def shop_cycle(file: Path, press: str, transfer: str, fabric: str) -> ShopCycle:
    """The cycle at a press of a shop, by the recipe for a transfer on a fabric.

    Raises
    ------
    BadInput
        When the shop workbook has a fault.
    WrongUsage
        When the shop has no such press, or no such recipe.
    """
    from scheduler.intake import scan_shop, untimed_elements

    shop, found = scan_shop(file)
    if shop is None or any(one.severity is Severity.FAULT for one in found):
        raise BadInput(found)
    name = _one_of(press, (one.name for one in shop.presses), "--press")
    used = _one_of(transfer, (one.transfer for one in shop.recipes), "--transfer")
    on = _one_of(fabric, (one.fabric for one in shop.recipes if one.transfer == used), "--fabric")
    recipe = shop.recipe(used, on)
    if recipe is None:
        raise KeyError(f"{used} on {on}")
    there = next(one for one in shop.presses if one.name == name)
    return ShopCycle(file=file, shop=shop, press=there, recipe=recipe, program_times=untimed_elements(file))


def _one_of(typed: str, names: Iterable[str], option: str) -> str:
    from scheduler.intake.cells.findings import propose
    from scheduler.intake.words import name_key

    known = {name_key(name): name for name in names}
    if name_key(typed) not in known:
        raise WrongUsage(f'"{typed}": {propose(typed, known.values())}', option=option)
    return known[name_key(typed)]
