"""The invented shop: six presses, nine kinds of platens, four people, three couriers.

The figures are of the size that is usual in the trade (common practice, no source); nothing here is
a real shop, a real press or a real maker's sheet.
"""

from __future__ import annotations

from datetime import date, time
from functools import cache

from scheduler.domain.shop import (
    USUAL_WEEK,
    Allowances,
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
from scheduler.intake.shop.defaults import default_elements, default_recipes, default_shop, default_sizes

DAY = date(2027, 3, 9)
"""The planned day, a Tuesday; everything in the examples is dated from it."""

WEEK = range(5)
CHESTS = ("left chest", "right chest", "centre chest")
FRONTS = ("full front", "front panel", *CHESTS, "badge on panel")
SLEEVES = ("left sleeve", "right sleeve")

# Names of platens, as they are written on the rack.
LARGE = "Large 406 x 508"
STANDARD = "Standard 381 x 406"
YOUTH = "Youth 279 x 381"
SLEEVE = "Sleeve and leg 120 x 406"
BAG = "Bag 254 x 305"
CAP = "Cap 140 x 89"
LABEL = "Label 152 x 152"
FRONT_AND_LABEL = "Front and label"
TWIN_SLEEVE = "Twin sleeve"

PRESSES = (
    Press(
        name="Bench 1",
        opening=Opening.CLAM,
        temp_min_c=100,
        temp_max_c=185,
        heat_c_per_min=10,
        cool_c_per_min=3,
        warm_up_min=15,
        watts=1800,
        circuit="North wall",
        platens=(LARGE, STANDARD, YOUTH, SLEEVE, BAG, TWIN_SLEEVE),
        mounted=STANDARD,
    ),
    Press(
        name="Bench 2",
        opening=Opening.CLAM,
        platen_cover=True,
        temp_min_c=100,
        temp_max_c=185,
        heat_c_per_min=9,
        cool_c_per_min=2.5,
        warm_up_min=16,
        watts=1800,
        circuit="North wall",
        platens=(LARGE, STANDARD, YOUTH, SLEEVE, BAG, FRONT_AND_LABEL),
        mounted=YOUTH,
    ),
    Press(
        name="Stand",
        opening=Opening.SWING,
        self_opening=True,
        on_stand=True,
        platen_cover=True,
        temp_min_c=100,
        temp_max_c=190,
        heat_c_per_min=12,
        cool_c_per_min=3.5,
        warm_up_min=15,
        watts=2200,
        circuit="South wall",
        platens=(STANDARD, YOUTH, SLEEVE, FRONT_AND_LABEL, TWIN_SLEEVE),
        mounted=STANDARD,
        skill="stand",
    ),
    Press(
        name="Drawer",
        opening=Opening.DRAWER,
        temp_min_c=120,
        temp_max_c=220,
        heat_c_per_min=8,
        cool_c_per_min=2,
        warm_up_min=18,
        watts=2600,
        circuit="Back room",
        platens=(LARGE, STANDARD, YOUTH, BAG),
        mounted=LARGE,
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
        circuit="South wall",
        platens=(CAP,),
        mounted=CAP,
        skill="caps",
    ),
    Press(
        name="Label press",
        opening=Opening.CLAM,
        self_opening=True,
        temp_min_c=90,
        temp_max_c=180,
        heat_c_per_min=12,
        cool_c_per_min=4,
        warm_up_min=10,
        watts=800,
        circuit="South wall",
        platens=(LABEL,),
        mounted=LABEL,
    ),
)

PLATENS = (
    Platen(
        name=LARGE,
        width_mm=406,
        height_mm=508,
        count=1,
        placements=("full front", "full back", "front panel"),
        size_groups=("adult",),
        swap_min=5,
        pre_heat_min=3,
    ),
    Platen(
        name=STANDARD,
        width_mm=381,
        height_mm=406,
        count=2,
        placements=(*FRONTS, "full back", "nape"),
        size_groups=("adult",),
        swap_min=4,
        pre_heat_min=2,
    ),
    Platen(
        name=YOUTH,
        width_mm=279,
        height_mm=381,
        count=2,
        placements=(*FRONTS, "full back"),
        size_groups=("youth", "adult"),
        swap_min=4,
        pre_heat_min=2,
    ),
    Platen(
        name=SLEEVE,
        width_mm=120,
        height_mm=406,
        count=1,
        placements=(*SLEEVES, "left leg", "right leg"),
        swap_min=4,
        pre_heat_min=2,
    ),
    Platen(
        name=BAG,
        width_mm=254,
        height_mm=305,
        count=1,
        placements=("bag front",),
        size_groups=("one size",),
        swap_min=4,
        pre_heat_min=2,
    ),
    Platen(
        name=CAP,
        width_mm=140,
        height_mm=89,
        count=1,
        placements=("cap front",),
        size_groups=("one size",),
        swap_min=3,
        pre_heat_min=2,
    ),
    Platen(
        name=LABEL,
        width_mm=152,
        height_mm=152,
        count=2,
        placements=("neck label", "nape", "left chest", "right chest"),
        swap_min=3,
        pre_heat_min=2,
    ),
    Platen(
        name=FRONT_AND_LABEL,
        width_mm=356,
        height_mm=381,
        count=1,
        placements=("full front", *CHESTS),
        second_placements=("neck label",),
        second_width_mm=120,
        second_height_mm=100,
        size_groups=("adult",),
        swap_min=6,
        pre_heat_min=3,
    ),
    Platen(
        name=TWIN_SLEEVE,
        width_mm=120,
        height_mm=200,
        count=1,
        placements=("left sleeve",),
        second_placements=("right sleeve",),
        second_width_mm=120,
        second_height_mm=200,
        swap_min=6,
        pre_heat_min=2,
    ),
)

CREW = (
    Operator(
        name="Marta",
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
        name="Tobias",
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
        name="Ines",
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
        name="Kofi",
        hours=dict.fromkeys(
            (1, 2, 3),
            OperatorHours(start=time(10, 0), end=time(15, 30), breaks=((time(12, 0), time(12, 15)),)),
        ),
        skills=("stand",),
        pace=0.85,
    ),
)

COURIERS = (
    Courier(name="parcel", cut_offs=dict.fromkeys(WEEK, time(14, 30))),
    Courier(name="noon van", cut_offs=dict.fromkeys(WEEK, time(12, 0))),
    Courier(name="night line", cut_offs=dict.fromkeys(WEEK, time(17, 0))),
)

CIRCUITS = (
    Circuit(name="North wall", volts=230, amps=16, continuous_share=0.8),
    Circuit(name="South wall", volts=230, amps=16, continuous_share=0.8),
    Circuit(name="Back room", volts=230, amps=16, continuous_share=0.8),
)


def _placements() -> tuple[Placement, ...]:
    """The usual placements, sleeves that may pair, and two for shirts with a sublimated panel."""
    pairs = {"left sleeve": ("right sleeve",), "right sleeve": ("left sleeve",)}
    usual = tuple(
        Placement(
            name=place.name,
            positions=place.positions,
            width_mm=place.width_mm,
            height_mm=place.height_mm,
            inside=place.inside,
            turnable=place.turnable,
            after=place.after,
            pairs_with=pairs.get(place.name, place.pairs_with),
        )
        for place in default_shop().placements
    )
    panel = {"": "Whole front, top 60 mm below the collar seam", "youth": "Whole front, top 40 mm below"}
    badge = {"": "On the panel, centre 180 mm below the collar seam", "youth": "On the panel, 140 mm below"}
    return (
        *usual,
        Placement(name="front panel", positions=panel, width_mm=300, height_mm=360),
        Placement(name="badge on panel", positions=badge, width_mm=80, height_mm=80, after=("front panel",)),
    )


@cache
def example_shop() -> Shop:
    """The invented shop of all examples."""
    usual = default_shop()
    return Shop(
        name="Larkfield Print Room",
        presses=PRESSES,
        platens=PLATENS,
        placements=_placements(),
        recipes=default_recipes(),
        crew=CREW,
        circuits=CIRCUITS,
        hours={
            day: OpenHours(open=time(6, 30), close=time(17, 30), overtime_end=time(18, 0)) for day in WEEK
        },
        closed_days=(date(2027, 3, 26), date(2027, 3, 29)),
        couriers=COURIERS,
        elements=default_elements(),
        allowances=Allowances(),
        size_groups=default_sizes(),
        spoilage=dict(usual.spoilage),
        fabrics=usual.fabrics,
        defaults=("Recipes", "Element times"),
    )
