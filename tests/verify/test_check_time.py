"""calendar and warm_up: each a schedule that obeys and its nearest that doesn't."""

from __future__ import annotations

from dataclasses import replace

import pytest

from scheduler.domain.instance import Circuit, Day, Instance, Machine, Operator, Shift
from scheduler.domain.schedule import ScheduledTask
from scheduler.verify import check
from tests.support.tiny import at, breaks, instance, one_break, part, plan, task, way

# Ann works [10, 60), overtime to 70, and rests over [30, 36); she is back from 110 to 160.
ANN = Operator(
    id="Ann",
    shifts=(
        Shift(start=10, end=60, overtime_end=70, breaks=((30, 36),)),
        Shift(start=110, end=160, overtime_end=160),
    ),
)
DAYS = (Day(start=0, end=80), Day(start=100, end=200))


def crewed(work: int, **more: object) -> Instance:
    """One run of so much work at Ann's pace, set up in 4 ticks."""
    return instance(
        task("a", way(operators=(("Ann", work),), state=(0,))),
        machines=(Machine(id="A", tables=(0,), initial=(None,)),),
        operators=(ANN,),
        setup_parts=(part("artwork", 1, 4),),
        days=DAYS,
        horizon=200,
        **more,  # type: ignore[arg-type]
    )


def done(start: int, end: int) -> ScheduledTask:
    return at("a", start, end, setup=4, by="Ann")


@pytest.mark.parametrize(
    ("work", "start", "end"),
    [
        (10, 14, 24),  # before the break
        (10, 25, 41),  # 5 ticks to the break at 30, 6 of pause, 5 more
        (10, 20, 30),  # done when the break begins: it ends there, not at 36
        (11, 20, 37),  # one tick more: paused, and one tick after the break
        (10, 40, 50),  # set up [36, 40), right after the break
        (20, 50, 70),  # 10 ticks of overtime, to its very end
    ],
)
def test_calendar_end_follows_from_start_and_breaks(work: int, start: int, end: int) -> None:
    problem = crewed(work)
    for wrong in (end - 1, end + 1):
        if wrong > 70:
            continue
        found = one_break(problem, plan(done(start, end)), plan(done(start, wrong)))
        message = (
            f"a on A ends at tick {wrong}; started at {start}, with {work} ticks of work, it ends at {end}"
        )
        assert found == ("calendar", 1, message)


def test_calendar_run_that_could_end_at_the_break_ends_there() -> None:
    found = one_break(crewed(10), plan(done(20, 30)), plan(done(20, 36)))
    assert found == (
        "calendar",
        6,
        "a on A ends at tick 36; started at 20, with 10 ticks of work, it ends at 30",
    )


def test_calendar_no_setting_up_inside_a_break() -> None:
    found = one_break(crewed(10), plan(done(40, 50)), plan(done(39, 49)))
    assert found == ("calendar", 1, "a on A is set up for 1 ticks inside the break [30, 36) of Ann")


def test_calendar_no_start_inside_a_break() -> None:
    # Set up by 29 it may start there and pause from 30; at 30 it may not: nobody starts in a break.
    found = one_break(crewed(10), plan(done(29, 45)), plan(done(30, 46)))
    assert found == ("calendar", 6, "a on A starts at tick 30 inside the break [30, 36) of Ann")


def test_calendar_shift_begins() -> None:
    found = one_break(crewed(10), plan(done(14, 24)), plan(done(13, 23)))
    assert found == ("calendar", 1, "a on A takes Ann over [9, 23), 1 ticks of it outside one shift")


def test_calendar_overtime_ends() -> None:
    found = one_break(crewed(20), plan(done(50, 70)), plan(done(51, 71)))
    assert found == ("calendar", 1, "a on A takes Ann over [47, 71), 1 ticks of it outside one shift")
    # Work [46, 70) with paid hours to 60: 10 ticks of overtime.
    assert check(crewed(20), plan(done(50, 70))).values["overtime"] == 10


def test_calendar_one_shift_only() -> None:
    # Even inside one heating day a run can't wait from one shift for the next.
    problem = replace(crewed(20), days=(Day(start=0, end=200),))
    assert breaks(problem, plan(done(114, 134))) == ()
    rules = [(each.rule, each.amount) for each in breaks(problem, plan(done(60, 120)))]
    # [56, 120) less the 14 ticks in the first shift; and the work would have ended at 80.
    assert rules == [("calendar", 50), ("calendar", 40)]


def test_calendar_person_without_shift() -> None:
    absent = replace(crewed(10), operators=(Operator(id="Ann", shifts=()),))
    assert [each.message for each in breaks(absent, plan(done(14, 24)))] == [
        "a on A takes Ann over [10, 24), 14 ticks of it outside one shift"
    ]


def test_calendar_without_operator() -> None:
    problem = instance(task("a", way(work=10)), operators=())
    for wrong in (11, 9):
        found = one_break(problem, plan(at("a", 0, 10)), plan(at("a", 0, wrong)))
        message = f"a on A ends at tick {wrong}; started at 0, with 10 ticks of work, it ends at 10"
        assert found == ("calendar", 1, message)


def test_calendar_days_bound_every_run() -> None:
    problem = instance(task("a"), days=DAYS, horizon=200, operators=())
    found = one_break(problem, plan(at("a", 70, 80)), plan(at("a", 71, 81)))
    assert found == ("calendar", 1, "a on A ends at tick 81, 1 ticks after the end of its day at 80")
    found = one_break(problem, plan(at("a", 100, 110)), plan(at("a", 99, 109)))
    assert found == ("calendar", 1, "a on A begins at tick 99, 1 ticks outside the days")
    before_all = breaks(problem, plan(at("a", -1, 9)))
    assert [(each.rule, each.message) for each in before_all] == [
        ("calendar", "a on A begins at tick -1, 1 ticks outside the days"),
        ("release", "a starts on A at tick -1, 1 ticks before its release at 0"),
    ]


def test_calendar_horizon_bounds_every_run() -> None:
    for days in ((), (Day(start=0, end=300),)):
        problem = instance(task("a"), days=days, horizon=50, operators=())
        found = one_break(problem, plan(at("a", 40, 50)), plan(at("a", 41, 51)))
        assert found == (
            "calendar",
            1,
            "a on A ends at tick 51, 1 ticks after the end of the planned time at 50",
        )


def test_calendar_no_work_takes_no_time() -> None:
    problem = instance(task("a", way(work=0)), task("b"), operators=())
    found = one_break(problem, plan(at("a", 10, 10), at("b", 0, 10)), plan(at("a", 10, 11), at("b", 0, 10)))
    assert found[:2] == ("calendar", 1)


def hot(name: str, job: str = "J", *, machine: str = "A", warm_up: int = 12) -> object:
    return task(name, way(machine, warm_up=warm_up), job=job)


def heated(*tasks: object, watts: int = 1400, limit: int = 1920) -> Instance:
    return instance(
        *tasks,  # type: ignore[arg-type]
        machines=tuple(Machine(id=name, circuit="L1", watts=watts) for name in "AB"),
        circuits=(Circuit(id="L1", limit_w=limit),),
        days=DAYS,
        horizon=200,
        operators=(),
    )


COLD = heated(hot("a"), hot("b"))


def test_warm_up_before_the_first_run_of_each_day() -> None:
    # Hot by 12, still hot for b on the same day; cold again on the second day.
    assert breaks(COLD, plan(at("a", 12, 22), at("b", 22, 32), warm_ups=(("A", 0, 12),))) == ()
    found = one_break(
        COLD,
        plan(at("a", 12, 22), at("b", 112, 122), warm_ups=(("A", 0, 12), ("A", 100, 112))),
        plan(at("a", 12, 22), at("b", 112, 122), warm_ups=(("A", 0, 12),)),
    )
    assert found == ("warm_up", 12, "b starts on A at tick 112 without the warm-up of 12 ticks")


FIRST = at("a", 12, 22)


@pytest.mark.parametrize(
    ("start", "span", "amount", "message"),
    [
        (111, (100, 112), 1, "ends 1 ticks after pressing starts at 111"),
        (120, (100, 111), 1, "lasts 11 ticks, but takes 12"),
        (120, (100, 113), 1, "lasts 13 ticks, but takes 12"),
        (120, (99, 111), 1, "begins 1 ticks before the day"),
    ],
)
def test_warm_up_time_and_length(start: int, span: tuple[int, int], amount: int, message: str) -> None:
    found = one_break(
        COLD,
        plan(FIRST, at("b", 120, 130), warm_ups=(("A", 0, 12), ("A", 108, 120))),
        plan(FIRST, at("b", start, start + 10), warm_ups=(("A", 0, 12), ("A", *span))),
    )
    assert found == ("warm_up", amount, f"the warm-up of A over [{span[0]}, {span[1]}) for b {message}")


def test_warm_up_waits_for_the_last_run() -> None:
    # Two days that touch: the press is cold at 80, but a still runs until 80.
    days = (Day(start=0, end=80), Day(start=80, end=200))
    problem = replace(heated(hot("a"), hot("b", warm_up=5)), days=days)
    # a ends a tick late, which breaks the calendar as well; the warm-up begins before its end.
    found = breaks(problem, plan(at("a", 71, 81), at("b", 85, 95), warm_ups=(("A", 0, 12), ("A", 80, 85))))
    assert [(each.rule, each.amount) for each in found] == [("calendar", 1), ("warm_up", 1)]
    assert found[1].message == "the warm-up of A over [80, 85) for b begins 1 ticks before a ends there"


def test_warm_up_only_once_a_day_and_only_when_needed() -> None:
    obeys = plan(FIRST, at("b", 40, 50), warm_ups=(("A", 0, 12),))
    twice = plan(FIRST, at("b", 40, 50), warm_ups=(("A", 0, 12), ("A", 25, 37)))
    assert one_break(COLD, obeys, twice) == (
        "warm_up",
        12,
        "A is heated over [25, 37), which no first run of a day needs",
    )
    idle = plan(FIRST, at("b", 40, 50), warm_ups=(("A", 0, 12), ("B", 12, 24)))
    assert one_break(COLD, obeys, idle)[:2] == ("warm_up", 12)
    # The first run needs no heat, the second comes too late to be cold: no warm-up at all.
    problem = heated(hot("a", warm_up=0), hot("b"))
    lukewarm = plan(at("a", 0, 10), at("b", 22, 32))
    heats = plan(at("a", 0, 10), at("b", 22, 32), warm_ups=(("A", 10, 22),))
    assert one_break(problem, lukewarm, heats)[:2] == ("warm_up", 12)


def test_warm_ups_of_one_circuit_are_staggered() -> None:
    problem = heated(hot("a"), hot("b", machine="B"))
    staggered = plan(FIRST, at("b", 24, 34, mode="B"), warm_ups=(("A", 0, 12), ("B", 12, 24)))
    together = plan(FIRST, at("b", 24, 34, mode="B"), warm_ups=(("A", 0, 12), ("B", 11, 23)))
    # 1400 W at 120 V are 11.67 A; two of them exceed the 1920 W that a 20 A circuit bears for long
    # (16 A x 120 V; the 80 % share for continuous loads of NEC 210.20(A)).
    assert one_break(problem, staggered, together) == (
        "warm_up",
        880,
        "at tick 11 A, B heat at once and draw 2800 W; circuit L1 bears 1920 W (amount: watts)",
    )
    assert breaks(heated(*problem.tasks, limit=2800), together) == ()
    apart = replace(problem, machines=(problem.machines[0], Machine(id="B", watts=1400)))
    assert breaks(apart, together) == ()


def test_nothing_heats_beside_what_overloads_the_circuit_since_before_the_day() -> None:
    # It is worst before the day, while Y is on too: a smaller excess later is none of theirs alone.
    warming = {"X": (0, 60), "Y": (0, 30), "Z": (0, 60)}
    problem = instance(
        hot("a"),  # type: ignore[arg-type]
        machines=(
            Machine(id="A", circuit="L1", watts=1000),
            *(Machine(id=name, circuit="L1", watts=1500, warming=on) for name, on in warming.items()),
        ),
        circuits=(Circuit(id="L1", limit_w=1920),),
        days=(Day(start=20, end=200),),
        horizon=200,
        operators=(),
    )
    behind = plan(at("a", 72, 82), warm_ups=(("A", 60, 72),))
    beside = plan(at("a", 72, 82), warm_ups=(("A", 59, 71),))
    assert one_break(problem, behind, beside)[:2] == ("warm_up", 2080)


@pytest.mark.parametrize(
    ("warm_up", "message"),
    [
        (("Z", 0, 12), "a warm-up of Z names a machine that is not there"),
        (("A", 0, 12.5), "a warm-up of A names a time that is no whole number of ticks: (0, 12.5)"),
    ],
)
def test_warm_up_that_cannot_be_read(warm_up: tuple[str, int, int], message: str) -> None:
    obeys = plan(FIRST, at("b", 40, 50), warm_ups=(("A", 0, 12),))
    junk = plan(FIRST, at("b", 40, 50), warm_ups=(("A", 0, 12), warm_up))
    assert one_break(COLD, obeys, junk) == ("warm_up", 1, message)
