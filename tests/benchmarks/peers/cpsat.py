"""Peer: the whole problem as one constraint model, given to CP-SAT without anything of ours.

The model is the engine's own statement of the rules, so that it means the same plan, but there is no
first plan, no hint, no bound of ours and no narrowed domain. Levels are minimised one after the other,
each keeping what those before it reached; half of what is left of the budget goes to each level, all of
it to the last. From one level to the next the solver is handed its own solution. Settings are the
solver's, but for the number of workers.
"""

from __future__ import annotations

import time
from collections import Counter
from dataclasses import dataclass, field

from ortools.sat.python import cp_model

from scheduler.domain.instance import Instance
from scheduler.domain.schedule import Schedule
from scheduler.engine.cpsat.assign import read_schedule
from scheduler.engine.cpsat.build import Model, build
from scheduler.engine.cpsat.objective import TERMS
from scheduler.engine.cpsat.solver import bound_of, watched
from scheduler.engine.cpsat.values import values_of
from scheduler.engine.cpsat.wrappers import Scope
from tests.benchmarks.peers.budget import WORKERS, Budget
from tests.benchmarks.peers.outcome import Outcome

MOST_LINKS = 1_000_000
"""Pairs of modes on the machines; the model of more fits neither the budget nor a usual memory."""


@dataclass(slots=True)
class _Found:
    """What is known so far."""

    schedule: Schedule | None = None
    solution: list[int] = field(default_factory=list)
    bounds: dict[str, int] = field(default_factory=dict)
    proven: bool = True
    first_plan_s: float | None = None


def plan(instance: Instance, seed: int, budget: Budget) -> Outcome:
    """Whatever CP-SAT finds in the budget, the time for building the model included."""
    begin = time.perf_counter()
    links = _links(instance)
    if links > MOST_LINKS:
        return Outcome(
            note=f"not built: {links} pairs of ways that may follow each other, at most {MOST_LINKS}"
        )
    done = _all_done(instance)
    model = build(instance, Scope(done=done))
    terms = {level: TERMS[level](model.cp, model.variables, instance) for level in instance.levels}
    found = _Found()
    for number, level in enumerate(instance.levels):
        last = number == len(instance.levels) - 1
        term = terms[level]
        if isinstance(term, int) or (done and level == "left_over"):
            found.bounds[level] = term if isinstance(term, int) else 0
            continue
        _minimise(model, term, level, seed, budget.part(1.0 if last else 0.5), found)
        if found.schedule is None:
            return Outcome(bounds=found.bounds, note="no solution in the budget")
        if found.first_plan_s is None:
            found.first_plan_s = time.perf_counter() - begin
        model.cp.add(term <= values_of(instance, found.schedule)[level])
    return Outcome(
        schedule=found.schedule,
        bounds=found.bounds,
        proven=found.schedule is not None and found.proven,
        first_plan_s=found.first_plan_s,
    )


def _minimise(
    model: Model, term: cp_model.LinearExpr, level: str, seed: int, budget: Budget, found: _Found
) -> None:
    model.cp.minimize(term)
    if found.solution:
        model.cp.clear_hints()  # type: ignore[no-untyped-call]
        hint = model.cp.proto.solution_hint
        hint.vars.extend(range(len(found.solution)))
        hint.values.extend(found.solution)
    solver = cp_model.CpSolver()
    solver.parameters.num_workers = WORKERS
    solver.parameters.random_seed = seed
    solver.parameters.catch_sigint_signal = False
    # The watch stops it by processor time; this is for a machine that gives it none.
    solver.parameters.max_time_in_seconds = 60 + 20 * budget.cpu_s
    with watched(solver, budget.over):
        status = solver.solve(model.cp)
    if status == cp_model.INFEASIBLE:
        raise RuntimeError(f"{model.instance.name}: the model has no solution")
    # A bound is there even without a solution; a search that never began says minus infinity.
    if solver.best_objective_bound > -(10**15):
        found.bounds[level] = max(0, bound_of(solver))
    found.proven = found.proven and status == cp_model.OPTIMAL
    if status not in (cp_model.OPTIMAL, cp_model.FEASIBLE):
        return
    found.solution = list(solver.response_proto.solution)
    schedule = read_schedule(model, solver.value)
    instance = model.instance
    if found.schedule is None or _key(instance, schedule) <= _key(instance, found.schedule):
        found.schedule = schedule


def _key(instance: Instance, schedule: Schedule) -> tuple[int, ...]:
    values = values_of(instance, schedule)
    return tuple(values[level] for level in instance.levels)


def _all_done(instance: Instance) -> frozenset[str]:
    """Every task where nobody's hours end and there is no choice: then all fit, and a user would say so."""
    if instance.operators or instance.choices or instance.days:
        return frozenset()
    return frozenset(task.id for task in instance.tasks)


def _links(instance: Instance) -> int:
    """Ordered pairs of modes on the same machine: what the size of the model goes with."""
    on = Counter(mode.machine for task in instance.tasks for mode in task.modes)
    return sum(count * count for count in on.values())
