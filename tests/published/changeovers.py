"""Known best values with setups, breaks and a rush order; the input stands beside the answer."""

from __future__ import annotations

from scheduler.domain.instance import Instance, Level, Shift
from tests.published.state import OWN, PINEDO, WINSTON, Table, case, crewed, shop

S12: Table = ((0, 50, 120, 140), (60, 0, 140, 110), (90, 130, 0, 60), (130, 120, 80, 0))
S13: Table = ((0, 30, 50, 90), (40, 0, 20, 80), (30, 30, 0, 60), (20, 15, 10, 0))


def tour(setups: Table) -> Instance:
    """From state 0 through all others and back: the last run, number 4, needs state 0 again."""
    return shop(
        (1, 1, 1, 1),
        setups=setups,
        families=(1, 2, 3, 0),
        initial=0,
        before=((1, 4), (2, 4), (3, 4)),
        levels=("left_over", "changeover"),
    )


def path(setups: Table) -> Instance:
    return shop((1, 1, 1, 1), setups=setups, levels=("left_over", "changeover"))


def s14(*levels: Level) -> Instance:
    return shop(
        (20, 30, 25, 15, 40, 10),
        due=(60, 90, 70, 130, 160, 150),
        weight=(1, 2, 1, 3, 1, 2),
        families=(0, 0, 1, 1, 2, 2),
        setups=((0, 10, 5), (15, 0, 8), (5, 12, 0)),
        levels=("left_over", *levels),
    )


def s15(*levels: Level) -> Instance:
    return shop(
        (24, 30, 18, 36, 20, 28),
        due=(40, 60, 60, 90, 110, 100),
        weight=(2, 1, 3, 1, 2, 1),
        families=(0, 1, 2, 0, 1, 2),
        setups=((0, 6, 10), (14, 0, 12), (10, 8, 0)),
        warm_up=12,
        machines=2,
        levels=("left_over", *levels),
    )


CHANGEOVERS = (
    case(
        "S11 weighted tardiness with setups",
        shop(
            (13, 9, 13, 10),
            due=(12, 37, 21, 22),
            weight=(2, 4, 2, 5),
            first=(1, 1, 3, 4),
            setups=((0, 4, 1, 3), (0, 0, 1, 0), (1, 2, 0, 3), (4, 3, 1, 0)),
        ),
        (98,),
        f"{PINEDO}, example of the ATCS rule (Lee, Bhaskaran, Pinedo 1997); from memory, by enumeration",
    ),
    # One public copy prints 120 for 2 -> 4; its own best value is only right with 110.
    case("S12 closed tour of batches", tour(S12), (330,), f"{WINSTON}, problem 2"),
    case("S12 open path of batches", path(S12), (220,), f"data of {WINSTON}, problem 2, by enumeration"),
    case(
        "S13 closed tour of batches",
        tour(S13),
        (130,),
        "K. R. Baker, sequencing texts; from memory, by enumeration",
    ),
    case("S13 open path of batches", path(S13), (65,), "data of K. R. Baker (from memory), by enumeration"),
    case("S14 lateness first", s14("lateness", "changeover", "finish"), (13, 33, 173), OWN),
    case("S14 changeover first", s14("changeover", "lateness"), (13, 179), OWN),
    case("S15 lateness first", s15("lateness", "changeover"), (16, 26), OWN),
    case("S15 changeover first", s15("changeover", "changeovers", "lateness"), (6, 1, 68), OWN),
    case("S15 number of changeovers first", s15("changeovers", "lateness"), (1, 48), OWN),
    case("S15 finish first", s15("finish", "lateness"), (98, 36), OWN),
)


MORNING = Shift(start=15, end=240, overtime_end=240)
AFTERNOON = Shift(start=270, end=480, overtime_end=480)
WITH_BREAK = Shift(start=15, end=480, overtime_end=480, breaks=((240, 270),))
WITHOUT_BREAK = Shift(start=15, end=480, overtime_end=480)
S16 = (110, 95, 85, 75)

BREAKS = (
    case("S16 no run over the break", crewed(S16, MORNING, AFTERNOON), (430,), OWN),
    case("S16 runs pause over the break", crewed(S16, WITH_BREAK), (410,), OWN),
    case("S16 no break", crewed(S16, WITHOUT_BREAK), (380,), OWN),
    case("S16 a run that ends as the break begins", crewed((120, 105, 60), MORNING, AFTERNOON), (330,), OWN),
    # 121 + 105 don't fit into the 225 ticks before the break; 121 + 60 do, and 105 follows from 270.
    case(
        "S16 one tick too long to end as the break begins",
        crewed((121, 105, 60), MORNING, AFTERNOON),
        (375,),
        OWN,
    ),
    case(
        "S17 before the rush order",
        shop((30, 40, 20, 35), due=(40, 90, 80, 130), weight=(1, 1, 2, 1)),
        (0,),
        OWN,
    ),
    # Job 1 runs when job 5 arrives at 10: it stays first, and nothing else may start before 10.
    case(
        "S17 after the rush order",
        shop(
            (30, 40, 20, 35, 25),
            due=(40, 90, 80, 130, 60),
            weight=(1, 1, 2, 1, 5),
            release=(0, 10, 10, 10, 10),
            before=((1, 2), (1, 3), (1, 4), (1, 5)),
        ),
        (45,),
        OWN,
    ),
)
