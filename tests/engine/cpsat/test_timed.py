"""Covers with time for their work: bounds derived by hand, each beside the nearest day with room enough."""

from __future__ import annotations

from dataclasses import replace

import pytest

from scheduler.domain.instance import Instance, Level, SetupPart, SetupTable
from scheduler.engine.cpsat.loads import time_in, union
from scheduler.engine.cpsat.timed import loads_in, timed_bound, timed_finish
from scheduler.engine.windows import Windows
from tests.engine.cpsat.shops import ARTWORK, HEAT, PLATEN, crew, job, mode, press, shift, shop, task


def levels(**values: int) -> dict[Level, int]:
    plan: dict[Level, int] = {
        "left_over": 0,
        "lateness": 0,
        "changeover": 0,
        "changeovers": 0,
        "overtime": 0,
        "finish": 200,
    }
    for level in plan:
        plan[level] = values.get(level, plan[level])
    return plan


def least(day: Instance, level: Level, latest: dict[str, int] | None = None, **values: int) -> int:
    return timed_bound(day, level, levels(**values), latest or {}, Windows(day), 1.0)


def finish(day: Instance, latest: dict[str, int] | None = None, **values: int) -> int:
    # Ticks of a minute, since it is said to the minute.
    return timed_finish(replace(day, tick_s=60), levels(**values), 0, latest or {}, Windows(day), 5.0)


def test_stretches() -> None:
    assert union([(5, 8), (0, 3), (3, 4), (7, 9)]) == [(0, 4), (5, 9)]
    assert time_in([(0, 4), (5, 9)], 3, 6) == 2
    assert time_in([(0, 4)], 6, 3) == 0


@pytest.mark.parametrize(("pause", "over"), [((), 10), (((5, 9),), 14), (((22, 26),), 10)])
def test_work_beyond_paid_hours_is_overtime(pause: tuple[tuple[int, int], ...], over: int) -> None:
    # 30 ticks of work in 20 that are paid, less a break in them; a break in the overtime is none of it.
    day = shop(
        *(task(name, mode(15, by="ann")) for name in "ab"),
        operators=crew(ann=[shift(0, 20, *pause, overtime=40)]),
    )
    assert least(day, "overtime") == over
    two = shop(
        *(task(name, mode(15, by=("ann", "ben"))) for name in "ab"),
        operators=crew(ann=[shift(0, 20, *pause, overtime=40)], ben=[shift(0, 20, overtime=40)]),
    )
    assert least(two, "overtime") == 0


def test_line_ups_take_paid_hours_too() -> None:
    day = shop(
        *(task(name, mode(9, by="ann", state=(at,))) for at, name in enumerate("ab")),
        parts=(ARTWORK,),
        operators=crew(ann=[shift(0, 20, overtime=40)]),
    )
    # 2 x (9 + 1) are just what is paid.
    assert least(day, "overtime", changeover=2, changeovers=2) == 0
    longer = shop(
        *(task(name, mode(10, by="ann", state=(at,))) for at, name in enumerate("ab")),
        parts=(ARTWORK,),
        operators=crew(ann=[shift(0, 20, overtime=40)]),
    )
    assert least(longer, "overtime", changeover=2, changeovers=2) == 2


def test_a_press_stands_still_for_a_changeover() -> None:
    # One press, 5 cool, 6 of heating, 5 hot; of like settings nothing lies between.
    hot = shop(task("a", mode(5, state=(0,))), task("b", mode(5, state=(1,))), parts=(HEAT,))
    assert finish(hot, changeover=6, changeovers=1) == 16
    like = shop(task("a", mode(5, state=(0,))), task("b", mode(5, state=(0,))), parts=(HEAT,))
    assert finish(like) == 10


def test_no_finish_is_said_above_the_plan_s() -> None:
    hot = shop(task("a", mode(5, state=(0,))), task("b", mode(5, state=(1,))), parts=(HEAT,))
    assert finish(hot, changeover=6, changeovers=1, finish=16) == 16
    assert finish(hot, changeover=6, changeovers=1, finish=18) == 16


def test_what_a_press_has_no_time_for_is_set_up_elsewhere() -> None:
    ways = mode(5, "m1", state=(0,), id="there"), mode(5, "m2", state=(0,), id="elsewhere")
    day = shop(
        task("a", mode(5, "m1", state=(0,))),
        task("b", *ways),
        parts=(PLATEN,),
        machines=[press("m1", parts=1, initial=(0,)), press("m2", parts=1)],
    )
    assert least(day, "changeover", {"a": 10, "b": 10}) == 0
    assert least(day, "changeover", {"a": 9, "b": 9}) == 3


def test_a_late_order_makes_room() -> None:
    ways = mode(5, "m1", state=(0,), id="there"), mode(5, "m2", state=(0,), id="elsewhere")
    day = shop(
        task("a", mode(5, "m1", state=(0,))),
        task("b", *ways),
        parts=(PLATEN,),
        jobs=[job("a", due=8), job("b", due=8)],
        machines=[press("m1", parts=1, initial=(0,)), press("m2", parts=1)],
    )
    latest = {"a": 10, "b": 10}
    assert least(day, "changeover", latest, lateness=2) == 0
    assert least(day, "changeover", {"a": 9, "b": 9}, lateness=1) == 3


def test_ways_are_counted_with_their_people() -> None:
    day = shop(
        task("a", mode(5, by=("ann", "ben")), mode(5, "m2")),
        operators=crew(ann=[shift(0, 20)], ben=[shift(0, 20)]),
    )
    assert loads_in(day) == 3


LINE_UPS = SetupPart(name="artwork", tables=(SetupTable(from_none=(5, 5), by_target=(5, 5)),))


def test_a_run_of_somebody_else_may_have_set_up_the_family() -> None:
    # b must be done at 60. Ben is there for 20 ticks until then, just as many as it takes.
    day = shop(
        task("a", mode(10, by="ann", state=(0,))),
        task("b", mode(20, by="ben", state=(0,))),
        task("c", mode(10, by="ann", state=(1,))),
        parts=(LINE_UPS,),
        operators=crew(ann=[shift(0, 200)], ben=[shift(40, 60)]),
    )
    # Ann presses a from 5 to 15, Ben b from 40 to 60, Ann c from 65 to 75; or Ann c first, and b is last.
    assert finish(day, {"b": 60}, changeover=10, changeovers=2, finish=75) <= 60
    # Without a nobody but Ben lines b up, and has no time for that.
    alone = replace(day, tasks=day.tasks[1:2], jobs=day.jobs[1:2])
    assert finish(alone, {"b": 60}, changeover=10, changeovers=2, finish=75) == 75


def test_a_run_that_needs_nobody_may_have_set_up_the_family() -> None:
    day = shop(
        task("a", mode(10, state=(0,))),
        task("b", mode(20, by="ben", state=(0,))),
        task("c", mode(10, state=(1,))),
        parts=(LINE_UPS,),
        operators=crew(ben=[shift(40, 60)]),
    )
    assert finish(day, {"b": 60}, changeover=10, changeovers=2, finish=75) <= 60


def test_so_may_a_run_at_this_press_beside_another() -> None:
    # a stands at m2, and at m1 beside it, where it lines up what b needs too; nobody is needed for a.
    beside = replace(mode(10, "m2", state=(0,)), mate="m1")
    day = shop(
        task("a", beside),
        task("b", mode(20, by="ben", state=(0,))),
        task("c", mode(10, "m2", state=(1,))),
        parts=(LINE_UPS,),
        machines=[press("m1", parts=1), press("m2", parts=1)],
        operators=crew(ben=[shift(40, 60)]),
    )
    # a: lined up at m1 and m2 until 10 and pressed until 20; b from 40 to 60; c at m2 until 35.
    assert finish(day, {"b": 60}, changeover=15, changeovers=3, finish=75) <= 60
