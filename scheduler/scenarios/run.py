"""Many plans side by side on the cores, or wherever a joblib back end in force takes them.

What comes out doesn't depend on where or in what order it was planned: a plan follows from its problem,
effort and seed alone.
"""

from __future__ import annotations

from contextlib import closing
from dataclasses import replace
from typing import TYPE_CHECKING, TypeVar

from scheduler.scenarios.comparison import same_problem
from scheduler.scenarios.exchange import Offer, take_offer
from scheduler.scenarios.plan_day import Outcome, Task, plan_task
from scheduler.scenarios.processes import Lost, made_apart

if TYPE_CHECKING:
    from collections.abc import Callable, Generator, Sequence


def run_tasks(
    tasks: Sequence[Task], *, workers: int | None = None, done: Callable[[int, int], None] | None = None
) -> tuple[Outcome | None, ...]:
    """Plan all tasks; those that ask the same of the search are planned once.

    Parameters
    ----------
    workers
        Plans at a time, at least 1; None: one for each core, or as many as a joblib back end in force has.
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


T = TypeVar("T", Task, Offer)


def _run(
    function: Callable[[T], Outcome],
    items: Sequence[T],
    workers: int | None,
    done: Callable[[int, int], None] | None,
) -> list[Outcome | None]:
    """The function's outcome of each item, in their order; None after a keyboard interrupt."""
    found: list[Outcome | None] = [None] * len(items)
    if done is not None:
        done(0, len(items))
    try:
        # Closed before anything else is done: what is still at work ends with it.
        with closing(_outcomes(function, items, workers)) as outcomes:
            for made, (number, outcome) in enumerate(outcomes, start=1):
                found[number] = outcome
                if done is not None:
                    done(made, len(items))
    except KeyboardInterrupt:
        pass
    return found


def _outcomes(
    function: Callable[[T], Outcome], items: Sequence[T], workers: int | None
) -> Generator[tuple[int, Outcome], None, None]:
    """Each item's number and outcome, as soon as it is there."""
    if _elsewhere():
        yield from _by_joblib(function, items, workers)
        return
    at_a_time = min(len(items), workers or _cores())
    if at_a_time <= 1:
        yield from ((number, function(item)) for number, item in enumerate(items))
        return
    for number, outcome in made_apart(function, items, at_a_time=at_a_time):
        if isinstance(outcome, Lost):
            yield number, _lost(items[number], outcome)
        else:
            yield number, outcome


def _lost(item: Task | Offer, lost: Lost) -> Outcome:
    """What is said in place of a plan that was lost; of an exchange that was lost nothing is known."""
    if isinstance(item, Offer):
        raise RuntimeError(lost.words)
    return Outcome(version=item.version, day=item.day, seed=item.seed, trouble=lost.words)


def _cores() -> int:
    """Cores that this process may use; limits of containers count."""
    from joblib import cpu_count

    return int(cpu_count())


def _elsewhere() -> bool:
    """Whether a joblib back end other than the usual one is in force."""
    from joblib.parallel import BACKENDS, DEFAULT_BACKEND, get_active_backend

    return type(get_active_backend()[0]) is not BACKENDS[DEFAULT_BACKEND]


def _by_joblib(
    function: Callable[[T], Outcome], items: Sequence[T], workers: int | None
) -> Generator[tuple[int, Outcome], None, None]:
    from joblib import Parallel, delayed, effective_n_jobs

    jobs = workers or (None if effective_n_jobs(None) > 1 else _cores())
    pool = Parallel(n_jobs=jobs, return_as="generator_unordered", pre_dispatch="all")
    yield from pool(delayed(_numbered)(function, number, item) for number, item in enumerate(items))


def _numbered(function: Callable[[T], Outcome], number: int, item: T) -> tuple[int, Outcome]:
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
