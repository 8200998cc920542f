"""The rest of a day that has begun: what the plan says of it is a plan of the rest, and nothing moved."""

from __future__ import annotations

from dataclasses import replace

import pytest

from scheduler.domain.instance import LEVELS_AGAIN, Instance
from scheduler.domain.schedule import Schedule
from scheduler.engine.backend import plain
from scheduler.engine.cpsat.solve import accepts
from scheduler.engine.cpsat.values import values_of
from scheduler.engine.dispatching import first_lines
from scheduler.engine.flat import flatten, to_schedule
from scheduler.engine.line import line_of
from scheduler.engine.local_search import Chain
from scheduler.engine.solve import Effort, solve
from scheduler.planning.begun import moment_of
from scheduler.planning.remaining import Moment, remaining
from scheduler.verify.check import check
from tests.support.random_days import random_day, side_by_side


def planned(seed: int) -> tuple[Instance, Schedule]:
    instance = random_day(seed, tasks=6 + seed % 7, machines=2 + seed % 2, operators=2)
    if seed % 5 == 0:
        instance = side_by_side(instance)
    flattened = flatten(instance)
    chain = Chain(flattened, first_lines(flattened, plain(), limit=1)[0], seed=seed, backend=plain())
    chain.run(60)
    return instance, to_schedule(flattened, chain.best.tasks, chain.best.options)


def rest_of(schedule: Schedule, moment: Moment, rest: Instance) -> Schedule:
    """What of a schedule is not begun."""
    begun = {done.task for done in moment.begun}
    warming = dict(moment.warming)
    hot = {machine.id for machine in rest.machines if machine.hot}
    return replace(
        schedule,
        tasks=tuple(done for done in schedule.tasks if done.task not in begun),
        warm_ups=tuple(
            warm
            for warm in schedule.warm_ups
            if (warm.start >= moment.now or warming.get(warm.machine) == (warm.start, warm.end))
            and not (warm.machine in hot and warming.get(warm.machine) == (warm.start, warm.end))
        ),
    )


def rest_in_the_morning(seed: int) -> tuple[Instance, Schedule]:
    """A day a third of which is begun, and what its plan says of the rest."""
    instance, schedule = planned(seed)
    starts = sorted(done.setup_start for done in schedule.tasks)
    now = min(max(1, starts[len(starts) // 3] + seed % 3), instance.heating_days[-1].end - 1)
    moment = moment_of(instance, schedule, now)
    rest = remaining(instance, moment, schedule)
    return rest, rest_of(schedule, moment, rest)


@pytest.mark.parametrize("seed", range(120))
def test_the_rest_of_a_plan_is_a_plan_of_the_rest(seed: int) -> None:
    """Re-solving without a change may give the same: the kept rest passes the check, and nothing moved."""
    instance, schedule = planned(seed)
    whole = check(instance, schedule)
    assert whole.passed
    moments = sorted({done.setup_start for done in schedule.tasks} | {done.end for done in schedule.tasks})
    last = instance.heating_days[-1].end
    for now in (moments[len(moments) // 4], moments[len(moments) // 2] + 1, moments[-1] - 1):
        if now <= 0 or now >= last:
            continue
        moment = moment_of(instance, schedule, now)
        rest = remaining(instance, moment, schedule)
        kept = rest_of(schedule, moment, rest)
        verdict = check(rest, kept)
        assert verdict.passed, [found.message for found in verdict.breaks]
        assert verdict.values["moved"] == 0
        late = {job: ticks for job, ticks in whole.late_ticks.items() if job in verdict.late_ticks}
        assert verdict.late_ticks == late
        assert rest.levels == LEVELS_AGAIN


@pytest.mark.parametrize("seed", range(30))
def test_nothing_of_the_rest_may_begin_before_now_or_where_something_is_under_way(seed: int) -> None:
    """Every run of the rest that is pulled before what it waits for breaks a rule by name."""
    instance, schedule = planned(seed)
    starts = sorted(done.setup_start for done in schedule.tasks)
    now = starts[len(starts) // 2] + 1
    if now >= instance.heating_days[-1].end:
        return
    moment = moment_of(instance, schedule, now)
    rest = remaining(instance, moment, schedule)
    kept = rest_of(schedule, moment, rest)
    machines = {machine.id: machine for machine in rest.machines}
    modes = {(task.id, mode.id): mode for task in rest.tasks for mode in task.modes}
    for number, done in enumerate(kept.tasks):
        free = max(now, machines[modes[done.task, done.mode].machine].free_from)
        early = done.setup_start - free + 1
        if early <= 0:
            continue
        pulled = replace(done, setup_start=free - 1, start=done.start - early, end=done.end - early)
        changed = replace(kept, tasks=(*kept.tasks[:number], pulled, *kept.tasks[number + 1 :]))
        assert not check(rest, changed).passed


@pytest.mark.parametrize("seed", range(60))
def test_decoder_and_check_agree_on_the_rest_of_a_day(seed: int) -> None:
    """What the decoder makes of the rest passes the check at the cost that the decoder counted."""
    rest, kept = rest_in_the_morning(seed)
    if not rest.tasks:
        return
    flattened = flatten(rest)
    line = line_of(flattened, kept)
    chain = Chain(flattened, line, seed=seed, backend=plain())
    for _ in range(4):
        again = to_schedule(flattened, chain.best.tasks, chain.best.options)
        verdict = check(rest, again)
        assert verdict.passed, [found.message for found in verdict.breaks]
        assert tuple(verdict.values[level] for level in rest.levels) == chain.cost
        assert values_of(rest, again) == verdict.values
        chain.run(40)


@pytest.mark.parametrize("seed", range(40))
def test_the_model_agrees_on_the_rest_of_a_day(seed: int) -> None:
    """It accepts what the decoder makes, and of runs pulled forward by a tick just what the check accepts."""
    rest, kept = rest_in_the_morning(seed)
    if not rest.tasks:
        return
    flattened = flatten(rest)
    chain = Chain(flattened, line_of(flattened, kept), seed=seed, backend=plain())
    chain.run(60)
    again = to_schedule(flattened, chain.best.tasks, chain.best.options)
    assert accepts(rest, again)
    for number, run in enumerate(again.tasks):
        if run.setup_start == 0:
            continue
        early = replace(run, setup_start=run.setup_start - 1, start=run.start - 1, end=run.end - 1)
        changed = replace(again, tasks=(*again.tasks[:number], early, *again.tasks[number + 1 :]))
        assert accepts(rest, changed) == check(rest, changed).passed, run.task


SHORT = Effort(rules=2, moves=300, moves_by_size=300, steps=10**6, chains=1, deterministic=0.4, seconds=60)


@pytest.mark.parametrize("seed", [1009, *range(200, 210)])
def test_what_is_found_for_the_rest_passes_the_check(seed: int) -> None:
    """From a third of the plan on, whatever is under way then; proven or not."""
    instance = random_day(seed, tasks=6 + seed % 5, machines=3, operators=2)
    plan = solve(instance, effort=replace(SHORT, deterministic=0)).schedule
    assert plan is not None
    starts = sorted(done.setup_start for done in plan.tasks)
    now = starts[len(starts) // 3] + 1
    rest = remaining(instance, moment_of(instance, plan, now), plan)
    result = solve(rest, effort=SHORT)
    assert result.schedule is not None
    verdict = check(rest, result.schedule)
    assert verdict.passed, verdict.breaks
    assert [level.value for level in result.levels] == [verdict.values[level] for level in rest.levels]


def test_a_press_that_nobody_has_set_for_another_temperature_heats_from_now_on() -> None:
    """When a run ends, its press is set for what follows on the sheets; for anything else only now."""
    seen = {"told": 0, "like it": 0, "nothing": 0}
    for seed in range(60):
        instance, schedule = planned(seed)
        now = sorted(done.end for done in schedule.tasks)[len(schedule.tasks) // 2] + 2
        if now >= instance.heating_days[-1].end:
            continue
        moment = moment_of(instance, schedule, now)
        begun = {done.task for done in moment.begun}
        modes = {(task.id, mode.id): mode for task in instance.tasks for mode in task.modes}
        hands_off = [part.hands_off for part in instance.setup_parts]
        for machine in remaining(instance, moment, schedule).machines:
            there = sorted(
                (done.start, done.end, done.task, modes[done.task, done.mode])
                for done in schedule.tasks
                if machine.id in dict(modes[done.task, done.mode].places)
            )
            over = [(end, mode) for _, end, task, mode in there if task in begun]
            to_come = [mode for _, _, task, mode in there if task not in begun]
            if not over or over[-1][0] > now:
                continue
            end, last = over[-1]
            if not to_come:
                seen["nothing"] += 1
                assert machine.free_from == now
            elif [v for v, off in zip(to_come[0].state, hands_off, strict=True) if off] == [
                v for v, off in zip(last.state, hands_off, strict=True) if off
            ]:
                seen["like it"] += 1
                assert machine.free_from == now
            else:
                seen["told"] += 1
                assert machine.free_from == end
    assert min(seen.values()) > 3
