"""Lots of a split run counted in the order in which they are pressed."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from scheduler.domain.day_problem import RunContent
from scheduler.domain.disruptions import RunPart
from scheduler.planning.trail import Step


def lot_numbers(
    contents: dict[str, RunContent], pressed: Sequence[Step], parts: Iterable[RunPart] = ()
) -> dict[str, int]:
    """By task, the number of each lot: the one pressed first is lot 1; what is not pressed comes last.

    Parameters
    ----------
    contents
        What the tasks mean.
    pressed
        The scheduled runs, as the day goes.
    parts
        Runs cut off: their rest keeps the number of their lot.
    """
    whole = {part.task: part.run for part in parts}
    together: dict[tuple[str, int], list[str]] = {}
    for task in _first_pressed(contents, pressed):
        content = contents[task]
        if content.lots > 1 and task not in whole:
            run = task.replace(f" lot {content.lot} of {content.lots}", "")
            together.setdefault((run, content.lots), []).append(task)
    numbers = {task: number for lots in together.values() for number, task in enumerate(lots, start=1)}
    # A rest may be cut off itself: what it is the rest of stands before it.
    for task, run in whole.items():
        if contents[task].lots > 1 and run in numbers:
            numbers[task] = numbers[run]
    return numbers


def _first_pressed(contents: dict[str, RunContent], pressed: Sequence[Step]) -> Iterable[str]:
    by_start = sorted(pressed, key=lambda step: step.done.start)
    return dict.fromkeys([*(step.task.id for step in by_start), *contents])
