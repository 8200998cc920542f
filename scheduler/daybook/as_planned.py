"""When and where each run was to be, by the last plan that was made before it began."""

from __future__ import annotations

from collections.abc import Iterable

from scheduler.domain.plan import Plan, PlannedRun


def as_planned(newest: Plan, older: Iterable[Plan]) -> dict[str, PlannedRun]:
    """The runs of a plan as somebody at the presses was told to do them.

    A plan made again during the day holds what had begun by then as it went, not as it was meant.

    Parameters
    ----------
    newest
        The plan whose runs are wanted.
    older
        The plans of the day before it, the newest first; read only as far as they are needed.

    Returns
    -------
    dict
        By the run's id. A run that had begun in every plan that has it: as in the first of these.
    """
    found: dict[str, PlannedRun] = {}
    begun = {run.id for run in newest.runs}
    for plan in _one_by_one(newest, older):
        here = {run.id: run for run in plan.runs if run.id in begun}
        found |= here
        begun -= {name for name, run in here.items() if plan.at is None or run.start >= plan.at}
        if not begun:
            break
    return found


def _one_by_one(newest: Plan, older: Iterable[Plan]) -> Iterable[Plan]:
    yield newest
    yield from older
