"""What a window leaves open: some tasks are loose, the others keep press, person and order."""

from __future__ import annotations

from collections import defaultdict
from dataclasses import dataclass
from itertools import pairwise
from typing import TYPE_CHECKING

from scheduler.engine.cpsat.wrappers import Scope

if TYPE_CHECKING:
    from collections.abc import Collection

    from scheduler.domain.instance import Instance
    from scheduler.domain.schedule import Schedule, ScheduledTask


@dataclass(frozen=True, slots=True, kw_only=True)
class Window:
    """What is left open.

    Attributes
    ----------
    in_order
        Pairs of tasks (one operator's) that stay in this order.
    frozen
        Start and end of the tasks that stay when they are: those over well before any free one.
    """

    scope: Scope
    in_order: tuple[tuple[str, str], ...]
    frozen: dict[str, tuple[int, int]]


def window_of(instance: Instance, start: Schedule, free: Collection[str], near: int) -> Window:
    """The window around some tasks.

    All tasks of a choice of which one is free are free too. Times float but for the tasks that end
    more than `near` ticks before the first free one. A free task may come next to a task that is not
    free only if the two are at most `near` ticks apart now; next to its present neighbours it always may.
    """
    loose = _with_alternatives(instance, free)
    runs = {run.task: run for run in start.tasks}
    places = {(task.id, mode.id): mode.places for task in instance.tasks for mode in task.modes}
    by_machine: dict[str, list[ScheduledTask]] = defaultdict(list)
    by_operator: dict[str, list[str]] = defaultdict(list)
    for run in sorted(start.tasks, key=lambda run: (run.start, run.end, run.setup_start)):
        for machine, _ in places[run.task, run.mode]:
            by_machine[machine].append(run)
        if run.operator is not None and run.task not in loose:
            by_operator[run.operator].append(run.task)

    allowed: set[tuple[str | None, str]] = set()
    for here in by_machine.values():
        for names in ([run.task for run in here], [run.task for run in here if run.task not in loose]):
            allowed |= set(zip((None, *names), names, strict=False))
    spans = _spans(start, loose)

    def follows(before: str | None, after: str) -> bool:
        if (before, after) in allowed:
            return True
        if after not in loose and (before is None or before not in loose):
            return False
        if before is None or (before in loose and after in loose):
            return True
        a, b = spans[before], spans[after]
        return max(a[0], b[0]) - min(a[1], b[1]) <= near

    options = {
        run.task: frozenset({(run.mode, run.operator)}) for run in start.tasks if run.task not in loose
    }
    undone = frozenset(task.id for task in instance.tasks if task.id not in loose and task.id not in runs)
    options.update({name: frozenset() for name in sorted(undone)})
    shifts = {
        run.task: frozenset(_shift_starts(instance, run)) for run in start.tasks if run.task not in loose
    }
    scope = Scope(
        options=options,
        shifts=shifts,
        follows=follows,
        done=frozenset(runs) - loose,
        undone=undone,
    )
    pairs = tuple(pair for names in by_operator.values() for pair in pairwise(names))
    begin = min((spans[name][0] for name in sorted(loose) if name in runs), default=0)
    frozen = {
        run.task: (run.start, run.end)
        for run in start.tasks
        if run.task not in loose and run.end < begin - near
    }
    return Window(scope=scope, in_order=pairs, frozen=frozen)


def _with_alternatives(instance: Instance, free: Collection[str]) -> frozenset[str]:
    loose = set(free)
    for choice in instance.choices:
        members = {task for option in choice.options for task in option}
        if members & loose:
            loose |= members
    return frozenset(loose)


def _spans(start: Schedule, loose: frozenset[str]) -> defaultdict[str, tuple[int, int]]:
    """Present time of each task; free tasks that are not scheduled lie wherever the free ones do."""
    spans = {run.task: (run.setup_start, run.end) for run in start.tasks}
    mine = [spans[name] for name in sorted(loose) if name in spans]
    hull = (min(s[0] for s in mine), max(s[1] for s in mine)) if mine else (0, 1 << 40)
    return defaultdict(lambda: hull, spans)


def _shift_starts(instance: Instance, run: ScheduledTask) -> list[int]:
    return [
        shift.start
        for person in instance.operators
        if person.id == run.operator
        for shift in person.shifts
        if shift.start <= run.setup_start and run.end <= shift.overtime_end
    ]
