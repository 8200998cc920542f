"""The orders of the benchmark days: invented customers, the usual kinds of job, sizes with a long tail."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime, time, timedelta
from fractions import Fraction
from random import Random

from scheduler.domain.orders import Order, OrderLine, Print, Sized
from scheduler.domain.shop import Shop
from tests.benchmarks.day_shop import CUT_OFFS, DAY, draw, one

HOT, COLD, SCREEN, LOW = (
    "film hot peel",
    "film cold peel",
    "screen-printed hot split",
    "screen-printed low bleed",
)
VINYL, LOW_VINYL, FLOCK, LABEL = "cut vinyl", "cut vinyl low heat", "flock vinyl", "neck label transfer"
BLEND = "cotton-polyester blend"

ADULTS = (("S", 4), ("M", 7), ("L", 6), ("XL", 3))
YOUTHS = (("Y-S", 5), ("Y-M", 7), ("Y-L", 5))
BOTH = (("Y-M", 5), ("Y-L", 4), ("S", 4), ("M", 5))
ONE_SIZE = (("one size", 20),)

Motif = tuple[str, str, str, int, int]
"""A print: placement, transfer, motif, width and height in mm."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Job:
    """A usual kind of job.

    Attributes
    ----------
    share
        How often it comes, against the others.
    needs
        Kind of press without which it can't be done.
    sizes
        Pieces by size label, for a job of usual size.
    """

    name: str
    share: int
    needs: str = "Bench"
    garment: str
    fabric: str
    sizes: tuple[tuple[str, int], ...]
    prints: tuple[Motif, ...]


JOBS = (
    Job(
        name="Rovers",
        share=3,
        garment="match shirt",
        fabric="polyester",
        sizes=BOTH,
        prints=(
            ("left chest", HOT, "crest", 70, 80),
            ("full back", LOW_VINYL, "numbers", 220, 250),
        ),
    ),
    Job(
        name="Hockey",
        share=2,
        garment="match shirt",
        fabric="polyester",
        sizes=ADULTS,
        prints=(
            ("centre chest", HOT, "tower", 220, 160),
            ("full back", LOW_VINYL, "numbers", 230, 260),
            ("left sleeve", LOW_VINYL, "flash", 65, 65),
            ("right sleeve", LOW_VINYL, "flash", 65, 65),
        ),
    ),
    Job(
        name="Athletics",
        share=2,
        garment="training top",
        fabric="polyester",
        sizes=ADULTS,
        prints=(
            ("left chest", HOT, "crest", 75, 75),
            ("left sleeve", HOT, "star", 70, 60),
            ("right sleeve", HOT, "year", 70, 60),
        ),
    ),
    Job(
        name="Primary School",
        share=3,
        garment="PE shirt",
        fabric=BLEND,
        sizes=YOUTHS,
        prints=(("left chest", HOT, "owl", 65, 70),),
    ),
    Job(
        name="Books",
        share=2,
        garment="tote bag",
        fabric="canvas",
        sizes=ONE_SIZE,
        prints=(("bag front", SCREEN, "drawing", 190, 220),),
    ),
    Job(
        name="Bakery",
        share=2,
        garment="apron",
        fabric="canvas",
        sizes=ONE_SIZE,
        prints=(("bag front", COLD, "wheat ear", 180, 200),),
    ),
    Job(
        name="Anglers",
        share=2,
        needs="Cap press",
        garment="cap",
        fabric="cotton",
        sizes=ONE_SIZE,
        prints=(("cap front", HOT, "anchor", 100, 50),),
    ),
    Job(
        name="Golf Society",
        share=1,
        needs="Cap press",
        garment="cap",
        fabric="cotton",
        sizes=ONE_SIZE,
        prints=(("cap front", VINYL, "year", 100, 45),),
    ),
    Job(
        name="Roofing",
        share=3,
        garment="work shirt",
        fabric="cotton",
        sizes=ADULTS,
        prints=(
            ("left chest", COLD, "small chimney", 90, 70),
            ("full back", COLD, "large chimney", 300, 200),
        ),
    ),
    Job(
        name="Gardens",
        share=2,
        garment="work trousers",
        fabric=BLEND,
        sizes=ADULTS,
        prints=(
            ("left leg", LOW_VINYL, "tall leaf", 70, 200),
            ("right leg", LOW_VINYL, "tall leaf", 70, 200),
        ),
    ),
    Job(
        name="Brewery",
        share=4,
        garment="T-shirt",
        fabric="cotton",
        sizes=ADULTS,
        prints=(
            ("full front", HOT, "hare", 260, 300),
            ("neck label", HOT, "label", 60, 50),
        ),
    ),
    Job(
        name="Festival",
        share=3,
        garment="T-shirt",
        fabric="cotton",
        sizes=ADULTS,
        prints=(
            ("full front", SCREEN, "poster", 250, 320),
            ("full back", SCREEN, "bands", 300, 340),
        ),
    ),
    Job(
        name="Choir",
        share=2,
        garment="T-shirt",
        fabric="cotton",
        sizes=ADULTS,
        prints=(("centre chest", FLOCK, "harp", 200, 160),),
    ),
    Job(
        name="Removals",
        share=2,
        garment="polo shirt",
        fabric=BLEND,
        sizes=ADULTS,
        prints=(
            ("left chest", LOW, "van", 85, 85),
            ("full back", LOW, "large van", 290, 140),
        ),
    ),
    Job(
        name="Cycling Club",
        share=2,
        needs="Drawer",
        garment="jersey",
        fabric="polyester",
        sizes=ADULTS,
        prints=(
            ("front panel", "sublimation", "waves", 260, 360),
            ("badge on panel", HOT, "wheel", 80, 80),
        ),
    ),
    Job(
        name="Outfitters",
        share=2,
        garment="sweater",
        fabric="cotton",
        sizes=ADULTS,
        prints=(
            ("neck label", LABEL, "label", 55, 55),
            ("left chest", HOT, "plum", 80, 80),
        ),
    ),
    Job(
        name="Scouts",
        share=1,
        garment="scout shirt",
        fabric="cotton",
        sizes=BOTH,
        prints=(("left sleeve", "patch", "patch", 70, 70),),
    ),
)
"""Quantities are for a job of usual size on a small shop's day."""

PLACES = (
    *("Aldermoor", "Birchen Edge", "Cinder Lane", "Drovers Green", "Eastfold", "Foxholt", "Greywater"),
    *("Hazel Bank", "Inchbrook", "Kingfisher Row", "Lower Thorn", "Marsh End", "Netherby", "Otterburn Mill"),
    *("Pennard Cross", "Quarry Fold", "Ravensmoor", "Sorrel Down", "Tansy Court", "Wrenfield"),
)
COLOURS = ("black", "white", "navy", "red", "green", "grey")
TAIL = ((40, 4), (65, 6), (100, 6), (140, 3), (200, 2), (290, 1))
"""Size of a job in hundredths of its usual size, and how often."""

COURIERS = (("noon van", 6), ("parcel", 9), ("night line", 5))
LONG_JOB, LONGER_JOB = 200, 350
"""From so many pieces times placements (at usual size) a job isn't promised for noon, or before night."""

WEIGHTS = ((1, 17), (3, 2), (10, 1))
NEXT_DAY = 0.07
LATE_BOX, LATE_TRANSFERS = 0.18, 0.06
"""Shares of orders due the day after, whose garments come during the day, whose transfers do."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Wish:
    """An order before its quantities are fixed: one job, with the pieces of usual size in hundredths."""

    order: Order
    hundredths: tuple[int, ...]

    def scaled(self, scale: Fraction) -> Order:
        """The order with all quantities times a scale, at least 1 of each size."""
        (line,) = self.order.lines
        sizes = tuple(
            Sized(size=sized.size, quantity=max(1, int(scale * pieces / 100 + Fraction(1, 2))))
            for sized, pieces in zip(line.sizes, self.hundredths, strict=True)
        )
        order = self.order
        return Order(
            id=order.id,
            customer=order.customer,
            cut_off=order.cut_off,
            weight=order.weight,
            lines=(
                OrderLine(
                    garment=line.garment,
                    colour=line.colour,
                    fabric=line.fabric,
                    sizes=sizes,
                    prints=line.prints,
                    garments_in=line.garments_in,
                ),
            ),
        )


def wishes(shop: Shop, count: int, random: Random) -> tuple[Wish, ...]:
    """So many orders that the shop can press."""
    kinds = [press.name.rpartition(" ")[0] for press in shop.presses]
    jobs = [(job, job.share) for job in JOBS if job.needs in kinds]
    # Neighbours and towns come back, so that some orders share an artwork.
    customers = PLACES[: max(4, min(len(PLACES), count // 6))]
    return tuple(_wish(number, draw(random, jobs), customers, random) for number in range(count))


def _wish(number: int, job: Job, places: tuple[str, ...], random: Random) -> Wish:
    customer = f"{one(random, places)} {job.name}"
    factor = draw(random, TAIL) * (85 + int(30 * random.random())) // 100
    hundredths = tuple(pieces * factor for _, pieces in job.sizes)
    courier = draw(random, COURIERS)
    work = sum(hundredths) * len(job.prints) // 100
    if work >= LONGER_JOB:
        courier = "night line"
    elif work >= LONG_JOB and courier == "noon van":
        courier = "parcel"
    ahead = 1 if random.random() < NEXT_DAY else 0
    box, transfers = (_arrival(random, share, courier) for share in (LATE_BOX, LATE_TRANSFERS))
    line = OrderLine(
        garment=job.garment,
        colour=one(random, COLOURS),
        fabric=job.fabric,
        sizes=tuple(Sized(size=size, quantity=pieces) for size, pieces in job.sizes),
        prints=tuple(
            Print(
                placement=placement,
                transfer=transfer,
                artwork=f"{customer} {motif}",
                width_mm=width_mm,
                height_mm=height_mm,
                transfers_in=transfers if at == len(job.prints) - 1 else None,
            )
            for at, (placement, transfer, motif, width_mm, height_mm) in enumerate(job.prints)
        ),
        garments_in=box,
    )
    order = Order(
        id=str(1001 + number),
        customer=customer,
        cut_off=datetime.combine(DAY + timedelta(days=ahead), CUT_OFFS[courier]),
        weight=draw(random, WEIGHTS),
        lines=(line,),
    )
    return Wish(order=order, hundredths=hundredths)


def _arrival(random: Random, share: float, courier: str) -> datetime | None:
    """When a box comes, at least three and a half hours before the courier; None: it is there."""
    comes, at = random.random() < share, random.random()
    latest = CUT_OFFS[courier].hour * 2 + CUT_OFFS[courier].minute // 30 - 7
    first = 14
    half_hours = first + int(at * (min(latest, 23) - first + 1))
    moment = time(half_hours // 2, half_hours % 2 * 30)
    return datetime.combine(DAY, moment) if comes else None
