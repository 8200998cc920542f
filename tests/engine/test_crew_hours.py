"""Bounds from the hours of people and presses hold for every plan of random days with every rule in play."""

from __future__ import annotations

from scheduler.domain.instance import Instance
from scheduler.domain.schedule import Schedule
from scheduler.engine.baseline import as_they_come
from scheduler.engine.bounds import OrderChains, worked
from scheduler.engine.crew_hours import CrewHours
from scheduler.engine.solve import Effort, solve
from scheduler.verify import check
from tests.support.random_days import random_day

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


def test_work_without_people_is_late_by_nothing_that_hours_tell() -> None:
    for seed in range(12):
        instance = random_day(seed, tasks=6, operators=0)
        hours = CrewHours(instance)
        chains = OrderChains(instance)
        alone = {job.id: way.finish for job in instance.jobs if (way := chains.finish(job)) is not None}
        plan = solve(instance, effort=SHORT).schedule
        assert plan is not None
        if not plan.left_over:
            assert check(instance, plan).values["lateness"] >= hours.lateness(alone)
        assert hours.late_orders() == 0
