"""One function for each objective level: a linear expression that is its value when minimised."""

from __future__ import annotations

from typing import TYPE_CHECKING

from scheduler.domain.instance import MOVED_LATER, MOVED_ORDER, MOVED_PLACE, MOVED_PLATEN

if TYPE_CHECKING:
    from collections.abc import Callable

    from ortools.sat.python.cp_model import CpModel, LinearExpr

    from scheduler.domain.instance import Instance, Level
    from scheduler.engine.cpsat.variables import Variables
    from scheduler.engine.cpsat.wrappers import ShiftVar, TaskVar


def left_over(model: CpModel, variables: Variables, instance: Instance) -> LinearExpr | int:
    """Pressings of tasks left over."""
    return sum(task.task.pressings * task.left_over for task in variables.tasks)


def lateness(model: CpModel, variables: Variables, instance: Instance) -> LinearExpr | int:
    """`sum weight x late`, with `late >= e_j + cooling_j + packing - due` for each present task, and 0."""
    terms: list[LinearExpr | int] = []
    for job in instance.jobs:
        tasks = [task for task in variables.tasks if task.task.job == job.id]
        if job.due is None or not job.weight:
            continue
        if not tasks:
            terms.append(job.weight * max(0, job.ready + job.packing - job.due) if job.ready else 0)
            continue
        tail = max(task.task.cooling for task in tasks) + job.packing
        least = max(0, job.ready + job.packing - job.due) if job.ready else 0
        late = model.new_int_var(least, max(least, instance.horizon + tail - job.due), f"{job.id}.late")
        for task in tasks:
            after = task.end + (task.task.cooling + job.packing - job.due)
            model.add(late >= after).only_enforce_if(task.present)
        terms.append(job.weight * late)
    return sum(terms)


def changeover(model: CpModel, variables: Variables, instance: Instance) -> LinearExpr | int:
    """`sum max(on, off)` over the links taken."""
    links = (link for machine in variables.machines for link in machine.links)
    return sum(link.change.cost * link.literal for link in links if link.change.cost)


def changeovers(model: CpModel, variables: Variables, instance: Instance) -> LinearExpr | int:
    """Number of links taken whose changeover is above 0."""
    links = (link for machine in variables.machines for link in machine.links)
    return sum(link.literal for link in links if link.change.cost)


def overtime(model: CpModel, variables: Variables, instance: Instance) -> LinearExpr | int:
    """Ticks of `[b_j, e_j)` at or after the shift's end, breaks left out."""
    terms = [
        _after_hours(model, task, shift)
        for task in variables.tasks
        for person in task.operators
        for shift in person.shifts
        if shift.shift.overtime_end > shift.shift.end
    ]
    return sum(terms)


def _after_hours(model: CpModel, task: TaskVar, shift: ShiftVar) -> LinearExpr | int:
    """`over >= e - end` or, when all of it is after hours, `over >= e - b`; less the breaks spanned."""
    end = shift.shift.end
    name = f"{shift.literal.name}.overtime"
    over = model.new_int_var(0, shift.shift.overtime_end - end, name)
    wholly = model.new_bool_var(f"{name}.wholly")
    paused = sum(
        (pause.end - max(pause.begin, end)) * pause.spans for pause in shift.pauses if pause.end > end
    )
    model.add(task.setup_start >= end).only_enforce_if([shift.literal, wholly])
    model.add(over >= task.span - paused).only_enforce_if([shift.literal, wholly])
    model.add(over >= task.end - end - paused).only_enforce_if([shift.literal, wholly.negated()])
    return over


def finish(model: CpModel, variables: Variables, instance: Instance) -> LinearExpr | int:
    """`finish >= e_j + cooling_j + packing` for each present task."""
    packing = {job.id: job.packing for job in instance.jobs}
    tails = {task.task.id: task.task.cooling + packing[task.task.job] for task in variables.tasks}
    least = max((job.ready + job.packing for job in instance.jobs if job.ready), default=0)
    last = model.new_int_var(least, max(least, instance.horizon + max(tails.values(), default=0)), "finish")
    for task in variables.tasks:
        model.add(last >= task.end + tails[task.task.id]).only_enforce_if(task.present)
    return last


def moved(model: CpModel, variables: Variables, instance: Instance) -> LinearExpr | int:
    """Points for what stands elsewhere than on the sheets in hand."""
    minute = max(1, 60 // instance.tick_s)
    printed = {each.task for each in instance.printed}
    terms: list[LinearExpr | int] = []
    for each in instance.printed:
        task = variables.task(each.task)
        stayed = [
            option
            for option in task.options
            if (option.node.machine, option.node.mode.mate, option.operator)
            == (each.machine, each.mate, each.operator)
        ]
        there = sum(option.literal for option in stayed)
        terms.append(MOVED_PLACE * (task.carried - there))
        terms += [
            MOVED_PLATEN * option.literal
            for option in stayed
            if each.platen not in (None, option.node.mode.platen or "")
        ]
        behind = model.new_bool_var(f"{each.task}.behind another")
        same = [
            link.literal
            for node in task.nodes
            if node.machine == node.mode.machine == each.machine
            for link in node.entries
            if (None if link.before is None else link.before.task.task.id) == each.before
        ]
        model.add(behind >= there - sum(same))
        later = model.new_int_var(0, MOVED_LATER, f"{each.task}.later")
        most = model.new_bool_var(f"{each.task}.much later")
        stays = model.new_bool_var(f"{each.task}.stays")
        model.add(stays >= there)
        model.add(minute * later >= task.start - each.start - minute + 1).only_enforce_if(
            [stays, most.negated()]
        )
        model.add(later == MOVED_LATER).only_enforce_if(most)
        terms += [MOVED_ORDER * behind, 1 * later]
    for choice in instance.choices:
        tasks = dict.fromkeys(task for option in choice.options for task in option)
        if any(task in printed for task in tasks):
            terms += [MOVED_PLACE * variables.task(task).present for task in tasks if task not in printed]
    return sum(terms)


TERMS: dict[Level, Callable[[CpModel, Variables, Instance], LinearExpr | int]] = {
    "left_over": left_over,
    "lateness": lateness,
    "changeover": changeover,
    "changeovers": changeovers,
    "overtime": overtime,
    "finish": finish,
    "moved": moved,
}
