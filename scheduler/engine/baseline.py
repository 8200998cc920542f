"""The same orders taken as they come, through the same rules: what the plan is compared with."""

from __future__ import annotations

import re

from scheduler.domain.instance import Instance
from scheduler.domain.schedule import Schedule
from scheduler.engine.backend import Backend, plain
from scheduler.engine.dispatching import first_way
from scheduler.engine.flat import Flattened, flatten, to_schedule
from scheduler.engine.kernel import layout
from scheduler.engine.local_search import Line, flat_for


def as_they_come(instance: Instance) -> Schedule:
    """Work through the orders like a careful foreman without a plan.

    Orders by cut-off, then by number; their runs in the order they must be in; each at the press and
    with the person that finish it first, with the smaller changeover when two finish together. Two
    placements are pressed together wherever there is a platen for it. A run that fits nowhere is left
    over.
    """
    flattened = flatten(instance)
    line = as_they_come_line(flattened)
    return to_schedule(flattened, line.tasks, line.options)


def as_they_come_line(flattened: Flattened, backend: Backend | None = None) -> Line:
    """The sequence behind `as_they_come`; the same by either copy of the kernel, plain when none is named."""
    backend = backend or plain()
    vector = backend.vector
    size = flattened.flat[layout.TASKS]
    tasks, options = vector([0] * size), vector([0] * size)
    count = backend.dispatch.dispatch_in_order(
        flat_for(flattened, backend),
        vector(flattened.start),
        vector(first_way(flattened)),
        vector(_order(flattened)),
        tasks,
        options,
        vector([0] * layout.PLACED),
        vector([0] * layout.PLACED),
    )
    return Line(tuple(int(t) for t in tasks[:count]), tuple(int(o) for o in options[:count]))


def _order(flattened: Flattened) -> list[int]:
    """Task indices by cut-off, order number and place in the order, never before what comes first."""
    columns = flattened.columns
    jobs = flattened.instance.jobs
    rank = {
        job: number
        for number, job in enumerate(
            sorted(range(len(jobs)), key=lambda j: (columns["due"][j], natural(jobs[j].id), j))
        )
    }
    wanted = sorted(range(len(flattened.tasks)), key=lambda task: (rank[columns["job"][task]], task))
    order: list[int] = []
    placed = [False] * len(wanted)
    visiting: list[int] = []
    for task in wanted:
        visiting.append(task)
        while visiting:
            top = visiting[-1]
            before = columns["before"][columns["before_from"][top] : columns["before_from"][top + 1]]
            missing = [other for other in before if not placed[other] and other not in visiting]
            if missing:
                visiting.append(min(missing))
                continue
            visiting.pop()
            if not placed[top]:
                placed[top] = True
                order.append(top)
    return order


def natural(name: str) -> tuple[tuple[int, int, str], ...]:
    """Sort key under which "9" comes before "10"."""
    parts = re.findall(r"\d+|\D+", name)
    return tuple((0, int(part), "") if part.isdigit() else (1, 0, part) for part in parts)
