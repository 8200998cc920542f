"""What plans with so few changeovers can't do: ways of tasks that every cover within that cost avoids."""

from __future__ import annotations

import logging
from typing import TYPE_CHECKING

from ortools.sat.python import cp_model

from scheduler.engine.cpsat.cover import MOST_LINKS, Cover
from scheduler.engine.cpsat.families import families_of, links_of
from scheduler.engine.cpsat.needs import all_needs
from scheduler.engine.cpsat.solver import settings, watched

if TYPE_CHECKING:
    from collections.abc import Callable

    from scheduler.domain.instance import Instance

log = logging.getLogger(__name__)

MOST_ROUNDS = 40
"""Rounds in which further ways are looked for; beyond it, all that are left stay open,
which is never wrong."""


def affordable(
    instance: Instance,
    *,
    ticks: int,
    number: int | None,
    latest: dict[str, int],
    left_over: int,
    deterministic_limit: float,
    stop: Callable[[], bool] | None = None,
) -> tuple[dict[str, frozenset[str]], dict[str, int]]:
    """Modes of each task that a plan with so few changeovers may use, and when the task must be done.

    Parameters
    ----------
    ticks, number
        Most changeover ticks, and most changeovers; None: any number.
    latest
        Ends by which tasks must be done in the plans that are asked about; see `latest_ends`.
    left_over
        Pressings that plans may leave over.

    Returns
    -------
    tuple
        Mode ids by task id: each cover within the cost uses only these. Latest ends by task id, not
        later than those given. With a limit too small, more than need be.
    """
    artworks = () if links_of(instance) <= MOST_LINKS else None
    measures = [families_of(instance, artworks=artworks, latest=latest)]
    if number is not None:
        measures.append(families_of(instance, count=True, artworks=artworks, latest=latest))
    needs = all_needs(instance, measures, left_over)
    cover = Cover(instance, needs, left_over)
    cover.model.add(cover.cost(0) <= ticks)
    if number is not None:
        cover.model.add(cover.cost(1) <= number)
    ways = [literal for need in needs.tasks for literal in cover.ways[need.task]]
    barred = _never(cover.model, ways, deterministic_limit, stop)
    modes: dict[str, frozenset[str]] = {}
    ends = dict(latest)
    days = instance.heating_days
    for task, need in zip(instance.tasks, needs.tasks, strict=True):
        literals = cover.ways[task.id]
        places = [
            way[0] for way, literal in zip(need.ways, literals, strict=True) if literal.index not in barred
        ]
        open_to = {(machine, family) for machine, _, family in places}
        visits = measures[0].visits[task.id]
        modes[task.id] = frozenset(
            mode.id
            for mode, visit in zip(task.modes, visits, strict=True)
            if (visit.machine, visit.family) in open_to
        )
        if places:
            last = days[max(day for _, day, _ in places)].end
            ends[task.id] = min(ends.get(task.id, instance.horizon), last)
    log.info("affordable: %d ways of %d", len(ways) - len(barred), len(ways))
    return modes, ends


def _never(
    model: cp_model.CpModel,
    ways: list[cp_model.IntVar],
    limit: float,
    stop: Callable[[], bool] | None,
) -> set[int]:
    """Indices of the literals that are false in every solution, as far as the limit shows it."""
    open_ways = list(ways)
    for _ in range(MOST_ROUNDS):
        if not open_ways or limit <= 0 or (stop is not None and stop()):
            return set()
        model.maximize(cp_model.LinearExpr.sum(open_ways))
        solver = settings(0, 1, limit)
        with watched(solver, stop):
            status = solver.solve(model)
        limit -= solver.response_proto.deterministic_time
        if status not in (cp_model.OPTIMAL, cp_model.FEASIBLE):
            if status == cp_model.INFEASIBLE:
                log.error("no cover costs as little as a plan does")
            return set()
        if status == cp_model.OPTIMAL and round(solver.objective_value) == 0:
            return {literal.index for literal in open_ways}
        left = [literal for literal in open_ways if not solver.value(literal)]
        if len(left) == len(open_ways):
            return set()
        open_ways = left
    return set()
