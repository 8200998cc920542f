"""A copy of the kernel put through its paces: every function that a search calls, on tiny instances."""

from __future__ import annotations

from scheduler.domain.instance import (
    Instance,
    Job,
    Machine,
    Mode,
    Operator,
    SetupPart,
    SetupTable,
    Shift,
    Task,
)
from scheduler.engine.apart import ApartChain, apart
from scheduler.engine.backend import Backend
from scheduler.engine.baseline import as_they_come_line
from scheduler.engine.dispatching import first_lines
from scheduler.engine.exact.ask import prove_small
from scheduler.engine.flat import flatten, to_schedule
from scheduler.engine.local_search import Chain


def exercise(backend: Backend) -> tuple[object, ...]:
    """Run every function that a search calls, on tiny instances; the plans that come out."""
    tiny = _tiny(people=False)
    flattened = flatten(tiny)
    first = as_they_come_line(flattened, backend)
    line = first_lines(flattened, backend, limit=2)[0]
    chain = Chain(flattened, first, seed=1, backend=backend)
    chain.run(50)
    machines = apart(flattened)
    assert machines is not None
    alone = ApartChain(machines, first, seed=1, backend=backend)
    alone.run(50)
    tiny = _tiny(people=True)
    flattened = flatten(tiny)
    line_of_people = as_they_come_line(flattened, backend)
    schedule = to_schedule(flattened, line_of_people.tasks, line_of_people.options)
    nothing = dict.fromkeys(tiny.levels, 0)
    shown = prove_small(tiny, schedule, nothing, 100, lambda: False, lambda: backend)
    proven = sorted(shown.proven), shown.states, shown.schedule
    return first, line, chain.best, chain.cost, alone.best, alone.cost, proven


def _tiny(*, people: bool) -> Instance:
    """Three tasks on one machine, two of them alike."""
    crew = (Operator(id="o", shifts=(Shift(start=0, end=100, overtime_end=100),)),) if people else ()
    table = SetupTable(from_none=(1, 1), by_target=(2, 2))
    states = {"a": 0, "b": 1, "c": 0}
    return Instance(
        name="tiny",
        horizon=100,
        setup_parts=(SetupPart(name="colour", tables=(table,)),) if people else (),
        machines=(Machine(id="m", tables=(0,), initial=(None,)) if people else Machine(id="m"),),
        operators=crew,
        jobs=tuple(Job(id=name, due=None if people else 1) for name in states),
        tasks=tuple(
            Task(
                id=name,
                job=name,
                modes=(
                    Mode(
                        id="m",
                        machine="m",
                        state=(state,) if people else (),
                        operators=(("o", 3),) if people else (),
                        work=0 if people else 3,
                    ),
                ),
            )
            for name, state in states.items()
        ),
    )
