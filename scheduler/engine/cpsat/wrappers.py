"""What the variables of the model are called: small named wrappers, so that rules never dig in dicts."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import TYPE_CHECKING

from ortools.sat.python import cp_model

if TYPE_CHECKING:
    from collections.abc import Callable

    from scheduler.domain.instance import Day, Machine, Mode, Operator, Shift, Task
    from scheduler.engine.cpsat.changes import Change


@dataclass(frozen=True, slots=True, kw_only=True)
class Scope:
    """What a model leaves open; everything where an attribute is None.

    Attributes
    ----------
    options
        By task: (mode, operator) pairs that stay possible; a task that isn't named keeps all.
    shifts
        By task: the starts of the shifts that stay possible.
    follows
        By (task before, task after): whether the second may come right behind the first on a machine;
        before None: whether it may be the machine's first.
    earliest, latest
        By task: a start before which, and an end after which, it is known not to be worth trying.
    done, undone
        Tasks that are carried out and scheduled, and tasks that are not scheduled.
    all_mountings
        Also offer to mount a platen that is there anyway where that never helps. Needed to accept
        schedules that do it, waste of time in a search.
    """

    options: dict[str, frozenset[tuple[str, str | None]]] | None = None
    shifts: dict[str, frozenset[int]] | None = None
    follows: Callable[[str | None, str], bool] | None = None
    earliest: dict[str, int] = field(default_factory=dict)
    latest: dict[str, int] = field(default_factory=dict)
    done: frozenset[str] = frozenset()
    undone: frozenset[str] = frozenset()
    all_mountings: bool = False


@dataclass(slots=True, kw_only=True)
class PauseVar:
    """A break of a shift as one task meets it: ends before it, spans it, or (neither) begins after."""

    begin: int
    end: int
    before: cp_model.IntVar
    spans: cp_model.IntVar


@dataclass(slots=True, kw_only=True)
class ShiftVar:
    """One task done in one shift of one operator."""

    shift: Shift
    literal: cp_model.IntVar
    pauses: tuple[PauseVar, ...]


@dataclass(slots=True, kw_only=True)
class OperatorVar:
    """One task done by one operator, over [setup_start, end) of the task."""

    operator: Operator
    literal: cp_model.IntVar
    interval: cp_model.IntervalVar
    shifts: tuple[ShiftVar, ...]


@dataclass(slots=True, kw_only=True)
class DayVar:
    """One task done in one heating day."""

    number: int
    day: Day
    literal: cp_model.IntVar


@dataclass(slots=True, kw_only=True, eq=False)
class NodeVar:
    """One task in one mode at one machine: a place that the machine's sequence may visit.

    Attributes
    ----------
    machine, warm_up
        Of a mode that holds two machines there is a node at each, with the same literal.
    entries
        The links that lead to it.
    cold, warm_up_start
        Whether its machine is heated for it, and from when; None when that can't be.
    """

    task: TaskVar
    mode: Mode
    machine: str
    warm_up: int
    literal: cp_model.IntVar
    interval: cp_model.IntervalVar
    entries: list[LinkVar] = field(default_factory=list)
    cold: cp_model.IntVar | None = None
    warm_up_start: cp_model.IntVar | None = None


@dataclass(slots=True, kw_only=True)
class OptionVar:
    """One task in one mode by one operator (None where nobody is needed)."""

    node: NodeVar
    operator: str | None
    work: int
    literal: cp_model.IntVar


@dataclass(slots=True, kw_only=True, eq=False)
class TaskVar:
    """Everything about one task.

    Attributes
    ----------
    nodes
        Of a mode that holds two machines that at its first one comes right before the other.
    carried
        1 when the plan's options take the task; scheduled or left over then.
    length, span
        Ticks of [start, end) and of [setup_start, end).
    """

    task: Task
    carried: cp_model.LinearExpr | int
    present: cp_model.IntVar
    setup_start: cp_model.IntVar
    start: cp_model.IntVar
    end: cp_model.IntVar
    length: cp_model.IntVar
    span: cp_model.IntVar
    nodes: tuple[NodeVar, ...] = ()
    options: tuple[OptionVar, ...] = ()
    operators: tuple[OperatorVar, ...] = ()
    days: tuple[DayVar, ...] = ()

    @property
    def left_over(self) -> cp_model.LinearExpr:
        """1 when it is carried out and not scheduled."""
        return -self.present + self.carried


@dataclass(slots=True, kw_only=True, eq=False)
class LinkVar:
    """`after` comes right behind `before` on their machine, in one of the ways that differ in set-up.

    Attributes
    ----------
    before
        None: `after` is the machine's first run.
    mounts
        The platen is mounted for `after`.
    cold
        First of its day on the machine.
    """

    before: NodeVar | None
    after: NodeVar
    mounts: bool
    cold: bool
    change: Change
    literal: cp_model.IntVar


@dataclass(slots=True, kw_only=True)
class MachineVar:
    """The sequence on one machine.

    Attributes
    ----------
    idle
        True when the machine does nothing at all. None when no set-up, platen or warm-up hangs on the
        order there: then there are no links either.
    lasts
        For each node, whether it is the last on the machine.
    """

    machine: Machine
    nodes: tuple[NodeVar, ...]
    links: tuple[LinkVar, ...] = ()
    lasts: tuple[cp_model.IntVar, ...] = ()
    idle: cp_model.IntVar | None = None
