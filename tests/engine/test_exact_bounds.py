"""What the exact search cuts off: never a state on the way to a plan that keeps the budgets."""

from __future__ import annotations

from dataclasses import replace
from random import Random
from typing import Any

import pytest

from scheduler.domain.instance import Instance
from scheduler.domain.schedule import Schedule, ScheduledTask
from scheduler.engine.bounds import latest_ends
from scheduler.engine.chains import OrderChains
from scheduler.engine.cpsat.values import values_of
from scheduler.engine.exact.day import lay_out
from scheduler.engine.exact.refused import NotSmallError
from scheduler.engine.exact.walk import _work
from scheduler.engine.flat import Flattened, flatten, to_schedule
from scheduler.engine.kernel.exact import layout
from scheduler.engine.kernel.exact.descend import enter, spread
from scheduler.engine.kernel.exact.fits import hopeful
from scheduler.engine.kernel.exact.late import least_late
from scheduler.engine.kernel.exact.search import begin_exact
from tests.benchmarks.best_known import read_known
from tests.benchmarks.days import read_day
from tests.engine.test_exact import small_day


def followed(instance: Instance, plan: Schedule) -> int:
    """How far the search follows a plan whose own costs are the budgets; fails where it cuts that off."""
    values = values_of(instance, plan)
    chains = OrderChains(instance)
    by_task = latest_ends(instance, {"left_over": 0, "lateness": values["lateness"]}, chains)
    packing = {job.id: job.packing for job in instance.jobs}
    ends = [
        min(by_task[task.id], values["finish"] - packing[task.job] - task.cooling) for task in instance.tasks
    ]
    ways = {job.id: chains.finish(job) for job in instance.jobs}
    alone = {name: 0 if way is None else way.finish for name, way in ways.items()}
    late = values["lateness"]
    exact = lay_out(instance, ends, slots=2, vectors=2, alone=alone if late else None)
    day, cover = exact.day, [0] * exact.covers
    work = _work(exact, (late, values["changeover"], values["changeovers"], values["overtime"]), False)
    assert begin_exact(day, work, cover)
    flattened = flatten(instance)
    runs = sorted(plan.tasks, key=lambda run: (run.setup_start, run.start))
    for depth, run in enumerate(runs):
        number = _candidate(flattened, day, work, depth, run)
        if number < 0:
            # It could begin earlier than the one before: of another sequence.
            return depth
        enter(day, work, depth, number)
        at = work[layout.W_STATE] + (depth + 1) * day[layout.STATE]
        assert hopeful(day, work, cover, at), (depth, run)
        assert least_late(day, work, cover, at) <= late, (depth, run)
        spread(day, work, cover, depth + 1)
    return len(runs)


def _candidate(flattened: Flattened, day: Any, work: Any, depth: int, run: ScheduledTask) -> int:
    """The candidate that is a run of the plan, or a lot that is like it; no later; -1 when there is none."""
    wanted = next(
        k
        for k, option in enumerate(flattened.options)
        if (option.task, option.mode, option.operator) == (run.task, run.mode, run.operator)
    )
    begin = work[layout.W_CANDIDATE] + depth * day[layout.MOST] * layout.CANDIDATE_SIZE
    for number in range(work[work[layout.W_CANDIDATES] + depth]):
        a = begin + number * layout.CANDIDATE_SIZE
        no_later = work[a + layout.A_SINCE] <= run.setup_start and work[a + layout.A_END] <= run.end
        if no_later and _like(flattened, day, work[a + layout.A_OPTION], wanted):
            return number
    return -1


def _like(flattened: Flattened, day: Any, one: int, other: int) -> bool:
    """Whether two options are the same, or those of two lots that are alike."""
    number = {name: k for k, name in enumerate(flattened.tasks)}
    records, tasks = [], []
    for option in (one, other):
        o = day[layout.OPTION] + option * layout.OPTION_SIZE
        t = day[layout.TASK] + number[flattened.options[option].task] * layout.TASK_SIZE
        records.append(day[o : o + layout.OPTION_SIZE])
        tasks.append((day[t + layout.T_CHOICE], day[t + layout.T_CLASS], day[t + layout.T_RELEASE]))
    return records[0] == records[1] and tasks[0] == tasks[1]


@pytest.mark.parametrize(
    "name", ("days-8-085-2", "days-8-100-1", "days-8-100-3", "days-8-115-1", "days-8-115-3")
)
def test_the_best_plan_known_of_a_day_is_not_cut_off(name: str) -> None:
    instance = read_day(name)
    known = read_known(name, instance)
    assert known is not None
    assert followed(instance, known.schedule) == len(known.schedule.tasks)


@pytest.mark.parametrize(("days", "seeds"), [(1, 300), (2, 60)])
def test_no_random_plan_is_cut_off_whose_costs_are_the_budgets(days: int, seeds: int) -> None:
    whole = deep = 0
    for seed in range(seeds):
        random = Random(seed)
        day = small_day(seed, days, tasks=9)
        jobs = tuple(
            replace(job, due=random.choice((10, 30, 60, None)), weight=random.randint(1, 3))
            for job in day.jobs
        )
        instance = replace(day, jobs=jobs)
        flattened = flatten(instance)
        number = {name: k for k, name in enumerate(flattened.tasks)}
        chosen = {name for choice in instance.choices for option in choice.options for name in option}
        names = [task.id for task in instance.tasks if task.id not in chosen]
        names += [name for choice in instance.choices for name in random.choice(choice.options)]
        begin = flattened.columns["option_from"]
        for _ in range(4):
            random.shuffle(names)
            tasks = tuple(number[name] for name in names)
            options = tuple(random.randrange(begin[task], begin[task + 1]) for task in tasks)
            plan = to_schedule(flattened, tasks, options)
            if plan.left_over:
                continue
            try:
                done = followed(instance, plan)
            except NotSmallError:
                continue
            deep += done
            whole += done == len(tasks)
    assert whole >= 8
    assert deep >= 100
