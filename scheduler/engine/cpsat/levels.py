"""Searching level by level from a schedule that is known."""

from __future__ import annotations

import logging
from typing import TYPE_CHECKING

from ortools.sat.python import cp_model

from scheduler.engine.bounds import known_bounds, level_values
from scheduler.engine.cpsat.assign import NotStatedError, Values, read_schedule, values_for
from scheduler.engine.cpsat.cover import add_cover
from scheduler.engine.cpsat.objective import TERMS
from scheduler.engine.cpsat.solver import StoppedError, bound_of, settings, watched
from scheduler.engine.cpsat.values import values_of, vector

if TYPE_CHECKING:
    from collections.abc import Callable, Iterable

    from scheduler.domain.instance import Instance, Level
    from scheduler.domain.schedule import LevelValue, Schedule
    from scheduler.engine.cpsat.build import Model
    from scheduler.engine.cpsat.families import Families

log = logging.getLogger(__name__)

FIXING_LIMIT = 30.0
"""Deterministic limit for completing a schedule to values of all variables; normally far below 1. As much as
this, since a schedule that isn't completed within it counts as one that breaks a rule."""

RETIMING_LIMIT = 0.3
"""Deterministic limit for doing the same sequences earlier; where nothing is found so soon they stay as they
are."""


def completed(model: Model, values: Values, limit: float = FIXING_LIMIT) -> list[int] | None:
    """Values of all variables of the model, given some; None when they break a rule."""
    seen: dict[int, int] = {}
    for variable, value in values:
        if seen.setdefault(variable.index, value) != value:
            return None
        first, last = _domain(variable)
        if not first <= value <= last:
            return None
    _hint(model, seen.items())
    solver = settings(0, 1, limit)
    solver.parameters.fix_variables_to_their_hinted_value = True
    status = solver.solve(model.cp)
    if status not in (cp_model.OPTIMAL, cp_model.FEASIBLE):
        if status != cp_model.INFEASIBLE:
            log.warning("a schedule could not be completed: %s", solver.status_name(status))
        return None
    return list(solver.response_proto.solution)


def _domain(variable: cp_model.IntVar) -> tuple[int, int]:
    domain = variable.proto.domain
    return domain[0], domain[len(domain) - 1]


def is_literal(variable: cp_model.IntVar) -> bool:
    """Whether a variable says yes or no; times are no literals."""
    return _domain(variable) == (0, 1)


def _hint(model: Model, values: Iterable[tuple[int, int]]) -> None:
    """Replace the model's hint, given by index of the variable."""
    model.cp.clear_hints()  # type: ignore[no-untyped-call]
    # Looked up after clearing: an older reference to the hint is a dead one.
    hint = model.cp.proto.solution_hint
    for index, value in values:
        hint.vars.append(index)
        hint.values.append(value)


class Effort:
    """How hard to search, and how much of it is spent."""

    def __init__(
        self,
        limit: float,
        seed: int,
        workers: int,
        stop: Callable[[], bool] | None,
        on_solution: Callable[[Schedule], None] | None,
    ) -> None:
        self.left = limit
        self.seed = seed
        self.workers = workers
        self.stop = stop
        self.on_solution = on_solution

    def over(self) -> bool:
        return self.left <= 0 or (self.stop is not None and self.stop())


def by_levels(
    instance: Instance,
    start: Schedule,
    built: Callable[[bool], Opened],
    effort: Effort,
    stated: dict[Level, LevelValue],
) -> tuple[Schedule, tuple[LevelValue, ...]]:
    """Minimise the levels in turn, each keeping what those before it reached.

    Parameters
    ----------
    built
        Makes the model; its argument says whether with needless mountings (see `Scope`).
    stated
        Bounds that are known already. The bound of a level counts only while the levels before it are
        no worse than stated with it.
    """
    best, values = start, values_of(instance, start)
    try:
        opened = _opened(start, built)
        if opened is None:
            log.warning("the model refuses the schedule it was to begin from")
    except StoppedError:
        opened = None
    bounds: dict[Level, int] = {}
    for at, level in enumerate(instance.levels):
        bound = known_bounds(instance, values)[level]
        before = instance.levels[:at]
        if level in stated and all(name in stated and values[name] <= stated[name].value for name in before):
            bound = max(bound, stated[level].bound)
        if opened is not None and values[level] > bound and not effort.over():
            # The levels to come get as much together: without them this one alone would take all.
            share = effort.left if at == len(instance.levels) - 1 else effort.left / 2
            found, bound = _minimised(opened, level, bound, share, effort, best)
            # What was found at this level may by chance be better at an unproven one before it.
            if vector(instance, found) < vector(instance, best):
                best = opened.retimed(found)
                values = values_of(instance, best)
                opened = opened.again_from(best)
        bounds[level] = bound
        log.info("%s: %d, at least %d", level, values[level], bound)
        if opened is not None:
            for done in instance.levels[: at + 1]:
                opened.keep(done, values[done])
    # A bound shown while the levels before were worse holds now that they are better.
    return best, level_values(instance, values, bounds)


class Opened:
    """A model with all objective terms, and a solution that is known."""

    def __init__(self, model: Model, families: Families | None = None) -> None:
        self.model = model
        self.terms = {
            level: TERMS[level](model.cp, model.variables, model.instance) for level in model.instance.levels
        }
        changeover = self.terms.get("changeover", 0)
        if families is not None and not isinstance(changeover, int):
            add_cover(model.cp, model.variables, families, changeover)
        self.solution: list[int] = []
        self._kept: dict[Level, int] = {}

    def complete(self, schedule: Schedule) -> bool:
        # Minimised, so that what only bounds a value from above is tight.
        self.model.cp.minimize(sum(self.terms.values()))
        try:
            solution = completed(self.model, values_for(self.model, schedule))
        except NotStatedError as why:
            log.info("not stated: %s", why)
            return False
        self.solution = solution or []
        return solution is not None

    def retimed(self, schedule: Schedule) -> Schedule:
        """The same ways and sequences, done as early as the levels ask for, if that can be found soon."""
        self.model.cp.minimize(sum(self.terms.values()))
        settled = [pair for pair in values_for(self.model, schedule) if is_literal(pair[0])]
        solution = completed(self.model, settled, RETIMING_LIMIT)
        if solution is None:
            return schedule
        found = read_schedule(self.model, lambda variable: solution[variable.index])
        return min(schedule, found, key=lambda each: vector(self.model.instance, each))

    def again_from(self, schedule: Schedule) -> Opened | None:
        """Itself with another known solution."""
        if self.complete(schedule):
            return self
        log.error("the model refuses a schedule that it found itself")
        return None

    def keep(self, level: Level, value: int) -> None:
        """No later search may make a level worse than this."""
        term = self.terms[level]
        if not isinstance(term, int) and self._kept.get(level, value + 1) > value:
            self._kept[level] = value
            self.model.cp.add(term <= value)


def _opened(start: Schedule, built: Callable[[bool], Opened]) -> Opened | None:
    """The model with `start` as a complete solution; with needless mountings only if it has any."""
    for mountings in (False, True):
        opened = built(mountings)
        if opened.complete(start):
            return opened
    return None


def _minimised(
    opened: Opened, level: Level, bound: int, limit: float, effort: Effort, best: Schedule
) -> tuple[Schedule, int]:
    """One level minimised from the known solution: the best schedule found, and a bound."""
    model = opened.model
    term = opened.terms[level]
    if isinstance(term, int):
        return best, term
    model.cp.minimize(term)
    covered = level in ("changeover", "changeovers")
    if bound > 0 and not covered:
        model.cp.add(term >= bound)
    _hint(model, enumerate(opened.solution))
    solver = settings(effort.seed, effort.workers, limit)
    # Where the cover of the families says most, searching from below found plans that reach it; a bound
    # as a constraint kept the solver from them (measured on days of 20 runs).
    solver.parameters.optimize_with_lb_tree_search = covered and effort.workers == 1
    if not covered:
        # Of times linear relaxations say little, and without them twenty times as much is tried.
        solver.parameters.linearization_level = 0
    report = _Report(model, best, bound if covered else None, effort.on_solution)
    with watched(solver, effort.stop):
        status = solver.solve(model.cp, report)
    effort.left -= solver.response_proto.deterministic_time
    log.info(
        "%s: %s, value %.0f, bound %.0f, %.2f units of %.2f",
        level,
        solver.status_name(status),
        solver.objective_value,
        solver.best_objective_bound,
        solver.response_proto.deterministic_time,
        limit,
    )
    if status == cp_model.UNKNOWN:
        return best, bound
    if status not in (cp_model.OPTIMAL, cp_model.FEASIBLE):
        raise RuntimeError(
            f"{level}: the solver says {solver.status_name(status)} of a model with a solution"
        )
    solution = solver.response_proto.solution
    found = read_schedule(model, lambda variable: solution[variable.index])
    return found, max(bound, bound_of(solver))


class _Report(cp_model.CpSolverSolutionCallback):
    """Hands on every schedule that is better than all before; ends a search that reached its bound."""

    def __init__(
        self, model: Model, best: Schedule, bound: int | None, tell: Callable[[Schedule], None] | None
    ) -> None:
        super().__init__()
        self._model = model
        self._best = vector(model.instance, best)
        self._bound = bound
        self._tell = tell

    def on_solution_callback(self) -> None:
        if self._bound is not None and self.objective_value <= self._bound:
            self.stop_search()
        if self._tell is None:
            return
        schedule = read_schedule(self._model, self.value)
        reached = vector(self._model.instance, schedule)
        if reached < self._best:
            self._best = reached
            self._tell(schedule)
