"""Tiny shops for tests: one line a thing, everything that a test does not name is out of the way."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from scheduler.domain.instance import (
    LEVELS,
    Choice,
    Circuit,
    Day,
    Instance,
    Job,
    Level,
    Machine,
    Mode,
    Operator,
    Platen,
    Precedence,
    SetupPart,
    SetupTable,
    Shift,
    Task,
)

PLATEN = SetupPart(
    name="platen", goes_with_platen=True, tables=(SetupTable(from_none=(3, 3, 3), by_target=(4, 4, 4)),)
)
HEAT = SetupPart(
    name="temperature",
    hands_off=True,
    ends_when_cold=True,
    tables=(SetupTable(from_none=(0, 0), ticks=((0, 6), (9, 0))),),
)
ARTWORK = SetupPart(
    name="artwork",
    goes_with_platen=True,
    tables=(SetupTable(from_none=(1, 1, 1, 1), by_target=(1, 1, 1, 1)),),
)


def shift(start: int, end: int, *breaks: tuple[int, int], overtime: int = 0) -> Shift:
    return Shift(start=start, end=end, overtime_end=end + overtime, breaks=breaks)


def crew(**shifts: Sequence[Shift]) -> tuple[Operator, ...]:
    return tuple(Operator(id=name, shifts=tuple(hours)) for name, hours in shifts.items())


def mode(
    work: int,
    machine: str = "m1",
    *,
    by: str | Iterable[str] = "",
    platen: str | None = None,
    state: tuple[int, ...] = (),
    warm_up: int = 0,
    id: str = "",
) -> Mode:
    """`by`: who may do it, all at the same pace; nobody is needed when empty."""
    people = (by,) if isinstance(by, str) and by else tuple(by)
    return Mode(
        id=id or f"{machine}:{platen or '-'}",
        machine=machine,
        platen=platen,
        state=state,
        work=work,
        operators=tuple((person, work) for person in people),
        warm_up=warm_up,
    )


def task(
    name: str,
    *modes: Mode,
    job: str = "",
    release: int = 0,
    cooling: int = 0,
    bundles: tuple[str, ...] = (),
    pressings: int = 1,
) -> Task:
    return Task(
        id=name,
        job=job or name,
        release=release,
        cooling=cooling,
        bundles=bundles,
        pressings=pressings,
        modes=modes,
    )


def job(name: str, due: int | None = None, weight: int = 1, packing: int = 0) -> Job:
    return Job(id=name, due=due, weight=weight, packing=packing)


def press(
    name: str = "m1",
    *,
    parts: int = 0,
    initial: tuple[int | None, ...] = (),
    mounted: str | None = None,
    circuit: str | None = None,
    watts: int = 0,
) -> Machine:
    return Machine(
        id=name,
        tables=(0,) * parts,
        initial=initial or (None,) * parts,
        mounted=mounted,
        circuit=circuit,
        watts=watts,
    )


def shop(
    *tasks: Task,
    machines: Iterable[Machine] = (),
    jobs: Iterable[Job] = (),
    operators: Iterable[Operator] = (),
    parts: tuple[SetupPart, ...] = (),
    platens: Iterable[Platen] = (),
    circuits: Iterable[Circuit] = (),
    choices: Iterable[tuple[tuple[str, ...], ...]] = (),
    precedences: Iterable[tuple[str, str]] = (),
    days: Iterable[tuple[int, int]] = (),
    horizon: int = 200,
    levels: tuple[Level, ...] = LEVELS,
) -> Instance:
    """An instance; machines and jobs that are not given are made as the tasks need them."""
    presses = tuple(machines) or tuple(
        press(name, parts=len(parts)) for name in dict.fromkeys(m.machine for t in tasks for m in t.modes)
    )
    orders = tuple(jobs)
    named = {order.id for order in orders}
    orders += tuple(job(name) for name in dict.fromkeys(t.job for t in tasks) if name not in named)
    return Instance(
        name="test",
        horizon=horizon,
        days=tuple(Day(start=start, end=end) for start, end in days),
        setup_parts=parts,
        machines=presses,
        platens=tuple(platens),
        circuits=tuple(circuits),
        operators=tuple(operators),
        jobs=orders,
        tasks=tasks,
        choices=tuple(
            Choice(id=f"choice{at}", options=tuple(tuple(option) for option in options))
            for at, options in enumerate(choices)
        ),
        precedences=tuple(Precedence(before=before, after=after) for before, after in precedences),
        levels=levels,
    )
