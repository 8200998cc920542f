"""From a schedule to values of the model's variables, and back."""

from __future__ import annotations

from collections import defaultdict
from typing import TYPE_CHECKING

from scheduler.domain.schedule import Schedule, ScheduledTask, WarmUp
from scheduler.engine.windows import topological

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator

    from ortools.sat.python.cp_model import IntVar

    from scheduler.domain.instance import Instance
    from scheduler.engine.cpsat.build import Model
    from scheduler.engine.cpsat.wrappers import MachineVar, NodeVar, TaskVar

Values = list[tuple["IntVar", int]]


class NotStatedError(Exception):
    """Raised when a schedule says something for which the model has no variable."""


def values_for(model: Model, schedule: Schedule) -> Values:
    """Values of the variables that a schedule fixes: what is done, how, when, behind what.

    The rest follows from them by the rules. Tasks that are not done are left without times.

    Raises
    ------
    NotStatedError
        When the model, as built, can't express the schedule.
    """
    runs = {run.task: run for run in schedule.tasks}
    known = {task.task.id for task in model.variables.tasks}
    if len(runs) < len(schedule.tasks) or not (runs.keys() | set(schedule.left_over)) <= known:
        raise NotStatedError("a task is unknown or done twice")
    left_over = set(schedule.left_over)
    if len(left_over) < len(schedule.left_over) or left_over & runs.keys():
        raise NotStatedError("a task is left over twice, or done and left over")
    chosen = {task for choice in model.instance.choices for option in choice.options for task in option}
    if known - chosen - left_over - runs.keys():
        raise NotStatedError("a task is neither done nor left over")
    values: Values = []
    used: dict[str, NodeVar] = {}
    for task in model.variables.tasks:
        run = runs.get(task.task.id)
        values.append((task.present, int(run is not None)))
        if run is not None:
            used[run.task] = _used_node(task, run)
            values += [(task.setup_start, run.setup_start), (task.start, run.start), (task.end, run.end)]
            for option in task.options:
                taken = option.node is used[run.task] and option.operator == run.operator
                values.append((option.literal, int(taken)))
    values += _choices(model, schedule)
    heated = defaultdict(list)
    for warm_up in schedule.warm_ups:
        heated[warm_up.machine].append(warm_up)
    for machine in model.variables.machines:
        stands = {
            node.task.task.id: node
            for node in machine.nodes
            if node.task.task.id in used and node.mode is used[node.task.task.id].mode
        }
        here = [run for name, run in runs.items() if name in stands]
        here.sort(key=lambda run: (run.start, run.end, run.setup_start))
        values += _sequence(model.instance, machine, here, stands)
        values += _warm_ups(machine, here, stands, heated.pop(machine.machine.id, []))
    if heated:
        raise NotStatedError("an unknown machine is heated")
    return values


def _used_node(task: TaskVar, run: ScheduledTask) -> NodeVar:
    for option in task.options:
        if option.node.mode.id == run.mode and option.operator == run.operator:
            if run.mate_mounts and option.node.mode.mate is None:
                raise NotStatedError(f"{run.task} mounts a platen on a second machine that it doesn't hold")
            return option.node
    raise NotStatedError(f"{run.task} can't be done in mode {run.mode} by {run.operator}")


def _choices(model: Model, schedule: Schedule) -> Iterator[tuple[IntVar, int]]:
    there = {run.task for run in schedule.tasks} | set(schedule.left_over)
    for choice, literals in zip(model.instance.choices, model.variables.choices, strict=True):
        members = {task for option in choice.options for task in option}
        fitting = [at for at, option in enumerate(choice.options) if set(option) == there & members]
        if not fitting:
            raise NotStatedError(f"no option of {choice.id} is carried out")
        for at, literal in enumerate(literals):
            yield literal, int(at == fitting[0])


def _mounts(run: ScheduledTask, node: NodeVar) -> bool:
    return run.mounts_platen if node.machine == node.mode.machine else run.mate_mounts


def _sequence(
    instance: Instance, machine: MachineVar, here: list[ScheduledTask], used: dict[str, NodeVar]
) -> Values:
    if machine.idle is None:
        if any(_mounts(run, used[run.task]) for run in here):
            raise NotStatedError(f"a platen is mounted on {machine.machine.id}, which needs none")
        return []
    values: Values = [(machine.idle, int(not here))]
    taken: dict[int, int] = {}
    before: NodeVar | None = None
    before_day = -1
    for run in here:
        day = sum(1 for each in instance.heating_days if each.start <= run.setup_start)
        node = used[run.task]
        cold = day != before_day if before is not None else not (machine.machine.hot and day == 1)
        found = [
            link
            for link in node.entries
            if link.before is before and link.mounts == _mounts(run, node) and link.cold == cold
        ]
        if not found:
            raise NotStatedError(f"{run.task} can't come behind what it comes behind on {machine.machine.id}")
        taken[id(found[0])] = 1
        before, before_day = node, day
    values += [(link.literal, taken.get(id(link), 0)) for link in machine.links]
    values += [(last, int(node is before)) for node, last in zip(machine.nodes, machine.lasts, strict=True)]
    return values


def _warm_ups(
    machine: MachineVar, here: list[ScheduledTask], used: dict[str, NodeVar], warm_ups: list[WarmUp]
) -> Iterator[tuple[IntVar, int]]:
    heated: dict[int, WarmUp] = {}
    for warm_up in warm_ups:
        behind = [run for run in here if run.start >= warm_up.end]
        node = used[behind[0].task] if behind else None
        if node is None or node.warm_up_start is None or id(node) in heated:
            raise NotStatedError(f"{machine.machine.id} is heated from {warm_up.start} for nothing")
        if warm_up.end - warm_up.start != node.warm_up:
            raise NotStatedError(f"{machine.machine.id} is heated for the wrong time from {warm_up.start}")
        heated[id(node)] = warm_up
        yield node.warm_up_start, warm_up.start
    for node in machine.nodes:
        if node.cold is not None:
            yield node.cold, int(id(node) in heated)


def read_schedule(model: Model, value: Callable[[IntVar], int]) -> Schedule:
    """The schedule that a solution states.

    Parameters
    ----------
    value
        Looks up a variable in the solution.
    """
    runs: dict[str, ScheduledTask] = {}
    before: dict[str, list[str]] = {}
    warm_ups: list[WarmUp] = []
    left_over: list[str] = []
    for task in model.variables.tasks:
        if not value(task.present):
            choices = _options_of(model, task.task.id)
            if not choices or any(value(literal) for literal in choices):
                left_over.append(task.task.id)
            continue
        option = next(option for option in task.options if value(option.literal))
        node = option.node
        stands = [each for each in task.nodes if each.mode is node.mode]
        mounts = [any(link.mounts and value(link.literal) for link in each.entries) for each in stands]
        runs[task.task.id] = ScheduledTask(
            task=task.task.id,
            mode=node.mode.id,
            operator=option.operator,
            setup_start=value(task.setup_start),
            start=value(task.start),
            end=value(task.end),
            mounts_platen=mounts[0],
            mate_mounts=any(mounts[1:]),
        )
        links = [link for each in stands for link in each.entries if value(link.literal)]
        before[task.task.id] = [link.before.task.task.id for link in links if link.before is not None]
        for each in stands:
            if each.cold is not None and each.warm_up_start is not None and value(each.cold):
                start = value(each.warm_up_start)
                warm_ups.append(WarmUp(machine=each.machine, start=start, end=start + each.warm_up))
    by_time = sorted(runs.values(), key=lambda run: (run.setup_start, run.start, run.end, run.task))
    # Runs of no length may share a tick: then their order in the schedule is that on their machine.
    names = topological([run.task for run in by_time], lambda name: before[name])
    return Schedule(
        tasks=tuple(runs[name] for name in names),
        warm_ups=tuple(sorted(warm_ups, key=lambda each: (each.start, each.machine))),
        left_over=tuple(left_over),
    )


def _options_of(model: Model, task: str) -> list[IntVar]:
    return [
        literal
        for choice, literals in zip(model.instance.choices, model.variables.choices, strict=True)
        for option, literal in zip(choice.options, literals, strict=True)
        if task in option
    ]
