"""Known best values on one machine without setups; the input stands beside the answer."""

from __future__ import annotations

from tests.published.state import FINISH, PINEDO, WINSTON, Case, case, limited, lmax, shop

S1 = ((7, 8, 4, 6, 6), (9, 17, 18, 19, 21))
S3 = (
    (19, 23, 5, 31, 17, 8, 32, 41, 26, 18),
    (48, 75, 170, 215, 205, 240, 85, 67, 100, 95),
)
S9 = ((4, 6, 2, 4, 2), (10, 12, 14, 18, 18))
S10 = ((5, 6, 8, 4, 2, 4, 2), (2, 5, 4, 0, 0, 8, 9), (10, 21, 15, 10, 5, 15, 22))

ONE_MACHINE = (
    Case(
        name="S1 number late",
        instance=limited(*S1, levels=("left_over",)),
        expected={"left_over": 2},
        source=f"{PINEDO}, Ex. 3.3.3",
    ),
    # Lmax = 10 and the latest due date is 21: 31.
    case(
        "S2 largest lateness",
        lmax(*S1),
        (31,),
        f"due-date rule (Jackson 1955) on the data of {PINEDO}, Ex. 3.3.3",
    ),
    Case(
        name="S3 number late, ten jobs",
        instance=limited(*S3, levels=("left_over",)),
        expected={"left_over": 2},
        source="public exercise on the Moore-Hodgson algorithm; value by enumeration of all 1024 subsets",
    ),
    # Lmax = 5 and the latest due date is 12: 17.
    case(
        "S4 largest lateness, releases",
        lmax((4, 2, 6, 5), (8, 12, 11, 10), (0, 1, 3, 5)),
        (17,),
        f"{PINEDO}, Ex. 3.2.5",
    ),
    case(
        "S5 total tardiness",
        shop((121, 79, 147, 83, 130), due=(260, 266, 266, 336, 337)),
        (370,),
        f"{PINEDO}, Ex. 3.4.5",
    ),
    # The book's text prints 64, which no sequence reaches: 1,2,4,3 completes at 12, 20, 29, 44 and
    # costs 5 x 2 + 3 x 19 = 67. Keep 67.
    case(
        "S6 weighted tardiness",
        shop((12, 8, 15, 9), due=(16, 26, 25, 27), weight=(4, 5, 3, 5)),
        (67,),
        f"{PINEDO}, Ex. 3.6.3, value corrected by enumeration",
    ),
    case(
        "S7 total tardiness",
        shop((7, 5, 9, 11), due=(14, 13, 18, 15)),
        (20,),
        f"{WINSTON}, problem 1, value by enumeration",
    ),
    case(
        "S8 weighted completion with chains",
        shop(
            (3, 6, 6, 5, 4, 8, 10),
            due=0,
            weight=(6, 18, 12, 8, 8, 17, 18),
            before=((1, 2), (2, 3), (3, 4), (5, 6), (6, 7)),
        ),
        (1967,),
        f"{PINEDO}, ch. 3, chains example (from memory, verified by enumeration)",
    ),
    case(
        "S8 weighted completion without the chains",
        shop((3, 6, 6, 5, 4, 8, 10), due=0, weight=(6, 18, 12, 8, 8, 17, 18)),
        (1942,),
        "order of weight by duration (Smith 1956), verified by enumeration",
    ),
    case("S9 completion with deadlines", limited(*S9, due=0), (52,), f"{PINEDO}, Ex. 4.2.3"),
    case(
        "S9 completion, deadlines dropped",
        shop(S9[0], due=0),
        (44,),
        "shortest first (Smith 1956), by enumeration",
    ),
    case(
        "S10 makespan with releases",
        shop(S10[0], release=S10[1], levels=FINISH),
        (31,),
        "C. Gueret, C. Prins, M. Sevaux, Applications of Optimization with Xpress-MP, sect. 7.4; enumerated",
    ),
    case(
        "S10 total completion with releases",
        shop(S10[0], release=S10[1], due=0),
        (103,),
        "the same, sect. 7.4; by enumeration",
    ),
    case(
        "S10 total tardiness with releases",
        shop(S10[0], release=S10[1], due=S10[2]),
        (18,),
        "the same, sect. 7.4; by enumeration",
    ),
)
