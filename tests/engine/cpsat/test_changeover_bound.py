"""Bounds: derived by hand, and never above what a plan reaches on random days."""

from __future__ import annotations

from dataclasses import replace

import pytest

from scheduler.domain.instance import Instance, Platen, SetupPart, SetupTable
from scheduler.engine.bounds import finish_bound, known_bounds, lateness_bound, latest_ends
from scheduler.engine.chains import OrderChains
from scheduler.engine.cpsat.cover import changeover_bound, cheapest, cover_bound
from scheduler.engine.cpsat.families import artwork_parts, families_of
from scheduler.engine.cpsat.needs import all_needs, needs_of
from scheduler.engine.cpsat.raised_bounds import raised_bounds
from scheduler.engine.cpsat.solve import improve
from scheduler.engine.cpsat.values import values_of
from scheduler.engine.windows import Windows
from scheduler.verify.check import check
from tests.engine.cpsat.shops import ARTWORK, HEAT, PLATEN, job, mode, press, shop, task
from tests.engine.cpsat.starts import nothing_done
from tests.support.random_days import random_day, side_by_side


def bound(day: Instance, artworks: tuple[int, ...] = (), *, count: bool = False, left_over: int = 0) -> int:
    return cover_bound(day, families_of(day, artworks=artworks, count=count), 2.0, left_over)


def test_each_artwork_once_and_each_platen_once() -> None:
    # a and b share artwork 0, c has 1; all with platen K: mounted once (3), line-ups 2 x 1, the first
    # together with the platen.
    tasks = tuple(
        task(name, mode(5, platen="K", state=(0, artwork)))
        for name, artwork in (("a", 0), ("b", 0), ("c", 1))
    )
    day = shop(*tasks, parts=(PLATEN, ARTWORK), platens=[Platen(id="K", count=1)])
    assert bound(day) == 5
    assert bound(day, (1,)) == 5
    # In number: a or b follows the other for nothing.
    assert bound(day, count=True) == 2
    assert bound(day, (1,), count=True) == 2


def test_a_line_up_may_hide_behind_every_leg_of_a_long_heat_up() -> None:
    # Heats 0, 1, 2: one step 5, two steps 10. Three artworks of 4 by hand: 0 -> 1 -> 2 costs 5 + 5, and
    # the first start 4. Counting line-ups apart, 3 x 4 + 10, would claim 22.
    heat = SetupPart(
        name="temperature",
        hands_off=True,
        tables=(SetupTable(from_none=(0, 0, 0), ticks=((0, 5, 10), (5, 0, 5), (10, 5, 0))),),
    )
    artwork = SetupPart(name="artwork", tables=(SetupTable(from_none=(4, 4, 4), by_target=(4, 4, 4)),))
    day = shop(*(task(f"t{at}", mode(5, state=(at, at))) for at in range(3)), parts=(heat, artwork))
    assert bound(day) == 14
    # Set aside, each line-up is hidden as far as it can be: 3 x 4 + 1 + 1.
    assert bound(day, (1,)) == 14


def test_a_night_takes_the_heat_but_not_the_platen() -> None:
    tasks = tuple(task(name, mode(5, state=(at,))) for at, name in enumerate("ab"))
    assert bound(shop(*tasks, parts=(HEAT,))) == 6
    two_days = shop(*tasks, parts=(HEAT,), days=[(0, 50), (60, 110)])
    assert bound(two_days) == 0
    # Due on the first day, neither may wait for the second.
    due = replace(two_days, jobs=(job("a", due=50), job("b", due=50)))
    values = {"left_over": 0, "lateness": 0}
    assert changeover_bound(due, 2.0, latest=latest_ends(due, values)) == 6  # type: ignore[arg-type]
    # Late by 14 it may: end 64 is b's first in the second day.
    assert latest_ends(due, {"left_over": 0, "lateness": 15})["b"] == 65  # type: ignore[typeddict-item]
    late = latest_ends(due, {"left_over": 0, "lateness": 15})  # type: ignore[typeddict-item]
    assert changeover_bound(due, 2.0, latest=late) == 0
    platens = tuple(task(name, mode(5, platen=name, state=(at,))) for at, name in enumerate("KL"))
    kinds = [Platen(id=name, count=1) for name in "KL"]
    assert bound(shop(*platens, parts=(PLATEN,), platens=kinds, days=[(0, 50), (60, 110)])) == 6


def test_the_platen_mounted_at_first_and_alternatives() -> None:
    kinds = [Platen(id=name, count=1) for name in "KL"]
    on_k = task("k", mode(5, "m1", platen="K", state=(0,)))
    on_l = task("l", mode(5, "m1", platen="L", state=(1,)), mode(9, "m2", platen="L", state=(1,)))
    machines = [
        press("m1", parts=1, mounted="K", initial=(0,)),
        press("m2", parts=1, mounted="L", initial=(1,)),
    ]
    day = shop(on_k, on_l, parts=(PLATEN,), platens=kinds, machines=machines)
    assert bound(day) == 0
    assert (
        bound(replace(day, machines=(machines[0], replace(machines[1], mounted=None, initial=(None,))))) == 3
    )
    choice = shop(
        on_k,
        task("l", mode(5, "m1", platen="L", state=(1,))),
        parts=(PLATEN,),
        platens=kinds,
        machines=machines[:1],
        choices=[(("k",), ("l",))],
    )
    assert bound(choice) == 0


def test_what_is_left_over_needs_no_changeover() -> None:
    tasks = tuple(task(name, mode(5, state=(at,)), pressings=at + 2) for at, name in enumerate("ab"))
    day = shop(*tasks, parts=(ARTWORK,))
    assert [bound(day, left_over=pressings) for pressings in (0, 1, 2, 3, 5)] == [2, 2, 1, 1, 0]


def test_parts_that_follow_the_platen_are_no_artwork() -> None:
    many = tuple(range(12))
    table = SetupTable(from_none=(1,) * 12, by_target=(1,) * 12)
    parts = (
        SetupPart(name="platen", goes_with_platen=True, tables=(table,)),
        SetupPart(name="artwork", goes_with_platen=True, tables=(table,)),
    )
    tasks = tuple(task(f"t{at}", mode(5, platen=f"P{at}", state=(at, 11 - at // 2 * 2))) for at in many)
    mixed = tuple(task(f"u{at}", mode(5, platen="P0", state=(0, at))) for at in many)
    day = shop(*tasks, *mixed, parts=parts, platens=[Platen(id=f"P{at}", count=1) for at in many])
    assert artwork_parts(day) == (1,)


def test_runs_that_need_nothing_of_their_own_are_put_aside() -> None:
    # "wide" may use either family, so wherever "a" is served it is; its artwork is paid in any case.
    a = task("a", mode(5, state=(0, 0)))
    wide = task("wide", mode(5, state=(0, 1)), mode(5, state=(1, 1), id="other"))
    day = shop(a, wide, parts=(HEAT, ARTWORK))
    needs = needs_of(day, [families_of(day, artworks=(1,))])
    assert [need.task for need in needs.tasks] == ["a"]
    assert needs.costs[0].constant == 2
    assert sum(len(graph.members) for graph in needs.costs[0].graphs) == 1
    # If "a" may be left over, it is no longer sure to be there.
    left = needs_of(day, [families_of(day, artworks=(1,))], left_over=1)
    assert [need.task for need in left.tasks] == ["a", "wide"]
    assert left.costs[0].constant == 0


def test_what_is_put_aside_may_be_done_a_day_earlier() -> None:
    # "late" comes in on the second day; "wide" is served wherever it is, and may be the press's first on the
    # first day: it is put up (1) there, and after the night the other value is 1 away and the heat free.
    part = SetupPart(name="part", tables=(SetupTable(from_none=(1, 10), ticks=((0, 1), (1, 0))),))
    day = shop(
        task("wide", mode(5, state=(0, 0), id="a"), mode(5, state=(1, 1), id="b")),
        task("late", mode(5, state=(1, 1), id="b"), release=150),
        parts=(part, HEAT),
        days=[(0, 100), (120, 200)],
    )
    assert [need.task for need in needs_of(day, [families_of(day)]).tasks] == ["late"]
    assert bound(day) == 2
    # Where "wide" comes in on the second day too, the heat costs 6: 1 + 6 then.
    both = replace(day, tasks=(replace(day.tasks[0], release=150), day.tasks[1]))
    assert bound(both) == 7


@pytest.mark.parametrize("seed", range(60, 72))
def test_putting_aside_changes_no_bound(seed: int) -> None:
    day = random_day(seed, tasks=9, days=1 + seed % 2, machines=3)
    for artworks in ((), (2,)):
        for left_over in (0, 7):
            families = families_of(day, artworks=artworks)
            whole = cheapest(day, all_needs(day, [families], left_over), 5.0, left_over)
            assert cover_bound(day, families, 5.0, left_over) == whole


@pytest.mark.parametrize("seed", range(14))
def test_never_above_the_best_plan(seed: int) -> None:
    day = random_day(seed, tasks=6, days=1 + seed % 2)
    if seed >= 10:
        day = side_by_side(day)
    day = replace(day, levels=("left_over", "changeover", "changeovers"))
    best, levels = improve(day, nothing_done(day), deterministic_limit=4.0, seed=1)
    assert check(day, best).passed
    left, ticks, number = levels
    for artworks in ((), (2,), (1, 2), (0,)):
        assert bound(day, artworks, left_over=left.value) <= ticks.value
        assert bound(day, artworks, left_over=left.value, count=True) <= number.value


@pytest.mark.parametrize("seed", range(20, 30))
def test_all_bounds_hold_for_all_better_plans(seed: int) -> None:
    day = random_day(seed, tasks=6, days=1 + seed % 2)
    if seed >= 26:
        day = side_by_side(day)
    told = [nothing_done(day)]
    best, _ = improve(day, told[0], deterministic_limit=1.5, seed=1, on_solution=told.append)
    told.append(best)
    reached = [values_of(day, schedule) for schedule in told]
    for schedule, values in zip(told[-4:], reached[-4:], strict=True):
        shown = raised_bounds(day, schedule, deterministic_limit=0.5)
        latest = latest_ends(day, values)
        for other, theirs in zip(told, reached, strict=True):
            for at, level in enumerate(day.levels):
                if all(theirs[before] <= values[before] for before in day.levels[:at]):
                    assert shown[level] <= theirs[level], (level, seed)
            if theirs["left_over"] <= values["left_over"] and theirs["lateness"] <= values["lateness"]:
                assert all(run.end <= latest[run.task] for run in other.tasks)


@pytest.mark.parametrize("seed", range(40, 52))
def test_no_plan_beats_the_order_chain(seed: int) -> None:
    day = random_day(seed, tasks=7)
    best, _ = improve(day, nothing_done(day), deterministic_limit=0.3, seed=1)
    verdict = check(day, best)
    windows = Windows(day)
    for run in best.tasks:
        first = windows.first_start(run.task)
        assert first is not None
        assert run.start >= first
        earliest = windows.earliest(run.task, 0)
        assert earliest is not None
        assert run.end >= earliest[1]
    assert lateness_bound(day, verdict.values["left_over"]) <= verdict.values["lateness"]
    if not best.left_over:
        chains = OrderChains(day)
        for order in day.jobs:
            if order.id in verdict.finished:
                chain = chains.finish(order)
                assert chain is not None
                assert chain.finish <= verdict.finished[order.id]
        assert finish_bound(day) <= verdict.values["finish"]
    assert all(known_bounds(day, verdict.values)[level] <= verdict.values[level] for level in day.levels)
