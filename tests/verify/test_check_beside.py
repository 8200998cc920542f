"""Two presses side by side under one operator: each schedule that obeys and its nearest that doesn't."""

from __future__ import annotations

from dataclasses import replace

import pytest

from scheduler.domain.instance import Circuit, Instance, Machine, Platen, Printed
from scheduler.domain.schedule import ScheduledTask
from scheduler.verify import check
from tests.support.tiny import at, breaks, instance, one_break, part, plan, task, way

PARTS = (part("platen", 2, 4, goes_with_platen=True), part("heat", 2, 5, hands_off=True))


def both(
    work: int = 10, *, platen: str | None = None, state: tuple[int, ...] = (), warm: tuple[int, int] = (0, 0)
):
    return replace(
        way(work=work, platen=platen, state=state, warm_up=warm[0]), id="AB", mate="B", mate_warm_up=warm[1]
    )


def shop(*tasks, count: int = 2, **more) -> Instance:
    machines = tuple(Machine(id=name, tables=(0, 0), initial=(None, 0)) for name in "AB")
    return instance(
        *tasks, machines=machines, setup_parts=PARTS, platens=(Platen(id="K", count=count),), **more
    )


def beside(
    name: str, start: int, end: int, *, setup: int = 0, mounts: bool = False, mate: bool = False
) -> ScheduledTask:
    return replace(at(name, start, end, setup=setup, mode="AB", mounts=mounts), mate_mounts=mate)


def test_both_presses_are_held() -> None:
    problem = instance(task("a", both()), task("b", way("B")))
    found = one_break(
        problem,
        plan(beside("a", 0, 10), at("b", 10, 20, mode="B")),
        plan(beside("a", 0, 10), at("b", 9, 19, mode="B")),
    )
    assert found == ("press", 1, "B is set up for b at tick 9, 1 ticks before a ends there at 10")


def test_each_press_is_set_up_by_hand_one_after_the_other() -> None:
    # Two platens of 4 ticks each; both count as changeovers.
    problem = shop(task("a", both(platen="K", state=(0, 0))))
    good = plan(beside("a", 8, 18, setup=8, mounts=True, mate=True))
    bad = plan(beside("a", 4, 14, setup=4, mounts=True, mate=True))
    assert one_break(problem, good, bad) == (
        "changeover",
        4,
        "a is set up on A and B for 4 ticks from 0, but the changeover takes 8 by hand",
    )
    values = check(problem, good).values
    assert (values["changeover"], values["changeovers"]) == (8, 2)


def test_each_press_comes_to_heat_behind_its_own_last_run() -> None:
    # A is hot enough from the start, B pressed at the other heat till 10: 5 ticks till 15.
    tasks = (task("b", way("B", state=(0, 1))), task("a", both(state=(0, 0))))
    machines = (
        Machine(id="A", tables=(0, 0), initial=(0, 0)),
        Machine(id="B", tables=(0, 0), initial=(0, 1)),
    )
    problem = instance(*tasks, machines=machines, setup_parts=PARTS)
    found = one_break(
        problem,
        plan(at("b", 0, 10, mode="B"), beside("a", 15, 25)),
        plan(at("b", 0, 10, mode="B"), beside("a", 14, 24)),
    )
    assert found[:2] == ("changeover", 1)
    assert "a starts on B at tick 14" in found[2]


def test_a_platen_of_the_kind_lies_on_each() -> None:
    problem = shop(task("a", both(platen="K", state=(0, 0))))
    good = plan(beside("a", 8, 18, setup=8, mounts=True, mate=True))
    assert check(problem, good).passed
    single = replace(problem, platens=(Platen(id="K", count=1),))
    assert [broken.rule for broken in breaks(single, good)] == ["platens"]
    # Without mounting it there is none to keep on B.
    found = breaks(problem, plan(beside("a", 8, 18, setup=8, mounts=True)))
    assert [(broken.rule, broken.message) for broken in found] == [
        ("platens", "a keeps platen K on B, but has none to keep")
    ]


def test_a_run_at_one_press_mounts_no_second_platen() -> None:
    problem = instance(task("a"))
    found = one_break(problem, plan(at("a", 0, 10)), plan(replace(at("a", 0, 10), mate_mounts=True)))
    assert found == ("platens", 1, "a mounts a platen on a second press, but its mode A holds one")


def test_both_are_heated_and_the_circuit_bears_it() -> None:
    machines = tuple(Machine(id=name, circuit="L", watts=900) for name in "AB")
    problem = instance(
        task("a", both(warm=(6, 9))), machines=machines, circuits=(Circuit(id="L", limit_w=1800),)
    )
    good = plan(beside("a", 9, 19), warm_ups=(("A", 3, 9), ("B", 0, 9)))
    found = one_break(problem, good, plan(beside("a", 9, 19), warm_ups=(("A", 3, 9),)))
    assert found == ("warm_up", 9, "a starts on B at tick 9 without the warm-up of 9 ticks")
    weak = replace(problem, circuits=(Circuit(id="L", limit_w=1700),))
    assert [broken.rule for broken in breaks(weak, good)] == ["warm_up"]
    assert check(weak, plan(beside("a", 15, 25), warm_ups=(("A", 0, 6), ("B", 6, 15)))).passed


@pytest.mark.parametrize(("mate", "points"), [("B", 0), (None, 1000)])
def test_another_mate_than_on_the_sheet_is_another_place(mate: str | None, points: int) -> None:
    problem = instance(
        task("a", both()),
        printed=(Printed(task="a", machine="A", mate=mate, operator=None, before=None, start=0),),
    )
    assert check(problem, plan(beside("a", 0, 10))).values["moved"] == points


@pytest.mark.parametrize(("mate", "message"), [("A", "holds machine A twice"), ("C", "names machine C")])
def test_a_mate_is_another_machine_that_is_there(mate: str, message: str) -> None:
    with pytest.raises(ValueError, match=message):
        instance(task("a", replace(way(), mate=mate)))
