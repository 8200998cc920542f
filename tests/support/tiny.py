"""Short ways to state hand-made instances and schedules in tests."""

from __future__ import annotations

from scheduler.domain.instance import (
    Day,
    Instance,
    Job,
    Machine,
    Mode,
    Operator,
    Platen,
    SetupPart,
    SetupTable,
    Shift,
    Task,
)
from scheduler.domain.schedule import Break, Schedule, ScheduledTask, WarmUp
from scheduler.verify import check

ANN = Operator(id="Ann", shifts=(Shift(start=0, end=100, overtime_end=100),))


def way(
    machine: str = "A",
    *,
    work: int = 10,
    platen: str | None = None,
    state: tuple[int, ...] = (),
    operators: tuple[tuple[str, int], ...] = (),
    warm_up: int = 0,
) -> Mode:
    """A mode named like its machine."""
    return Mode(
        id=machine,
        machine=machine,
        work=0 if operators else work,
        platen=platen,
        state=state,
        operators=operators,
        warm_up=warm_up,
    )


def task(
    name: str,
    *modes: Mode,
    job: str = "J",
    release: int = 0,
    cooling: int = 0,
    bundles: tuple[str, ...] = (),
    pressings: int = 1,
) -> Task:
    return Task(
        id=name,
        job=job,
        release=release,
        cooling=cooling,
        bundles=bundles,
        pressings=pressings,
        modes=modes or (way(),),
    )


def instance(
    *tasks: Task,
    machines: tuple[Machine, ...] = (Machine(id="A"), Machine(id="B")),
    jobs: tuple[Job, ...] = (Job(id="J"),),
    horizon: int = 1000,
    days: tuple[Day, ...] = (),
    operators: tuple[Operator, ...] = (ANN,),
    platens: tuple[Platen, ...] = (),
    setup_parts: tuple[SetupPart, ...] = (),
    **more: object,
) -> Instance:
    """Two plain machines, one job, one operator there over [0, 100), unless said otherwise."""
    return Instance(
        name="tiny",
        horizon=horizon,
        days=days,
        machines=machines,
        platens=platens,
        setup_parts=setup_parts,
        jobs=jobs,
        operators=operators,
        tasks=tasks,
        **more,  # type: ignore[arg-type]
    )


def part(
    name: str,
    size: int,
    ticks: int,
    *,
    hands_off: bool = False,
    goes_with_platen: bool = False,
    ends_when_cold: bool = False,
) -> SetupPart:
    """A setup part with one table: `ticks` to any other of `size` values, also from none."""
    return SetupPart(
        name=name,
        hands_off=hands_off,
        goes_with_platen=goes_with_platen,
        ends_when_cold=ends_when_cold,
        tables=(SetupTable(from_none=(ticks,) * size, by_target=(ticks,) * size),),
    )


def at(
    name: str,
    start: int,
    end: int,
    *,
    setup: int = 0,
    mode: str = "A",
    by: str | None = None,
    mounts: bool = False,
) -> ScheduledTask:
    """A task pressed over [start, end), set up in the `setup` ticks before."""
    return ScheduledTask(
        task=name,
        mode=mode,
        operator=by,
        setup_start=start - setup,
        start=start,
        end=end,
        mounts_platen=mounts,
    )


def plan(
    *tasks: ScheduledTask,
    warm_ups: tuple[tuple[str, int, int], ...] = (),
    left_over: tuple[str, ...] = (),
) -> Schedule:
    return Schedule(
        tasks=tasks,
        warm_ups=tuple(WarmUp(machine=name, start=start, end=end) for name, start, end in warm_ups),
        left_over=left_over,
    )


def breaks(problem: Instance, schedule: Schedule) -> tuple[Break, ...]:
    return check(problem, schedule).breaks


def one_break(problem: Instance, obeys: Schedule, breaks_it: Schedule) -> tuple[str, int, str]:
    """Rule, amount and message of the only break of a schedule whose neighbour has none."""
    assert breaks(problem, obeys) == ()
    found = breaks(problem, breaks_it)
    assert len(found) == 1, [each.message for each in found]
    return found[0].rule, found[0].amount, found[0].message
