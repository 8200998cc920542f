"""A way to do a run with its times: cycle, set-up at most, warm-up, and everybody's longest stretch."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from fractions import Fraction

from scheduler.domain.instance import Day, Shift
from scheduler.domain.shop import Operator, Platen, Press, Setup, Shop
from scheduler.planning.beside import LAST_ONE, ways_beside
from scheduler.planning.calendar import working_ticks
from scheduler.planning.cycle import cycle_s, pieces_within, work_ticks
from scheduler.planning.fits import Way
from scheduler.planning.personal import personal_s
from scheduler.planning.placements import Run
from scheduler.planning.setups import hands_on_from_none, warm_up_ticks

NOTHING = Fraction(0)


class Presence(dict[str, tuple[tuple[Day, Shift], ...]]):
    """By person: the shifts on the days that may be planned, each with its heating day."""

    def __init__(self, shifts: Mapping[str, tuple[tuple[Day, Shift], ...]]) -> None:
        super().__init__(shifts)
        self._longest: dict[tuple[str, int, int], int] = {}

    def longest(self, name: str, set_up: int, warm_up: int) -> int:
        """The most ticks that a person can press in one shift, overtime left out, after getting ready.

        Parameters
        ----------
        name
            Of the person; one who is never there has 0.
        set_up
            Ticks of setting up, from when the shift starts.
        warm_up
            Ticks of warm-up, from when the presses may be switched on.
        """
        key = (name, set_up, warm_up)
        if key not in self._longest:
            self._longest[key] = max(
                (
                    # Setting up may go on while the press warms up: pressing begins after the later.
                    working_ticks(shift, max(shift.start + set_up, day.start + warm_up), shift.end)
                    for day, shift in self.get(name, ())
                ),
                default=0,
            )
        return self._longest[key]


@dataclass(frozen=True, slots=True, kw_only=True)
class TimedWay:
    """A press and platen that can do a run, and its times.

    Attributes
    ----------
    cycle
        Seconds per garment, without allowance; personal pieces on average over the run.
    set_up, warm_up
        Ticks of hands-on set-up when nothing is set, and from cold.
    stretches
        Who may do it, and the most ticks that person can press in one shift after set-up and
        warm-up, overtime left out; 0 when there is no such time.
    second, second_warm_up
        The press beside it, with a platen of the same kind, when one operator runs both; else None.
    """

    press: Press
    platen: Platen
    cycle: Fraction
    set_up: int
    warm_up: int
    stretches: tuple[tuple[Operator, int], ...]
    second: Press | None = None
    second_warm_up: int = 0

    @property
    def id(self) -> str:
        """The mode's id: press or presses, and platen."""
        beside = "" if self.second is None else f" + {self.second.name}"
        return f"{self.press.name}{beside} / {self.platen.name}"

    @property
    def skills(self) -> tuple[str | None, ...]:
        """What its presses ask for."""
        return (self.press.skill,) if self.second is None else (self.press.skill, self.second.skill)

    @property
    def longer_by(self) -> int:
        """Garments by which a run takes longer than its cycles say."""
        return 0 if self.second is None else LAST_ONE

    def work(self, shop: Shop, quantity: int, pace: float, tick_s: int, more_s: Fraction = NOTHING) -> int:
        """Ticks of pressing so many garments at a pace; `more_s`: seconds more for each."""
        return work_ticks(shop, quantity + self.longer_by, self.cycle + more_s, pace, tick_s)

    def pieces_within(self, shop: Shop, ticks: int, pace: float, tick_s: int) -> int:
        """The most garments whose run fits into so many ticks; 0 when none."""
        return max(0, pieces_within(shop, ticks, self.cycle, pace, tick_s) - self.longer_by)

    @property
    def best_pace(self) -> float:
        """The pace of the fastest of those who may do it."""
        return max(person.pace for person, _ in self.stretches)

    def longest_by_pace(self) -> dict[float, int]:
        """By pace, the most ticks that anybody of that pace can press in one shift."""
        longest: dict[float, int] = {}
        for person, ticks in self.stretches:
            longest[person.pace] = max(ticks, longest.get(person.pace, 0))
        return longest


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
    personal = personal_s(shop, runs, runs[0].portions)
    cycles: dict[tuple[Setup, bool], Fraction] = {}
    set_ups: dict[str, int] = {}
    warm_ups: dict[str, int] = {}
    # By skill and times: in a large shop most ways have the very same people.
    stretches: dict[tuple[str | None, int, int], tuple[tuple[Operator, int], ...]] = {}
    result = []
    for way in ways:
        press = way.press
        if way.platen.name not in set_ups:
            set_ups[way.platen.name] = hands_on_from_none(shop, way.platen.name, tick_s)
        if press.name not in warm_ups:
            warm_ups[press.name] = warm_up_ticks(shop, press, recipe.temp_c, tick_s)
        set_up, warm_up = set_ups[way.platen.name], warm_ups[press.name]
        handling = (press.setup, press.self_opening)
        if handling not in cycles:
            cycles[handling] = cycle_s(shop, press, recipe, transfers=len(runs), turns=turns) + personal
        people = (press.skill, set_up, warm_up)
        if people not in stretches:
            stretches[people] = tuple(
                (person, presence.longest(person.name, set_up, warm_up)) for person in way.crew
            )
        result.append(
            TimedWay(
                press=press,
                platen=way.platen,
                cycle=cycles[handling],
                set_up=set_up,
                warm_up=warm_up,
                stretches=stretches[people],
            )
        )
    for pair in ways_beside(shop, recipe, ways, transfers=len(runs), turns=turns, personal=personal):
        set_up = 2 * set_ups[pair.platen.name]  # one press after the other
        first, second = warm_ups[pair.first.name], warm_ups[pair.second.name]
        both = max(first, second)
        result.append(
            TimedWay(
                press=pair.first,
                platen=pair.platen,
                cycle=pair.cycle,
                set_up=set_up,
                warm_up=first,
                stretches=tuple(
                    (person, presence.longest(person.name, set_up, both)) for person in pair.crew
                ),
                second=pair.second,
                second_warm_up=second,
            )
        )
    return tuple(result)
