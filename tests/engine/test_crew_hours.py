"""Bounds from the hours of people and presses hold for every plan of random days with every rule in play."""

from __future__ import annotations

from dataclasses import replace
from random import Random

from scheduler.domain.instance import Day, Instance
from scheduler.domain.schedule import Schedule
from scheduler.engine.baseline import as_they_come
from scheduler.engine.bounds import left_over_bound, worked
from scheduler.engine.chains import OrderChains
from scheduler.engine.crew_hours import CrewHours
from scheduler.engine.solve import Effort, solve
from scheduler.engine.windows import Windows
from scheduler.verify import check
from tests.engine.cpsat.shops import crew, job, mode, press, shift, shop, task
from tests.support.random_days import mutated, random_day
from tests.support.random_plans import random_plans

SHORT = Effort(rules=2, moves=300, moves_by_size=300, steps=10**6, chains=1, deterministic=0, seconds=60)


def work_of(instance: Instance, plan: Schedule) -> int:
    """Ticks of setting up and pressing outside of breaks."""
    spans = {one.id: [span for shift in one.shifts for span in worked(shift)] for one in instance.operators}
    return sum(
        max(0, min(end, done.end) - max(begin, done.setup_start))
        for done in plan.tasks
        if done.operator is not None
        for begin, end in spans[done.operator]
    )


def test_no_plan_of_a_random_day_is_below_the_bounds() -> None:
    biting = plans = 0
    for seed in range(40):
        instance = random_day(seed, tasks=8, days=1 + seed % 2, machines=2, operators=1 + seed % 2)
        hours = CrewHours(instance)
        chains = OrderChains(instance)
        alone = {job.id: way.finish for job in instance.jobs if (way := chains.finish(job)) is not None}
        late_orders, lateness = hours.late_orders(), hours.lateness(alone)
        garments = {job.id: 1 + number for number, job in enumerate(instance.jobs)}
        noon = instance.heating_days[0].start + 50
        most = hours.most_packed(garments, noon)
        least = hours.least_work(instance.horizon)
        biting += bool(late_orders)
        for plan in (as_they_come(instance), solve(instance, effort=SHORT).schedule):
            assert plan is not None
            verdict = check(instance, plan)
            assert verdict.passed
            if plan.left_over:
                continue
            plans += 1
            assert sum(ticks > 0 for ticks in verdict.late_ticks.values()) >= late_orders
            assert verdict.values["lateness"] >= lateness
            assert work_of(instance, plan) >= least
            ends: dict[str, int] = {}
            for done in plan.tasks:
                job = next(task.job for task in instance.tasks if task.id == done.task)
                ends[job] = max(ends.get(job, 0), done.end)
            without_work = sum(garments[job.id] for job in instance.jobs if job.id not in ends)
            assert without_work + sum(garments[job] for job in ends if ends[job] <= noon) <= most
    assert plans > 40
    assert biting > 2


def test_presses_that_need_nobody_have_the_heating_days() -> None:
    # One press from 20 on, until the evening at 50: orders due at 30 are late by 0, 10 and 20, and the
    # fourth, which ends at 70 the next day, by 40.
    tasks = [task(name, mode(10)) for name in "abcd"]
    days = [(0, 50), (60, 90)]
    jobs = [job(name, due=30) for name in "abcd"]
    machine = replace(press(), free_from=20)
    day = shop(*tasks, machines=[machine], jobs=jobs, days=days, horizon=90)
    alone = dict.fromkeys("abcd", 30)
    assert CrewHours(day).late_orders() == 3
    assert CrewHours(day).lateness(alone) == 0 + 10 + 20 + 40
    assert CrewHours(day).least_work(90) == 0
    later = replace(day, days=(Day(start=0, end=60), *day.days[1:]))
    assert CrewHours(later).lateness(alone) == 0 + 10 + 20 + 30
    # With a second press two are done at a time.
    both = [replace(each, modes=(*each.modes, mode(10, "m2"))) for each in tasks]
    two = shop(
        *both, machines=[machine, replace(press("m2"), free_from=20)], jobs=jobs, days=days, horizon=90
    )
    assert CrewHours(two).lateness(alone) <= 0 + 0 + 10 + 10
    assert CrewHours(two).late_orders() == 2
    # Where some way needs nobody, a press is there when Ann isn't.
    mixed = [replace(each, modes=(*each.modes, mode(10, by="ann", id="by hand"))) for each in tasks]
    crewed = replace(day, tasks=tuple(mixed), operators=crew(ann=[shift(20, 25)]))
    assert CrewHours(crewed).late_orders() <= 3


def test_no_plan_without_people_is_below_the_bounds() -> None:
    biting = 0
    for seed in range(20):
        rng = Random(f"alone {seed}")
        instance = random_day(seed, tasks=8, operators=0, machines=1 + seed % 2)
        if seed % 3:
            instance = mutated(instance, rng)
        hours = CrewHours(instance)
        chains = OrderChains(instance)
        alone = {job.id: way.finish for job in instance.jobs if (way := chains.finish(job)) is not None}
        late_orders, lateness = hours.late_orders(), hours.lateness(alone)
        plans = [*random_plans(instance, rng, 20).values(), solve(instance, effort=SHORT).schedule]
        for plan in plans:
            assert plan is not None
            verdict = check(instance, plan)
            assert verdict.values["left_over"] >= hours.left_over()
            if not plan.left_over:
                biting += late_orders > 0
                assert sum(ticks > 0 for ticks in verdict.late_ticks.values()) >= late_orders
                assert verdict.values["lateness"] >= lateness
    assert biting > 3


def test_what_the_hours_have_no_room_for_is_left_over() -> None:
    # 100 ticks of Ann's: of runs of 30 with 1, 1, 2, 2 and 5 pressings the three that count most are done.
    counts = (1, 1, 2, 2, 5)
    tasks = [task(f"t{at}", mode(30, by="ann"), pressings=each) for at, each in enumerate(counts)]
    crowded = shop(*tasks, operators=crew(ann=[shift(0, 100)]))
    # At 1/15 a tick: 1 + 1 + 2 + 2 + 2 - 100/15 = 1 1/3, rounded up.
    assert CrewHours(crowded).left_over() == 2
    assert solve(crowded, effort=SHORT).levels[0].value == 2
    assert CrewHours(shop(*tasks, operators=crew(ann=[shift(0, 150)]))).left_over() == 0
    # With Bob there is room for all of them; what needs nobody takes nobody's hours.
    both = [replace(each, modes=(mode(30, by=("ann", "bob")),)) for each in tasks]
    assert CrewHours(shop(*both, operators=crew(ann=[shift(0, 100)], bob=[shift(0, 100)]))).left_over() == 2
    on_two = [replace(each, modes=(*each.modes, mode(30, "m2", by="bob"))) for each in tasks]
    assert CrewHours(shop(*on_two, operators=crew(ann=[shift(0, 100)], bob=[shift(0, 100)]))).left_over() == 0
    alone = [replace(each, modes=(mode(30),)) for each in tasks]
    assert CrewHours(shop(*alone, operators=crew(ann=[shift(0, 100)]))).left_over() == 0
    assert CrewHours(shop(*alone, horizon=100)).left_over() == 2


def test_of_a_choice_the_option_that_is_least_left_over_counts() -> None:
    # Whole it takes 60 and counts 6; in halves 40 and 40, of which one is done and 3 left over.
    whole, *halves = (
        task(name, mode(work, by="ann"), job="j", pressings=count)
        for name, work, count in (("whole", 60, 6), ("left", 40, 3), ("right", 40, 3))
    )
    day = shop(
        whole,
        *halves,
        operators=crew(ann=[shift(0, 50)]),
        choices=[(("whole",), ("left", "right"))],
    )
    # At 3/40 a tick: whole 4 1/2, halves 3 + 3, all hours 3 3/4. But whole can't be done at all.
    assert CrewHours(day).left_over() == 1
    assert CrewHours(day).left_over(["whole"]) == 3
    assert solve(day, effort=SHORT).levels[0].value == 3


def test_no_plan_leaves_less_over_than_the_hours_tell() -> None:
    biting = 0
    for seed in range(24):
        rng = Random(f"left over {seed}")
        day = random_day(seed, tasks=rng.choice((8, 12, 16)), days=1, machines=2, operators=1)
        if seed % 2:
            day = mutated(day, rng)
        windows = Windows(day)
        never = {task.id for task in day.tasks if windows.earliest(task.id, task.release) is None}
        bound = CrewHours(day, windows.least_setup).left_over(never)
        biting += bound > left_over_bound(day, windows)
        assert bound <= solve(day, effort=SHORT).levels[0].value
    assert biting > 3
