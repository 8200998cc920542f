"""What the engine is given: whole numbers and ids, no garment, no spreadsheet, no clock.

Every time is a whole number of ticks from tick 0 (midnight at the start of the planned day);
intervals are half-open, [start, end). The rules that a schedule must obey are stated in
`docs/model.md`; each has a decoder step, a CP-SAT constraint and an independent check.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

Level = Literal["left_over", "lateness", "moved", "changeover", "changeovers", "overtime", "finish"]

LEVELS: tuple[Level, ...] = (
    "left_over",
    "lateness",
    "changeover",
    "changeovers",
    "overtime",
    "finish",
)
"""The objective levels of a day, most important first; each keeps what those before it reached."""

LEVELS_AGAIN: tuple[Level, ...] = ("left_over", "lateness", "moved", *LEVELS[2:])
"""The same when sheets are in hand: what is printed moves only where that saves lateness."""

MOVED_PLACE, MOVED_PLATEN, MOVED_ORDER, MOVED_LATER = 1000, 200, 100, 99
"""Points of level `moved` for a printed task: at another machine or with another person, on another kind of
platen, behind another task at its machine, and at most for a later start, one a minute."""
# Another platen takes what another order takes, a new sheet, and besides it a walk to the rack and garments
# laid another way: twice the points. All that can change at its own place, 399, stays below another place,
# which takes two new sheets, and garments and transfers carried over.


@dataclass(frozen=True, slots=True, kw_only=True)
class Day:
    """A stretch in which presses may be heated; every press is cold when it begins."""

    start: int
    end: int

    def __post_init__(self) -> None:
        if not self.start < self.end:
            raise ValueError(f"day [{self.start}, {self.end}) is empty")


@dataclass(frozen=True, slots=True, kw_only=True)
class SetupTable:
    """Ticks to change one part of a machine's state to a value.

    Attributes
    ----------
    from_none
        By target value: ticks when the machine holds no known value (first run, platen given up).
    by_target
        By target value: ticks from any other value. Used when `ticks` is empty.
    ticks
        Full table, `ticks[a][b]`: from value a to value b; the diagonal counts too.
    """

    from_none: tuple[int, ...]
    by_target: tuple[int, ...] = ()
    ticks: tuple[tuple[int, ...], ...] = ()

    def __post_init__(self) -> None:
        size = len(self.from_none)
        if bool(self.by_target) == bool(self.ticks) and size:
            raise ValueError("a setup table has either by_target or ticks")
        if self.by_target and len(self.by_target) != size:
            raise ValueError(f"by_target has {len(self.by_target)} values, from_none has {size}")
        if self.ticks and (len(self.ticks) != size or any(len(row) != size for row in self.ticks)):
            raise ValueError(f"the table of ticks is not {size} x {size}")
        for row in (self.from_none, self.by_target, *self.ticks):
            if any(value < 0 for value in row):
                raise ValueError("a setup time is negative")

    def change(self, before: int | None, after: int) -> int:
        """Ticks from value `before` (None: no known value) to value `after`."""
        if before is None:
            return self.from_none[after]
        if self.ticks:
            return self.ticks[before][after]
        return 0 if before == after else self.by_target[after]


@dataclass(frozen=True, slots=True, kw_only=True)
class SetupPart:
    """One part of a machine's state (platen, pressure, artwork, temperature) and its tables.

    Hands-on parts add up and are done by the run's operator right before the run; hands-off
    parts add up and run from the end of the machine's last run, with nobody there.

    Attributes
    ----------
    hands_off
        True when nobody need be at the machine.
    goes_with_platen
        True when the value is lost once the machine gives up its platen.
    ends_when_cold
        True when a cold machine pays its warm-up in place of this part.
    """

    name: str
    hands_off: bool = False
    goes_with_platen: bool = False
    ends_when_cold: bool = False
    tables: tuple[SetupTable, ...]

    def __post_init__(self) -> None:
        if not self.tables:
            raise ValueError(f"setup part {self.name} has no table")
        if len({len(table.from_none) for table in self.tables}) != 1:
            raise ValueError(f"the tables of setup part {self.name} differ in size")


@dataclass(frozen=True, slots=True, kw_only=True)
class Circuit:
    """An electrical circuit: machines warming up on it at one time take `limit_w` at most."""

    id: str
    limit_w: int


@dataclass(frozen=True, slots=True, kw_only=True)
class Machine:
    """A press: one run at a time.

    Attributes
    ----------
    tables
        For each setup part of the instance, which of its tables holds here.
    initial
        For each setup part, the value at tick 0; None when there is none.
    mounted
        Platen kind on the machine at tick 0; None when there is none.
    circuit, watts
        Where it is plugged in and what it draws while it warms up; no circuit, no limit.
    free_from
        Tick until which it is busy with what was begun before this instance; its platen is too.
        `initial` is its state then.
    hot
        It has run in the first day already: no task of that day is cold there.
    warming
        The warm-up of the first day that was begun before the instance, or that what is under way
        waits for, with its draw on the circuit over that stretch; None when there is none. Of a
        machine that is not hot, its warm-up of that day began at the first tick of it.
    """

    id: str
    tables: tuple[int, ...] = ()
    initial: tuple[int | None, ...] = ()
    mounted: str | None = None
    circuit: str | None = None
    watts: int = 0
    free_from: int = 0
    hot: bool = False
    warming: tuple[int, int] | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Platen:
    """A kind of interchangeable lower plate, owned `count` times."""

    id: str
    count: int


@dataclass(frozen=True, slots=True, kw_only=True)
class Shift:
    """A stretch of presence of one operator.

    Attributes
    ----------
    start, end
        Paid hours.
    overtime_end
        Work may go on until here; ticks of work after `end` count as overtime.
    breaks
        Disjoint, sorted, inside [start, overtime_end). A run pauses over them.
    """

    start: int
    end: int
    overtime_end: int
    breaks: tuple[tuple[int, int], ...] = ()

    def __post_init__(self) -> None:
        if not self.start <= self.end <= self.overtime_end or self.start == self.overtime_end:
            raise ValueError(f"shift [{self.start}, {self.end}, {self.overtime_end}) is not in order")
        at = self.start
        for first, last in self.breaks:
            if not at <= first < last <= self.overtime_end:
                raise ValueError(
                    f"break [{first}, {last}) does not fit shift [{self.start}, {self.overtime_end})"
                )
            at = last


@dataclass(frozen=True, slots=True, kw_only=True)
class Operator:
    """A person: at one machine at a time, within shifts that are disjoint and sorted."""

    id: str
    shifts: tuple[Shift, ...]

    def __post_init__(self) -> None:
        for a, b in zip(self.shifts, self.shifts[1:], strict=False):
            if b.start < a.overtime_end:
                raise ValueError(f"the shifts of operator {self.id} overlap at tick {b.start}")


@dataclass(frozen=True, slots=True, kw_only=True)
class Mode:
    """One way to do a task.

    Attributes
    ----------
    state
        For each setup part, the value that the task needs.
    work
        Ticks of pressing without an operator; only read when `operators` is empty.
    operators
        Who may do it and the ticks of pressing at that person's pace; empty: nobody is needed.
    warm_up
        Ticks from cold until the machine is hot enough.
    mate, mate_warm_up
        A second machine that is held over the same time, in the same state, with a platen of the
        same kind of its own: one operator at two presses side by side. None: one machine.
    """

    id: str
    machine: str
    platen: str | None = None
    state: tuple[int, ...] = ()
    work: int = 0
    operators: tuple[tuple[str, int], ...] = ()
    warm_up: int = 0
    mate: str | None = None
    mate_warm_up: int = 0

    @property
    def places(self) -> tuple[tuple[str, int], ...]:
        """The machines that it holds, each with its warm-up."""
        first = (self.machine, self.warm_up)
        return (first,) if self.mate is None else (first, (self.mate, self.mate_warm_up))


@dataclass(frozen=True, slots=True, kw_only=True)
class Task:
    """A run, or a lot of one.

    Attributes
    ----------
    release
        Pressing may not start earlier; setting up may.
    cooling
        Ticks after the end during which its garments may not be pressed again or packed.
    bundles
        The garments it holds; two tasks that share a bundle never overlap.
    pressings
        What leaving it over costs at the first level: pieces times placements.
    """

    id: str
    job: str
    release: int = 0
    cooling: int = 0
    bundles: tuple[str, ...] = ()
    pressings: int = 1
    modes: tuple[Mode, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Choice:
    """Alternatives: the tasks of exactly one option are carried out, those of the others never."""

    id: str
    options: tuple[tuple[str, ...], ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Precedence:
    """`after` starts when `before` has ended and cooled; binds only when both are carried out.

    When `before` is carried out but left over, `after` is left over too.
    """

    before: str
    after: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Job:
    """An order: complete `packing` ticks after its last task has ended and cooled.

    `due` is soft; None means that it can't be late.

    Attributes
    ----------
    ready
        When what was pressed of it before this instance has ended and cooled.
    """

    id: str
    due: int | None = None
    weight: int = 1
    packing: int = 0
    ready: int = 0


@dataclass(frozen=True, slots=True, kw_only=True)
class Printed:
    """Where a task stands on the sheets that people have in hand, for level `moved`.

    Attributes
    ----------
    before
        The task right before it on its machine; None when it is the first there.
    mate
        The second machine of its mode.
    platen
        The platen kind of its mode, empty where it needs none; None: not told, so any kind is as printed.
    """

    task: str
    machine: str
    operator: str | None
    before: str | None
    start: int
    mate: str | None = None
    platen: str | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Instance:
    """A whole scheduling problem. See the module's text for the conventions.

    What remains of a day that has begun is an instance too: its first day begins at the moment of
    planning again, shifts are cut there, and machines, jobs and releases say what was done before.

    Raises
    ------
    ValueError
        When an id is unknown or doubled, or a number is out of range; names the object.
    """

    name: str
    horizon: int
    tick_s: int = 6
    days: tuple[Day, ...] = ()
    setup_parts: tuple[SetupPart, ...] = ()
    machines: tuple[Machine, ...]
    platens: tuple[Platen, ...] = ()
    circuits: tuple[Circuit, ...] = ()
    operators: tuple[Operator, ...] = ()
    jobs: tuple[Job, ...]
    tasks: tuple[Task, ...]
    choices: tuple[Choice, ...] = ()
    precedences: tuple[Precedence, ...] = ()
    levels: tuple[Level, ...] = LEVELS
    printed: tuple[Printed, ...] = ()

    def __post_init__(self) -> None:
        from scheduler.domain.instance_check import check_instance

        check_instance(self)

    @property
    def heating_days(self) -> tuple[Day, ...]:
        """The days; one over the whole horizon when none is stated."""
        return self.days or (Day(start=0, end=max(1, self.horizon)),)

    @property
    def working_days(self) -> tuple[Day, ...]:
        """The heating days, those that touch as one: between them nobody is in for a while, on one date."""
        joined: list[Day] = []
        for day in self.heating_days:
            if joined and joined[-1].end == day.start:
                joined[-1] = Day(start=joined[-1].start, end=day.end)
            else:
                joined.append(day)
        return tuple(joined)
