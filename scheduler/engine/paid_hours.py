"""A shop's day: later days and overtime only for what paid hours can't hold in time.

The levels alone would put work off to another morning for a minute of changeover, when presses heat up
anyway, and let people press in overtime for it. Nobody in a shop would.
"""

from __future__ import annotations

import logging
import time
from collections.abc import Callable, Mapping
from dataclasses import replace

from scheduler.domain.instance import Instance, Level, Shift
from scheduler.domain.schedule import Result, Schedule, status_of
from scheduler.engine.bounds import lateness_bound, level_values, still_valid
from scheduler.engine.chains import OrderChains
from scheduler.engine.crew_hours import CrewHours
from scheduler.engine.effort import TRIAL, Effort
from scheduler.engine.solve import Listener, Progress, solve

log = logging.getLogger(__name__)

TRIAL_SHARE = 0.1
"""The most of the seconds that goes into the trial of a number of days."""


def solve_day(
    instance: Instance,
    *,
    effort: str | Effort = "normal",
    seconds: float | None = None,
    seed: int = 1,
    near: Schedule | None = None,
    progress: Listener | None = None,
    stop: Callable[[], bool] | None = None,
) -> Result:
    """As `solve`, in the fewest days without overtime in which everything can be done as early as it is due.

    Where a plan is found that leaves nothing over and is as little late as any plan can be, within the paid
    hours of the first day, or of the first two and so on, only plans within these hours are looked at. Where
    there is none, and the best plan goes on to a later day, fewer days are tried behind it: they count when
    nothing is later then, nothing more moves, and nobody works more overtime.

    Parameters
    ----------
    near
        As for `solve`: the rest of what is printed, which stays. Then only the second of this is done.

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
    searches = _Searches(effort, seconds, seed, progress, stop)
    if {"left_over", "lateness", "overtime"} - set(instance.levels) or not instance.operators:
        return searches.solve(instance)
    found = _in_paid_hours(instance, searches) if near is None else None
    if found is not None:
        narrow, known = found
        return searches.solve(narrow, known=known)
    result = searches.solve(instance, near=near)
    return _in_fewer_days(instance, result, searches, again=near is None)


class _Searches:
    """Searches one after the other that look like one: seconds and moves are those of all together."""

    def __init__(
        self,
        effort: str | Effort,
        seconds: float | None,
        seed: int,
        progress: Listener | None,
        stop: Callable[[], bool] | None,
    ) -> None:
        self._effort = effort
        self._seconds = seconds
        self._seed = seed
        self._progress = progress
        self._stop = stop
        self._begun = time.perf_counter()
        self._moves = 0
        self._stopped_early = False
        self._limit_s: float | None = None
        self._first_plan_s: float | None = None

    def over(self) -> bool:
        return self._stop is not None and self._stop()

    def solve(
        self, instance: Instance, *, known: Schedule | None = None, near: Schedule | None = None
    ) -> Result:
        """With all of the effort, in what is left of the seconds."""
        left = None if self._seconds is None else max(0.0, self._seconds - self._spent())
        return self._solved(instance, self._effort, left, known=known, near=near)

    def trial(self, instance: Instance, *, near: Schedule | None = None) -> Result:
        """With a small one."""
        limit = None if self._seconds is None else TRIAL_SHARE * self._seconds
        return self._solved(instance, TRIAL, limit, near=near)

    def _spent(self) -> float:
        return time.perf_counter() - self._begun

    def _solved(
        self,
        instance: Instance,
        effort: str | Effort,
        seconds: float | None,
        *,
        known: Schedule | None = None,
        near: Schedule | None = None,
    ) -> Result:
        before_s, moves = self._spent(), self._moves

        def shift(state: Progress) -> None:
            if self._progress is not None:
                self._progress(
                    replace(state, elapsed_s=before_s + state.elapsed_s, moves=moves + state.moves)
                )

        result = solve(
            instance,
            effort=effort,
            seconds=seconds,
            seed=self._seed,
            known=known,
            near=near,
            progress=shift,
            stop=self._stop,
        )
        self._moves += result.moves
        self._stopped_early = self._stopped_early or result.stopped_early
        if result.time_limit_s is not None:
            self._limit_s = result.time_limit_s
        if self._first_plan_s is None:
            self._first_plan_s = before_s + result.first_plan_s
        return replace(
            result,
            moves=self._moves,
            first_plan_s=self._first_plan_s,
            runtime_s=self._spent(),
            stopped_early=self._stopped_early,
            time_limit_s=self._limit_s if self._seconds is None or self._limit_s is None else self._seconds,
        )


def _in_paid_hours(instance: Instance, searches: _Searches) -> tuple[Instance, Schedule] | None:
    """The instance in the fewest hours that hold everything in time, and a plan that shows they do.

    None when no such plan is found.
    """
    least = lateness_bound(instance)
    for days in range(1, len(instance.working_days) + 1):
        narrow = in_paid_hours(instance, days)
        if narrow == instance or searches.over():
            return None
        if not _may_hold(narrow, least):
            continue
        result = searches.trial(narrow)
        values = _values(result)
        if result.schedule is not None and values["left_over"] == 0 and values["lateness"] <= least:
            log.info("%d of %d days, without overtime", days, len(instance.working_days))
            return narrow, result.schedule
    return None


def _in_fewer_days(instance: Instance, result: Result, searches: _Searches, *, again: bool) -> Result:
    """A plan that puts less off to later days, where that makes nothing later and takes no more overtime.

    Parameters
    ----------
    again
        Whether the fewer days are searched with all of the effort then.
    """
    schedule, given = result.schedule, _values(result)
    if schedule is None or given["left_over"]:
        return result
    for days in range(1, _days_of(instance, schedule)):
        if searches.over():
            break
        narrow = in_first_days(instance, days)
        if not _may_hold(narrow, given["lateness"]):
            continue
        tried = searches.trial(narrow, near=_part(narrow, schedule))
        if not _no_worse(tried, given):
            continue
        log.info("%d days in place of %d", days, _days_of(instance, schedule))
        better = searches.solve(narrow, known=tried.schedule) if again else tried
        chosen = better if _no_worse(better, given) else tried
        bounds = {level.name: level.bound for level in chosen.levels}
        shown = {level.name: level.bound for level in result.levels}
        # What was shown of all plans holds for these too, as far as they keep the levels before.
        for level, bound in still_valid(instance, shown, given, _values(chosen)).items():
            bounds[level] = max(bounds[level], bound)
        levels = level_values(instance, _values(chosen), bounds)
        return replace(better, schedule=chosen.schedule, levels=levels, status=status_of(levels))
    return result


def _values(result: Result) -> dict[Level, int]:
    return {level.name: level.value for level in result.levels}


def _no_worse(result: Result, given: Mapping[Level, int]) -> bool:
    """Whether a plan leaves no more over, is no later, moves no more and takes no more overtime."""
    values = _values(result)
    firsts: tuple[Level, ...] = ("left_over", "lateness", "moved", "overtime")
    return result.schedule is not None and all(
        values[level] <= given[level] for level in firsts if level in given
    )


def _part(narrow: Instance, schedule: Schedule) -> Schedule:
    """What a schedule does within the days, of choices that it carries out wholly within them."""
    end = narrow.heating_days[-1].end
    later = {done.task for done in schedule.tasks if done.setup_start >= end}
    for choice in narrow.choices:
        members = {task for option in choice.options for task in option}
        if members & later:
            later |= members
    tasks = tuple(done for done in schedule.tasks if done.task not in later)
    return Schedule(
        tasks=tasks, warm_ups=tuple(heat for heat in schedule.warm_ups if heat.end <= end), left_over=()
    )


def _may_hold(narrow: Instance, least: int) -> bool:
    """Whether arithmetic leaves room for everything, no later than that."""
    chains = OrderChains(narrow)
    if any(chains.finish(job) is None for job in narrow.jobs):
        return False
    hours = CrewHours(narrow, chains.windows.least_setup)
    return hours.left_over() == 0 and lateness_bound(narrow, chains=chains) <= least


def _days_of(instance: Instance, schedule: Schedule) -> int:
    """Days up to the last one on which a schedule has a run."""
    last = max((done.setup_start for done in schedule.tasks), default=0)
    return sum(day.start <= last for day in instance.working_days)


def in_first_days(instance: Instance, days: int) -> Instance:
    """An instance in which nothing is done after the first days."""
    end = instance.working_days[days - 1].end
    kept = tuple(day for day in instance.heating_days if day.start < end)
    operators = tuple(
        replace(person, shifts=tuple(shift for shift in person.shifts if shift.start < end))
        for person in instance.operators
    )
    return replace(instance, horizon=min(instance.horizon, end), days=kept, operators=operators)


def in_paid_hours(instance: Instance, days: int) -> Instance:
    """An instance in which nothing is done in overtime, nor after the first days."""
    narrow = in_first_days(instance, days)
    operators = tuple(
        replace(
            person,
            shifts=tuple(_without_overtime(shift) for shift in person.shifts if shift.start < shift.end),
        )
        for person in narrow.operators
    )
    return replace(narrow, operators=operators)


def _without_overtime(shift: Shift) -> Shift:
    breaks = tuple((begin, min(end, shift.end)) for begin, end in shift.breaks if begin < shift.end)
    return replace(shift, overtime_end=shift.end, breaks=breaks)
