"""Each rule alone: what it allows by one tick, what it forbids by one, and that it alone forbids it."""

from __future__ import annotations

from dataclasses import dataclass, replace

import pytest

from scheduler.domain.instance import Circuit, Instance, Platen
from scheduler.domain.schedule import Schedule, ScheduledTask, WarmUp
from scheduler.engine.cpsat.build import RULES
from scheduler.engine.cpsat.solve import accepts
from scheduler.verify.check import check
from tests.engine.cpsat.shops import ARTWORK, HEAT, PLATEN, crew, mode, press, shift, shop, task


@dataclass(frozen=True)
class Case:
    rule: str
    what: str
    day: Instance
    good: Schedule
    bad: Schedule


def run(
    name: str,
    mode: str,
    times: tuple[int, int, int],
    by: str | None = None,
    mounts: bool = False,
) -> ScheduledTask:
    setup_start, start, end = times
    return ScheduledTask(
        task=name,
        mode=mode,
        operator=by,
        setup_start=setup_start,
        start=start,
        end=end,
        mounts_platen=mounts,
    )


def plan(*tasks: ScheduledTask, warm_ups: tuple[WarmUp, ...] = (), left: tuple[str, ...] = ()) -> Schedule:
    return Schedule(tasks=tasks, warm_ups=warm_ups, left_over=left)


def case(rule: str, what: str, day: Instance, good: Schedule, bad: Schedule) -> object:
    return pytest.param(Case(rule, what, day, good, bad), id=f"{rule}: {what}")


A5 = run("a", "m1:-", (0, 0, 5))
TWO_PRESSES = (task("a", mode(5), cooling=3, bundles=("g",)), task("b", mode(4, "m2"), bundles=("g",)))
APART = (task("a", mode(5), cooling=3), task("b", mode(4, "m2")))
SAME_PRESS = (task("a", mode(5)), task("b", mode(4)))
PRINTS = tuple(task(name, mode(5, state=(at,))) for at, name in enumerate("ab"))
HEATS = tuple(task(name, mode(5, state=(at,))) for at, name in enumerate("ab"))
K_TWICE = tuple(
    task(name, mode(5, f"m{at}", platen="K", state=(0,))) for at, name in enumerate("ab", start=1)
)
K_BETWEEN = (*K_TWICE, task("c", mode(5, "m1", platen="K", state=(0,))))
ANN_TWICE = tuple(task(name, mode(5, f"m{at}", by="ann")) for at, name in enumerate("ab", start=1))
BREAK = crew(ann=[shift(0, 50, (10, 20), overtime=10)])
WARM = tuple(task(name, mode(5, f"m{at}", warm_up=10)) for at, name in enumerate("ab", start=1))
HEATERS = [press("m1", circuit="L", watts=1500), press("m2", circuit="L", watts=1000)]
ONE_K = [Platen(id="K", count=1)]
PAIR_OF_DAYS = [(0, 50), (60, 110)]

CASES = [
    case(
        "release",
        "not before it is in",
        shop(task("a", mode(5), release=10)),
        plan(run("a", "m1:-", (10, 10, 15))),
        plan(run("a", "m1:-", (9, 9, 14))),
    ),
    case(
        "precedence",
        "behind end and cooling",
        shop(*APART, precedences=[("a", "b")]),
        plan(A5, run("b", "m2:-", (8, 8, 12))),
        plan(A5, run("b", "m2:-", (7, 7, 11))),
    ),
    case(
        "precedence",
        "left over with what comes before it",
        shop(*APART, precedences=[("a", "b")]),
        plan(left=("a", "b")),
        plan(run("b", "m2:-", (7, 7, 11)), left=("a",)),
    ),
    case(
        "garments",
        "at one press at a time",
        shop(*TWO_PRESSES),
        plan(run("b", "m2:-", (0, 0, 4)), run("a", "m1:-", (4, 4, 9))),
        plan(run("b", "m2:-", (0, 0, 4)), run("a", "m1:-", (3, 3, 8))),
    ),
    case(
        "garments",
        "cool first",
        shop(*TWO_PRESSES),
        plan(A5, run("b", "m2:-", (8, 8, 12))),
        plan(A5, run("b", "m2:-", (7, 7, 11))),
    ),
    case(
        "press",
        "one run at a time",
        shop(*SAME_PRESS),
        plan(A5, run("b", "m1:-", (5, 5, 9))),
        plan(A5, run("b", "m1:-", (4, 4, 8))),
    ),
    case(
        "press",
        "no set-up during another run",
        shop(*PRINTS, parts=(ARTWORK,)),
        plan(run("a", "m1:-", (0, 1, 6)), run("b", "m1:-", (6, 7, 12))),
        plan(run("a", "m1:-", (0, 1, 6)), run("b", "m1:-", (5, 6, 11))),
    ),
    case(
        "changeover",
        "hands-on time is as long as it is",
        shop(*PRINTS, parts=(ARTWORK,)),
        plan(run("a", "m1:-", (0, 1, 6)), run("b", "m1:-", (6, 7, 12))),
        plan(run("a", "m1:-", (0, 1, 6)), run("b", "m1:-", (6, 6, 11))),
    ),
    case(
        "changeover",
        "heat comes without hands",
        shop(*HEATS, parts=(HEAT,)),
        plan(A5, run("b", "m1:-", (11, 11, 16))),
        plan(A5, run("b", "m1:-", (10, 10, 15))),
    ),
    case(
        "changeover",
        "a night makes cold",
        shop(*HEATS, parts=(HEAT,), days=[(0, 6), (7, 20)]),
        # From value 0 to 1 takes 6 within a day; behind a night the warm-up is paid instead.
        plan(A5, run("b", "m1:-", (7, 7, 12))),
        # Within a day the way from 1 to 0 takes its 9: from tick 12 to 21.
        plan(run("b", "m1:-", (7, 7, 12)), run("a", "m1:-", (14, 14, 19))),
    ),
    case(
        "garments",
        "of two of no length at the same tick, what need not cool comes first",
        shop(
            task("a", mode(0, "m2"), bundles=("g",)),
            task("b", mode(0, "m1"), cooling=3, bundles=("g",)),
        ),
        plan(run("a", "m2:-", (0, 0, 0)), run("b", "m1:-", (0, 0, 0))),
        plan(run("a", "m2:-", (1, 1, 1)), run("b", "m1:-", (0, 0, 0))),
    ),
    case(
        "platens",
        "one owned, one mounted",
        shop(*K_TWICE, parts=(PLATEN,), platens=ONE_K),
        plan(run("a", "m1:K", (0, 3, 8), mounts=True), run("b", "m2:K", (8, 11, 16), mounts=True)),
        plan(run("a", "m1:K", (0, 3, 8), mounts=True), run("b", "m2:K", (7, 10, 15), mounts=True)),
    ),
    case(
        "platens",
        "kept through idle time, it is held",
        shop(*K_BETWEEN, parts=(PLATEN,), platens=ONE_K),
        plan(
            run("a", "m1:K", (0, 3, 8), mounts=True),
            run("b", "m2:K", (10, 13, 18), mounts=True),
            run("c", "m1:K", (27, 30, 35), mounts=True),
        ),
        plan(
            run("a", "m1:K", (0, 3, 8), mounts=True),
            run("b", "m2:K", (10, 13, 18), mounts=True),
            run("c", "m1:K", (30, 30, 35)),
        ),
    ),
    case(
        "platens",
        "kept from the evening before, it is held from tick 0",
        shop(
            *K_TWICE,
            parts=(PLATEN,),
            platens=ONE_K,
            machines=[press("m1", parts=1, mounted="K", initial=(0,)), press("m2", parts=1)],
        ),
        plan(run("a", "m1:K", (20, 20, 25)), run("b", "m2:K", (25, 28, 33), mounts=True)),
        plan(run("a", "m1:K", (20, 20, 25)), run("b", "m2:K", (2, 5, 10), mounts=True)),
    ),
    case(
        "platens",
        "what is under way holds it, though no run that is left could use it there",
        shop(
            task("a", mode(5, platen="K", state=(0,))),
            task("b", mode(5, "m2", state=(0,))),
            parts=(PLATEN,),
            platens=ONE_K,
            machines=[
                press("m1", parts=1),
                replace(press("m2", parts=1, mounted="K", initial=(0,)), free_from=30, hot=True),
            ],
        ),
        plan(run("a", "m1:K", (30, 33, 38), mounts=True), run("b", "m2:-", (30, 30, 35))),
        plan(run("a", "m1:K", (29, 32, 37), mounts=True), run("b", "m2:-", (30, 30, 35))),
    ),
    case(
        "operators",
        "at one press at a time",
        shop(*ANN_TWICE, operators=crew(ann=[shift(0, 50)])),
        plan(run("a", "m1:-", (0, 0, 5), "ann"), run("b", "m2:-", (5, 5, 10), "ann")),
        plan(run("a", "m1:-", (0, 0, 5), "ann"), run("b", "m2:-", (4, 4, 9), "ann")),
    ),
    case(
        "calendar",
        "pauses over a break",
        shop(task("a", mode(5, by="ann")), operators=BREAK),
        plan(run("a", "m1:-", (6, 6, 21), "ann")),
        plan(run("a", "m1:-", (6, 6, 11), "ann")),
    ),
    case(
        "calendar",
        "ends when the break begins if it can",
        shop(task("a", mode(5, by="ann")), operators=BREAK),
        plan(run("a", "m1:-", (5, 5, 10), "ann")),
        plan(run("a", "m1:-", (5, 5, 20), "ann")),
    ),
    case(
        "calendar",
        "no start in a break",
        shop(task("a", mode(5, by="ann")), operators=BREAK),
        plan(run("a", "m1:-", (20, 20, 25), "ann")),
        plan(run("a", "m1:-", (10, 10, 25), "ann")),
    ),
    case(
        "calendar",
        "no set-up in a break",
        shop(task("a", mode(5, by="ann", state=(0,))), parts=(ARTWORK,), operators=BREAK),
        plan(run("a", "m1:-", (20, 21, 26), "ann")),
        plan(run("a", "m1:-", (19, 20, 25), "ann")),
    ),
    case(
        "calendar",
        "inside the shift and its overtime",
        shop(task("a", mode(5, by="ann")), operators=BREAK),
        plan(run("a", "m1:-", (55, 55, 60), "ann")),
        plan(run("a", "m1:-", (56, 56, 61), "ann")),
    ),
    case(
        "calendar",
        "inside one day",
        shop(task("a", mode(5)), days=PAIR_OF_DAYS),
        plan(run("a", "m1:-", (45, 45, 50))),
        plan(run("a", "m1:-", (46, 46, 51))),
    ),
    case(
        "warm_up",
        "before the first pressing",
        shop(*WARM[:1]),
        plan(run("a", "m1:-", (10, 10, 15)), warm_ups=(WarmUp(machine="m1", start=0, end=10),)),
        plan(run("a", "m1:-", (10, 10, 15))),
    ),
    case(
        "warm_up",
        "a circuit bears one press at a time",
        shop(*WARM, machines=HEATERS, circuits=[Circuit(id="L", limit_w=2400)]),
        plan(
            run("a", "m1:-", (10, 10, 15)),
            run("b", "m2:-", (20, 20, 25)),
            warm_ups=(WarmUp(machine="m1", start=0, end=10), WarmUp(machine="m2", start=10, end=20)),
        ),
        plan(
            run("a", "m1:-", (10, 10, 15)),
            run("b", "m2:-", (20, 20, 25)),
            warm_ups=(WarmUp(machine="m1", start=0, end=10), WarmUp(machine="m2", start=9, end=19)),
        ),
    ),
    case(
        "warm_up",
        "not the day before",
        shop(WARM[0], days=PAIR_OF_DAYS),
        plan(run("a", "m1:-", (70, 70, 75)), warm_ups=(WarmUp(machine="m1", start=60, end=70),)),
        plan(run("a", "m1:-", (70, 70, 75)), warm_ups=(WarmUp(machine="m1", start=40, end=50),)),
    ),
]


@pytest.mark.parametrize("given", CASES)
def test_rule_refuses_by_itself(given: Case) -> None:
    assert check(given.day, given.good).passed
    assert accepts(given.day, given.good)
    assert {found.rule for found in check(given.day, given.bad).breaks} == {given.rule}
    assert not accepts(given.day, given.bad)
    others = [rule for rule in RULES if rule.__name__ != f"add_{given.rule}"]
    assert len(others) == len(RULES) - 1
    assert accepts(given.day, given.bad, others)


def test_every_rule_but_coverage_has_a_case() -> None:
    # What breaks coverage can't be stated in the model at all: see the next test.
    covered = {parameter.values[0].rule for parameter in CASES}  # type: ignore[attr-defined]
    assert covered | {"coverage"} == {rule.__name__.removeprefix("add_") for rule in RULES}


PAIR = shop(
    *(task(name, mode(5), job="j") for name in ("left", "right", "both")),
    choices=[(("left", "right"), ("both",))],
)


@pytest.mark.parametrize(
    ("schedule", "accepted"),
    [
        (plan(run("both", "m1:-", (0, 0, 5))), True),
        (plan(run("left", "m1:-", (0, 0, 5)), run("right", "m1:-", (5, 5, 10))), True),
        (plan(run("left", "m1:-", (0, 0, 5)), left=("right",)), True),
        (plan(left=("both",)), True),
        (plan(run("left", "m1:-", (0, 0, 5))), False),
        (plan(run("left", "m1:-", (0, 0, 5)), run("both", "m1:-", (5, 5, 10))), False),
        (plan(run("both", "m1:-", (0, 0, 5)), left=("left",)), False),
        (plan(run("both", "m1:-", (0, 0, 5)), left=("both",)), False),
        (plan(run("both", "m1:-", (0, 0, 5)), run("both", "m1:-", (5, 5, 10))), False),
        (plan(run("both", "elsewhere", (0, 0, 5))), False),
        (plan(run("both", "m1:-", (0, 0, 5), "ann")), False),
        (plan(run("nothing", "m1:-", (0, 0, 5))), False),
        (plan(), False),
    ],
)
def test_coverage(schedule: Schedule, accepted: bool) -> None:
    assert accepts(PAIR, schedule) == accepted
    assert check(PAIR, schedule).passed == accepted


def test_coverage_without_a_choice() -> None:
    day = shop(*SAME_PRESS)
    assert accepts(day, plan(A5, left=("b",)))
    assert not accepts(day, plan(A5))
