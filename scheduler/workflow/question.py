"""Searches that only answer a question: nothing is written, every answer is checked."""

from __future__ import annotations

import time
from dataclasses import dataclass
from functools import partial
from typing import TYPE_CHECKING

from scheduler.exceptions import NoPlan
from scheduler.workflow.owner import Unshown
from scheduler.workflow.search import passed
from scheduler.workflow.watched import watched

if TYPE_CHECKING:
    from scheduler.domain.instance import Instance
    from scheduler.domain.schedule import Result, Schedule
    from scheduler.engine.effort import Effort
    from scheduler.planning.helps import TryOut


@dataclass(frozen=True, slots=True, kw_only=True)
class Looked:
    """A checked schedule that answers a question.

    Attributes
    ----------
    finished, late
        By order, in ticks: when it is packed, and by how much it is late, by the independent check of the
        real day (its own cut-offs). Without orders of which something is left over.
    overtime
        In ticks, all people together.
    """

    schedule: Schedule
    result: Result
    finished: dict[str, int]
    late: dict[str, int]
    overtime: int = 0


class Looking:
    """Searches under one safety stop.

    Parameters
    ----------
    seconds
        For all searches together; None: those of each effort.
    most
        Searches after which it is over; None: any number.
    """

    def __init__(self, *, seconds: float | None, seed: int, most: int | None = None) -> None:
        self._left = most
        self.seconds = seconds
        self._until = None if seconds is None else time.perf_counter() + seconds
        self._seed = seed

    @property
    def over(self) -> bool:
        """Whether the time or the searches are used up."""
        return self._left == 0 or (self._until is not None and time.perf_counter() >= self._until)

    def look(
        self, tried: TryOut, asked: Instance, effort: str | Effort, near: Schedule | None = None
    ) -> Looked:
        """The best answer to a question that is found, checked as asked and on the real day.

        Parameters
        ----------
        tried
            The real day.
        asked
            The same with other cut-offs and weights.
        near
            What to begin with; None: with the plan that is kept.

        Raises
        ------
        NoPlan
            When the search ended without a plan.
        BrokenPlan
            When the independent check refuses it.
        """
        from scheduler.engine.solve import solve

        if self._left is not None:
            self._left -= 1
        left = None if self._until is None else max(0.0, self._until - time.perf_counter())
        begin = near or tried.kept
        search = partial(solve, asked, effort=effort, seconds=left, seed=self._seed, near=begin)
        # Not shown: the searches of a question are short, and many.
        result = watched(search, Unshown())
        if result.schedule is None:
            raise NoPlan("The search ended without a plan; nothing was changed.")
        passed(asked, result.schedule, "the answer")
        return _looked(tried.instance, result, "the answer on the real day")

    def as_it_stands(self, tried: TryOut) -> Looked:
        """The kept plan carried on with, in its order, nothing searched."""
        from scheduler.engine.solve import solve

        result = solve(tried.instance, effort="quick", seed=self._seed, near=tried.kept, stop=lambda: True)
        return _looked(tried.instance, result, "the plan as it stands")


def _looked(instance: Instance, result: Result, what: str) -> Looked:
    assert result.schedule is not None
    verdict = passed(instance, result.schedule, what)
    job = {task.id: task.job for task in instance.tasks}
    parts_missing = {job[task] for task in result.schedule.left_over}
    return Looked(
        schedule=result.schedule,
        result=result,
        finished={order: at for order, at in verdict.finished.items() if order not in parts_missing},
        late={order: ticks for order, ticks in verdict.late_ticks.items() if order not in parts_missing},
        overtime=verdict.values.get("overtime", 0),
    )
