"""A small invented shop and ways to write orders for it, for the tests of planning.

All figures are invented; element times are chosen so that sums are easy to follow by hand.
"""

from __future__ import annotations

from dataclasses import replace
from datetime import date, datetime, time
from typing import Any

from scheduler.domain.faults import Source
from scheduler.domain.orders import Order, OrderLine, Print, Sized
from scheduler.domain.shop import (
    USUAL_WEEK,
    Allowances,
    Element,
    OpenHours,
    Operator,
    OperatorHours,
    Peel,
    Placement,
    Platen,
    Press,
    Pressure,
    Recipe,
    Setup,
    Shop,
)

MONDAY = date(2026, 3, 2)

ELEMENTS: dict[Element, float] = {
    Element.LOAD: 10,
    Element.PRE_PRESS: 2,
    Element.LAY: 4,
    Element.CLOSE: 2,
    Element.OPEN: 2,
    Element.OPEN_SELF: 1,
    Element.PEEL: 3,
    Element.SECOND_PRESS: 5,
    Element.UNLOAD: 5,
    Element.TURN: 20,
}


def press(name: str = "Main", **changes: Any) -> Press:
    given: dict[str, Any] = {
        "name": name,
        "temp_min_c": 100,
        "temp_max_c": 200,
        "heat_c_per_min": 10.0,
        "cool_c_per_min": 2.5,
        "warm_up_min": 10.0,
        "watts": 1500,
        "platens": ("big", "sleeve", "double"),
        "mounted": "big",
    }
    return Press(**(given | changes))


def platen(name: str, **changes: Any) -> Platen:
    given: dict[str, Any] = {
        "name": name,
        "width_mm": 400,
        "height_mm": 500,
        "count": 1,
        "placements": ("front", "back"),
        "swap_min": 4.0,
        "pre_heat_min": 2.0,
    }
    return Platen(**(given | changes))


def placement(name: str, **changes: Any) -> Placement:
    return Placement(**({"name": name, "width_mm": 200, "height_mm": 200} | changes))


def recipe(transfer: str = "film", fabric: str = "cotton", **changes: Any) -> Recipe:
    given: dict[str, Any] = {
        "transfer": transfer,
        "fabric": fabric,
        "temp_c": 150,
        "pressure": Pressure.MEDIUM,
        "dwell_s": 12,
        "peel": Peel.HOT,
    }
    return Recipe(**(given | changes))


def person(name: str = "Ann", **changes: Any) -> Operator:
    """Somebody with the same hours on some weekdays: Monday to Friday 8 to 16, but for the changes."""
    weekdays = changes.pop("weekdays", USUAL_WEEK)
    own = {key: changes.pop(key) for key in ("start", "end", "overtime_end", "breaks") if key in changes}
    hours = OperatorHours(**({"start": time(8), "end": time(16)} | own))
    return Operator(**({"name": name, "hours": dict.fromkeys(weekdays, hours)} | changes))


def shop(**changes: Any) -> Shop:
    """One press, three platens, three placements, two transfers, one person, Monday to Friday 8 to 17."""
    given: dict[str, Any] = {
        "name": "Test shop",
        "presses": (press(),),
        "platens": (
            platen("big"),
            platen("sleeve", width_mm=120, height_mm=400, placements=("sleeve",)),
            platen(
                "double",
                placements=("front",),
                second_placements=("sleeve",),
                second_width_mm=120,
                second_height_mm=120,
            ),
        ),
        "placements": (
            placement("front", pairs_with=("sleeve",)),
            placement("back"),
            placement("sleeve", width_mm=80, height_mm=80),
        ),
        "recipes": (recipe(), recipe("cold film", temp_c=160, peel=Peel.COLD, cooling_s=45)),
        "crew": (person(),),
        "hours": {day: OpenHours(open=time(8), close=time(17)) for day in range(5)},
        "elements": {(element, setup): seconds for element, seconds in ELEMENTS.items() for setup in Setup},
        "allowances": Allowances(relaxation=0.0),
        "size_groups": {"S": "adult", "M": "adult", "L": "adult", "Y-S": "youth", "Y-M": "youth"},
        "fabrics": ("cotton",),
        "spoilage": {"film": 0.02},
    }
    return Shop(**(given | changes))


def print_(place: str = "front", transfer: str = "film", artwork: str = "logo", **changes: Any) -> Print:
    given: dict[str, Any] = {
        "placement": place,
        "transfer": transfer,
        "artwork": artwork,
        "width_mm": 80 if place == "sleeve" else 200,
        "height_mm": 80 if place == "sleeve" else 200,
        "source": Source(file="orders.xlsx", sheet="Orders", cell="F2"),
    }
    return Print(**(given | changes))


def line(*prints: Print, sizes: dict[str, int] | None = None, **changes: Any) -> OrderLine:
    given: dict[str, Any] = {
        "garment": "tee",
        "colour": "navy",
        "fabric": "cotton",
        "sizes": tuple(
            Sized(size=size, quantity=quantity) for size, quantity in (sizes or {"M": 10}).items()
        ),
        "prints": prints or (print_(),),
    }
    return OrderLine(**(given | changes))


def order(id_: str, *lines: OrderLine, **changes: Any) -> Order:
    given: dict[str, Any] = {
        "id": id_,
        "customer": f"Customer {id_}",
        "cut_off": datetime(2026, 3, 2, 15),
        "lines": lines or (line(),),
    }
    return Order(**(given | changes))


def with_press(base: Shop, **changes: Any) -> Shop:
    """The shop with its first press changed."""
    return replace(base, presses=(replace(base.presses[0], **changes), *base.presses[1:]))


def with_platen(base: Shop, name: str, **changes: Any) -> Shop:
    """The shop with one of its platens changed."""
    return replace(base, platens=tuple(replace(p, **changes) if p.name == name else p for p in base.platens))


def with_placement(base: Shop, name: str, **changes: Any) -> Shop:
    """The shop with one of its placements changed."""
    return replace(
        base, placements=tuple(replace(p, **changes) if p.name == name else p for p in base.placements)
    )


def youth_apart(base: Shop) -> Shop:
    """The shop with other words for where on youth sizes, so that they are runs of their own."""
    words = {"": "centred", "youth": "centred, higher"}
    return replace(base, placements=tuple(replace(p, positions=words) for p in base.placements))


def with_allowances(base: Shop, **changes: Any) -> Shop:
    """The shop with some of its allowances changed."""
    return replace(base, allowances=replace(base.allowances, **changes))
