"""The exact search of small days: against all sequences of tiny days, and what it must leave alone."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from itertools import permutations, product

import pytest

from scheduler.domain.instance import (
    Choice,
    Circuit,
    Day,
    Instance,
    Job,
    Level,
    Machine,
    Platen,
    Precedence,
    SetupPart,
    SetupTable,
    Shift,
)
from scheduler.domain.schedule import Schedule, Status
from scheduler.engine.cpsat.values import values_of
from scheduler.engine.exact import ask
from scheduler.engine.exact.ask import ASKED, Shown, prove_small
from scheduler.engine.exact.day import lay_out
from scheduler.engine.exact.refused import MOST_LATE, MOST_TICKS, NotSmallError
from scheduler.engine.flat import flatten, to_schedule
from scheduler.engine.line import line_cost
from scheduler.engine.local_search import Line
from scheduler.engine.solve import solve
from scheduler.verify import check
from tests.benchmarks.days import read_day
from tests.support.kernels import compiled_copy
from tests.support.random_days import random_day
from tests.support.tiny import ANN, at, instance, part, plan, task, way

MOST_SEQUENCES = 20_000


BEN = replace(ANN, id="Ben")
ONE, TWO = (("Ann", 10),), (("Ben", 10),)


def small_day(seed: int, days: int | None = None, tasks: int = 4) -> Instance:
    """A random day of what the exact search states: nothing side by side, runs longer than set-ups."""
    day = random_day(seed, tasks=tasks, days=days)
    tasks = []
    for one in day.tasks:
        modes = tuple(
            replace(mode, work=0, operators=tuple((name, 10 + work) for name, work in people))
            for mode in one.modes
            if mode.mate is None
            for people in [mode.operators or tuple((each.id, mode.work) for each in day.operators)]
        )
        tasks.append(replace(one, modes=modes))
    # Later cut-offs: of a late day nothing is asked.
    jobs = [replace(job, due=None if job.due is None else job.due + 60) for job in day.jobs]
    return replace(day, tasks=tuple(tasks), precedences=(), jobs=tuple(jobs))


def sequences(instance: Instance) -> Iterator[Line]:
    """Every order of every way to carry the day out, in every option."""
    flattened = flatten(instance)
    number = {name: k for k, name in enumerate(flattened.tasks)}
    chosen = {name for choice in instance.choices for option in choice.options for name in option}
    single = [number[one.id] for one in instance.tasks if one.id not in chosen]
    begin = flattened.columns["option_from"]
    for ways in product(*(choice.options for choice in instance.choices)):
        tasks = single + [number[name] for chosen_way in ways for name in chosen_way]
        for order in permutations(tasks):
            for options in product(*(range(begin[one], begin[one + 1]) for one in order)):
                yield Line(order, options)


def complete(instance: Instance) -> list[tuple[tuple[int, ...], Line]]:
    """Costs and sequences of all plans that leave nothing over, the best first."""
    flattened = flatten(instance)
    costs = ((tuple(line_cost(flattened, line)), line) for line in sequences(instance))
    return sorted((pair for pair in costs if not pair[0][0]), key=lambda pair: pair[0])


def count(instance: Instance) -> int:
    found = 0
    for _ in sequences(instance):
        found += 1
        if found > MOST_SEQUENCES:
            break
    return found


def asked(instance: Instance, start: Schedule, most: int = 100_000) -> Shown:
    nothing: dict[Level, int] = dict.fromkeys(instance.levels, 0)
    return prove_small(instance, start, nothing, most, lambda: False, compiled_copy)


def against_all(instance: Instance, seed: int, plans: list[tuple[tuple[int, ...], Line]]) -> bool:
    """Hold what is proven from the worst of all plans of a day against the best; whether all levels are."""
    flattened = flatten(instance)
    worst = plans[-1][1]
    shown = asked(instance, to_schedule(flattened, worst.tasks, worst.options))
    verdict = check(instance, shown.schedule)
    assert verdict.passed, (seed, verdict.breaks[:2])
    best = dict(zip(instance.levels, plans[0][0], strict=True))
    for level in ASKED:
        # What was shown of a level holds for every plan, proven or not.
        assert shown.bounds.get(level, 0) <= best[level], (seed, level)
        if level not in shown.proven:
            return False
        assert shown.values[level] <= best[level], (seed, level)
        if shown.values[level] < best[level]:
            # A plan that waits on purpose, which the decoder doesn't reach; of the rest nothing is known.
            return False
    return True


@pytest.mark.parametrize("block", range(4))
def test_of_all_sequences_none_is_better_than_what_is_proven(block: int) -> None:
    tried = 0
    for seed in range(60 * block, 60 * block + 60):
        instance = small_day(seed)
        if count(instance) > MOST_SEQUENCES:
            continue
        plans = [pair for pair in complete(instance) if not pair[0][1]]
        tried += bool(plans) and against_all(instance, seed, plans)
    assert tried >= 15


@pytest.mark.parametrize("block", range(4))
def test_of_all_sequences_of_a_late_day_none_is_better_than_what_is_proven(block: int) -> None:
    tried = 0
    for seed in range(60 * block, 60 * block + 60):
        day = small_day(seed)
        if count(day) > MOST_SEQUENCES:
            continue
        jobs = tuple(
            replace(job, due=(10, 25, 40, None)[(seed + k) % 4], weight=(1, 3, 2)[(seed + k) % 3])
            for k, job in enumerate(day.jobs)
        )
        late = replace(day, jobs=jobs)
        plans = complete(late)
        if plans and plans[0][0][1]:
            tried += against_all(late, seed, plans)
    assert tried >= 15


@pytest.mark.parametrize("block", range(4))
def test_of_all_sequences_over_two_days_none_is_better_than_what_is_proven(block: int) -> None:
    tried = overnight = 0
    for seed in range(60 * block, 60 * block + 60):
        day = small_day(seed, days=2)
        if count(day) > MOST_SEQUENCES:
            continue
        night = day.heating_days[1].start
        jobs = tuple(
            replace(job, due=(15, 40, night + 15, None)[(seed + k) % 4], weight=(1, 3, 2)[(seed + k) % 3])
            for k, job in enumerate(day.jobs)
        )
        # Short hours, so that some of it is done on the second day.
        people = tuple(
            replace(one, shifts=tuple(_shorter(shift, 30) for shift in one.shifts)) for one in day.operators
        )
        late = replace(day, jobs=jobs, operators=people)
        plans = complete(late)
        if plans:
            tried += against_all(late, seed, plans)
            overnight += plans[0][0][-1] > night
    assert tried >= 5
    assert overnight >= 15


def _shorter(shift: Shift, ticks: int) -> Shift:
    """A shift of no more than so many ticks."""
    end = min(shift.end, shift.start + ticks)
    breaks = tuple(each for each in shift.breaks if each[1] <= end)
    return replace(shift, end=end, overtime_end=min(shift.overtime_end, end + 5), breaks=breaks)


def test_a_day_of_eight_runs_is_proven_at_every_level() -> None:
    instance = read_day("days-8-070-2")
    result = solve(instance, effort="quick", seed=1)
    assert result.status is Status.PROVEN
    assert result.schedule is not None
    assert check(instance, result.schedule).passed
    assert {level.name: level.value for level in result.levels}["changeover"] == 125


@pytest.mark.parametrize(("name", "most"), [("days-8-070-3", 300), ("days-8-115-3", 1_920)])
def test_the_plain_and_the_compiled_copy_look_at_the_same_states(name: str, most: int) -> None:
    instance = read_day(name)
    nothing: dict[Level, int] = dict.fromkeys(instance.levels, 0)
    start = solve(instance, effort="quick", seed=1).schedule
    assert start is not None
    plain, compiled = (
        prove_small(instance, start, nothing, most, lambda: False, ready)
        for ready in (lambda: None, compiled_copy)
    )
    assert plain == compiled
    assert plain.states >= 15


def test_a_run_waits_for_the_next_day_where_that_saves_overtime() -> None:
    # The decoder puts the second run down at once, in overtime.
    shifts = (Shift(start=0, end=10, overtime_end=30), Shift(start=100, end=130, overtime_end=130))
    first, second = (task(name, way("A", operators=ONE)) for name in ("first", "second"))
    day = instance(
        first,
        second,
        operators=(replace(ANN, shifts=shifts),),
        days=(Day(start=0, end=50), Day(start=100, end=150)),
    )
    start = to_schedule(flatten(day), (0, 1), (0, 1))
    assert values_of(day, start)["overtime"] == 10
    shown = asked(day, start)
    assert check(day, shown.schedule).passed
    assert shown.values["overtime"] == 0
    assert shown.proven == set(ASKED)


def test_a_small_memory_is_left_for_a_larger_one(monkeypatch: pytest.MonkeyPatch) -> None:
    instance = read_day("days-8-070-2")
    start = solve(instance, effort="quick", seed=1).schedule
    assert start is not None
    usual = asked(instance, start)
    monkeypatch.setattr(ask, "MEMORIES", ((1 << 4, 1 << 4), (1 << 6, 1 << 6), (1 << 9, 1 << 9)))
    tight = asked(instance, start)
    assert tight.proven == usual.proven == set(ASKED)
    assert tight.values == usual.values
    monkeypatch.setattr(ask, "MEMORIES", ((1 << 4, 1 << 4),))
    assert asked(instance, start).states > usual.states


def test_states_or_seconds_that_are_used_up_prove_nothing() -> None:
    instance = read_day("days-8-085-3")
    start = solve(instance, effort="quick", seed=1, seconds=2).schedule
    assert start is not None
    nothing: dict[Level, int] = dict.fromkeys(instance.levels, 0)
    few = prove_small(instance, start, nothing, 10, lambda: False, compiled_copy)
    late = prove_small(instance, start, nothing, 10**6, lambda: True, compiled_copy)
    for shown in (few, late):
        assert shown.proven == {"lateness"}  # there is none to begin with
        assert shown.schedule == start


def latest(instance: Instance) -> list[int]:
    return [instance.horizon] * len(instance.tasks)


def test_what_it_does_not_state_is_refused() -> None:
    day = small_day(3)
    assert lay_out(day, latest(day), slots=2, vectors=2).depth > 0
    first, second = (task.id for task in day.tasks[:2])
    begun = replace(day.machines[0], free_from=5)
    quick = replace(day.tasks[0].modes[0], operators=((day.operators[0].id, 0),))
    slow = replace(day.tasks[0], cooling=MOST_TICKS - day.horizon)
    other_job = next(task.id for task in day.tasks if task.job != day.tasks[0].job)
    for other in (
        replace(day, precedences=(Precedence(before=first, after=second),)),
        replace(day, machines=(begun, *day.machines[1:])),
        replace(day, jobs=(replace(day.jobs[0], ready=3), *day.jobs[1:])),
        replace(day, tasks=(replace(day.tasks[0], modes=(quick,)), *day.tasks[1:])),
        replace(day, levels=("left_over", "finish")),
        replace(day, tasks=(slow, *day.tasks[1:])),
        replace(day, choices=(Choice(id="c", options=((first,), (other_job,))),)),
    ):
        with pytest.raises(NotSmallError):
            lay_out(other, latest(other), slots=2, vectors=2)


def test_other_levels_than_those_of_a_day_are_left_alone() -> None:
    day = small_day(3)
    start = solve(day, effort="quick", seed=1, stop=lambda: True).schedule
    assert start is not None
    for levels in (("left_over", "finish"), ("left_over", "lateness", "finish")):
        shown = asked(replace(day, levels=levels), start)
        assert shown == Shown(start, values_of(replace(day, levels=levels), start))


def test_a_plan_that_costs_more_than_a_lane_holds_is_left_alone() -> None:
    """Heat counts for a press's first run, though nothing waits for it: it may take longer than the day."""
    for ticks, left_alone in ((MOST_TICKS - 10, False), (MOST_TICKS, True)):
        table = SetupTable(from_none=(ticks, ticks), by_target=(2, 2))
        day = instance(
            *(task(name, way(state=(at % 2,), operators=ONE)) for at, name in enumerate("abc")),
            machines=(Machine(id="A", tables=(0,), initial=(None,)),),
            setup_parts=(SetupPart(name="heat", hands_off=True, tables=(table,)),),
        )
        plan = to_schedule(flatten(day), (0, 1, 2), (0, 1, 2))
        assert values_of(day, plan)["changeover"] == ticks + 4
        shown = asked(day, plan)
        assert (shown.states == 0 and shown.schedule == plan) is left_alone
        assert (shown.values["changeover"] == ticks + 2) is not left_alone


def test_of_a_late_day_that_is_too_large_a_bound_is_shown() -> None:
    instance = read_day("days-8-115-1")
    start = solve(instance, effort="quick", seed=1, seconds=2).schedule
    assert start is not None
    shown = asked(instance, start, most=300_000)
    assert not shown.proven
    # Above what order chains and the hours of the whole day say: 707 ticks.
    assert 707 < shown.bounds["lateness"] <= 2506


def test_more_orders_that_may_be_late_than_can_be_looked_at_in_sets_are_left_alone() -> None:
    jobs = tuple(Job(id=f"j{k}", due=5) for k in range(MOST_LATE + 1))
    for some in (jobs[:-1], jobs):
        day = instance(*(task(job.id, way("A", operators=ONE), job=job.id) for job in some), jobs=some)
        alone = {job.id: 10 for job in some}
        if len(some) == MOST_LATE:
            assert lay_out(day, latest(day), slots=2, vectors=2, alone=alone).depth == MOST_LATE
        else:
            with pytest.raises(NotSmallError):
                lay_out(day, latest(day), slots=2, vectors=2, alone=alone)


def finishes(day: Instance, line: Line) -> tuple[int, int]:
    """The finish of a sequence, and that of the best plan as the exact search proves it from there."""
    flattened = flatten(day)
    start = to_schedule(flattened, line.tasks, line.options)
    shown = asked(day, start)
    assert shown.proven == set(ASKED)
    assert check(day, shown.schedule).passed
    return values_of(day, start)["finish"], shown.values["finish"]


def test_states_are_told_apart_by_when_garments_are_back() -> None:
    # Whichever of the first two is on which press, presses and people are free alike.
    other, before = (
        task(name, way("A", operators=(("Ann", 20),)), way("B", operators=TWO), bundles=bundles)
        for name, bundles in (("other", ()), ("before", ("G",)))
    )
    after = task("after", way("B", operators=TWO), bundles=("G",), release=10)
    day = instance(other, before, after, operators=(ANN, BEN))
    assert finishes(day, Line((0, 1, 2), (1, 2, 4))) == (30, 20)


def test_states_are_told_apart_by_what_their_presses_are_set_up_for() -> None:
    first, second, late = (
        task(name, way("A", operators=ONE, state=(state,)), job=name, release=release)
        for name, state, release in (("first", 0, 0), ("second", 1, 0), ("late", 0, 40))
    )
    day = instance(
        first,
        second,
        late,
        machines=(Machine(id="A", tables=(0,), initial=(None,)),),
        setup_parts=(part("colour", 2, 2),),
        jobs=(Job(id="first"), Job(id="second", due=30), Job(id="late")),
    )
    flattened = flatten(day)
    dear = to_schedule(flattened, (0, 1, 2), (0, 1, 2))
    shown = asked(day, dear)
    assert values_of(day, dear)["changeover"] == 6
    assert shown.values["changeover"] == 4
    assert shown.proven == set(ASKED)


def test_states_are_told_apart_by_what_can_be_set_up_while_nobody_is_there() -> None:
    # Whichever of the first two comes last, the press changes over for ten ticks: without Ann or with her.
    ticks = SetupTable(from_none=(5, 5), by_target=(10, 10))
    parts = tuple(
        SetupPart(name=name, tables=(ticks,), hands_off=off) for name, off in (("a", False), ("b", True))
    )
    second, first, late = (
        task(name, way("A", operators=ONE, state=state), release=release)
        for name, state, release in (("second", (1, 0), 0), ("first", (0, 0), 0), ("late", (1, 1), 35))
    )
    meanwhile = task("meanwhile", way("B", operators=ONE, state=(0, 0)), release=35)
    day = instance(
        second,
        first,
        late,
        meanwhile,
        machines=(
            Machine(id="A", tables=(0, 0), initial=(None, None)),
            Machine(id="B", tables=(0, 0), initial=(0, 0)),
        ),
        setup_parts=parts,
    )
    assert finishes(day, Line((0, 1, 3, 2), (0, 1, 3, 2))) == (65, 55)


def test_states_are_told_apart_by_where_the_only_platen_is() -> None:
    first, second, late = (
        task(name, way(press, operators=people, platen=kind, state=(0,)), release=release)
        for name, press, people, kind, release in (
            ("first", "A", ONE, "L", 0),
            ("second", "A", ONE, "K", 0),
            ("late", "B", TWO, "K", 15),
        )
    )
    day = instance(
        first,
        second,
        late,
        machines=tuple(Machine(id=name, tables=(0,), initial=(None,)) for name in ("A", "B")),
        platens=(Platen(id="K", count=1), Platen(id="L", count=1)),
        setup_parts=(part("platen", 1, 1, goes_with_platen=True),),
        operators=(ANN, BEN),
    )
    assert finishes(day, Line((0, 1, 2), (0, 1, 2))) == (33, 25)


def test_of_two_presses_on_a_circuit_the_one_set_up_later_may_heat_first() -> None:
    slow = task("slow", way("A", operators=ONE, state=(0,), warm_up=10))
    long = task("long", way("B", operators=(("Ben", 35),), state=(1,), warm_up=10))
    day = instance(
        slow,
        long,
        machines=tuple(
            Machine(id=name, tables=(0,), initial=(None,), circuit="C", watts=900) for name in ("A", "B")
        ),
        setup_parts=(SetupPart(name="colour", tables=(SetupTable(from_none=(30, 0), by_target=(30, 0)),)),),
        operators=(ANN, BEN),
        circuits=(Circuit(id="C", limit_w=1000),),
    )
    # Both at once would be too much, and the long one can wait for the other.
    waiting = plan(
        at("slow", 30, 40, setup=30, by="Ann"),
        at("long", 20, 55, mode="B", by="Ben"),
        warm_ups=(("A", 0, 10), ("B", 10, 20)),
    )
    shown = asked(day, waiting)
    assert values_of(day, waiting)["finish"] == 55
    assert shown.values["finish"] == 45
    assert shown.proven == set(ASKED)
