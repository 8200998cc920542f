"""Bounds by covers of set-up families that have time for their work: overtime, finish, and changeovers."""

from __future__ import annotations

import logging
from typing import TYPE_CHECKING, NamedTuple

from ortools.sat.python import cp_model

from scheduler.engine.cpsat.cover import Cover
from scheduler.engine.cpsat.families import families_of
from scheduler.engine.cpsat.needs import all_needs
from scheduler.engine.cpsat.solver import bound_of, settings, watched
from scheduler.engine.cpsat.workload import Workload

if TYPE_CHECKING:
    from collections.abc import Callable

    from ortools.sat.python.cp_model import CpModel, LinearExpr

    from scheduler.domain.instance import Instance, Level
    from scheduler.engine.windows import Windows

log = logging.getLogger(__name__)

MOST_LOADS = 300
"""Ways of all tasks with their people up to which times are looked at; on larger days they were seen to raise
nothing."""

MOST_TRIES = 10
"""Finishes that are tried. The first is just before the plan's, each later one halves what is open, down to a
minute, which is near enough."""


class Timed(NamedTuple):
    """A cover with times among plans that keep some levels, and its levels as expressions."""

    model: CpModel
    terms: dict[Level, LinearExpr]


def loads_in(instance: Instance) -> int:
    """Ways of all tasks with their people."""
    return sum(max(1, len(mode.operators)) for task in instance.tasks for mode in task.modes)


def timed_bound(
    instance: Instance,
    level: Level,
    values: dict[Level, int],
    latest: dict[str, int],
    windows: Windows,
    deterministic_limit: float,
    stop: Callable[[], bool] | None = None,
) -> int:
    """Least value of a level among plans that keep the levels before it; 0 where nothing is shown.

    Parameters
    ----------
    level
        A changeover level or overtime.
    values
        A plan's values; `left_over` is among the levels before.
    latest
        Ends by which tasks must be done in such plans; see `latest_ends`.
    deterministic_limit
        Effort in the solver's units.
    """
    timed = _timed(instance, level, values, latest, windows)
    if level not in timed.terms or (stop is not None and stop()):
        return 0
    timed.model.minimize(timed.terms[level])
    solver = settings(0, 1, deterministic_limit)
    with watched(solver, stop):
        status = solver.solve(timed.model)
    if status in (cp_model.MODEL_INVALID, cp_model.INFEASIBLE):
        log.error("%s: no cover with times is as good as a plan: %s", level, solver.status_name(status))
        return 0
    log.info("%s with times: at least %d (%s)", level, bound_of(solver), solver.status_name(status))
    return max(0, bound_of(solver))


def timed_finish(
    instance: Instance,
    values: dict[Level, int],
    known: int,
    latest: dict[str, int],
    windows: Windows,
    deterministic_limit: float,
    stop: Callable[[], bool] | None = None,
) -> int:
    """Earliest finish for which a cover has time, among plans that keep the levels before.

    Whether one finishes by a tick is asked of ticks between the bound that is known and the plan's
    finish, that right before the plan's first. Parameters are those of `timed_bound`.

    Parameters
    ----------
    known
        A bound that is known already.
    """
    packing = {job.id: job.packing for job in instance.jobs}
    low, high = known, values["finish"]
    step = max(1, 60 // instance.tick_s)
    for attempt in range(MOST_TRIES):
        if high - low <= (step if attempt else 0) or (stop is not None and stop()):
            break
        asked = high - 1 if attempt == 0 else (low + high - 1) // 2
        by = {
            task.id: max(
                0, min(latest.get(task.id, instance.horizon), asked - packing[task.job] - task.cooling)
            )
            for task in instance.tasks
        }
        timed = _timed(instance, "finish", values, by, windows)
        solver = settings(0, 1, deterministic_limit / MOST_TRIES)
        with watched(solver, stop):
            status = solver.solve(timed.model)
        if status == cp_model.INFEASIBLE:
            low = asked + 1
        else:
            high = asked
    log.info("finish with times: at least %d", low)
    return low


def _timed(
    instance: Instance, level: Level, values: dict[Level, int], latest: dict[str, int], windows: Windows
) -> Timed:
    families = families_of(instance, latest=latest, windows=windows)
    by_hand = families_of(instance, by_hand=True, latest=latest, windows=windows)
    counted = families_of(instance, count=True, latest=latest, windows=windows)
    needs = all_needs(instance, [families, by_hand, counted], values["left_over"])
    cover = Cover(instance, needs, values["left_over"])
    before = instance.levels[: instance.levels.index(level)]
    soft = "lateness" in before and values["lateness"] > 0
    workload = Workload(instance, cover, needs, families, latest, soft=soft)
    terms: dict[Level, LinearExpr] = {
        "changeover": cover.cost(0),
        "changeovers": cover.cost(2),
        "overtime": workload.overtime,
    }
    if soft:
        terms["lateness"] = workload.lateness
    for name in before:
        if name in terms:
            cover.model.add(terms[name] <= values[name])
    return Timed(cover.model, terms)
