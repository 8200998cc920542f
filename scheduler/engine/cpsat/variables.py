"""The variables of the model in small named wrappers; constraint code never digs in dicts.

Every variable is made here, but for those of the objective and for helpers of one rule alone.
Names are made of the instance's ids, so that a printed model can be read.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import TYPE_CHECKING

from ortools.sat.python import cp_model

from scheduler.engine.cpsat.changes import Change, Changes, ways_to_mount

if TYPE_CHECKING:
    from collections.abc import Callable

    from scheduler.domain.instance import Day, Instance, Machine, Mode, Operator, Shift, Task


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
    """One task in one mode: a place that a machine's sequence may visit.

    Attributes
    ----------
    entries
        The links that lead to it.
    cold, warm_up_start
        Whether its machine is heated for it, and from when; None when that can't be.
    """

    task: TaskVar
    mode: Mode
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


class Variables:
    """All variables of a model.

    Attributes
    ----------
    tasks
        In the instance's order; so are the machines.
    choices
        For each choice of the instance, one literal for each option.
    """

    def __init__(self, model: cp_model.CpModel, instance: Instance, scope: Scope | None = None) -> None:
        self.scope = scope or Scope()
        self._model = model
        self._instance = instance
        self._operators = {person.id: person for person in instance.operators}
        self.choices = tuple(
            tuple(model.new_bool_var(f"{choice.id}[{at}]") for at in range(len(choice.options)))
            for choice in instance.choices
        )
        self._in_options: dict[str, list[tuple[int, int]]] = {}
        for number, choice in enumerate(instance.choices):
            for at, option in enumerate(choice.options):
                for name in dict.fromkeys(option):
                    self._in_options.setdefault(name, []).append((number, at))
        self.tasks = tuple(self._task(task) for task in instance.tasks)
        self._by_id = {each.task.id: each for each in self.tasks}
        self._changes = Changes(instance)
        self._bound_kinds = scarce_kinds(instance)
        self._before = {(pair.before, pair.after) for pair in instance.precedences}
        self.machines = tuple(self._machine(machine) for machine in instance.machines)

    def task(self, name: str) -> TaskVar:
        return self._by_id[name]

    def _task(self, task: Task) -> TaskVar:
        model, horizon = self._model, self._instance.horizon
        name = task.id
        first, last = self._hull(task)
        options = self.scope.options.get(name) if self.scope.options is not None else None
        inside = self._in_options.get(name)
        var = TaskVar(
            task=task,
            carried=1 if inside is None else sum(self.choices[number][at] for number, at in inside),
            present=model.new_bool_var(f"{name}.present"),
            setup_start=model.new_int_var(0, last, f"{name}.setup_start"),
            start=model.new_int_var(first, last, f"{name}.start"),
            end=model.new_int_var(first, last, f"{name}.end"),
            length=model.new_int_var(0, horizon, f"{name}.length"),
            span=model.new_int_var(0, horizon, f"{name}.span"),
        )
        nodes: list[NodeVar] = []
        taken: list[OptionVar] = []
        for mode in task.modes:
            who: tuple[tuple[str | None, int], ...] = mode.operators or ((None, mode.work),)
            open_to = [(op, work) for op, work in who if options is None or (mode.id, op) in options]
            if not open_to:
                continue
            literal = model.new_bool_var(f"{name}.{mode.id}")
            interval = model.new_optional_interval_var(
                var.setup_start, var.span, var.end, literal, f"{name}.on.{mode.id}"
            )
            node = NodeVar(task=var, mode=mode, literal=literal, interval=interval)
            nodes.append(node)
            for operator, work in open_to:
                chosen = literal
                if len(open_to) > 1:
                    chosen = model.new_bool_var(f"{name}.{mode.id}.{operator}")
                taken.append(OptionVar(node=node, operator=operator, work=work, literal=chosen))
        var.nodes = tuple(nodes)
        var.options = tuple(taken)
        people = dict.fromkeys(option.operator for option in taken if option.operator is not None)
        var.operators = tuple(self._operator(var, self._operators[person]) for person in people)
        var.days = self._days(var)
        return var

    def _hull(self, task: Task) -> tuple[int, int]:
        """Earliest start and latest end that are looked at; a task that is not done lies there too."""
        last = self.scope.latest.get(task.id, self._instance.horizon)
        return min(max(task.release, self.scope.earliest.get(task.id, 0)), last), last

    def _operator(self, var: TaskVar, operator: Operator) -> OperatorVar:
        model, task = self._model, var.task
        mine = [option for option in var.options if option.operator == operator.id]
        literal = mine[0].literal
        if len(mine) > 1:
            literal = model.new_bool_var(f"{task.id}.by.{operator.id}")
        interval = model.new_optional_interval_var(
            var.setup_start, var.span, var.end, literal, f"{task.id}.of.{operator.id}"
        )
        least = min(option.work for option in mine)
        first, last = self._hull(task)
        open_to = self.scope.shifts.get(task.id) if self.scope.shifts is not None else None
        fitting = [
            shift
            for shift in operator.shifts
            if max(shift.start, first) + least <= min(shift.overtime_end, last)
            and (open_to is None or shift.start in open_to)
        ]
        shifts = []
        for shift in fitting:
            name = f"{task.id}.{operator.id}@{shift.start}"
            pauses = tuple(
                PauseVar(
                    begin=begin,
                    end=end,
                    before=model.new_bool_var(f"{name}.before{begin}"),
                    spans=model.new_bool_var(f"{name}.spans{begin}"),
                )
                for begin, end in shift.breaks
            )
            shifts.append(ShiftVar(shift=shift, literal=model.new_bool_var(name), pauses=pauses))
        return OperatorVar(operator=operator, literal=literal, interval=interval, shifts=tuple(shifts))

    def _days(self, var: TaskVar) -> tuple[DayVar, ...]:
        days = list(enumerate(self._instance.heating_days))
        if len(days) == 1:
            return (DayVar(number=0, day=days[0][1], literal=var.present),)
        least = min((option.work for option in var.options), default=0)
        first, last = self._hull(var.task)
        return tuple(
            DayVar(number=at, day=day, literal=self._model.new_bool_var(f"{var.task.id}.day{at}"))
            for at, day in days
            if max(day.start, first) + least <= min(day.end, last)
        )

    def _machine(self, machine: Machine) -> MachineVar:
        nodes = tuple(node for task in self.tasks for node in task.nodes if node.mode.machine == machine.id)
        if not self._order_matters(machine, nodes):
            return MachineVar(machine=machine, nodes=nodes)
        links: list[LinkVar] = []
        for after in nodes:
            if self.scope.follows is None or self.scope.follows(None, after.task.task.id):
                self._link(machine, None, after, links)
            for before in nodes:
                if self._may_follow(before, after):
                    self._link(machine, before, after, links)
        new = self._model.new_bool_var
        return MachineVar(
            machine=machine,
            nodes=nodes,
            links=tuple(links),
            lasts=tuple(new(f"{machine.id}.last.{node.task.task.id}.{node.mode.id}") for node in nodes),
            idle=new(f"{machine.id}.idle"),
        )

    def _order_matters(self, machine: Machine, nodes: tuple[NodeVar, ...]) -> bool:
        if any(node.mode.platen is not None or node.mode.warm_up for node in nodes):
            return True
        modes = {node.mode.state: node.mode for node in nodes}
        befores: list[Mode | None] = [None, *modes.values()]
        return any(
            self._changes.between(machine, before, after, False, False).cost > 0
            for before in befores
            for after in modes.values()
        )

    def _may_follow(self, before: NodeVar, after: NodeVar) -> bool:
        first, second = before.task.task.id, after.task.task.id
        if first == second or not self._together(first, second):
            return False
        if (second, first) in self._before and min(option.work for option in after.task.options) > 0:
            return False
        return self.scope.follows is None or self.scope.follows(first, second)

    def _together(self, first: str, second: str) -> bool:
        """Whether one plan may carry out both: False for tasks of different options."""
        a, b = self._in_options.get(first), self._in_options.get(second)
        return a is None or b is None or a[0][0] != b[0][0] or bool(set(a) & set(b))

    def _link(self, machine: Machine, before: NodeVar | None, after: NodeVar, links: list[LinkVar]) -> None:
        first = None if before is None else before.mode
        colds = [True] if before is None else self._colds(before.task, after.task)
        name = f"{machine.id}.{'start' if before is None else before.task.task.id + '.' + before.mode.id}"
        for cold in colds:
            ways = ways_to_mount(machine, first, after.mode)
            changes = {way: self._changes.between(machine, first, after.mode, way, cold) for way in ways}
            if len(ways) > 1 and not self.scope.all_mountings and after.mode.platen not in self._bound_kinds:
                keep, mount = changes[False], changes[True]
                if keep.on <= mount.on and keep.off <= mount.off:
                    del changes[True]
            for mounts, change in changes.items():
                end = f"{after.task.task.id}.{after.mode.id}"
                literal = self._model.new_bool_var(f"{name}>{end}{'+' * mounts}{'*' * cold}")
                link = LinkVar(
                    before=before, after=after, mounts=mounts, cold=cold, change=change, literal=literal
                )
                links.append(link)
                after.entries.append(link)
                if cold and after.mode.warm_up and after.cold is None:
                    after.cold = self._model.new_bool_var(f"{end}.cold")
                    after.warm_up_start = self._model.new_int_var(0, self._instance.horizon, f"{end}.warm_up")

    def _colds(self, before: TaskVar, after: TaskVar) -> list[bool]:
        earlier = {day.number for day in before.days}
        later = {day.number for day in after.days}
        colds = [False] if earlier & later else []
        if earlier and later and min(earlier) < max(later):
            colds.append(True)
        return colds


def scarce_kinds(instance: Instance) -> frozenset[str]:
    """Platen kinds that more machines could hold at a time than are owned."""
    users: dict[str, set[str]] = {}
    for task in instance.tasks:
        for mode in task.modes:
            if mode.platen is not None:
                users.setdefault(mode.platen, set()).add(mode.machine)
    return frozenset(platen.id for platen in instance.platens if len(users.get(platen.id, ())) > platen.count)
