"""The order chain: how early an order can be finished, by hand."""

from __future__ import annotations

from dataclasses import replace
from itertools import pairwise

import pytest

from scheduler.domain.instance import Instance, Platen
from scheduler.domain.schedule import Schedule, ScheduledTask
from scheduler.engine import bounds
from scheduler.engine.backend import plain
from scheduler.engine.bounds import finish_bound, lateness_bound, left_over_bound
from scheduler.engine.chains import MOST_COMBINATIONS, OrderChain, OrderChains
from scheduler.engine.dispatching import first_lines
from scheduler.engine.flat import flatten
from scheduler.engine.windows import Slot, Windows
from scheduler.verify import check
from tests.engine.cpsat.shops import ARTWORK, PLATEN, crew, job, mode, press, shift, shop, task


def chain_of(shop_day: Instance, name: str) -> OrderChain:
    """The chain of an order that can be done."""
    chain = OrderChains(shop_day).finish(next(job for job in shop_day.jobs if job.id == name))
    assert chain is not None
    return chain


def test_slot_waits_for_the_break_to_end_and_sets_up_behind_it() -> None:
    slot = Slot(first_start=10, last_end=100, hands_on=3, work=20, breaks=((30, 40),))
    assert slot.start(0) == 10
    # Set-up over [27, 30) would leave the start in the break: both go behind it.
    assert slot.start(30) == 43
    assert slot.start(42) == 43
    assert slot.start(29) == 29
    # 15 + 15 before the break, 5 after; exactly up to the break it ends there.
    assert slot.end(15) == 45
    assert slot.end(10) == 30
    assert slot.end(50) == 70


def test_release_then_pause_then_cooling_then_packing() -> None:
    # Pressing 20..30, break, 40..45; cooling to 50; packed at 57; due 40, weight 2.
    shop_day = shop(
        task("a", mode(15, by="ann"), release=20, cooling=5),
        operators=crew(ann=[shift(0, 100, (30, 40))]),
        jobs=[job("a", due=40, weight=2, packing=7)],
    )
    chain = chain_of(shop_day, "a")
    assert chain.finish == 57
    assert chain.tasks == ("a",)
    assert lateness_bound(shop_day) == 34
    assert finish_bound(shop_day) == 57


def test_the_same_garments_go_one_pressing_after_the_other_in_the_best_order() -> None:
    # a released at 10 (5 long, cooling 20), b at 0 (12 long): b first gives 12 + 5 + 20 = 37,
    # a first 10 + 5 + 20 + 12 = 47.
    shop_day = shop(
        task("a", mode(5, "m1"), job="j", release=10, cooling=20, bundles=("shirts",)),
        task("b", mode(12, "m2"), job="j", bundles=("shirts",)),
        jobs=[job("j", due=0)],
    )
    assert chain_of(shop_day, "j").tasks == ("b", "a")
    assert lateness_bound(shop_day) == 37
    forced = shop(*shop_day.tasks, jobs=shop_day.jobs, precedences=[("a", "b")])
    assert lateness_bound(forced) == 47


def test_other_garments_of_the_order_run_side_by_side() -> None:
    shop_day = shop(
        task("a", mode(5, "m1"), job="j", bundles=("shirts",)),
        task("b", mode(12, "m2"), job="j", bundles=("bags",)),
        jobs=[job("j", due=0)],
    )
    assert lateness_bound(shop_day) == 12


def test_the_cheaper_alternative_counts() -> None:
    apart = [task(name, mode(10), job="j", bundles=("shirts",)) for name in "ab"]
    pair = task("ab", mode(14, "m2"), job="j", bundles=("shirts",))
    shop_day = shop(*apart, pair, jobs=[job("j", due=0)], choices=[(("a", "b"), ("ab",))])
    assert lateness_bound(shop_day) == 14
    slow_pair = task("ab", mode(24, "m2"), job="j", bundles=("shirts",))
    assert lateness_bound(shop(*apart, slow_pair, jobs=shop_day.jobs, choices=[(("a", "b"), ("ab",))])) == 20


def test_of_very_many_combinations_of_alternatives_each_choice_still_counts() -> None:
    """Of seven stacks done whole, or in two lots on a press each, the last takes 30 ticks or twice 20."""
    tasks, choices = [], []
    for at, work in enumerate((2, 2, 2, 2, 2, 2, 30)):
        lots = [task(f"{name}{at}", mode(2 * work // 3, f"m{name}"), job="j") for name in "ab"]
        tasks += [task(f"whole{at}", mode(work), job="j"), *lots]
        choices.append(((f"whole{at}",), (f"a{at}", f"b{at}")))
    shop_day = shop(*tasks, choices=choices, jobs=[job("j", packing=1)])
    assert 2 ** len(choices) > MOST_COMBINATIONS
    assert chain_of(shop_day, "j").finish == 21


def test_an_order_that_may_go_without_any_run_is_never_late() -> None:
    """Nothing is packed then, so a cut-off before the packing could be over is none."""
    either = {"choices": [(("a",), ("b",))], "jobs": [job("j", due=5, packing=20), job("k")]}
    tasks = task("a", mode(10), job="j"), task("b", mode(10), job="k")
    assert lateness_bound(shop(*tasks, **either)) == 0
    assert lateness_bound(shop(*tasks, jobs=either["jobs"])) == 25
    none_left = shop(task("b", mode(10), job="k"), jobs=[job("j", due=-5), job("k", due=7)])
    assert lateness_bound(none_left) == 3


def test_warm_up_counts_from_the_day_and_only_the_least_that_any_run_needs() -> None:
    hot = task("hot", mode(5, warm_up=30))
    jobs = [job("hot", due=0), job("cool")]
    alone = shop(hot, jobs=jobs[:1], days=[(8, 200)])
    assert lateness_bound(alone) == 8 + 30 + 5
    # A cool run may go first: 10 to warm up, 4 of work, then the hot one.
    assert (
        lateness_bound(shop(hot, task("cool", mode(4, warm_up=10)), jobs=jobs, days=[(8, 200)])) == 8 + 14 + 5
    )


def test_least_set_up_lies_inside_the_shift() -> None:
    tasks = [task(name, mode(10, by="ann", state=(at,)), job="j") for at, name in enumerate("ab")]
    shop_day = shop(*tasks, parts=(ARTWORK,), operators=crew(ann=[shift(20, 90)]), jobs=[job("j", due=0)])
    assert Windows(shop_day).earliest("a", 0) == (21, 31)
    # The other one comes behind it, at the only press.
    assert chain_of(shop_day, "j").finish == 41


def test_days_that_touch_are_told_apart() -> None:
    # A run of no work may end the first day at 100; what comes in at 100 belongs to the second.
    tasks = [task("short", mode(0)), task("first", mode(5)), task("second", mode(5), release=100)]
    touching = shop(*tasks, days=[(0, 100), (100, 200)])
    windows = Windows(touching)
    assert windows.days("short", 200) == windows.days("first", 200) == [0, 1]
    assert windows.days("second", 200) == [1]
    assert windows.days("first", 104) == [0]


def test_a_run_that_fits_nowhere_is_left_over_and_its_neighbour_is_not() -> None:
    operators = crew(ann=[shift(0, 50, (20, 30))])
    too_long = shop(task("a", mode(41, by="ann"), pressings=9), operators=operators)
    assert left_over_bound(too_long) == 9
    assert OrderChains(too_long).finish(too_long.jobs[0]) is None
    assert left_over_bound(shop(task("a", mode(40, by="ann"), pressings=9), operators=operators)) == 0


def test_a_run_of_no_length_fits_where_a_shift_ends_as_the_day_begins() -> None:
    """It is nowhere outside either; the check says so too."""
    for work, lost in ((0, 0), (1, 1)):
        shop_day = shop(
            task("a", mode(work, by="ann")), operators=crew(ann=[shift(0, 20)]), days=[(20, 50)], horizon=50
        )
        then = ScheduledTask(task="a", mode="m1:-", operator="ann", setup_start=20, start=20, end=20 + work)
        assert check(shop_day, Schedule(tasks=(then,))).passed is not bool(lost)
        assert left_over_bound(shop_day) == lost


@pytest.mark.parametrize(("left_over", "bound"), [(0, 30), (1, 10), (2, 10), (3, 0)])
def test_plans_that_leave_something_over_may_leave_the_late_jobs(left_over: int, bound: int) -> None:
    tasks = [task("a", mode(10), pressings=2), task("b", mode(20), pressings=1)]
    shop_day = shop(*tasks, jobs=[job("a", due=0), job("b", due=0)])
    assert lateness_bound(shop_day, left_over) == bound


def test_of_very_much_left_over_the_most_that_it_may_save_is_told_no_lower(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    tasks = [task(f"{at}", mode(5 + at % 4), pressings=2 + at % 3) for at in range(12)]
    shop_day = shop(*tasks, jobs=[job(each.id, due=at % 3) for at, each in enumerate(tasks)])
    exact = [lateness_bound(shop_day, left_over) for left_over in range(40)]
    monkeypatch.setattr(bounds, "MOST_STEPS", 0)
    rough = [lateness_bound(shop_day, left_over) for left_over in range(40)]
    assert all(a <= b for a, b in zip(rough, exact, strict=True)) and rough != exact
    assert rough[0] == exact[0] > rough[20] > rough[-1] == 0


def test_many_runs_on_the_same_garments_are_summed() -> None:
    tasks = [task(f"t{at}", mode(3), job="j", bundles=("shirts",), release=at) for at in range(10)]
    assert lateness_bound(shop(*tasks, jobs=[job("j", due=0)])) == 30


def test_a_chain_may_be_longer_than_the_stack() -> None:
    # Stated from the last to the first, as no topological order is.
    names = [f"t{at}" for at in range(1_500)]
    tasks = [task(name, mode(1, f"m{at % 2}"), job="j", cooling=1) for at, name in enumerate(names)]
    shop_day = shop(*tasks, precedences=list(pairwise(names))[::-1], horizon=5_000)
    assert finish_bound(shop_day) == 3_000
    flattened = flatten(shop_day)
    (line,) = first_lines(flattened, plain(), limit=1)
    assert [flattened.tasks[number] for number in line.tasks] == names


def test_the_whole_crew_can_not_finish_sooner() -> None:
    # 9 + 9 + 12 of work; ann from 0 with a break [10, 14),
    # bob from 4: alone for 4, together for 6, bob alone for 4 (20 done), together for 5: tick 19.
    people = ("ann", "bob")
    tasks = [task(name, mode(work, by=people)) for name, work in (("a", 9), ("b", 9), ("c", 12))]
    operators = crew(ann=[shift(0, 50, (10, 14))], bob=[shift(4, 50)])
    assert finish_bound(shop(*tasks, operators=operators)) == 19
    # One that needs nobody is not theirs; the least packing of any order comes on top.
    jobs = [job(name, packing=3) for name in "abcd"]
    assert finish_bound(shop(*tasks, task("d", mode(5)), operators=operators, jobs=jobs)) == 22


def test_lots_that_need_the_one_platen_come_one_after_the_other() -> None:
    # Two presses, but one platen: 10 + 10 ticks, and the second lot cools for 3 at least.
    ways = [mode(10, name, platen="K", state=(0,)) for name in ("m1", "m2")]
    lots = [task(name, *ways, job="j", cooling=cooling) for name, cooling in (("a", 3), ("b", 7))]
    few = shop(
        *lots,
        parts=(PLATEN,),
        machines=[press("m1", parts=1), press("m2", parts=1)],
        platens=[Platen(id="K", count=1)],
        jobs=[job("j", due=0)],
    )
    assert chain_of(few, "j").finish == 23
    # With a second platen both are pressed at a time, and the longer cooling decides.
    assert chain_of(replace(few, platens=(Platen(id="K", count=2),)), "j").finish == 17
