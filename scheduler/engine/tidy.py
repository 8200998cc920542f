"""Fewer runs where it costs nothing: what a split or an extra pressing no longer pays for."""

from __future__ import annotations

from collections.abc import Callable, Iterator

from scheduler.domain.schedule import LevelValue, Schedule
from scheduler.engine.bounds import level_values, still_valid
from scheduler.engine.flat import Flattened, to_schedule
from scheduler.engine.line import line_cost, line_of
from scheduler.engine.local_search import Cost, Line
from scheduler.engine.memory import all_ways


def tidy(flattened: Flattened, line: Line, cost: Cost, over: Callable[[], bool]) -> tuple[Line, Cost]:
    """Carry choices out in fewer tasks wherever the cost, level by level, gets no worse.

    The search compares costs only, so a run may stay in two lots that follow each other at one press
    with the same person; every lot costs its operator a box to fetch and a first piece to check.

    Parameters
    ----------
    over
        Asked between two tries; True ends it.
    """
    for ways in all_ways(flattened):
        used = next(tasks for tasks in ways if all(task in line.tasks for task in tasks))
        for way in sorted((way for way in ways if len(way) < len(used)), key=len):
            if over():
                return line, cost
            better = [
                (found, number, other)
                for number, other in enumerate(_replaced(flattened, line, used, way))
                if (found := line_cost(flattened, other)) <= cost
            ]
            if better:
                cost, _, line = min(better, key=lambda found: found[:2])
                break
    return line, cost


def tidied(
    flattened: Flattened,
    schedule: Schedule,
    levels: tuple[LevelValue, ...],
    over: Callable[[], bool],
) -> tuple[Schedule, tuple[LevelValue, ...]]:
    """The same for a schedule with its levels, however it was found.

    The exact search and the constraint model compare costs only, too. What the decoder doesn't reach,
    such as one in which a run waits for the next day, stays as it is unless the decoded one costs no more.
    """
    given = tuple(level.value for level in levels)
    line = line_of(flattened, schedule)
    found, cost = tidy(flattened, line, line_cost(flattened, line), over)
    if cost > given or len(found.tasks) >= len(line.tasks):
        return schedule, levels
    before = {level.name: level.value for level in levels}
    after = {level.name: value for level, value in zip(levels, cost, strict=True)}
    shown = dict.fromkeys(before, 0) | still_valid(
        flattened.instance, {level.name: level.bound for level in levels}, before, after
    )
    return to_schedule(flattened, found.tasks, found.options), level_values(flattened.instance, after, shown)


def _replaced(flattened: Flattened, line: Line, old: list[int], new: list[int]) -> Iterator[Line]:
    """Lines in which `new` tasks stand where the `old` ones stood, on their machines, by their operators."""
    columns = flattened.columns
    places = [position for position, task in enumerate(line.tasks) if task in old]
    seen = [line.options[position] for position in places]
    machines = {columns["option_machine"][option] for option in seen}
    operators = {columns["option_operator"][option] for option in seen}
    choices = []
    for task in new:
        options = range(columns["option_from"][task], columns["option_from"][task + 1])
        choices.append(
            [
                option
                for option in options
                if columns["option_machine"][option] in machines
                and columns["option_operator"][option] in operators
            ]
        )
    if not all(choices):
        return
    rest = [pair for pair in zip(line.tasks, line.options, strict=True) if pair[0] not in old]
    for place in places:
        at = place - sum(1 for position in places if position < place)
        for number in range(max(map(len, choices))):
            block = [(task, picks[number % len(picks)]) for task, picks in zip(new, choices, strict=True)]
            pairs = [*rest[:at], *block, *rest[at:]]
            if _in_order(flattened, [task for task, _ in pairs]):
                yield Line(tuple(task for task, _ in pairs), tuple(option for _, option in pairs))


def _in_order(flattened: Flattened, tasks: list[int]) -> bool:
    """Whether every task stands behind all that must come before it."""
    columns = flattened.columns
    position = {task: k for k, task in enumerate(tasks)}
    return all(
        position.get(before, -1) < k
        for k, task in enumerate(tasks)
        for before in columns["before"][columns["before_from"][task] : columns["before_from"][task + 1]]
    )
