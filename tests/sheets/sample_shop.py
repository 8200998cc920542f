# ruff: noqa: E501  the day is written as a table, one run a line
"""An invented shop for the tests of printing: five presses, four people, names in many scripts."""

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
    Peel,
    Placement,
    Platen,
    Press,
    Pressure,
    Recipe,
    Setup,
    Shop,
)

PRESSES = (
    Press(
        name="North bench",
        temp_min_c=60,
        temp_max_c=210,
        heat_c_per_min=10,
        cool_c_per_min=3,
        watts=1800,
        circuit="A",
        platens=("Full 400 x 500", "Chest 280 x 380", "Youth 230 x 300"),
        mounted="Full 400 x 500",
    ),
    Press(
        name="South bench",
        opening=Opening.SWING,
        platen_cover=True,
        temp_min_c=60,
        temp_max_c=210,
        heat_c_per_min=10,
        cool_c_per_min=3,
        watts=1800,
        circuit="A",
        platens=("Full 400 x 500", "Chest 280 x 380", "Youth 230 x 300", "Sleeve 100 x 400", "Neck and back"),
        mounted="Chest 280 x 380",
    ),
    Press(
        name="Window stand (self-opening, the tall one beside the door)",
        self_opening=True,
        on_stand=True,
        platen_cover=True,
        temp_min_c=60,
        temp_max_c=200,
        heat_c_per_min=8,
        cool_c_per_min=2.5,
        watts=2200,
        circuit="B",
        platens=("Full 400 x 500", "Chest 280 x 380", "Neck and back", "Sleeve 100 x 400"),
        skill="self-opening press",
    ),
    Press(
        name="Cap press",
        temp_min_c=90,
        temp_max_c=180,
        heat_c_per_min=12,
        cool_c_per_min=4,
        watts=600,
        circuit="B",
        platens=("Cap 90 x 140",),
        mounted="Cap 90 x 140",
    ),
    Press(
        name="Label press",
        temp_min_c=90,
        temp_max_c=180,
        heat_c_per_min=15,
        cool_c_per_min=5,
        watts=500,
        circuit="B",
        platens=("Neck 150 x 150",),
        mounted="Neck 150 x 150",
    ),
)

PLATENS = (
    Platen(
        name="Full 400 x 500",
        width_mm=400,
        height_mm=500,
        count=2,
        placements=("Full back", "Full front", "Bag front"),
        size_groups=("adult", "one size"),
        swap_min=4,
        pre_heat_min=1,
    ),
    Platen(
        name="Chest 280 x 380",
        width_mm=280,
        height_mm=380,
        count=2,
        placements=("Left chest", "Full front"),
        swap_min=3,
        pre_heat_min=1,
    ),
    Platen(
        name="Youth 230 x 300",
        width_mm=230,
        height_mm=300,
        count=1,
        placements=("Left chest", "Full front", "Full back"),
        size_groups=("youth",),
        swap_min=3,
        pre_heat_min=1,
    ),
    Platen(
        name="Sleeve 100 x 400",
        width_mm=100,
        height_mm=400,
        count=1,
        placements=("Right sleeve", "Left sleeve"),
        swap_min=5,
        pre_heat_min=1,
    ),
    Platen(
        name="Neck and back",
        width_mm=400,
        height_mm=450,
        count=1,
        placements=("Full back",),
        second_placements=("Neck label",),
        second_width_mm=100,
        second_height_mm=100,
        swap_min=6,
        pre_heat_min=1,
    ),
    Platen(
        name="Cap 90 x 140",
        width_mm=140,
        height_mm=90,
        count=1,
        placements=("Cap front", "Cap side"),
        swap_min=5,
    ),
    Platen(
        name="Neck 150 x 150", width_mm=150, height_mm=150, count=1, placements=("Neck label",), swap_min=3
    ),
)

PLACEMENTS = (
    Placement(
        name="Left chest",
        positions={
            "": "centre 200 mm below the shoulder seam at the neck, 120 mm from the centre line, wearer's left",
            "youth": "centre 110 mm below the shoulder seam at the neck, 75 mm from the centre line, wearer's left",
        },
        width_mm=90,
        height_mm=80,
    ),
    Placement(
        name="Full front",
        positions={
            "": "top edge 75 mm below the collar seam, centred",
            "youth": "top edge 50 mm below the collar seam, centred",
        },
        width_mm=300,
        height_mm=350,
    ),
    Placement(
        name="Full back",
        positions={
            "": "top edge 100 mm below the collar seam, centred",
            "youth": "top edge 60 mm below the collar seam, centred",
        },
        width_mm=320,
        height_mm=380,
        pairs_with=("Neck label",),
    ),
    Placement(
        name="Neck label",
        positions={"": "inside, top edge 15 mm below the collar seam, centred"},
        width_mm=60,
        height_mm=60,
        inside=True,
    ),
    Placement(
        name="Right sleeve",
        positions={"": "lower edge 35 mm above the hem, centred on the fold, wearer's right"},
        width_mm=80,
        height_mm=80,
    ),
    Placement(
        name="Cap front",
        positions={"": "lower edge 15 mm above the brim, centred on the front seam"},
        width_mm=110,
        height_mm=55,
        turnable=False,
    ),
    Placement(
        name="Cap side",
        positions={
            "": "lower edge 20 mm above the band, centred between front seam and strap, wearer's left"
        },
        width_mm=60,
        height_mm=40,
    ),
    Placement(
        name="Bag front",
        positions={"": "centred, top edge 90 mm below the top hem; keep the seam off the platen"},
        width_mm=250,
        height_mm=250,
    ),
)

RECIPES = (
    Recipe(
        transfer="film, hot peel",
        fabric="cotton",
        temp_c=150,
        pressure=Pressure.MEDIUM_FIRM,
        pre_press_s=4,
        dwell_s=12,
        peel=Peel.HOT,
        second_press_s=6,
    ),
    Recipe(
        transfer="film, cold peel",
        fabric="cotton",
        temp_c=160,
        pressure=Pressure.MEDIUM_FIRM,
        pre_press_s=4,
        dwell_s=14,
        peel=Peel.COLD,
        cooling_s=60,
        second_press_s=8,
    ),
    Recipe(
        transfer="cut vinyl",
        fabric="polyester",
        temp_c=130,
        pressure=Pressure.MEDIUM,
        dwell_s=12,
        peel=Peel.WARM,
        cooling_s=10,
    ),
    Recipe(
        transfer="screen-printed transfer",
        fabric="cotton",
        temp_c=185,
        pressure=Pressure.FIRM,
        pre_press_s=3,
        dwell_s=8,
        peel=Peel.HOT,
    ),
    Recipe(
        transfer="sublimation paper",
        fabric="polyester",
        temp_c=195,
        pressure=Pressure.LIGHT,
        dwell_s=45,
        peel=Peel.HOT,
    ),
    Recipe(
        transfer="patch",
        fabric="cotton",
        temp_c=165,
        pressure=Pressure.FIRM,
        dwell_s=20,
        peel=Peel.NONE,
        cooling_s=30,
        second_press_s=15,
    ),
    Recipe(
        transfer="neck label transfer",
        fabric="cotton",
        temp_c=150,
        pressure=Pressure.MEDIUM_FIRM,
        pre_press_s=3,
        dwell_s=7,
        peel=Peel.HOT,
    ),
)

CREW = (
    Operator(
        name="Zofia Wójcik",
        hours=dict.fromkeys(
            USUAL_WEEK,
            OperatorHours(
                start=time(7, 30),
                end=time(16, 0),
                overtime_end=time(17, 30),
                breaks=((time(9, 30), time(9, 45)), (time(12, 0), time(12, 30))),
            ),
        ),
        skills=("self-opening press",),
        pace=1.1,
    ),
    Operator(
        name="Ελένη Παπαδοπούλου",
        hours=dict.fromkeys(
            USUAL_WEEK,
            OperatorHours(
                start=time(8, 0),
                end=time(16, 30),
                breaks=((time(10, 0), time(10, 15)), (time(12, 30), time(13, 0))),
            ),
        ),
        skills=("self-opening press",),
    ),
    Operator(
        name="Иван Шевченко",
        hours=dict.fromkeys(
            USUAL_WEEK,
            OperatorHours(start=time(8, 0), end=time(14, 0), breaks=((time(11, 0), time(11, 20)),)),
        ),
        pace=0.9,
    ),
    Operator(
        name="Bartholomew Featherstonehaugh-Cholmondeley the Younger of Upper Mill Lane",
        hours=dict.fromkeys(
            USUAL_WEEK,
            OperatorHours(start=time(10, 0), end=time(18, 0), breaks=((time(13, 0), time(13, 30)),)),
        ),
    ),
)

SHOP = Shop(
    name="Kiln Lane Print Works",
    presses=PRESSES,
    platens=PLATENS,
    placements=PLACEMENTS,
    recipes=RECIPES,
    crew=CREW,
    circuits=(
        Circuit(name="A", volts=230, amps=16, continuous_share=0.8),
        Circuit(name="B", volts=230, amps=16, continuous_share=0.8),
    ),
    hours={day: OpenHours(open=time(7, 0), close=time(18, 0), overtime_end=time(19, 0)) for day in range(5)},
    couriers=(Courier(name="Afternoon van", cut_offs={day: time(16, 0) for day in range(5)}),),
    elements={(element, setup): 5.0 for element in Element for setup in Setup},
    allowances=Allowances(),
    size_groups={
        **dict.fromkeys(("XS", "S", "M", "L", "XL", "2XL", "3XL", "4XL", "5XL"), "adult"),
        **dict.fromkeys(("Y-XS", "Y-S", "Y-M", "Y-L", "Y-XL"), "youth"),
        "one size": "one size",
    },
    spoilage={"film, cold peel": 0.03, "cut vinyl": 0.02},
    fabrics=("cotton", "polyester"),
    defaults=("recipes", "element times"),
)
