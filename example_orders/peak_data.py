"""The busy week: some 250 runs for the same shop, due from the planned day to Friday.

Too much to write down order by order: each order takes a customer, a design and one of the usual kinds
of job, drawn with a fixed seed, so that the week is always the same.
"""

from __future__ import annotations

from collections.abc import Sequence
from random import Random
from typing import TypeVar

T = TypeVar("T")

SEED = 20270309
ORDERS = 125
FIRST_NUMBER = 5001

PLACES = (
    "Aldermoor",
    "Birchen Edge",
    "Cinder Lane",
    "Drovers Green",
    "Eastfold",
    "Foxholt",
    "Greywater",
    "Hazel Bank",
    "Inchbrook",
    "Kingfisher Row",
    "Lower Thorn",
    "Marsh End",
    "Netherby Hill",
    "Otterbourne Mill",
    "Pennard Cross",
    "Ravensmoor",
    "Sorrel Down",
    "Wrenfield",
)
CUSTOMERS = {
    "kit": ("Rovers", "Juniors", "Hockey", "Netball", "Athletics"),
    "school": ("Primary School", "Nursery", "Scouts", "Dance"),
    "bag": ("Books", "Farm Shop", "Allotments", "Tea Room"),
    "cap": ("Golf Society", "Anglers", "Boat Hire"),
    "work": ("Roofing", "Joinery", "Gardens", "Electrics"),
    "shirt": ("Choir", "Brewery", "Festival", "Theatre", "Runners"),
    "panel": ("Cycling Club", "Triathlon"),
    "label": ("Outfitters", "Knitwear"),
}

# Kind of job, how often in 20 orders, garment; colours; fabric; sizes with a first guess of each quantity,
# then its placements. {} is the customer's design.
JOBS: tuple[tuple[str, int, str, tuple[str, ...], str, dict[str, int], tuple[str, ...]], ...] = (
    (
        "kit",
        3,
        "match shirt",
        ("red", "blue", "amber"),
        "polyester",
        {"Y-M": 4, "Y-L": 4, "S": 4, "M": 5},
        (
            "left chest; film hot peel; {} crest; 70 x 80",
            "full back; cut vinyl low heat; {} numbers; 220 x 260",
        ),
    ),
    (
        "kit",
        1,
        "training top",
        ("black", "green"),
        "polyester",
        {"S": 4, "M": 6, "L": 5},
        (
            "left chest; film hot peel; {} crest; 70 x 80",
            "left sleeve; film hot peel; {} flash; 70 x 60",
            "right sleeve; film hot peel; {} year; 70 x 60",
        ),
    ),
    (
        "school",
        3,
        "PE shirt",
        ("sky blue", "yellow"),
        "cotton-polyester blend",
        {"Y-XS": 5, "Y-S": 7, "Y-M": 7, "Y-L": 5},
        ("left chest; film hot peel; {} emblem; 65 x 70",),
    ),
    (
        "bag",
        2,
        "tote bag",
        ("natural", "navy"),
        "canvas",
        {"one size": 26},
        ("bag front; screen-printed hot split; {} drawing; 190 x 200",),
    ),
    ("cap", 2, "cap", ("navy", "stone"), "cotton", {"one size": 18}, ("cap front; film hot peel; {} cap",)),
    (
        "work",
        3,
        "work shirt",
        ("grey", "olive"),
        "cotton",
        {"M": 5, "L": 6, "XL": 4, "2XL": 2},
        (
            "left chest; film cold peel; {} small; 90 x 60",
            "full back; film cold peel; {} large; 300 x 200",
        ),
    ),
    (
        "shirt",
        3,
        "T-shirt",
        ("black", "white", "burgundy"),
        "cotton",
        {"S": 6, "M": 9, "L": 8, "XL": 3},
        ("full front; film hot peel; {} poster; 260 x 300", "neck label; film hot peel; {} label; 60 x 45"),
    ),
    (
        "shirt",
        1,
        "hoody",
        ("grey", "navy"),
        "cotton-polyester blend",
        {"S": 5, "M": 7, "L": 6},
        ("centre chest; screen-printed low bleed; {} line; 220 x 150",),
    ),
    (
        "panel",
        1,
        "jersey",
        ("white",),
        "polyester",
        {"S": 3, "M": 6, "L": 4},
        ("front panel; sublimation; {} panel", "badge on panel; film hot peel; {} badge"),
    ),
    (
        "label",
        1,
        "sweater",
        ("sage", "cream"),
        "cotton",
        {"S": 6, "M": 8, "L": 6},
        ("neck label; neck label transfer; {} label; 55 x 55",),
    ),
)
DUE = (("Tue", 15), ("Wed", 13), ("Thu", 9), ("Fri", 3))
COURIERS = (("noon van", 5), ("parcel", 11), ("night line", 4))
PRIORITIES = (("normal", 17), ("high", 2), ("rush", 1))


def _draw(random: Random, shares: Sequence[tuple[T, int]]) -> T:
    """One of several things, each as often as its share says."""
    # Only random() is promised to give the same numbers on every version of Python.
    at = random.random() * sum(share for _, share in shares)
    for thing, share in shares:
        at -= share
        if at < 0:
            return thing
    return shares[-1][0]


def _one(random: Random, things: Sequence[T]) -> T:
    return _draw(random, [(thing, 1) for thing in things])


def peak_text() -> str:
    """The busy week as a scenario text."""
    random = Random(SEED)
    blocks = []
    for number in range(FIRST_NUMBER, FIRST_NUMBER + ORDERS):
        kind, _, garment, colours, fabric, usual, prints = _draw(random, [(job, job[1]) for job in JOBS])
        place = _one(random, PLACES)
        customer = f"{place} {_one(random, CUSTOMERS[kind])}"
        size = 0.6 + 0.8 * random.random()
        sizes = ", ".join(f"{label} {max(1, round(size * pieces))}" for label, pieces in usual.items())
        head = (number, customer, _draw(random, COURIERS), _draw(random, DUE), _draw(random, PRIORITIES))
        garments = "; ".join((garment, _one(random, colours), fabric, sizes))
        rows = [f"    {printed.format(place)}" for printed in prints]
        blocks.append("\n".join(["; ".join(str(word) for word in head), f"  {garments}", *rows]))
    return "\n\n".join(blocks)
