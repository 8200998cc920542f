"""The invented shop of the benchmark days, in seven sizes: presses, rack, crew, circuits, couriers.

Recipes, element times, placements and most platens are the program's usual figures; presses and people
come from a pattern, so that a larger shop is more of the same. All invented.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import date, time
from random import Random
from typing import TypeVar

from scheduler.domain.shop import (
    USUAL_WEEK,
    Circuit,
    Courier,
    OpenHours,
    Opening,
    Operator,
    OperatorHours,
    Placement,
    Platen,
    Press,
    Shop,
)
from scheduler.intake.shop.defaults import default_placements, default_platens, default_shop

T = TypeVar("T")

DAY = date(2027, 3, 9)
"""The planned day, a Tuesday."""

HOURS = OpenHours(open=time(6, 30), close=time(17, 0), overtime_end=time(18, 0))
"""Of every weekday."""

SIZES: dict[int, tuple[int, int]] = {
    8: (3, 2),
    30: (4, 3),
    60: (6, 4),
    120: (8, 7),
    250: (10, 9),
    500: (14, 12),
    1000: (24, 20),
}
"""By number of runs: presses and people."""

PRESSES_A_CIRCUIT = 3
TICKS_A_MINUTE = 10
LARGE, MEDIUM, LABELLED, LONG, SMALL, CAP, TWIN = (
    "large",
    "medium",
    "front and label",
    "sleeve and leg",
    "small",
    "cap",
    "twin sleeve",
)
PANEL, BADGE = "front panel", "badge on panel"
RACK = {LARGE: 3, MEDIUM: 3, LABELLED: 5, LONG: 5, SMALL: 4, TWIN: 8}
"""One platen of a kind for so many presses; of cap platens there is one for every cap press."""

NAMES = (
    *("Ada", "Bruno", "Carys", "Davit", "Elin", "Farid", "Greta", "Hamish", "Ivana", "Jonas"),
    *("Kira", "Luca", "Maren", "Nils", "Oona", "Pavel", "Quinn", "Rosa", "Stefan", "Tilda"),
)


@dataclass(frozen=True, slots=True, kw_only=True)
class Kind:
    """A kind of press; `pattern` is where it comes in each dozen presses."""

    press: Press
    pattern: tuple[int, ...]


KINDS = (
    Kind(
        press=Press(
            name="Bench",
            temp_min_c=100,
            temp_max_c=185,
            heat_c_per_min=10,
            cool_c_per_min=3,
            warm_up_min=15,
            watts=1800,
            platens=(LARGE, MEDIUM, LONG, SMALL, TWIN),
        ),
        pattern=(0, 7, 10),
    ),
    Kind(
        press=Press(
            name="Stand",
            opening=Opening.SWING,
            self_opening=True,
            on_stand=True,
            platen_cover=True,
            temp_min_c=100,
            temp_max_c=190,
            heat_c_per_min=12,
            cool_c_per_min=3.5,
            warm_up_min=14,
            watts=2200,
            platens=(LARGE, MEDIUM, LONG, LABELLED, TWIN),
            skill="stand",
        ),
        pattern=(1, 6, 11),
    ),
    Kind(
        press=Press(
            name="Cap press",
            temp_min_c=100,
            temp_max_c=200,
            heat_c_per_min=12,
            cool_c_per_min=4,
            warm_up_min=10,
            watts=600,
            platens=(CAP,),
            skill="caps",
        ),
        pattern=(2,),
    ),
    Kind(
        press=Press(
            name="Drawer",
            opening=Opening.DRAWER,
            temp_min_c=120,
            temp_max_c=220,
            heat_c_per_min=8,
            cool_c_per_min=2,
            warm_up_min=18,
            watts=2600,
            platens=(LARGE, MEDIUM),
        ),
        pattern=(3, 9),
    ),
    Kind(
        press=Press(
            name="Cover",
            platen_cover=True,
            temp_min_c=100,
            temp_max_c=185,
            heat_c_per_min=9,
            cool_c_per_min=2.5,
            warm_up_min=16,
            watts=1800,
            platens=(LARGE, MEDIUM, LONG, LABELLED, SMALL),
        ),
        pattern=(4, 8),
    ),
    Kind(
        press=Press(
            name="Label press",
            self_opening=True,
            temp_min_c=90,
            temp_max_c=180,
            heat_c_per_min=12,
            cool_c_per_min=4,
            warm_up_min=10,
            watts=800,
            platens=(SMALL,),
        ),
        pattern=(5,),
    ),
)

SHIFTS = (
    Operator(
        name="early",
        hours=dict.fromkeys(
            USUAL_WEEK,
            OperatorHours(
                start=time(6, 30),
                end=time(14, 30),
                overtime_end=time(15, 30),
                breaks=((time(9, 0), time(9, 15)), (time(11, 30), time(12, 0))),
            ),
        ),
        skills=("stand", "caps"),
        pace=1.1,
    ),
    Operator(
        name="middle",
        hours=dict.fromkeys(
            USUAL_WEEK,
            OperatorHours(
                start=time(7, 30),
                end=time(16, 0),
                overtime_end=time(18, 0),
                breaks=((time(9, 45), time(10, 0)), (time(12, 30), time(13, 0))),
            ),
        ),
        skills=("stand",),
    ),
    Operator(
        name="late",
        hours=dict.fromkeys(
            USUAL_WEEK,
            OperatorHours(
                start=time(8, 30),
                end=time(17, 0),
                overtime_end=time(18, 0),
                breaks=((time(10, 30), time(10, 45)), (time(13, 0), time(13, 30))),
            ),
        ),
        skills=("caps",),
        pace=0.95,
    ),
    Operator(
        name="short",
        hours=dict.fromkeys(
            (1, 3), OperatorHours(start=time(9, 0), end=time(14, 0), breaks=((time(11, 0), time(11, 15)),))
        ),
        skills=("stand",),
        pace=0.85,
    ),
)


def draw(random: Random, shares: Sequence[tuple[T, float]]) -> T:
    """One of several things, each as often as its share says."""
    # Only random() is promised to give the same numbers on every version of Python.
    at = random.random() * sum(share for _, share in shares)
    for thing, share in shares:
        at -= share
        if at < 0:
            return thing
    return shares[-1][0]


def one(random: Random, things: Sequence[T]) -> T:
    """One of several things, all as often."""
    return things[int(random.random() * len(things))]


def shop_of(presses: int, people: int, random: Random) -> Shop:
    """A shop of so many presses and people; what was left mounted the evening before is drawn."""
    usual = default_shop()
    rack = _rack(presses)
    return replace(
        usual,
        name=f"Shop of {presses} presses",
        presses=_presses(presses, rack, random),
        platens=rack,
        placements=_placements(),
        crew=tuple(_person(number) for number in range(people)),
        circuits=tuple(
            Circuit(name=f"Circuit {number + 1}", volts=230, amps=20, continuous_share=0.8)
            for number in range(-(-presses // PRESSES_A_CIRCUIT))
        ),
        hours=dict.fromkeys(range(5), HOURS),
        closed_days=(),
        couriers=tuple(
            Courier(name=name, cut_offs=dict.fromkeys(range(5), hour)) for name, hour in CUT_OFFS.items()
        ),
        defaults=(),
    )


CUT_OFFS = {"noon van": time(12, 0), "parcel": time(14, 0), "night line": time(17, 0)}


def open_ticks(tick: int) -> int:
    """Ticks of the shop's hours, overtime included, from the planned day's opening to a tick.

    That day and the one after it, which is as far as a plan goes.
    """
    assert HOURS.overtime_end is not None
    opening, closing = (
        TICKS_A_MINUTE * (at.hour * 60 + at.minute) for at in (HOURS.open, HOURS.overtime_end)
    )
    nights = (0, TICKS_A_MINUTE * 24 * 60)
    return sum(min(max(tick - night - opening, 0), closing - opening) for night in nights)


def _person(number: int) -> Operator:
    return replace(SHIFTS[number % len(SHIFTS)], name=NAMES[number])


def _presses(count: int, rack: tuple[Platen, ...], random: Random) -> tuple[Press, ...]:
    """Presses by the pattern, no two of a kind quite alike."""
    left = {platen.name: platen.count for platen in rack}
    made: dict[str, int] = {}
    presses = []
    for place in range(count):
        kind = next(kind.press for kind in KINDS if place % 12 in kind.pattern)
        number = made[kind.name] = made.get(kind.name, 0) + 1
        mounted = one(random, [name for name in kind.platens if left[name]] or [None])
        if mounted is not None:
            left[mounted] -= 1
        presses.append(
            replace(
                kind,
                name=f"{kind.name} {number}",
                heat_c_per_min=kind.heat_c_per_min + (number - 1) % 3 * 0.5,
                cool_c_per_min=kind.cool_c_per_min + (number - 1) % 2 * 0.5,
                circuit=f"Circuit {place // PRESSES_A_CIRCUIT + 1}",
                mounted=mounted,
            )
        )
    return tuple(presses)


def _rack(presses: int) -> tuple[Platen, ...]:
    """The usual platens and one for two sleeves, as many as the presses keep busy."""
    twin = Platen(
        name=TWIN,
        width_mm=120,
        height_mm=200,
        count=1,
        placements=("left sleeve",),
        second_placements=("right sleeve",),
        second_width_mm=120,
        second_height_mm=200,
        swap_min=6,
        pre_heat_min=2,
    )
    rack = []
    for platen in (*default_platens(), twin):
        more = (PANEL, BADGE) if platen.name in (LARGE, MEDIUM) else ()
        # Cap presses come in the third place of each dozen.
        count = -(-presses // RACK[platen.name]) if platen.name in RACK else (presses + 9) // 12
        rack.append(replace(platen, count=count, placements=(*platen.placements, *more)))
    return tuple(rack)


def _placements() -> tuple[Placement, ...]:
    """The usual placements, sleeves that may pair, and two for shirts with a sublimated panel."""
    pairs = {"left sleeve": ("right sleeve",), "right sleeve": ("left sleeve",)}
    usual = tuple(
        replace(place, pairs_with=pairs.get(place.name, place.pairs_with)) for place in default_placements()
    )
    return (
        *usual,
        Placement(name=PANEL, positions={"": "Whole front"}, width_mm=260, height_mm=360),
        Placement(name=BADGE, positions={"": "On the panel"}, width_mm=80, height_mm=80, after=(PANEL,)),
    )
