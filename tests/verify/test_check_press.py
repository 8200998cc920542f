"""press, operators, changeover, platens: each a schedule that obeys and its nearest that doesn't."""

from __future__ import annotations

from dataclasses import replace

import pytest

from scheduler.domain.instance import Day, Instance, Machine, Platen
from scheduler.verify import check
from tests.support.tiny import at, breaks, instance, one_break, part, plan, task, way


def test_press_does_one_run_at_a_time() -> None:
    problem = instance(task("a"), task("b"))
    found = one_break(problem, plan(at("a", 0, 10), at("b", 10, 20)), plan(at("a", 0, 10), at("b", 9, 19)))
    assert found == ("press", 1, "A is set up for b at tick 9, 1 ticks before a ends there at 10")


def test_press_is_held_by_setting_up() -> None:
    problem = instance(
        task("a", way(state=(0,))),
        task("b", way(state=(1,))),
        machines=(Machine(id="A", tables=(0,), initial=(0,)),),
        setup_parts=(part("pressure", 2, 3),),
    )
    found = one_break(
        problem,
        plan(at("a", 0, 10), at("b", 13, 23, setup=3)),
        plan(at("a", 0, 10), at("b", 12, 22, setup=3)),
    )
    assert found == ("press", 1, "A is set up for b at tick 9, 1 ticks before a ends there at 10")


def test_operator_is_at_one_press_at_a_time() -> None:
    ann = (("Ann", 10),)
    problem = instance(task("a", way(operators=ann)), task("b", way("B", operators=ann)))
    found = one_break(
        problem,
        plan(at("a", 0, 10, by="Ann"), at("b", 10, 20, mode="B", by="Ann")),
        plan(at("a", 0, 10, by="Ann"), at("b", 9, 19, mode="B", by="Ann")),
    )
    assert found == (
        "operators",
        1,
        "Ann begins b on B at tick 9, 1 ticks before the end of a on A at 10",
    )


SETUPS = (part("pressure", 2, 3), part("temperature", 2, 5, hands_off=True))
SET_UP = instance(
    task("a", way(state=(0, 0))),
    task("b", way(state=(1, 1))),
    machines=(Machine(id="A", tables=(0, 0), initial=(0, 0)),),
    setup_parts=SETUPS,
)


def test_changeover_hands_off_runs_from_the_end_of_the_last_run() -> None:
    # 5 ticks of heating from 10, the last 3 of them also by hand: pressing from 15, not from 18.
    found = one_break(
        SET_UP, plan(at("a", 0, 10), at("b", 15, 25, setup=3)), plan(at("a", 0, 10), at("b", 14, 24, setup=3))
    )
    assert found == (
        "changeover",
        1,
        "b starts on A at tick 14, 1 ticks before it is ready, 5 without hands after the end of a at 10",
    )
    verdict = check(SET_UP, plan(at("a", 0, 10), at("b", 15, 25, setup=3)))
    assert (verdict.values["changeover"], verdict.values["changeovers"]) == (5, 1)


@pytest.mark.parametrize("given", [2, 4])
def test_changeover_by_hand_takes_its_very_time(given: int) -> None:
    found = one_break(
        SET_UP,
        plan(at("a", 0, 10), at("b", 20, 30, setup=3)),
        plan(at("a", 0, 10), at("b", 20, 30, setup=given)),
    )
    message = f"b is set up on A for {given} ticks from {20 - given}, but the changeover takes 3 by hand"
    assert found == ("changeover", 1, message)


def test_changeover_back_to_a_known_value_costs_nothing() -> None:
    problem = replace(SET_UP, tasks=(task("a", way(state=(0, 0))), task("b", way(state=(0, 0)))))
    verdict = check(problem, plan(at("a", 0, 10), at("b", 10, 20)))
    assert verdict.passed
    assert (verdict.values["changeover"], verdict.values["changeovers"]) == (0, 0)


# Two kinds of platen, swapped in 4 ticks; lining up artwork takes 2 and is lost with the platen.
RACK = (part("platen", 2, 4, goes_with_platen=True), part("artwork", 1, 2, goes_with_platen=True))
WIDE = way(platen="wide", state=(0, 0))
SMALL = way(platen="small", state=(1, 0))


def press(name: str, mounted: str | None = None) -> Machine:
    value = {"wide": 0, "small": 1, None: None}[mounted]
    return Machine(id=name, tables=(0, 0), initial=(value, None), mounted=mounted)


def rack(
    *tasks: object, wide: int = 1, machines: tuple[Machine, ...] = (press("A"), press("B")), **more: object
) -> Instance:
    return instance(
        *tasks,  # type: ignore[arg-type]
        machines=machines,
        platens=(Platen(id="wide", count=wide), Platen(id="small", count=1)),
        setup_parts=RACK,
        **more,  # type: ignore[arg-type]
    )


def test_platen_kept_through_idle_time() -> None:
    problem = rack(task("a", WIDE), task("b", WIDE))
    kept = plan(at("a", 6, 16, setup=6, mounts=True), at("b", 50, 60))
    given_up = plan(at("a", 6, 16, setup=6, mounts=True), at("b", 50, 60, setup=6, mounts=True))
    # Swap 4 and line-up 2 for a; nothing for b when the platen was kept, the same again when not.
    assert check(problem, kept).passed
    assert check(problem, kept).values["changeover"] == 6
    assert check(problem, given_up).passed
    assert check(problem, given_up).values["changeover"] == 12
    # Mounted again without paying, or paid without mounting, is refused.
    unpaid = plan(at("a", 6, 16, setup=6, mounts=True), at("b", 50, 60, mounts=True))
    assert [(each.rule, each.amount) for each in breaks(problem, unpaid)] == [("changeover", 6)]
    needless = plan(at("a", 6, 16, setup=6, mounts=True), at("b", 50, 60, setup=6))
    assert [(each.rule, each.amount) for each in breaks(problem, needless)] == [("changeover", 6)]


def test_platen_kept_across_a_night() -> None:
    days = (Day(start=0, end=100), Day(start=140, end=240))
    problem = rack(
        task("a", WIDE), task("b", WIDE), task("c", way("B", platen="wide", state=(0, 0))), days=days
    )
    evening = at("a", 6, 16, setup=6, mounts=True)
    morning = at("b", 140, 150)
    # A holds the only wide platen from 0 to 150: B may mount it at 150, not a tick sooner.
    found = one_break(
        problem,
        plan(evening, morning, at("c", 156, 166, setup=6, mode="B", mounts=True)),
        plan(evening, morning, at("c", 155, 165, setup=6, mode="B", mounts=True)),
    )
    assert found == (
        "platens",
        1,
        "at tick 149 platen wide is on 2 presses at once (for b, c); 1 are owned (amount: platens)",
    )
    # Given up in the evening, it is free in the night; A pays for it again in the morning.
    between = plan(
        evening,
        at("c", 22, 32, setup=6, mode="B", mounts=True),
        at("b", 146, 156, setup=6, mounts=True),
    )
    assert breaks(problem, between) == ()


def test_platen_given_up_goes_elsewhere() -> None:
    problem = rack(task("a", WIDE), task("b", way("B", platen="wide", state=(0, 0))))
    found = one_break(
        problem,
        plan(at("a", 6, 16, setup=6, mounts=True), at("b", 22, 32, setup=6, mode="B", mounts=True)),
        plan(at("a", 6, 16, setup=6, mounts=True), at("b", 21, 31, setup=6, mode="B", mounts=True)),
    )
    assert found == (
        "platens",
        1,
        "at tick 15 platen wide is on 2 presses at once (for a, b); 1 are owned (amount: platens)",
    )
    two = rack(*problem.tasks, wide=2)
    assert (
        breaks(
            two, plan(at("a", 6, 16, setup=6, mounts=True), at("b", 6, 16, setup=6, mode="B", mounts=True))
        )
        == ()
    )


def test_platen_mounted_the_evening_before_is_held_from_tick_0() -> None:
    machines = (press("A", "wide"), press("B"))
    problem = rack(task("a", WIDE), task("b", way("B", platen="wide", state=(0, 0))), machines=machines)
    # Kept for a at 50 (only the artwork to line up), the platen is A's from tick 0.
    kept = at("a", 50, 60, setup=2)
    found = one_break(
        problem,
        plan(kept, at("b", 66, 76, setup=6, mode="B", mounts=True)),
        plan(kept, at("b", 6, 16, setup=6, mode="B", mounts=True)),
    )
    assert found == (
        "platens",
        1,
        "at tick 0 platen wide is on 2 presses at once (for a, b); 1 are owned (amount: platens)",
    )
    # Given up at tick 0 it can go to B, and A pays the swap when it comes back.
    assert (
        breaks(
            problem,
            plan(at("b", 6, 16, setup=6, mode="B", mounts=True), at("a", 22, 32, setup=6, mounts=True)),
        )
        == ()
    )


def test_platen_not_there_cannot_be_kept() -> None:
    # Between two runs on the wide platen the press had the small one, or none at all.
    for middle in (SMALL, way(state=(1, 0))):
        problem = rack(task("a", WIDE), task("m", middle), task("b", WIDE))
        swap = middle.platen is not None
        first = at("a", 6, 16, setup=6, mounts=True)
        second = at("m", 22, 32, setup=6, mounts=True) if swap else at("m", 20, 30, setup=4)
        obeys = plan(first, second, at("b", 40, 50, setup=6, mounts=True))
        assert breaks(problem, obeys) == ()
        # The plate itself changes value (4 ticks), the lined-up artwork would be the same.
        found = one_break(problem, obeys, plan(first, second, at("b", 40, 50, setup=4)))
        assert found == ("platens", 1, "b keeps platen wide on A, but has none to keep")


def test_platen_first_run_keeps_only_what_was_mounted() -> None:
    problem = rack(task("a", WIDE))
    found = one_break(problem, plan(at("a", 6, 16, setup=6, mounts=True)), plan(at("a", 6, 16, setup=6)))
    assert found == ("platens", 1, "a keeps platen wide on A, but has none to keep")


def test_platen_for_a_mode_that_needs_none() -> None:
    problem = rack(task("a", way(state=(0, 0))))
    found = one_break(problem, plan(at("a", 6, 16, setup=6)), plan(at("a", 6, 16, setup=6, mounts=True)))
    assert found == ("platens", 1, "a mounts a platen on A, but its mode A needs none")
