"""Pieces that are pressed again: which runs of their order wait for them, and how that is said."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence

from scheduler.domain.day_problem import DayProblem
from scheduler.domain.disruptions import PartKind, RunPart
from scheduler.domain.figures import counted
from scheduler.planning.trail import Step

MOST_RUNS = 3
"""Up to so many runs are named of which pieces are pressed again; of more the number of pieces is given."""


def parts_again(problem: DayProblem) -> dict[str, RunPart]:
    """The parts of a day that press pieces again, by their task."""
    return {part.task: part for part in problem.parts if part.name is PartKind.AGAIN}


def waiting_for_again(problem: DayProblem, own: Sequence[Step]) -> dict[str, tuple[str, ...]]:
    """The steps of an order that press pieces again, or wait for those last: by task, which parts.

    What shares its garments, or must follow, waits for whichever of those before it is ready last.
    """
    parts = parts_again(problem)
    found: dict[str, tuple[str, ...]] = {}
    for step in sorted(own, key=lambda step: (step.done.start, step.done.end, step.task.id)):
        name = step.task.id
        before = [other for other in own if other.task.id != name and _before(problem, other, step)]
        last = max(
            before, key=lambda other: (other.done.end + other.task.cooling, other.task.id), default=None
        )
        waits = () if last is None else found.get(last.task.id, ())
        if name in parts:
            waits = tuple(dict.fromkeys((*waits, name)))
        if waits:
            found[name] = waits
    return found


def _ready(step: Step) -> tuple[int, str]:
    return step.done.end + step.task.cooling, step.task.id


def _before(problem: DayProblem, one: Step, other: Step) -> bool:
    if _ready(one)[0] > other.done.start:
        return False
    return not set(one.task.bundles).isdisjoint(other.task.bundles) or any(
        (pair.before, pair.after) == (one.task.id, other.task.id) for pair in problem.instance.precedences
    )


def again_words(parts: Iterable[RunPart], numbers: Mapping[str, int]) -> str:
    """Which pieces are pressed again: "2 pieces spoiled in run 3 are pressed again".

    Parameters
    ----------
    numbers
        Of the runs on the sheets, by their id.
    """
    every = list(parts)
    # A garment that was spoiled at one placement is named there, and not once more at each of the others.
    listed = [part for part in every if part.elsewhere < part.pieces] or every
    pieces = sum(part.pieces for part in listed)
    are = "is" if pieces == 1 else "are"
    runs = len({part.run for part in listed})
    if runs > MOST_RUNS:
        return f"{counted(pieces, 'piece')} of {runs} runs {are} pressed again"
    said = [f"{counted(part.pieces, 'piece')} {_why(part)} run {numbers[part.run]}" for part in listed]
    named = said[0] if len(said) == 1 else f"{', '.join(said[:-1])} and {said[-1]}"
    return f"{named} {are} pressed again"


def _why(part: RunPart) -> str:
    if not part.spoiled:
        return "missing in"
    if part.elsewhere:
        # Another run spoiled them, at another placement: they were good in this one.
        return "spoiled after" if part.elsewhere == part.pieces else "spoiled or missing after"
    return "spoiled in" if part.spoiled == part.pieces else "spoiled or missing in"


__all__ = ["again_words", "parts_again", "waiting_for_again"]
