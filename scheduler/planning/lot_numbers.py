"""Lots of a split run counted in the order in which they are pressed."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from scheduler.domain.day_problem import RunContent
from scheduler.planning.trail import Step


def lot_numbers(contents: dict[str, RunContent], pressed: Sequence[Step]) -> dict[str, int]:
    """By task, the number of each lot: the one pressed first is lot 1; what is not pressed comes last.

    Parameters
    ----------
    contents
        What the tasks mean.
    pressed
        The scheduled runs, as the day goes.
    """
    together: dict[tuple[str, int], list[str]] = {}
    for task in _first_pressed(contents, pressed):
        content = contents[task]
        if content.lots > 1:
            run = task.replace(f" lot {content.lot} of {content.lots}", "")
            together.setdefault((run, content.lots), []).append(task)
    return {task: number for lots in together.values() for number, task in enumerate(lots, start=1)}


def _first_pressed(contents: dict[str, RunContent], pressed: Sequence[Step]) -> Iterable[str]:
    by_start = sorted(pressed, key=lambda step: step.done.start)
    return dict.fromkeys([*(step.task.id for step in by_start), *contents])
