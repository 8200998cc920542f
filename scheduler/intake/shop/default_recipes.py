"""Starting points for pressing each type of transfer onto each fabric (common practice, no source)."""

from __future__ import annotations

from scheduler.domain.shop import Peel, Pressure, Recipe

TRANSFERS: dict[str, float] = {
    "film hot peel": 0.02,
    "film cold peel": 0.02,
    "screen-printed hot split": 0.02,
    "screen-printed low bleed": 0.02,
    "cut vinyl": 0.02,
    "cut vinyl low heat": 0.02,
    "flock vinyl": 0.02,
    "sublimation": 0.03,
    "patch": 0.01,
    "neck label transfer": 0.02,
}
"""By transfer type: share of transfers to have spare."""

FABRICS = ("cotton", "canvas", "cotton-polyester blend", "polyester", "nylon")
"""Names of the fabrics."""

_M, _MF, _F = Pressure.MEDIUM, Pressure.MEDIUM_FIRM, Pressure.FIRM

# transfer: pressure, pre-press s, dwell s, peel, cooling s, second press s, then °C by fabric. A blend is
# pressed like its most sensitive fibre; polyester and nylon stay at 140 °C or below, except for sublimation,
# whose dye has to move.
_RECIPES: dict[str, tuple[Pressure, int, int, Peel, int, int, dict[str, int]]] = {
    "film hot peel": (
        _MF,
        4,
        12,
        Peel.HOT,
        0,
        6,
        {"cotton": 150, "canvas": 150, "cotton-polyester blend": 140, "polyester": 140, "nylon": 140},
    ),
    "film cold peel": (_MF, 4, 12, Peel.COLD, 45, 6, {"cotton": 160, "canvas": 160}),
    "screen-printed hot split": (_F, 4, 8, Peel.HOT, 0, 0, {"cotton": 180, "canvas": 180}),
    "screen-printed low bleed": (
        _F,
        3,
        10,
        Peel.COLD,
        45,
        0,
        {"cotton": 150, "canvas": 150, "cotton-polyester blend": 140, "polyester": 135, "nylon": 130},
    ),
    "cut vinyl": (_MF, 3, 15, Peel.WARM, 10, 0, {"cotton": 155, "canvas": 155}),
    "cut vinyl low heat": (
        _M,
        3,
        12,
        Peel.WARM,
        15,
        0,
        {"cotton": 140, "canvas": 140, "cotton-polyester blend": 135, "polyester": 130, "nylon": 125},
    ),
    "flock vinyl": (_MF, 3, 18, Peel.COLD, 40, 0, {"cotton": 160, "canvas": 160}),
    "sublimation": (_M, 4, 45, Peel.HOT, 0, 0, {"polyester": 195}),
    "patch": (_F, 0, 20, Peel.NONE, 40, 20, {"cotton": 160, "canvas": 165}),
    "neck label transfer": (
        _M,
        0,
        8,
        Peel.HOT,
        0,
        0,
        {"cotton": 150, "canvas": 150, "cotton-polyester blend": 140, "polyester": 135, "nylon": 130},
    ),
}


def default_recipes() -> tuple[Recipe, ...]:
    """Starting points for every transfer type on the fabrics that stand its heat."""
    return tuple(
        Recipe(
            transfer=transfer,
            fabric=fabric,
            temp_c=temp_c,
            pressure=pressure,
            pre_press_s=pre_press_s,
            dwell_s=dwell_s,
            peel=peel,
            cooling_s=cooling_s,
            second_press_s=second_press_s,
        )
        for transfer, (
            pressure,
            pre_press_s,
            dwell_s,
            peel,
            cooling_s,
            second_press_s,
            temps,
        ) in _RECIPES.items()
        for fabric, temp_c in temps.items()
    )
