"""A bound for every objective level of a schedule, for days of any size."""

from __future__ import annotations

from typing import TYPE_CHECKING

from scheduler.engine.bounds import OrderChains, known_bounds, latest_ends
from scheduler.engine.cpsat.cover import changeover_bound
from scheduler.engine.cpsat.values import values_of

if TYPE_CHECKING:
    from collections.abc import Callable

    from scheduler.domain.instance import Instance, Level
    from scheduler.domain.schedule import Schedule


def bounds(
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
        Effort for the two changeover levels, in the solver's units.
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
    shares: tuple[tuple[Level, bool, float], ...] = (
        ("changeover", False, 0.75),
        ("changeovers", True, 0.25),
    )
    for level, count, share in shares:
        behind = instance.levels[: instance.levels.index(level)] if level in instance.levels else ()
        if "left_over" in behind and found[level] < values[level]:
            found[level] = max(
                found[level],
                changeover_bound(
                    instance,
                    share * deterministic_limit,
                    left_over=values["left_over"],
                    latest=latest_ends(instance, values, chains) if "lateness" in behind else None,
                    count=count,
                    most=values["changeover"] if "changeover" in behind else None,
                    windows=chains.windows,
                    stop=stop,
                ),
            )
    return found
