"""A shop's day: later days and overtime only for what paid hours can't hold in time.

The levels alone would put work off to another morning for a minute of changeover, when presses heat up
anyway, and let people press in overtime for it. Nobody in a shop would.
"""

from __future__ import annotations

import logging
import time
from collections.abc import Callable
from dataclasses import replace

from scheduler.domain.instance import Instance, Operator, Shift
from scheduler.domain.schedule import Result, Schedule
from scheduler.engine.bounds import lateness_bound
from scheduler.engine.chains import OrderChains
from scheduler.engine.crew_hours import CrewHours
from scheduler.engine.effort import Effort
from scheduler.engine.solve import Listener, Progress, solve

log = logging.getLogger(__name__)

TRIAL = Effort(
    rules=8,
    moves=40_000,
    moves_by_size=400,
    steps=10**7,
    chains=2,
    deterministic=0.0,
    seconds=30,
)
"""How hard is looked for a plan within fewer hours before they are given up."""

TRIAL_SHARE = 0.1
"""The most of the seconds that goes into that, for each number of days."""


def solve_day(
    instance: Instance,
    *,
    effort: str | Effort = "normal",
    seconds: float | None = None,
    seed: int = 1,
    progress: Listener | None = None,
    stop: Callable[[], bool] | None = None,
) -> Result:
    """As `solve`, in the fewest days without overtime in which everything can be done as early as it is due.

    Where a plan is found that leaves nothing over and is as little late as any plan can be, within the paid
    hours of the first day, or of the first two and so on, only plans within these hours are looked at.

    Returns
    -------
    Result
        The schedule obeys the rules of the whole instance. Bounds of the levels behind lateness hold
        among the plans that were looked at.

    Raises
    ------
    ValueError
        As `solve`.
    """
    begun = time.perf_counter()
    tried = _Trial(instance, seconds, seed, progress, stop)
    found = tried.found()
    spent = time.perf_counter() - begun

    def shift(state: Progress) -> None:
        if progress is not None:
            progress(replace(state, elapsed_s=state.elapsed_s + spent))

    narrow, known = (instance, None) if found is None else found
    result = solve(
        narrow,
        effort=effort,
        seconds=None if seconds is None else max(0.0, seconds - spent),
        seed=seed,
        known=known,
        progress=shift,
        stop=stop,
    )
    return replace(
        result,
        moves=result.moves + tried.moves,
        first_plan_s=result.first_plan_s + spent if tried.first_plan_s is None else tried.first_plan_s,
        runtime_s=result.runtime_s + spent,
        stopped_early=result.stopped_early or tried.stopped_early,
        time_limit_s=result.time_limit_s if seconds is None else seconds,
    )


class _Trial:
    """The search for the fewest hours that hold everything in time."""

    def __init__(
        self,
        instance: Instance,
        seconds: float | None,
        seed: int,
        progress: Listener | None,
        stop: Callable[[], bool] | None,
    ) -> None:
        self._instance = instance
        self._limit_s = None if seconds is None else TRIAL_SHARE * seconds
        self._seed = seed
        self._progress = progress
        self._stop = stop
        self.moves = 0
        self.stopped_early = False
        self.first_plan_s: float | None = None

    def found(self) -> tuple[Instance, Schedule] | None:
        """The instance in fewer hours and a plan that shows they do; None when no such plan is found."""
        instance = self._instance
        if {"left_over", "lateness"} - set(instance.levels) or instance.printed or not instance.operators:
            return None
        begun = time.perf_counter()
        least = lateness_bound(instance)
        for days in range(1, len(instance.heating_days) + 1):
            narrow = in_paid_hours(instance, days)
            if narrow == instance:
                return None
            if not _may_hold(narrow, least):
                continue
            waited = time.perf_counter() - begun
            result = solve(
                narrow,
                effort=TRIAL,
                seconds=self._limit_s,
                seed=self._seed,
                progress=self._progress,
                stop=self._stop,
            )
            self.moves += result.moves
            self.stopped_early = self.stopped_early or result.stopped_early
            if self.first_plan_s is None:
                self.first_plan_s = waited + result.first_plan_s
            values = {level.name: level.value for level in result.levels}
            if result.schedule is not None and values["left_over"] == 0 and values["lateness"] <= least:
                log.info("%d of %d days, without overtime", days, len(instance.heating_days))
                return narrow, result.schedule
            if self._stop is not None and self._stop():
                break
        return None


def _may_hold(narrow: Instance, least: int) -> bool:
    """Whether arithmetic leaves room for everything, no later than that."""
    chains = OrderChains(narrow)
    if any(chains.finish(job) is None for job in narrow.jobs):
        return False
    hours = CrewHours(narrow, chains.windows.least_setup)
    return hours.left_over() == 0 and lateness_bound(narrow, chains=chains) <= least


def in_paid_hours(instance: Instance, days: int) -> Instance:
    """An instance in which nothing is done in overtime, nor after the first days."""
    kept = instance.heating_days[:days]
    end = kept[-1].end
    return replace(
        instance,
        horizon=min(instance.horizon, end),
        days=kept,
        operators=tuple(_paid(person, end) for person in instance.operators),
    )


def _paid(person: Operator, end: int) -> Operator:
    shifts = (shift for shift in person.shifts if shift.start < end)
    return replace(person, shifts=tuple(_without_overtime(shift) for shift in shifts))


def _without_overtime(shift: Shift) -> Shift:
    breaks = tuple((begin, min(end, shift.end)) for begin, end in shift.breaks if begin < shift.end)
    return replace(shift, overtime_end=shift.end, breaks=breaks)
