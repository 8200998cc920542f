"""First plans by a dispatching rule, on either copy of the kernel."""

from __future__ import annotations

from collections.abc import Callable

from scheduler.engine.backend import Backend
from scheduler.engine.flat import Flattened
from scheduler.engine.kernel import layout
from scheduler.engine.kernel.layout import SLOTS
from scheduler.engine.local_search import Line, cost_key, flat_for
from scheduler.engine.memory import all_ways
from scheduler.engine.windows import topological


class _Tails:
    """Least ticks that must still follow a task in its job: what urgency is measured by."""

    def __init__(self, flattened: Flattened) -> None:
        self._columns = flattened.columns

    def least_work(self, task: int) -> int:
        columns = self._columns
        first, last = columns["option_from"][task], columns["option_from"][task + 1]
        return min(columns["option_work"][first:last])

    def all(self) -> list[int]:
        """By task: cooling, packing, and the work of later tasks on the same garments."""
        columns = self._columns
        size = len(columns["job"])

        def after(task: int) -> list[int]:
            return columns["after"][columns["after_from"][task] : columns["after_from"][task + 1]]

        tails = [0] * size
        for task in topological(range(size), after):
            later = [self.least_work(other) + tails[other] for other in after(task)]
            packing = columns["packing"][columns["job"][task]]
            tails[task] = columns["cooling"][task] + max(later, default=packing)
        return tails


RULES: tuple[tuple[int, int, int, int], ...] = (
    # urgency, changeover, start, candidates
    (1, 10, 2, 8),
    (1, 4, 2, 32),
    (2, 4, 2, 16),
    (0, 2, 1, 32),
    (1, 2, 2, 8),
    (1, 10, 1, 16),
    (0, 2, 1, 8),
    (2, 6, 4, 32),
    (2, 2, 1, 32),
    (2, 10, 2, 8),
    (0, 4, 1, 32),
    (2, 2, 4, 8),
    (1, 4, 0, 8),
    (1, 20, 4, 8),
    (1, 20, 4, 16),
    (0, 2, 1, 16),
    (0, 6, 4, 32),
    (1, 2, 1, 8),
    (2, 20, 1, 32),
    (0, 6, 1, 8),
    (1, 2, 4, 32),
    (2, 2, 0, 8),
    (2, 2, 2, 8),
    (1, 4, 4, 8),
    (0, 6, 4, 8),
    (0, 2, 2, 8),
    (2, 10, 1, 16),
    (1, 6, 4, 16),
    (2, 4, 0, 32),
    (2, 4, 0, 16),
    (2, 10, 4, 8),
    (1, 2, 0, 16),
)
"""Weights of the dispatching rule, tried in this order.

Of 180 settings on 40 days of 30 to 250 runs at four loads, in the order in which each adds most to the
best of those before it, by lateness and changeover together.
"""

RULE_STEPS = 1_600_000_000
"""Tasks times options times rules: half a minute of dispatching would say less than a search in that time."""

LEAST_RULES = 5
"""Rules that are tried however large the day is."""


def first_way(flattened: Flattened) -> list[int]:
    """By task, 1 where it is carried out: of every choice the way with the fewest tasks, then least work."""
    present = [1 if choice < 0 else 0 for choice in flattened.columns["choice"]]
    tails = _Tails(flattened)
    for ways in all_ways(flattened):
        ranked = [
            (len(tasks), sum(map(tails.least_work, tasks)), number) for number, tasks in enumerate(ways)
        ]
        for task in ways[min(ranked)[2]]:
            present[task] = 1
    return present


def rules_for(flattened: Flattened, limit: int) -> int:
    """How many of the rules to try, at most `limit`: fewer on a day that is so large that each takes long."""
    steps = len(flattened.tasks) * len(flattened.columns["option_work"])
    return min(limit, max(LEAST_RULES, RULE_STEPS // max(1, steps)))


def first_lines(
    flattened: Flattened,
    backend: Backend,
    *,
    limit: int = len(RULES),
    over: Callable[[], bool] = lambda: False,
    switch: Callable[[Backend], Backend] = lambda backend: backend,
) -> list[Line]:
    """Sequences by dispatching rules, best first; at least one, and no more once `over()` says so.

    Before each rule `switch` says with which copy of the kernel to go on.
    """
    tails = _Tails(flattened)
    size = flattened.flat[layout.TASKS]
    tail = tails.all()
    due, job = flattened.columns["due"], flattened.columns["job"]
    urgency = sorted(range(size), key=lambda t: (due[job[t]] - tail[t] - tails.least_work(t), t))
    found = []
    for number, rule in enumerate(RULES[:limit]):
        backend = switch(backend)
        vector = backend.vector
        tasks, options = vector([0] * size), vector([0] * size)
        state = vector(flattened.start)
        count = backend.dispatch.dispatch(
            flat_for(flattened, backend),
            state,
            vector(first_way(flattened)),
            vector(tail),
            vector(urgency),
            vector(list(rule)),
            tasks,
            options,
            vector([0] * layout.PLACED),
            vector([0] * layout.PLACED),
            vector([0] * size),
        )
        at = flattened.flat[layout.AT_COST]
        key = cost_key(flattened, state[at : at + SLOTS])
        line = Line(tuple(int(t) for t in tasks[:count]), tuple(int(o) for o in options[:count]))
        found.append((key, number, line))
        if over():
            break
    return [line for _, _, line in sorted(found, key=lambda item: item[:2])]
