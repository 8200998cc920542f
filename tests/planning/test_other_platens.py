"""Runs on another kind of platen than printed, on the rest of a day: all readings count the same points."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from random import Random

import pytest
from ortools.sat.python import cp_model

from scheduler.domain.instance import MOVED_PLATEN, Instance, Mode
from scheduler.domain.schedule import Schedule, ScheduledTask
from scheduler.engine.cpsat.assign import values_for
from scheduler.engine.cpsat.build import build
from scheduler.engine.cpsat.objective import TERMS
from scheduler.engine.cpsat.solver import settings
from scheduler.engine.cpsat.values import values_of
from scheduler.engine.cpsat.wrappers import Scope
from scheduler.engine.flat import Flattened, flatten, to_schedule
from scheduler.engine.line import line_cost, line_of
from scheduler.engine.local_search import Line
from scheduler.engine.solve import solve
from scheduler.verify import check
from tests.planning.test_remaining import SHORT, rest_in_the_morning


def with_more_platens(rest: Instance, kept: Schedule) -> Instance:
    """The same rest, where each printed run can also be done on every other kind of platen, and on none."""
    kinds = [*(platen.id for platen in rest.platens), None]
    used = {(done.task, done.mode) for done in kept.tasks}

    def ways(mode: Mode) -> Iterator[Mode]:
        for value, kind in enumerate(kinds):
            if kind != mode.platen:
                state = (value, *mode.state[1:])
                yield replace(mode, id=f"{mode.id}, on {kind}", platen=kind, state=state)

    tasks = (
        replace(
            task,
            modes=(
                *task.modes,
                *(way for mode in task.modes if (task.id, mode.id) in used for way in ways(mode)),
            ),
        )
        for task in rest.tasks
    )
    return replace(rest, tasks=tuple(tasks))


def on_other_platens(flattened: Flattened, line: Line, rng: Random) -> Line:
    """The same order, with some runs on another kind of platen at their press with their person."""
    options = list(line.options)
    for k, task in enumerate(line.tasks):
        begin, end = flattened.columns["option_from"][task : task + 2]
        there = flattened.options[options[k]]
        same = [
            number
            for number in range(begin, end)
            if (one := flattened.options[number]).platen != there.platen
            and (one.machine, one.mate, one.operator) == (there.machine, there.mate, there.operator)
        ]
        if same and rng.random() < 0.6:
            options[k] = rng.choice(same)
    return Line(line.tasks, tuple(options))


def in_the_model(instance: Instance, schedule: Schedule) -> int:
    """The least that the model's own expression of level `moved` can be for this very schedule."""
    model = build(instance, Scope(all_mountings=True))
    for variable, value in values_for(model, schedule):
        model.cp.add(variable == value)
    model.cp.minimize(TERMS["moved"](model.cp, model.variables, instance))
    solver = settings(0, 1, 60)
    assert solver.solve(model.cp) == cp_model.OPTIMAL
    return round(solver.objective_value)


def pairs(rest: Instance, schedule: Schedule, kept: Schedule) -> Iterator[tuple[ScheduledTask, Mode, Mode]]:
    """Every run that both have, with its way now and then."""
    modes = {(task.id, mode.id): mode for task in rest.tasks for mode in task.modes}
    was = {done.task: done for done in kept.tasks}
    for done in schedule.tasks:
        if done.task in was:
            yield done, modes[done.task, done.mode], modes[done.task, was[done.task].mode]


def test_decoder_check_and_model_count_the_same() -> None:
    """On random days; runs without a platen, at two presses, and later than printed are among them."""
    seen = dict.fromkeys(("another", "as printed", "from none", "to none", "two presses", "later"), 0)
    for seed in (*range(20), *range(20, 150, 5)):  # every fifth is of runs at two presses
        rest, kept = rest_in_the_morning(seed)
        if not rest.tasks:
            continue
        rest = with_more_platens(rest, kept)
        flattened = flatten(rest)
        line = on_other_platens(flattened, line_of(flattened, kept), Random(f"platens {seed}"))
        schedule = to_schedule(flattened, line.tasks, line.options)
        verdict = check(rest, schedule)
        assert verdict.passed, verdict.breaks
        assert line_cost(flattened, line) == tuple(verdict.values[level] for level in rest.levels)
        assert values_of(rest, schedule) == verdict.values
        assert in_the_model(rest, schedule) == verdict.values["moved"]
        starts = {done.task: done.start for done in kept.tasks}
        for done, now, before in pairs(rest, schedule, kept):
            other = now.platen != before.platen
            seen["another"] += other
            seen["as printed"] += not other
            seen["from none"] += other and before.platen is None
            seen["to none"] += other and now.platen is None
            seen["two presses"] += other and now.mate is not None
            seen["later"] += other and done.start > starts[done.task]
    assert min(seen.values()) > 3, seen


@pytest.mark.parametrize("seed", [0, 1, 3, 10])
def test_runs_go_back_to_the_platens_on_the_sheets(seed: int) -> None:
    """The search begins with other platens; the printed ones come back, where nothing is late for it."""
    rest, kept = rest_in_the_morning(seed)
    rest = with_more_platens(rest, kept)
    flattened = flatten(rest)
    line = on_other_platens(flattened, line_of(flattened, kept), Random(seed))
    start = to_schedule(flattened, line.tasks, line.options)
    assert check(rest, start).values["moved"] >= MOVED_PLATEN
    found = solve(rest, effort=SHORT, near=start).schedule
    assert found is not None
    values = check(rest, found).values
    before = check(rest, kept).values
    assert (values["left_over"], values["lateness"]) == (before["left_over"], before["lateness"])
    assert values["moved"] == 0
    assert all(now.platen == was.platen for _, now, was in pairs(rest, found, kept))
