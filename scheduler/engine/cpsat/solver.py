"""The solver's settings, and how it is stopped."""

from __future__ import annotations

import threading
from contextlib import contextmanager
from math import ceil
from typing import TYPE_CHECKING

from ortools.sat.python import cp_model

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator

WATCH_S = 0.05
"""Seconds between two looks at whether a search is to stop."""

ROUNDING = 1e-6
"""The solver gives its bound of a whole number as a float."""


def settings(seed: int, workers: int, limit: float) -> cp_model.CpSolver:
    """Parameters that give the same answer again: one worker, or several in lock-step.

    One worker is set up for shop days, several for machines without people (measured: flexible job shops
    are proven with what days are better without).
    """
    for_days = workers == 1
    solver = cp_model.CpSolver()
    solver.parameters.random_seed = seed
    solver.parameters.num_workers = workers
    solver.parameters.interleave_search = workers > 1
    solver.parameters.max_deterministic_time = limit
    solver.parameters.cp_model_probing_level = 0
    solver.parameters.symmetry_level = 0 if for_days else 2
    solver.parameters.linearization_level = 2 if for_days else 1
    # On days it took a unit a time and half of all budgets, and gave nothing.
    solver.parameters.find_big_linear_overlap = not for_days
    # Its own handling of Ctrl-C would take that away from the command line, and end the process.
    solver.parameters.catch_sigint_signal = False
    return solver


def bound_of(solver: cp_model.CpSolver) -> int:
    """The bound shown by a solve whose objective is a whole number."""
    return ceil(solver.best_objective_bound - ROUNDING)


@contextmanager
def watched(solver: cp_model.CpSolver, stop: Callable[[], bool] | None) -> Iterator[None]:
    """Stop the solver from a thread of its own as soon as `stop` says so."""
    if stop is None:
        yield
        return
    done = threading.Event()

    def watch() -> None:
        while not done.wait(WATCH_S):
            if stop():
                solver.stop_search()

    thread = threading.Thread(target=watch, daemon=True)
    thread.start()
    try:
        yield
    finally:
        done.set()
        thread.join()


class StoppedError(Exception):
    """Raised when what was under way is to stop, and there is nothing to show for it yet."""


def go_on(stop: Callable[[], bool] | None) -> None:
    """Ask whether to go on, between two parts of something long.

    Raises
    ------
    StoppedError
        When `stop` says so.
    """
    if stop is not None and stop():
        raise StoppedError
