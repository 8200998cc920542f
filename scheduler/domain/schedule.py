"""What the engine gives back, and what the independent check says of it."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, field
from enum import StrEnum

from scheduler.domain.instance import Level


@dataclass(frozen=True, slots=True, kw_only=True)
class ScheduledTask:
    """When, where and by whom a task is done. All times in ticks.

    Attributes
    ----------
    setup_start
        Begin of the hands-on part; the operator and the machine are held from here.
    start, end
        Pressing, pauses included.
    mounts_platen
        True when the platen is mounted for this run; False when it was kept from the machine's
        last run (or from tick 0), or when the mode needs none.
    mate_mounts
        The same for the second machine of a mode that holds two.
    """

    task: str
    mode: str
    operator: str | None = None
    setup_start: int
    start: int
    end: int
    mounts_platen: bool = False
    mate_mounts: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class WarmUp:
    """A machine heating from cold over [start, end)."""

    machine: str
    start: int
    end: int


@dataclass(frozen=True, slots=True, kw_only=True)
class Schedule:
    """A whole answer: tasks in no particular order, warm-ups, and tasks left over.

    `left_over` names tasks of chosen options (or of no choice) that are not done.
    """

    tasks: tuple[ScheduledTask, ...]
    warm_ups: tuple[WarmUp, ...] = ()
    left_over: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class Break:
    """One rule broken by a schedule, with how much.

    Attributes
    ----------
    rule
        Name of the rule, the same as that of its constraint.
    tasks
        The tasks concerned.
    at
        Tick of the break.
    amount
        Size of the break, in ticks unless the message says otherwise.
    """

    rule: str
    tasks: tuple[str, ...]
    machine: str | None = None
    at: int = 0
    amount: int = 0
    message: str


@dataclass(frozen=True, slots=True, kw_only=True)
class LevelValue:
    """Cost at one objective level, and what is known of it.

    `value` and `bound` are in the level's own unit: pressings, weighted ticks, ticks, a count.
    `bound` holds among plans that keep the levels before; `proven` means that nothing better is.
    """

    name: Level
    value: int
    bound: int = 0
    proven: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class Verdict:
    """The independent check's answer: every break, and the cost recomputed from the rules."""

    breaks: tuple[Break, ...]
    values: dict[Level, int]
    late_ticks: dict[str, int] = field(default_factory=dict)
    finished: dict[str, int] = field(default_factory=dict)

    @property
    def passed(self) -> bool:
        return not self.breaks


class Status(StrEnum):
    """How a search ended."""

    PROVEN = "proven best at every level"
    FEASIBLE = "a plan, not shown to be best"
    NO_PLAN = "no plan"


def status_of(levels: Iterable[LevelValue]) -> Status:
    """What is shown of a plan by its levels: best only where every single one is proven."""
    return Status.PROVEN if all(level.proven for level in levels) else Status.FEASIBLE


@dataclass(frozen=True, slots=True, kw_only=True)
class Result:
    """What the engine returns.

    Attributes
    ----------
    schedule
        None when there is no plan; never an empty plan in its place.
    moves
        Moves tried by the local search: the effort that, with the seed, decides the plan.
    stopped_early
        True when the wall clock or the user ended the search before its effort was spent; such a
        plan need not come out the same again.
    time_limit_s
        The seconds that ended the search, when it was they and not the user; else None.
    """

    status: Status
    schedule: Schedule | None
    levels: tuple[LevelValue, ...] = ()
    seed: int = 0
    effort: str = ""
    moves: int = 0
    first_plan_s: float = 0.0
    runtime_s: float = 0.0
    stopped_early: bool = False
    time_limit_s: float | None = None
