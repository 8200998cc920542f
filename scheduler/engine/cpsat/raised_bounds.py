"""Bounds of every objective level: those of arithmetic (`engine/bounds.py`), raised by covers and hours."""

from __future__ import annotations

from typing import TYPE_CHECKING

from scheduler.engine.bounds import known_bounds, latest_ends
from scheduler.engine.chains import OrderChains
from scheduler.engine.cpsat.cover import changeover_bound
from scheduler.engine.cpsat.timed import MOST_LOADS, loads_in, timed_bound, timed_finish
from scheduler.engine.cpsat.values import values_of
from scheduler.engine.crew_hours import CrewHours

if TYPE_CHECKING:
    from collections.abc import Callable

    from scheduler.domain.instance import Instance, Level
    from scheduler.domain.schedule import Schedule

COVER_SHARES: dict[Level, float] = {"changeover": 0.5, "changeovers": 0.2}
"""Shares of the effort for covers. Of 3 units, on two days each: two fifths of these shares give nearly the
same bounds up to 120 runs, and at 250 bounds 5 % lower; twice as much gives 0.4 % more changeover there and
5 % more changeovers."""

TIMED_PARTS: dict[Level, int] = {"changeover": 5, "changeovers": 5, "overtime": 10, "finish": 5}
"""One part in so many of the effort for covers with times, on days that are small enough for them."""


def raised_bounds(
    instance: Instance,
    schedule: Schedule,
    values: dict[Level, int] | None = None,
    *,
    deterministic_limit: float,
    chains: OrderChains | None = None,
    stop: Callable[[], bool] | None = None,
) -> dict[Level, int]:
    """Bounds of the instance's levels, each valid among plans that keep the levels before at the schedule's.

    Parameters
    ----------
    values
        The schedule's values where they are known already.
    deterministic_limit
        Effort for all levels, in the solver's units.
    chains
        The instance's, where they are made already: on a large day they take seconds.

    Returns
    -------
    dict
        By level, never above the value of a schedule that obeys the rules.
    """
    values = values_of(instance, schedule) if values is None else values
    chains = chains or OrderChains(instance)
    found = known_bounds(instance, values, chains)
    if "left_over" not in instance.levels:
        return found
    latest = latest_ends(instance, values, chains)
    for level in instance.levels:
        before = instance.levels[: instance.levels.index(level)]
        if level == "left_over" and found[level] < values[level]:
            # What fits nowhere even alone is known to be left over.
            never = {
                task.id for task in instance.tasks if chains.windows.earliest(task.id, task.release) is None
            }
            found[level] = max(found[level], CrewHours(instance, chains.windows.least_setup).left_over(never))
        if "left_over" not in before or found[level] >= values[level] or (stop is not None and stop()):
            continue
        bound = _bound_of_level(
            instance,
            level,
            values,
            found[level],
            latest if "lateness" in before else {},
            chains,
            deterministic_limit,
            stop,
        )
        found[level] = max(found[level], bound)
    return found


def _bound_of_level(
    instance: Instance,
    level: Level,
    values: dict[Level, int],
    known: int,
    latest: dict[str, int],
    chains: OrderChains,
    limit: float,
    stop: Callable[[], bool] | None,
) -> int:
    """What covers and hours say of one level. Parameters are those of `raised_bounds`."""
    before = instance.levels[: instance.levels.index(level)]
    loads = loads_in(instance)
    bound = known
    timed_limit = limit / TIMED_PARTS.get(level, 1)
    if level in ("changeover", "changeovers"):
        bound = changeover_bound(
            instance,
            limit * COVER_SHARES[level],
            left_over=values["left_over"],
            latest=latest,
            count=level == "changeovers",
            most=values["changeover"] if "changeover" in before else None,
            windows=chains.windows,
            stop=stop,
        )
        if bound < values[level] and loads <= MOST_LOADS:
            found = timed_bound(instance, level, values, latest, chains.windows, timed_limit, stop)
            bound = max(bound, found)
    elif level == "lateness" and values["left_over"] == 0:
        ways = ((job.id, chains.finish(job)) for job in instance.jobs)
        alone = {name: way.finish for name, way in ways if way is not None}
        bound = max(bound, CrewHours(instance, chains.windows.least_setup).lateness(alone, stop))
    elif level == "overtime" and loads <= MOST_LOADS:
        bound = timed_bound(instance, level, values, latest, chains.windows, timed_limit, stop)
    elif level == "finish" and loads <= MOST_LOADS:
        bound = timed_finish(instance, values, known, latest, chains.windows, timed_limit, stop)
    return bound
