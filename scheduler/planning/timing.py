"""A way to do a run with its times: cycle, set-up at most, warm-up, and everybody's longest stretch."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from fractions import Fraction

from scheduler.domain.instance import Day, Shift
from scheduler.domain.shop import Operator, Platen, Press, Shop
from scheduler.planning.calendar import working_ticks
from scheduler.planning.cycle import cycle_s
from scheduler.planning.fits import Way
from scheduler.planning.placements import Run
from scheduler.planning.setups import hands_on_from_none, warm_up_ticks

Presence = Mapping[str, Sequence[tuple[Day, Shift]]]
"""By person: the shifts on the days that may be planned, each with its heating day."""


@dataclass(frozen=True, slots=True, kw_only=True)
class TimedWay:
    """A press and platen that can do a run, and its times.

    Attributes
    ----------
    cycle
        Seconds per garment, without allowance.
    set_up, warm_up
        Ticks of hands-on set-up when nothing is set, and from cold.
    stretches
        Who may do it, and the most ticks that person can press in one shift after set-up and
        warm-up, overtime left out; 0 when there is no such time.
    """

    press: Press
    platen: Platen
    cycle: Fraction
    set_up: int
    warm_up: int
    stretches: tuple[tuple[Operator, int], ...]

    @property
    def id(self) -> str:
        """The mode's id: press and platen."""
        return f"{self.press.name} / {self.platen.name}"


def timed(
    shop: Shop, runs: tuple[Run, ...], ways: tuple[Way, ...], presence: Presence, tick_s: int
) -> tuple[TimedWay, ...]:
    """The ways to do a run (or a pair) with their times.

    Raises
    ------
    KeyError
        When the shop lacks an element time; `soundness.find_faults` says which.
    """
    recipe = runs[0].recipe
    turns = len(runs) == 1 and runs[0].placement.inside
    cycles: dict[str, Fraction] = {}
    longest: dict[tuple[str, int, int], int] = {}
    result = []
    for way in ways:
        press = way.press
        set_up = hands_on_from_none(shop, way.platen.name, tick_s)
        warm_up = warm_up_ticks(shop, press, recipe.temp_c, tick_s)
        if press.name not in cycles:
            cycles[press.name] = cycle_s(shop, press, recipe, transfers=len(runs), turns=turns)
        for person in way.crew:
            key = (person.name, set_up, warm_up)
            if key not in longest:
                longest[key] = _longest(presence.get(person.name, ()), set_up, warm_up)
        result.append(
            TimedWay(
                press=press,
                platen=way.platen,
                cycle=cycles[press.name],
                set_up=set_up,
                warm_up=warm_up,
                stretches=tuple((person, longest[person.name, set_up, warm_up]) for person in way.crew),
            )
        )
    return tuple(result)


def _longest(shifts: Sequence[tuple[Day, Shift]], set_up: int, warm_up: int) -> int:
    longest = 0
    for day, shift in shifts:
        # Setting up may go on while the press warms up: pressing begins after the later of the two.
        start = max(shift.start + set_up, day.start + warm_up)
        longest = max(longest, working_ticks(shift, start, shift.end))
    return longest
