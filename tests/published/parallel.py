"""Known best values on parallel machines and in shops; the input stands beside the answer."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from scheduler.domain.instance import Instance
from tests.published.state import FINISH, OWN, PINEDO, case, flow, routes, shop

GRAHAM = "R. L. Graham, SIAM Journal on Applied Mathematics 17, 1969"
P10 = (3, 2, 2, 2, 4, 4, 4, 4, 9)
P10_BEFORE = ((1, 9), (4, 5), (4, 6), (4, 7), (4, 8))
P11 = (8, 7, 7, 2, 3, 2, 2, 8, 8, 15)
P11_BEFORE = (
    (1, 2), (1, 3), (2, 10), (3, 10), (5, 3), (4, 5), (4, 6), (5, 8), (6, 7), (7, 9), (5, 9), (7, 8),
)  # fmt: skip


def parallel(work: Sequence[int], machines: int, before: Iterable[tuple[int, int]] = ()) -> Instance:
    return shop(work, machines=machines, before=before, levels=FINISH)


# Each job: machine and duration of its six operations in order.
FT06 = (
    ((2, 1), (0, 3), (1, 6), (3, 7), (5, 3), (4, 6)),
    ((1, 8), (2, 5), (4, 10), (5, 10), (0, 10), (3, 4)),
    ((2, 5), (3, 4), (5, 8), (0, 9), (1, 1), (4, 7)),
    ((1, 5), (0, 5), (2, 5), (3, 3), (4, 8), (5, 9)),
    ((2, 9), (1, 3), (4, 5), (5, 4), (0, 3), (3, 1)),
    ((1, 3), (3, 3), (5, 9), (0, 10), (4, 4), (2, 1)),
)

PARALLEL = (
    case(
        "P1 longest first at its worst, 4 machines",
        parallel((7, 7, 6, 6, 5, 5, 4, 4, 4), 4),
        (12,),
        f"{GRAHAM} (from memory)",
    ),
    case(
        "P2 longest first at its worst, 3 machines",
        parallel((5, 5, 4, 4, 3, 3, 3), 3),
        (9,),
        f"{GRAHAM} (from memory)",
    ),
    case(
        "P2 longest first at its worst, 2 machines",
        parallel((3, 3, 2, 2, 2), 2),
        (6,),
        f"{GRAHAM} (from memory)",
    ),
    case("P3 without preemption", parallel((8, 7, 6, 5, 4), 3), (11,), OWN),
    case("P4 without preemption", parallel((4, 4, 4), 2), (8,), OWN),
    case(
        "P5 flow shop, 2 machines",
        flow((4, 4, 30, 6, 2), (5, 1, 4, 30, 3)),
        (47,),
        "S. M. Johnson, Naval Research Logistics Quarterly 1, 1954 (from memory, verified by enumeration)",
    ),
    # A public answer key prints 26, which its own order doesn't reach.
    case(
        "P6 flow shop with ties, 2 machines",
        flow((10, 5, 7, 3, 1), (2, 4, 5, 6, 7)),
        (28,),
        "public exercise, value corrected by enumeration",
    ),
    # 32 is published for sequences that are the same on all machines; free sequences, as stated
    # here, can't beat it either (a separate constraint model of this job shop proves 32).
    case(
        "P7 flow shop, 4 machines",
        flow((5, 5, 3, 6, 3), (4, 4, 2, 4, 4), (4, 4, 3, 4, 1), (3, 6, 3, 2, 5)),
        (32,),
        f"{PINEDO}, Ex. 6.1.1",
    ),
    case(
        "P8 job shop ft06",
        routes(FT06, 6),
        (55,),
        "H. Fisher, G. L. Thompson in J. F. Muth, G. L. Thompson (eds.), Industrial Scheduling, 1963; "
        "data from memory, value published",
    ),
    case("P10 anomaly, 3 machines", parallel(P10, 3, P10_BEFORE), (12,), f"{GRAHAM}; optimum by enumeration"),
    case("P10 anomaly, 4 machines", parallel(P10, 4, P10_BEFORE), (12,), f"{GRAHAM}; optimum by enumeration"),
    case(
        "P10 anomaly, all shorter by 1",
        parallel([work - 1 for work in P10], 3, P10_BEFORE),
        (10,),
        f"{GRAHAM}; optimum by enumeration",
    ),
    case(
        "P10 anomaly, fewer precedences",
        parallel(P10, 3, ((1, 9), (4, 7), (4, 8))),
        (12,),
        f"{GRAHAM}; optimum by enumeration",
    ),
    # The book's 32 and 36 belong to schedules that never idle by a priority rule; they aren't best.
    case("P11 precedences, 2 machines", parallel(P11, 2, P11_BEFORE), (31,), f"{PINEDO}, Ex. 2.3.2"),
    case(
        "P11 precedences, all shorter by 1",
        parallel([work - 1 for work in P11], 2, P11_BEFORE),
        (27,),
        f"{PINEDO}, Ex. 2.3.2; optimum by enumeration",
    ),
    case(
        "P11 precedences, 3 machines",
        parallel(P11, 3, P11_BEFORE),
        (30,),
        f"{PINEDO}, Ex. 2.3.2; optimum by enumeration",
    ),
)
