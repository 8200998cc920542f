"""Many plans side by side on the cores, or wherever the joblib back end in force takes them.

What comes out doesn't depend on where or in what order it was planned: a plan follows from its problem,
effort and seed alone.
"""

from __future__ import annotations

import os
import signal
import threading
from dataclasses import replace
from typing import TYPE_CHECKING, TypeVar

from scheduler.scenarios.comparison import same_problem
from scheduler.scenarios.exchange import Offer, take_offer
from scheduler.scenarios.plan_day import Outcome, Task, plan_task

if TYPE_CHECKING:
    from collections.abc import Callable, Sequence


def run_tasks(
    tasks: Sequence[Task], *, workers: int | None = None, done: Callable[[int, int], None] | None = None
) -> tuple[Outcome | None, ...]:
    """Plan all tasks; those that ask the same of the search are planned once.

    Parameters
    ----------
    workers
        Plans at a time, at least 1; None: as many as the joblib back end in force has; without one, one for
        each core.
    done
        Told at the beginning and after each plan: how many are finished, of how many.

    Returns
    -------
    tuple
        In the order of the tasks. A keyboard interrupt ends the run and what is finished is kept: None
        stands for what was not reached.
    """
    twins = _twins(tasks)
    own = [number for number, twin in enumerate(twins) if number == twin]
    found = dict(zip(own, _run(plan_task, [tasks[number] for number in own], workers, done), strict=True))
    outcomes = []
    for task, twin in zip(tasks, twins, strict=True):
        outcome = found[twin]
        if outcome is not None:
            outcome = replace(outcome, version=task.version, day=task.day, seed=task.seed)
        outcomes.append(outcome)
    return tuple(outcomes)


def run_offers(offers: Sequence[Offer], *, workers: int | None = None) -> tuple[Outcome | None, ...]:
    """Take what helps of plans of other versions; in the order of the offers, None as in `run_tasks`."""
    return tuple(_run(take_offer, offers, workers, None))


T = TypeVar("T")


def _run(
    function: Callable[[T], Outcome],
    items: Sequence[T],
    workers: int | None,
    done: Callable[[int, int], None] | None,
) -> list[Outcome | None]:
    """The function's outcome of each item, in their order; None after a keyboard interrupt."""
    from joblib import Parallel, delayed

    found: list[Outcome | None] = [None] * len(items)
    pool = Parallel(n_jobs=_jobs(workers), return_as="generator_unordered", pre_dispatch="all")
    here = os.getpid()
    if done is not None:
        done(0, len(items))
    try:
        calls = (delayed(_numbered)(function, number, item, here) for number, item in enumerate(items))
        for made, (number, outcome) in enumerate(pool(calls), start=1):
            found[number] = outcome
            if done is not None:
                done(made, len(items))
    except KeyboardInterrupt:
        _stop_processes()
    return found


def _jobs(workers: int | None) -> int | None:
    """Joblib's number of jobs; None leaves it to the back end in force."""
    from joblib import cpu_count, effective_n_jobs

    if workers is not None:
        return workers
    return None if effective_n_jobs(None) > 1 else int(cpu_count())


def _numbered(function: Callable[[T], Outcome], number: int, item: T, starter: int) -> tuple[int, Outcome]:
    """An item's outcome with its number. A process of its own leaves Ctrl-C to the one that started it."""
    if os.getpid() != starter and threading.current_thread() is threading.main_thread():
        signal.signal(signal.SIGINT, signal.SIG_IGN)
    return number, function(item)


def _twins(tasks: Sequence[Task]) -> list[int]:
    """By task: the number of the first that asks the same of the search."""
    first: list[int] = []
    twins = []
    for number, task in enumerate(tasks):
        twin = next((one for one in first if _same(tasks[one], task)), None)
        if twin is None:
            first.append(number)
        twins.append(number if twin is None else twin)
    return twins


def _same(one: Task, other: Task) -> bool:
    """Whether two tasks lead to the same figures."""
    if (one.seed, one.effort, one.seconds) != (other.seed, other.effort, other.seconds):
        return False
    return same_problem(one.problem, other.problem)


def _stop_processes() -> None:
    """End what the usual back end's processes are still at; others end with their generator."""
    from joblib.externals.loky import get_reusable_executor

    get_reusable_executor().shutdown(wait=False, kill_workers=True)
