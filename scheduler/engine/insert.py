"""A first sequence for a day planned again: the runs as printed, and what is new put in between."""

from __future__ import annotations

from collections.abc import Callable, Iterator

from scheduler.domain.schedule import Schedule
from scheduler.engine.dispatching import first_way
from scheduler.engine.flat import Flattened, presence
from scheduler.engine.kernel import layout
from scheduler.engine.kernel.place import place, put_down
from scheduler.engine.line import line_of
from scheduler.engine.local_search import Cost, Line, cost_key
from scheduler.engine.memory import all_ways

MOST_PLACES = 8
"""Places tried for a new run in the order of one machine, for each way to do it."""

LOOK_EVERY = 4
"""Tasks put down between two looks at the cost."""


def inserted(flattened: Flattened, kept: Schedule, over: Callable[[], bool] = lambda: False) -> Line:
    """The kept schedule's sequence with every task that it lacks put in where it costs least.

    Tasks are taken by due date. Of a choice of which the schedule has nothing, the way with fewest tasks.

    Parameters
    ----------
    kept
        A schedule of some of the instance's tasks that obeys the rules.
    over
        Asked between two tasks; once it is True, the rest goes to the end.
    """
    line = line_of(flattened, kept)
    for task in _lacking(flattened, line):
        line = _put_in(flattened, line, task, last_only=over())
    return line


def _lacking(flattened: Flattened, line: Line) -> list[int]:
    """Tasks to be put in, none before what must come first."""
    columns = flattened.columns
    there = set(line.tasks)
    wanted = first_way(flattened)
    for ways in all_ways(flattened):
        members = {task for way in ways for task in way}
        if members & there:
            used = next((way for way in ways if members & there <= set(way)), ())
            for task in members:
                wanted[task] = 1 if task in used else 0
    due = columns["due"]
    missing = [task for task in range(len(flattened.tasks)) if wanted[task] and task not in there]
    missing.sort(key=lambda task: (due[columns["job"][task]], task))
    order: list[int] = []
    while missing:
        free = [task for task in missing if not set(_before(flattened, task)) & set(missing)]
        task = (free or missing)[0]
        order.append(task)
        missing.remove(task)
    return order


def _before(flattened: Flattened, task: int) -> list[int]:
    columns = flattened.columns
    return columns["before"][columns["before_from"][task] : columns["before_from"][task + 1]]


def _put_in(flattened: Flattened, line: Line, task: int, *, last_only: bool) -> Line:
    """The sequence with the task where it costs least; of equal places the first.

    What stands before a place is decoded once for all places, and a place is given up as soon as it
    costs more than the best: costs only grow while tasks are put down.
    """
    places = list(_places(flattened, line, task, last_only=last_only))
    flat, present = flattened.flat, presence(flattened, (*line.tasks, task))
    row = [0] * layout.PLACED

    def put(state: list[int], what: int, option: int) -> None:
        place(flat, state, present, 0, what, option, row, 0)
        put_down(flat, state, what, option, row, 0)

    before = dict.fromkeys(sorted({at for _, at in places}), flattened.start)
    state, done = list(flattened.start), 0
    for at in before:
        for k in range(done, at):
            put(state, line.tasks[k], line.options[k])
        done = at
        before[at] = list(state)
    best: Cost | None = None
    found = places[0]
    for option, at in places:
        state = list(before[at])
        put(state, task, option)
        cost = _cost(flattened, state)
        for k in range(at, len(line.tasks)):
            if best is not None and (k - at) % LOOK_EVERY == 0 and cost > best:
                break
            put(state, line.tasks[k], line.options[k])
            if (k - at) % LOOK_EVERY == LOOK_EVERY - 1 or k == len(line.tasks) - 1:
                cost = _cost(flattened, state)
        if best is None or cost < best:
            best, found = cost, (option, at)
    option, at = found
    return Line((*line.tasks[:at], task, *line.tasks[at:]), (*line.options[:at], option, *line.options[at:]))


def _cost(flattened: Flattened, state: list[int]) -> Cost:
    at = flattened.flat[layout.AT_COST]
    return cost_key(flattened, state[at : at + layout.SLOTS])


def _places(flattened: Flattened, line: Line, task: int, *, last_only: bool) -> Iterator[tuple[int, int]]:
    """Options of the task, each with places in the sequence between what its machine does."""
    columns = flattened.columns
    first = max(
        (line.tasks.index(other) + 1 for other in _before(flattened, task) if other in line.tasks), default=0
    )
    size = len(line.tasks)
    for option in range(columns["option_from"][task], columns["option_from"][task + 1]):
        machine = columns["option_machine"][option]
        places = [k for k in range(first, size) if columns["option_machine"][line.options[k]] == machine]
        for at in _spread([*places, size]) if not last_only else [size]:
            yield option, at


def _spread(places: list[int]) -> list[int]:
    """At most `MOST_PLACES` of some places, first and last among them."""
    if len(places) <= MOST_PLACES:
        return places
    step = (len(places) - 1) / (MOST_PLACES - 1)
    return [places[round(k * step)] for k in range(MOST_PLACES)]
