"""Solving: a schedule checked against the model, improved level by level, or polished in a window."""

from __future__ import annotations

import logging
from dataclasses import replace
from typing import TYPE_CHECKING

from scheduler.domain.schedule import LevelValue
from scheduler.engine.bounds import known_bounds, latest_ends
from scheduler.engine.cpsat.assign import NotStatedError, values_for
from scheduler.engine.cpsat.build import RULES, Rule, build
from scheduler.engine.cpsat.families import families_of
from scheduler.engine.cpsat.levels import Effort, Opened, by_levels, completed
from scheduler.engine.cpsat.narrow import affordable
from scheduler.engine.cpsat.solver import go_on
from scheduler.engine.cpsat.values import values_of
from scheduler.engine.cpsat.window import window_of
from scheduler.engine.cpsat.wrappers import Scope
from scheduler.engine.windows import Windows

if TYPE_CHECKING:
    from collections.abc import Callable, Collection, Sequence

    from scheduler.domain.instance import Instance, Level
    from scheduler.domain.schedule import Schedule

log = logging.getLogger(__name__)

NARROWING = 0.2
"""Share of the effort for finding out which ways of the tasks are too dear. On six days of 8 runs with 3
units it left 379 of 490 modes; a quarter of it left as many, four times as much 305."""

NEAR = 900
"""Ticks between two runs that a window may still make neighbours; 90 minutes on a shop day."""


def accepts(instance: Instance, schedule: Schedule, rules: Sequence[Rule] = RULES) -> bool:
    """Whether the model has a solution that is this very schedule.

    Parameters
    ----------
    rules
        All of them, but in tests of what a rule is needed for.
    """
    model = build(instance, Scope(all_mountings=True), rules)
    try:
        return completed(model, values_for(model, schedule)) is not None
    except NotStatedError as why:
        log.info("not stated: %s", why)
        return False


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
    """Search the whole problem level by level from a schedule; `prove.small` says of which days it can be.

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
        Effort in the solver's own units; one took two to seven seconds of a core.
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
    options, latest = _narrowed(instance, start, bounds, latest, deterministic_limit * NARROWING, stop)

    def built(mountings: bool) -> Opened:
        scope = Scope(all_mountings=mountings, earliest=earliest, latest=latest, options=options)
        model = build(instance, scope, stop=stop)
        families = families_of(instance, latest=latest)
        go_on(stop)
        return Opened(model, families)

    return by_levels(
        instance,
        start,
        built,
        Effort(deterministic_limit, seed, workers, stop, on_solution),
        bounds,
    )


def _narrowed(
    instance: Instance,
    start: Schedule,
    stated: dict[Level, LevelValue],
    latest: dict[str, int],
    limit: float,
    stop: Callable[[], bool] | None,
) -> tuple[dict[str, frozenset[tuple[str, str | None]]] | None, dict[str, int]]:
    """Ways that plans no worse than `start` may use, once nothing better can be had before changeovers."""
    order = instance.levels
    if "changeover" not in order or "left_over" not in order[: order.index("changeover")]:
        return None, latest
    values = values_of(instance, start)

    def settled(names: Sequence[Level]) -> bool:
        return all(name in stated and stated[name].bound >= values[name] for name in names)

    at = order.index("changeover")
    if not settled(order[:at]):
        return None, latest
    next_one = order[at : at + 2] == ("changeover", "changeovers")
    modes, ends = affordable(
        instance,
        ticks=values["changeover"],
        number=values["changeovers"] if next_one and settled(order[: at + 1]) else None,
        latest=latest,
        left_over=values["left_over"],
        deterministic_limit=limit,
        stop=stop,
    )
    options = {
        task.id: frozenset(
            (mode.id, person)
            for mode in task.modes
            if mode.id in modes[task.id]
            for person, _ in mode.operators or ((None, 0),)
        )
        for task in instance.tasks
    }
    return options, ends


def window(
    instance: Instance,
    start: Schedule,
    free: Collection[str],
    *,
    deterministic_limit: float,
    seed: int,
    near: int = NEAR,
) -> Schedule:
    """Search again with only some tasks loose; the others keep machine, operator and order.

    Times float but for what is over well before. Parameters are those of `improve`.

    Parameters
    ----------
    free
        Tasks that may move; all alternatives of one of them count as free.
    near
        Ticks that a free task and one that isn't may be apart now to become neighbours; runs that end
        earlier than this before the first free one keep their times.

    Returns
    -------
    Schedule
        Never worse than `start`, level by level.
    """
    opened = window_of(instance, start, free, near)
    earliest, latest = _hulls(instance, start)
    earliest.update((task, times[0]) for task, times in opened.frozen.items())
    latest.update((task, times[1]) for task, times in opened.frozen.items())

    def built(mountings: bool) -> Opened:
        scope = replace(opened.scope, all_mountings=mountings, earliest=earliest, latest=latest)
        model = build(instance, scope)
        for first, second in opened.in_order:
            before, after = model.variables.task(first), model.variables.task(second)
            model.cp.add(after.setup_start >= before.end)
        return Opened(model)

    effort = Effort(deterministic_limit, seed, 1, None, None)
    return by_levels(instance, start, built, effort, {})[0]


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
