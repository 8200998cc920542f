"""How small published problems are stated as instances.

Where a problem's objective is none of the levels, it is turned into one that has the same optimum:

- sum of weighted completion times: due dates of 0 make it the lateness;
- largest lateness: packing takes `K - due`, so that the finish is `K + Lmax`;
- hard deadlines: each job has an operator of its own, whose shift ends at the deadline;
- number of late jobs: a job that can't meet its deadline is left over and counts 1;
- a run that may not pause: the hours before and after the break are two shifts;
- a closed tour: the machine begins in the first state, and a last run needs that state again.

Not stated, because an instance can't: preemptive schedules (McNaughton's rule), and sums of
lateness and setup time in one objective.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from scheduler.domain.instance import (
    Instance,
    Job,
    Level,
    Machine,
    Mode,
    Operator,
    Precedence,
    SetupPart,
    SetupTable,
    Shift,
    Task,
)

Table = tuple[tuple[int, ...], ...]

PINEDO = "M. Pinedo, Scheduling: Theory, Algorithms, and Systems, 4th ed. 2012"
WINSTON = "W. Winston, Operations Research, 4th ed., sect. 9.6"
OWN = "made for this project, best value by enumeration"


@dataclass(frozen=True, slots=True, kw_only=True)
class Case:
    """A problem and its best values.

    Attributes
    ----------
    expected
        Best value by level, in the order of the instance's levels; all of them.
    source
        Where input and value come from; "from memory" where no copy was seen.
    """

    name: str
    instance: Instance
    expected: dict[Level, int]
    source: str


def shop(
    work: Sequence[int],
    *,
    due: Sequence[int | None] | int | None = None,
    weight: Sequence[int] | None = None,
    release: Sequence[int] | None = None,
    machines: int = 1,
    setups: Table | None = None,
    first: Sequence[int] | None = None,
    families: Sequence[int] | None = None,
    initial: int | None = None,
    warm_up: int = 0,
    before: Iterable[tuple[int, int]] = (),
    operators: Sequence[Operator] = (),
    by: Sequence[str] | None = None,
    packing: Sequence[int] | None = None,
    horizon: int | None = None,
    levels: tuple[Level, ...] = ("left_over", "lateness"),
) -> Instance:
    """Jobs of one task each on machines that are all alike. Jobs are numbered from 1.

    Parameters
    ----------
    setups, first
        Setup table by family, and setups before a first job; families are the jobs if not given.
    before
        Pairs of job numbers: the first ends before the second starts.
    by
        Operator of each job.
    """
    count = len(work)
    numbers = range(count)
    dues = tuple(due) if isinstance(due, Sequence) else (due,) * count
    states = tuple(families) if families is not None else tuple(numbers)
    parts: tuple[SetupPart, ...] = ()
    if setups is not None:
        table = SetupTable(from_none=tuple(first or (0,) * len(setups)), ticks=setups)
        parts = (SetupPart(name="job", tables=(table,)),)
    longest_setup = max((value for row in (*(setups or ()), first or ()) for value in row), default=0)
    safe = max(release or (0,)) + sum(work) + count * longest_setup + warm_up
    return Instance(
        name="case",
        horizon=safe if horizon is None else horizon,
        tick_s=1,
        setup_parts=parts,
        machines=tuple(
            Machine(id=f"M{m}", tables=(0,) * len(parts), initial=(initial,) * len(parts))
            for m in range(1, machines + 1)
        ),
        operators=tuple(operators),
        jobs=tuple(
            Job(
                id=str(n + 1),
                due=dues[n],
                weight=weight[n] if weight else 1,
                packing=packing[n] if packing else 0,
            )
            for n in numbers
        ),
        tasks=tuple(
            Task(
                id=str(n + 1),
                job=str(n + 1),
                release=release[n] if release else 0,
                modes=tuple(
                    Mode(
                        id=f"M{m}",
                        machine=f"M{m}",
                        state=(states[n],) if parts else (),
                        work=0 if by else work[n],
                        operators=((by[n], work[n]),) if by else (),
                        warm_up=warm_up,
                    )
                    for m in range(1, machines + 1)
                ),
            )
            for n in numbers
        ),
        precedences=tuple(Precedence(before=str(a), after=str(b)) for a, b in before),
        levels=levels,
    )


def routes(jobs: Sequence[Sequence[tuple[int, int]]], machines: int) -> Instance:
    """A job shop: for each job its operations (machine, duration) in order; makespan."""
    return Instance(
        name="case",
        horizon=sum(work for job in jobs for _, work in job),
        tick_s=1,
        machines=tuple(Machine(id=f"M{m}") for m in range(machines)),
        jobs=tuple(Job(id=str(n)) for n in range(1, len(jobs) + 1)),
        tasks=tuple(
            Task(id=f"{n}.{k}", job=str(n), modes=(Mode(id=f"M{m}", machine=f"M{m}", work=work),))
            for n, job in enumerate(jobs, 1)
            for k, (m, work) in enumerate(job, 1)
        ),
        precedences=tuple(
            Precedence(before=f"{n}.{k}", after=f"{n}.{k + 1}")
            for n, job in enumerate(jobs, 1)
            for k in range(1, len(job))
        ),
        levels=("left_over", "finish"),
    )


def flow(*by_machine: Sequence[int]) -> Instance:
    """A flow shop from the durations machine by machine."""
    return routes([list(enumerate(job)) for job in zip(*by_machine, strict=True)], len(by_machine))


def deadlines(limits: Sequence[int]) -> tuple[Operator, ...]:
    """An operator for each job, gone at its deadline."""
    return tuple(
        Operator(id=f"until {n}", shifts=(Shift(start=0, end=limit, overtime_end=limit),))
        for n, limit in enumerate(limits, 1)
    )


def limited(work: Sequence[int], limits: Sequence[int], **more: object) -> Instance:
    """Jobs that must end by their deadline or be left over."""
    people = deadlines(limits)
    return shop(work, operators=people, by=[person.id for person in people], **more)  # type: ignore[arg-type]


def crewed(work: Sequence[int], *shifts: Shift) -> Instance:
    """Jobs of one operator; makespan."""
    return shop(
        work,
        operators=(Operator(id="Ann", shifts=shifts),),
        by=["Ann"] * len(work),
        horizon=max(shift.overtime_end for shift in shifts),
        levels=("left_over", "finish"),
    )


def lmax(work: Sequence[int], due: Sequence[int], release: Sequence[int] | None = None) -> Instance:
    latest = max(due)
    return shop(work, release=release, packing=[latest - d for d in due], levels=("left_over", "finish"))


FINISH: tuple[Level, ...] = ("left_over", "finish")


def case(name: str, instance: Instance, values: Sequence[int], source: str) -> Case:
    return Case(
        name=name,
        instance=instance,
        expected=dict(zip(instance.levels, (0, *values), strict=True)),
        source=source,
    )
