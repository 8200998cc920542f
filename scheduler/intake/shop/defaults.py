"""An invented shop with the trade's usual figures, to start from.

Every figure here is a starting point (common practice, no source) that the owner replaces; the element times
are set so that whole cycles come out as timed in the trade: 41 s plain, 30 s with a platen cover, 26 s with a
cover on a stand that opens by itself.
"""

from __future__ import annotations

from datetime import time

from scheduler.domain.shop import (
    USUAL_WEEK,
    Allowances,
    Circuit,
    Courier,
    Element,
    OpenHours,
    Opening,
    Operator,
    OperatorHours,
    Placement,
    Platen,
    Press,
    Setup,
    Shop,
)
from scheduler.intake.shop.default_recipes import FABRICS, TRANSFERS, default_recipes

SECTIONS_WITH_FIGURES: tuple[str, ...] = (
    "Presses",
    "Platens",
    "Placements",
    "Recipes",
    "Circuits",
    "Element times",
    "Allowances",
    "Transfers",
)
"""Sheets whose rows say whether their figures are still the program's defaults."""

_SETUPS = (Setup.PLAIN, Setup.COVER, Setup.STAND, Setup.COVER_AND_STAND)

# A garment slides on a cover and threads over a stand, which shows in loading and unloading only.
_SECONDS: dict[Element, tuple[float, float, float, float]] = {
    Element.LOAD: (13, 6, 9, 4),
    Element.PRE_PRESS: (4, 4, 4, 4),
    Element.LAY: (3, 3, 3, 3),
    Element.CLOSE: (2, 2, 2, 2),
    Element.OPEN: (2, 2, 2, 2),
    Element.OPEN_SELF: (1, 1, 1, 1),
    Element.PEEL: (2, 2, 2, 2),
    Element.SECOND_PRESS: (6, 6, 6, 6),
    Element.UNLOAD: (7, 3, 5, 2),
    Element.TURN: (28, 28, 28, 28),
}


def default_elements() -> dict[tuple[Element, Setup], float]:
    """Seconds of each element for each press set-up."""
    return {
        (element, setup): float(seconds)
        for element, row in _SECONDS.items()
        for setup, seconds in zip(_SETUPS, row, strict=True)
    }


def default_placements() -> tuple[Placement, ...]:
    """The usual places on shirts, sweaters, trousers, caps and bags, with sizes and positions."""
    chest = {
        "": "Centre 200 mm below the shoulder seam at the neck, 125 mm from the centre line",
        "youth": "Centre 150 mm below the shoulder seam at the neck, 75 mm from the centre line",
    }
    front = {
        "": "Top 75 mm below the collar seam, centred",
        "youth": "Top 50 mm below the collar seam, centred",
    }
    back = {
        "": "Top 100 mm below the collar seam, centred",
        "youth": "Top 60 mm below the collar seam, centred",
    }
    sleeve = {"": "35 mm above the hem, centred on the fold"}
    leg = {"": "100 mm below the waistband, centred on the thigh"}
    with_label = ("neck label",)
    return (
        Placement(name="left chest", positions=chest, width_mm=90, height_mm=90, pairs_with=with_label),
        Placement(name="right chest", positions=chest, width_mm=90, height_mm=90, pairs_with=with_label),
        Placement(name="centre chest", positions=front, width_mm=230, height_mm=180, pairs_with=with_label),
        Placement(name="full front", positions=front, width_mm=280, height_mm=350, pairs_with=with_label),
        Placement(name="full back", positions=back, width_mm=300, height_mm=360),
        Placement(name="nape", positions={"": "30 mm below the collar, centred"}, width_mm=70, height_mm=40),
        Placement(
            name="neck label",
            positions={"": "15 mm below the collar seam, inside, centred"},
            width_mm=60,
            height_mm=60,
            inside=True,
            pairs_with=("left chest", "right chest", "centre chest", "full front"),
        ),
        Placement(name="left sleeve", positions=sleeve, width_mm=75, height_mm=75),
        Placement(name="right sleeve", positions=sleeve, width_mm=75, height_mm=75),
        Placement(name="left leg", positions=leg, width_mm=75, height_mm=300),
        Placement(name="right leg", positions=leg, width_mm=75, height_mm=300),
        Placement(
            name="cap front",
            positions={"": "15 mm above the brim, centred"},
            width_mm=110,
            height_mm=55,
            turnable=False,
        ),
        Placement(
            name="bag front",
            positions={"": "Centred, 120 mm below the top edge"},
            width_mm=200,
            height_mm=200,
        ),
    )


def default_platens() -> tuple[Platen, ...]:
    """A usual rack of lower plates, one of them for two placements in one closing."""
    chests = ("left chest", "right chest", "centre chest")
    return (
        Platen(
            name="large",
            width_mm=406,
            height_mm=508,
            count=2,
            placements=("full front", "full back", *chests),
            size_groups=("adult",),
            swap_min=5,
            pre_heat_min=3,
        ),
        Platen(
            name="medium",
            width_mm=279,
            height_mm=381,
            count=2,
            placements=("full front", "full back", *chests, "bag front"),
            size_groups=("youth", "one size", "adult"),
            swap_min=4,
            pre_heat_min=2,
        ),
        Platen(
            name="front and label",
            width_mm=381,
            height_mm=381,
            count=1,
            placements=("full front", *chests),
            second_placements=("neck label",),
            second_width_mm=120,
            second_height_mm=120,
            size_groups=("adult",),
            swap_min=6,
            pre_heat_min=3,
        ),
        Platen(
            name="sleeve and leg",
            width_mm=100,
            height_mm=400,
            count=1,
            placements=("left sleeve", "right sleeve", "left leg", "right leg"),
            swap_min=4,
            pre_heat_min=2,
        ),
        Platen(
            name="small",
            width_mm=152,
            height_mm=152,
            count=2,
            placements=("neck label", "nape", "left chest", "right chest", "left sleeve", "right sleeve"),
            swap_min=3,
            pre_heat_min=2,
        ),
        Platen(
            name="cap",
            width_mm=140,
            height_mm=89,
            count=1,
            placements=("cap front",),
            swap_min=3,
            pre_heat_min=2,
        ),
    )


def default_presses() -> tuple[Press, ...]:
    """Four invented presses: a plain one, one on a stand, a cap press and a small one for labels."""
    large = ("large", "medium", "front and label", "sleeve and leg", "small")
    return (
        Press(
            name="Press 1",
            opening=Opening.CLAM,
            temp_min_c=100,
            temp_max_c=210,
            heat_c_per_min=10,
            cool_c_per_min=3,
            warm_up_min=15,
            watts=1800,
            circuit="Wall A",
            platens=large,
            mounted="large",
        ),
        Press(
            name="Press 2",
            opening=Opening.SWING,
            self_opening=True,
            on_stand=True,
            platen_cover=True,
            temp_min_c=100,
            temp_max_c=210,
            heat_c_per_min=10,
            cool_c_per_min=3,
            warm_up_min=15,
            watts=2000,
            circuit="Wall B",
            platens=large,
            mounted="medium",
        ),
        Press(
            name="Cap press",
            opening=Opening.CLAM,
            temp_min_c=100,
            temp_max_c=200,
            heat_c_per_min=12,
            cool_c_per_min=4,
            warm_up_min=10,
            watts=600,
            circuit="Wall A",
            platens=("cap",),
            mounted="cap",
            skill="caps",
        ),
        Press(
            name="Label press",
            opening=Opening.CLAM,
            self_opening=True,
            temp_min_c=100,
            temp_max_c=200,
            heat_c_per_min=12,
            cool_c_per_min=4,
            warm_up_min=10,
            watts=800,
            circuit="Wall B",
            platens=("small",),
            mounted="small",
        ),
    )


def default_crew() -> tuple[Operator, ...]:
    """Three invented people with unlike shifts."""
    lunch, coffee = (time(12, 30), time(13, 0)), (time(10, 0), time(10, 15))
    return (
        Operator(
            name="Ana",
            hours=dict.fromkeys(
                USUAL_WEEK,
                OperatorHours(
                    start=time(7, 30), end=time(16, 0), overtime_end=time(18, 0), breaks=(coffee, lunch)
                ),
            ),
            skills=("caps",),
        ),
        Operator(
            name="Ben",
            hours=dict.fromkeys(
                USUAL_WEEK,
                OperatorHours(
                    start=time(8, 0), end=time(16, 30), overtime_end=time(17, 30), breaks=(coffee, lunch)
                ),
            ),
        ),
        Operator(
            name="Cleo",
            hours=dict.fromkeys(
                (0, 1, 3, 4),
                OperatorHours(start=time(9, 0), end=time(13, 30), breaks=((time(11, 0), time(11, 15)),)),
            ),
            skills=("caps",),
            pace=0.9,
        ),
    )


def default_sizes() -> dict[str, str]:
    """Size labels in printing order, with their groups."""
    sizes = dict.fromkeys(("Y-XS", "Y-S", "Y-M", "Y-L", "Y-XL"), "youth")
    sizes.update(dict.fromkeys(("XS", "S", "M", "L", "XL", "2XL", "3XL", "4XL", "5XL"), "adult"))
    sizes["one size"] = "one size"
    return sizes


def default_shop() -> Shop:
    """The whole invented shop; all its figures count as defaults to be replaced.

    Source: common practice, no published source.
    """
    working_days = range(5)
    return Shop(
        name="Sample shop",
        presses=default_presses(),
        platens=default_platens(),
        placements=default_placements(),
        recipes=default_recipes(),
        crew=default_crew(),
        circuits=(
            Circuit(name="Wall A", volts=230, amps=16, continuous_share=0.8),
            Circuit(name="Wall B", volts=230, amps=16, continuous_share=0.8),
        ),
        hours={
            day: OpenHours(open=time(7, 30), close=time(17, 0), overtime_end=time(18, 0))
            for day in working_days
        },
        couriers=(
            Courier(name="parcel", cut_offs=dict.fromkeys(working_days, time(16, 30))),
            Courier(name="own van", cut_offs={1: time(12, 0), 3: time(12, 0)}),
        ),
        elements=default_elements(),
        allowances=Allowances(),
        size_groups=default_sizes(),
        spoilage=dict(TRANSFERS),
        fabrics=FABRICS,
        defaults=SECTIONS_WITH_FIGURES,
    )
