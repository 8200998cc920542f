"""The variables of the model.

Every variable is made here, but for those of the objective and for helpers of one rule alone.
Names are made of the instance's ids, so that a printed model can be read.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from ortools.sat.python import cp_model

from scheduler.engine.cpsat.changes import Changes, ways_to_mount
from scheduler.engine.cpsat.solver import go_on
from scheduler.engine.cpsat.wrappers import (
    DayVar,
    LinkVar,
    MachineVar,
    NodeVar,
    OperatorVar,
    OptionVar,
    PauseVar,
    Scope,
    ShiftVar,
    TaskVar,
)

if TYPE_CHECKING:
    from collections.abc import Callable

    from scheduler.domain.instance import Instance, Machine, Mode, Operator, Task


class Variables:
    """All variables of a model.

    Attributes
    ----------
    tasks
        In the instance's order; so are the machines.
    choices
        For each choice of the instance, one literal for each option.
    """

    def __init__(
        self,
        model: cp_model.CpModel,
        instance: Instance,
        scope: Scope | None = None,
        stop: Callable[[], bool] | None = None,
    ) -> None:
        self.scope = scope or Scope()
        self._stop = stop
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
            stands = [
                NodeVar(task=var, mode=mode, machine=at, warm_up=heat, literal=literal, interval=interval)
                for at, heat in mode.places
            ]
            node = stands[0]
            nodes += stands
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
        return min(self.scope.earliest.get(task.id, 0), last), last

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
        nodes = tuple(node for task in self.tasks for node in task.nodes if node.machine == machine.id)
        if not self._order_matters(machine, nodes):
            return MachineVar(machine=machine, nodes=nodes)
        links: list[LinkVar] = []
        for after in nodes:
            if self.scope.follows is None or self.scope.follows(None, after.task.task.id):
                self._link(machine, None, after, links)
            go_on(self._stop)
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
        if self._instance.printed or any(node.mode.platen is not None or node.warm_up for node in nodes):
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
        colds = (
            self._first_colds(machine, after.task) if before is None else self._colds(before.task, after.task)
        )
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
                if cold and after.warm_up and after.cold is None:
                    at = f"{end}.{machine.id}"
                    after.cold = self._model.new_bool_var(f"{at}.cold")
                    after.warm_up_start = self._model.new_int_var(0, self._instance.horizon, f"{at}.warm_up")

    def _first_colds(self, machine: Machine, after: TaskVar) -> list[bool]:
        """A machine that was hot already is not cold for a first run in the first day."""
        if not machine.hot:
            return [True]
        days = {day.number for day in after.days}
        return [cold for cold, possible in ((False, 0 in days), (True, bool(days - {0}))) if possible]

    def _colds(self, before: TaskVar, after: TaskVar) -> list[bool]:
        earlier = {day.number for day in before.days}
        later = {day.number for day in after.days}
        colds = [False] if earlier & later else []
        if earlier and later and min(earlier) < max(later):
            colds.append(True)
        return colds


def scarce_kinds(instance: Instance) -> frozenset[str]:
    """Platen kinds that more machines could hold at a time than are owned.

    What is under way on a machine holds its platen, whether or not a task could use it there.
    """
    users: dict[str, set[str]] = {}
    for machine in instance.machines:
        if machine.mounted is not None and machine.free_from > 0:
            users.setdefault(machine.mounted, set()).add(machine.id)
    for task in instance.tasks:
        for mode in task.modes:
            if mode.platen is not None:
                users.setdefault(mode.platen, set()).update(name for name, _ in mode.places)
    return frozenset(platen.id for platen in instance.platens if len(users.get(platen.id, ())) > platen.count)
