"""After the local search: small days proven, and a bound for every level of any day."""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable

from scheduler.domain.instance import Instance, Level
from scheduler.domain.schedule import LevelValue, Schedule
from scheduler.engine.backend import Backend
from scheduler.engine.bounds import known_bounds, level_values, still_valid
from scheduler.engine.chains import OrderChains
from scheduler.engine.cpsat.values import values_of
from scheduler.engine.early import as_early
from scheduler.engine.exact.ask import prove_small

WHOLE = 24
"""Runs up to which CP-SAT searches a day whole; beyond it the model is too big to gain anything."""

WHOLE_IN_ORDER = 60
"""The same for a job shop without people and platens, where the order on a machine still costs set-ups."""

WHOLE_ALONE = 250
"""The same where it costs nothing, which CP-SAT is at its best with."""

MOST_LINKS = 40_000
"""Pairs of ways that may follow each other on a machine, up to which a day is searched whole. Beyond
it the model alone takes many seconds and hundreds of megabytes, however few runs a plan takes of them."""

WORKERS = 2
"""Workers for a job shop, in lock-step."""


def job_shop(instance: Instance) -> bool:
    """Whether CP-SAT gets further than the local search when it has the time."""
    return (
        bool(instance.precedences)
        and not instance.operators
        and not any(mode.platen is not None for task in instance.tasks for mode in task.modes)
    )


def most_whole(instance: Instance) -> int:
    """Runs up to which CP-SAT searches the instance whole."""
    if not job_shop(instance):
        return WHOLE
    return WHOLE_IN_ORDER if instance.setup_parts else WHOLE_ALONE


def small(instance: Instance, schedule: Schedule) -> bool:
    """Whether CP-SAT searches a day whole.

    What the plan carries out counts, left over or not; and the model must not be much larger than such days
    are with all their lots and other ways.
    """
    most = most_whole(instance)
    if len(schedule.tasks) + len(schedule.left_over) > most:
        return False
    if most == WHOLE_ALONE:
        return True
    ways = Counter(name for task in instance.tasks for mode in task.modes for name, _ in mode.places)
    return sum(count**2 for count in ways.values()) <= MOST_LINKS


def prove(
    instance: Instance,
    schedule: Schedule,
    deterministic: float,
    seed: int,
    over: Callable[[], bool],
    chains: OrderChains | None = None,
    *,
    states: int = 0,
    ready: Callable[[], Backend | None] = lambda: None,
) -> tuple[Schedule, tuple[LevelValue, ...]]:
    """A schedule no worse than the given one, and its levels with what was shown of each.

    Parameters
    ----------
    deterministic
        Effort of CP-SAT, in its own units: for bounds, and again for small days whole.
    states
        Effort of the exact search of small days.
    ready
        The compiled copy of the kernel for that, once it can be had.
    """
    values = values_of(instance, schedule)
    if over() or deterministic <= 0:
        # The model's libraries alone take longer to load than may be left.
        return schedule, level_values(instance, values, known_bounds(instance, values, chains))

    from scheduler.engine.cpsat.raised_bounds import raised_bounds
    from scheduler.engine.cpsat.solve import improve

    if over():
        return schedule, level_values(instance, values, known_bounds(instance, values, chains))
    shown = raised_bounds(
        instance, schedule, values, deterministic_limit=deterministic, chains=chains, stop=over
    )
    if _open(instance, values, shown) and small(instance, schedule) and not over():
        asked = prove_small(instance, schedule, shown, states, over, ready)
        schedule = as_early(instance, asked.schedule)
        after = values_of(instance, schedule)
        shown = _tighter(_carried_over(instance, shown, values, after, chains), asked.bounds)
        values = after
    if _open(instance, values, shown) and small(instance, schedule) and not over():
        better, levels = improve(
            instance,
            schedule,
            levels_done=level_values(instance, values, shown),
            deterministic_limit=deterministic,
            seed=seed,
            workers=WORKERS if job_shop(instance) else 1,
            stop=over,
        )
        schedule = as_early(instance, better)
        after = values_of(instance, schedule)
        reached = {level.name: level.value for level in levels}
        found = {level.name: level.bound for level in levels}
        shown = _carried_over(instance, shown, values, after, chains)
        shown = _tighter(shown, still_valid(instance, found, reached, after))
        values = after
    return schedule, level_values(instance, values, shown)


def _open(instance: Instance, values: dict[Level, int], shown: dict[Level, int]) -> bool:
    return any(shown[level] < values[level] for level in instance.levels)


def _tighter(a: dict[Level, int], b: dict[Level, int]) -> dict[Level, int]:
    return {level: max(bound, b.get(level, bound)) for level, bound in a.items()}


def _carried_over(
    instance: Instance,
    shown: dict[Level, int],
    before: dict[Level, int],
    after: dict[Level, int],
    chains: OrderChains | None,
) -> dict[Level, int]:
    """What was shown of a plan as far as it holds for a better one, and what arithmetic says of that one."""
    return _tighter(known_bounds(instance, after, chains), still_valid(instance, shown, before, after))
