"""Solving: a schedule checked against the model, improved level by level, or polished in a window."""

from __future__ import annotations

import logging
from dataclasses import replace
from typing import TYPE_CHECKING

from ortools.sat.python import cp_model

from scheduler.domain.schedule import LevelValue
from scheduler.engine.bounds import known_bounds, latest_ends
from scheduler.engine.cpsat.assign import NotStatedError, Values, read_schedule, values_for
from scheduler.engine.cpsat.build import RULES, Model, Rule, build
from scheduler.engine.cpsat.objective import TERMS
from scheduler.engine.cpsat.solver import bound_of, settings, watched
from scheduler.engine.cpsat.values import values_of, vector
from scheduler.engine.cpsat.variables import Scope
from scheduler.engine.cpsat.window import window_of
from scheduler.engine.windows import Windows

if TYPE_CHECKING:
    from collections.abc import Callable, Collection, Sequence

    from scheduler.domain.instance import Instance, Level
    from scheduler.domain.schedule import Schedule

log = logging.getLogger(__name__)

FIXING_LIMIT = 30.0
"""Deterministic limit for completing a schedule to values of all variables; normally far below 1."""


NEAR = 900
"""Ticks between two runs that a window may still make neighbours; 90 minutes on a shop day."""


NEAR = 900
"""Ticks between two runs that a window may still make neighbours; 90 minutes on a shop day."""


ROUNDING = 1e-6
"""The solver gives its bound of a whole number as a float."""


def accepts(instance: Instance, schedule: Schedule, rules: Sequence[Rule] = RULES) -> bool:
    """Whether the model has a solution that is this very schedule.

    Parameters
    ----------
    rules
        All of them, but in tests of what a rule is needed for.
    """
    model = build(instance, Scope(all_mountings=True), rules)
    try:
        return _complete(model, values_for(model, schedule)) is not None
    except NotStatedError as why:
        log.info("not stated: %s", why)
        return False


def _complete(model: Model, values: Values) -> list[int] | None:
    """Values of all variables of the model, given some; None when they break a rule."""
    model.cp.clear_hints()  # type: ignore[no-untyped-call]
    seen: dict[int, int] = {}
    for variable, value in values:
        if seen.setdefault(variable.index, value) != value:
            return None
        domain = variable.proto.domain
        if not domain[0] <= value <= domain[len(domain) - 1]:
            return None
    for index, value in seen.items():
        model.cp.proto.solution_hint.vars.append(index)
        model.cp.proto.solution_hint.values.append(value)
    solver = settings(0, 1, FIXING_LIMIT)
    solver.parameters.fix_variables_to_their_hinted_value = True
    status = solver.solve(model.cp)
    model.cp.clear_hints()  # type: ignore[no-untyped-call]
    if status not in (cp_model.OPTIMAL, cp_model.FEASIBLE):
        if status != cp_model.INFEASIBLE:
            log.warning("a schedule could not be completed: %s", solver.status_name(status))
        return None
    return list(solver.response_proto.solution)


def improve(
    instance: Instance,
    start: Schedule,
    *,
    levels_done: Sequence[LevelValue] = (),
    deterministic_limit: float,
    seed: int,
    workers: int = 1,
    stop: Callable[[], bool] | None = None,
    on_solution: Callable[[Schedule], None] | None = None,
) -> tuple[Schedule, tuple[LevelValue, ...]]:
    """Search the whole problem level by level from a schedule; for days of up to about 30 tasks.

    Each level is minimised while those before it keep the value reached. The same arguments give
    the same answer, unless `stop` ends it.

    Parameters
    ----------
    start
        A schedule that obeys the rules; every search begins from it or from what became of it.
    levels_done
        Bounds known already, in the order of the levels. The bound of a level counts only while the
        levels before it have the values stated with it.
    deterministic_limit
        Effort in the solver's own units; one took two to five seconds of a core.
    stop
        Asked about twenty times a second; True ends the search with the best so far.
    on_solution
        Called with every better schedule, from the solver's thread.

    Returns
    -------
    tuple of Schedule and LevelValue
        The schedule is never worse than `start`. Levels in the order of the instance's; with the
        bound that was shown, `start`'s values and bounds from plain arithmetic if the model refuses
        `start`.
    """
    bounds = {level.name: level for level in levels_done}
    earliest, latest = _hulls(instance, start)

    def built(mountings: bool) -> Model:
        return build(instance, Scope(all_mountings=mountings, earliest=earliest, latest=latest))

    return _by_levels(
        instance,
        start,
        built,
        _Effort(deterministic_limit, seed, workers, stop, on_solution),
        bounds,
    )


def window(
    instance: Instance,
    start: Schedule,
    free: Collection[str],
    *,
    deterministic_limit: float,
    seed: int,
    near: int = NEAR,
    workers: int = 1,
    stop: Callable[[], bool] | None = None,
) -> Schedule:
    """Search again with only some tasks loose; the others keep machine, operator and order.

    Times float for all. Parameters are those of `improve`.

    Parameters
    ----------
    free
        Tasks that may move; all alternatives of one of them count as free.
    near
        Ticks that a free task and one that isn't may be apart now to become neighbours.

    Returns
    -------
    Schedule
        Never worse than `start`, level by level.
    """
    opened = window_of(instance, start, free, near)
    earliest, latest = _hulls(instance, start)

    def built(mountings: bool) -> Model:
        scope = replace(opened.scope, all_mountings=mountings, earliest=earliest, latest=latest)
        model = build(instance, scope)
        for first, second in opened.in_order:
            before, after = model.variables.task(first), model.variables.task(second)
            model.cp.add(after.setup_start >= before.end)
        return model

    effort = _Effort(deterministic_limit, seed, workers, stop, None)
    return _by_levels(instance, start, built, effort, {})[0]


def _hulls(instance: Instance, start: Schedule) -> tuple[dict[str, int], dict[str, int]]:
    """Earliest start and latest end of each task in every schedule that is no worse than `start`.

    The latest ends hold once nothing better can be had at the levels before lateness: then a
    schedule that is later than `start` is worse.
    """
    windows = Windows(instance)
    firsts = ((task.id, windows.first_start(task.id)) for task in instance.tasks)
    earliest = {name: first for name, first in firsts if first is not None}
    if "lateness" not in instance.levels:
        return earliest, {}
    values = values_of(instance, start)
    known = known_bounds(instance, values)
    before = instance.levels[: instance.levels.index("lateness")]
    settled = "left_over" in before and all(known[level] >= values[level] for level in before)
    return earliest, latest_ends(instance, values) if settled else {}


class _Effort:
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


def _by_levels(
    instance: Instance,
    start: Schedule,
    built: Callable[[bool], Model],
    effort: _Effort,
    stated: dict[Level, LevelValue],
) -> tuple[Schedule, tuple[LevelValue, ...]]:
    best, values = start, values_of(instance, start)
    opened = _opened(start, built)
    if opened is None:
        log.warning("the model refuses the schedule it was to begin from")
    bounds: dict[Level, int] = {}
    for at, level in enumerate(instance.levels):
        bound = known_bounds(instance, values)[level]
        before = instance.levels[:at]
        if level in stated and all(name in stated and stated[name].value == values[name] for name in before):
            bound = max(bound, stated[level].bound)
        if opened is not None and values[level] > bound and not effort.over():
            share = effort.left if at == len(instance.levels) - 1 else effort.left / 2
            found, bound = _minimised(opened, level, bound, share, effort, best)
            # What was found at this level may by chance be better at an unproven one before it.
            if vector(instance, found) < vector(instance, best):
                best, values = found, values_of(instance, found)
                opened = opened.again_from(best)
        bounds[level] = bound
        log.info("%s: %d, at least %d", level, values[level], bound)
        if opened is not None:
            for done in instance.levels[: at + 1]:
                opened.keep(done, values[done])
    # A bound shown while the levels before were worse holds now that they are better.
    return best, tuple(
        LevelValue(
            name=level,
            value=values[level],
            bound=min(bounds[level], values[level]),
            proven=bounds[level] >= values[level],
        )
        for level in instance.levels
    )


class _Opened:
    """A model with all objective terms, and a solution that is known."""

    def __init__(self, model: Model) -> None:
        self.model = model
        self.terms = {
            level: TERMS[level](model.cp, model.variables, model.instance) for level in model.instance.levels
        }
        self.solution: list[int] = []
        self._kept: dict[Level, int] = {}

    def complete(self, schedule: Schedule) -> bool:
        # Minimised, so that what only bounds a value from above is tight.
        self.model.cp.minimize(sum(self.terms.values()))
        try:
            solution = _complete(self.model, values_for(self.model, schedule))
        except NotStatedError as why:
            log.info("not stated: %s", why)
            return False
        self.solution = solution or []
        return solution is not None

    def again_from(self, schedule: Schedule) -> _Opened | None:
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


def _opened(start: Schedule, built: Callable[[bool], Model]) -> _Opened | None:
    """The model with `start` as a complete solution; with needless mountings only if it has any."""
    for mountings in (False, True):
        opened = _Opened(built(mountings))
        if opened.complete(start):
            return opened
    return None


def _minimised(
    opened: _Opened, level: Level, bound: int, limit: float, effort: _Effort, best: Schedule
) -> tuple[Schedule, int]:
    """One level minimised from the known solution: the best schedule found, and a bound."""
    model = opened.model
    term = opened.terms[level]
    if isinstance(term, int):
        return best, term
    model.cp.minimize(term)
    if bound > 0:
        model.cp.add(term >= bound)
    hint = model.cp.proto.solution_hint
    model.cp.clear_hints()  # type: ignore[no-untyped-call]
    for index, value in enumerate(opened.solution):
        hint.vars.append(index)
        hint.values.append(value)
    solver = settings(effort.seed, effort.workers, limit)
    report = _Report(model, best, effort.on_solution) if effort.on_solution is not None else None
    with watched(solver, effort.stop):
        status = solver.solve(model.cp, report)
    effort.left -= solver.response_proto.deterministic_time
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
    """Hands on every schedule that is better than all before."""

    def __init__(self, model: Model, best: Schedule, tell: Callable[[Schedule], None]) -> None:
        super().__init__()
        self._model = model
        self._best = vector(model.instance, best)
        self._tell = tell

    def on_solution_callback(self) -> None:
        schedule = read_schedule(self._model, self.value)
        reached = vector(self._model.instance, schedule)
        if reached < self._best:
            self._best = reached
            self._tell(schedule)
