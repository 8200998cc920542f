"""What an Instance must be to be stated at all: ids known and not doubled, no ring, numbers in range."""

from __future__ import annotations

from collections import Counter, defaultdict
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from scheduler.domain.instance import Instance

MOST_TICKS = 1 << 32
"""Longest time; 800 years of a shop's ticks."""

MOST_LATE = 1 << 40
"""Most that all orders may count together when they are late to the horizon.

The search reckons in 64 bits: with some 160 for a late tick, times a temperature of 13 bits.
"""

GREATEST = 1 << 60
"""Greatest weight or watts: what is only compared and added up fits 64 bits too."""

MOST_PRESSINGS = 1 << 28
"""Most pressings; what is left over counts a million each there."""


def check_instance(instance: Instance) -> None:
    """Find what is wrong with an instance.

    Raises
    ------
    ValueError
        With the first thing that is wrong; names the object.
    """
    if instance.horizon < 0:
        raise ValueError(f"horizon {instance.horizon} is negative")
    if instance.tick_s < 1:
        raise ValueError(f"a tick of {instance.tick_s} s is too short")
    if not instance.levels or len(set(instance.levels)) != len(instance.levels):
        raise ValueError(f"levels {instance.levels} are none or doubled")
    if "left_over" not in instance.levels:
        raise ValueError(f"levels {instance.levels} lack left_over: nothing would have to be done")
    for day, later in zip(instance.days, instance.days[1:], strict=False):
        if later.start < day.end:
            raise ValueError(f"days overlap at tick {later.start}")
    ids = {
        "machine": [m.id for m in instance.machines],
        "platen": [p.id for p in instance.platens],
        "circuit": [c.id for c in instance.circuits],
        "operator": [o.id for o in instance.operators],
        "job": [j.id for j in instance.jobs],
        "task": [t.id for t in instance.tasks],
    }
    for what, names in ids.items():
        doubled = [name for name, times in Counter(names).items() if times > 1]
        if doubled:
            raise ValueError(f"{what} {doubled[0]} is there twice")
    known = {what: set(names) for what, names in ids.items()}

    def need(what: str, name: str | None, by: str) -> None:
        if name is not None and name not in known[what]:
            raise ValueError(f"{by} names {what} {name}, which is not there")

    parts = instance.setup_parts
    for machine in instance.machines:
        need("platen", machine.mounted, f"machine {machine.id}")
        need("circuit", machine.circuit, f"machine {machine.id}")
        if len(machine.tables) != len(parts) or len(machine.initial) != len(parts):
            raise ValueError(
                f"machine {machine.id} needs a table and an initial value for {len(parts)} setup parts"
            )
        for part, table in zip(parts, machine.tables, strict=True):
            if not 0 <= table < len(part.tables):
                raise ValueError(f"machine {machine.id}: setup part {part.name} has no table {table}")
    mounted = Counter(machine.mounted for machine in instance.machines if machine.mounted)
    for platen in instance.platens:
        if mounted[platen.id] > platen.count:
            raise ValueError(
                f"platen {platen.id} is mounted {mounted[platen.id]} times, {platen.count} are owned"
            )
    begins = instance.heating_days[0].start
    for machine in instance.machines:
        if machine.free_from < 0:
            raise ValueError(f"machine {machine.id} is free from {machine.free_from}, before tick 0")
        first, last = machine.warming or (0, 0)
        if not 0 <= first <= last or (machine.warming and not machine.hot and first >= begins):
            raise ValueError(f"machine {machine.id} warms up over [{first}, {last}), not begun by {begins}")
    for circuit in instance.circuits:
        for machine in instance.machines:
            if machine.circuit == circuit.id and machine.watts > circuit.limit_w:
                raise ValueError(f"machine {machine.id} alone draws more than circuit {circuit.id} may carry")
    for job in instance.jobs:
        if job.weight < 0 or job.packing < 0 or job.ready < 0:
            raise ValueError(f"job {job.id} has a negative weight, packing time or ready tick")
    for task in instance.tasks:
        need("job", task.job, f"task {task.id}")
        if task.release < 0 or task.cooling < 0 or task.pressings < 1:
            raise ValueError(f"task {task.id} has a negative release or cooling time, or no pressings")
        if not task.modes:
            raise ValueError(f"task {task.id} has no mode")
        if len(set(task.bundles)) != len(task.bundles):
            raise ValueError(f"task {task.id} names a bundle twice: {', '.join(task.bundles)}")
        for mode in task.modes:
            by = f"task {task.id}, mode {mode.id}"
            need("machine", mode.machine, by)
            need("machine", mode.mate, by)
            if mode.mate == mode.machine:
                raise ValueError(f"{by} holds machine {mode.machine} twice")
            need("platen", mode.platen, by)
            if len(mode.state) != len(parts):
                raise ValueError(f"{by} gives {len(mode.state)} of {len(parts)} setup values")
            for part, value in zip(parts, mode.state, strict=True):
                if not 0 <= value < len(part.tables[0].from_none):
                    raise ValueError(f"{by}: setup part {part.name} has no value {value}")
            if min(mode.work, mode.warm_up, mode.mate_warm_up) < 0 or any(
                work < 0 for _, work in mode.operators
            ):
                raise ValueError(f"{by} has a negative time")
            for operator, _ in mode.operators:
                need("operator", operator, by)
    chosen = Counter(
        task for choice in instance.choices for task in {t for option in choice.options for t in option}
    )
    for choice in instance.choices:
        if not choice.options:
            raise ValueError(f"choice {choice.id} has no option: one of them is to be carried out")
        for option in choice.options:
            if not option:
                raise ValueError(f"an option of choice {choice.id} names no task")
            if len(set(option)) != len(option):
                raise ValueError(f"an option of choice {choice.id} names a task twice: {', '.join(option)}")
    for task_id, times in chosen.items():
        need("task", task_id, "a choice")
        if times > 1:
            raise ValueError(f"task {task_id} is in {times} choices")
    for pair in instance.precedences:
        need("task", pair.before, "a precedence")
        need("task", pair.after, "a precedence")
    ring = _ring(instance)
    if ring:
        raise ValueError(f"task {ring[0]} waits for itself: {' before '.join(ring)}")
    _in_range(instance)
    doubled = [name for name, times in Counter(each.task for each in instance.printed).items() if times > 1]
    if doubled:
        raise ValueError(f"task {doubled[0]} is printed twice")
    for each in instance.printed:
        need("task", each.task, "a printed task")
        need("task", each.before, f"printed task {each.task}")
        need("machine", each.machine, f"printed task {each.task}")
        need("machine", each.mate, f"printed task {each.task}")
        need("platen", each.platen or None, f"printed task {each.task}")


def _ring(instance: Instance) -> list[str]:
    """Tasks that each come before the next, the last of them the first again; empty when there are none."""
    after: dict[str, list[str]] = defaultdict(list)
    waiting = Counter(pair.after for pair in instance.precedences)
    for pair in instance.precedences:
        after[pair.before].append(pair.after)
    free = [name for name in after if not waiting[name]]
    while free:
        for name in after[free.pop()]:
            waiting[name] -= 1
            if not waiting[name]:
                free.append(name)
    before = {pair.after: pair.before for pair in instance.precedences if waiting[pair.before]}
    left = [name for name in before if waiting[name]]
    if not left:
        return []
    # Whatever is left waits for something that is left: going back long enough one is in a ring.
    trail = [left[0]]
    while trail[-1] not in trail[:-1]:
        trail.append(before[trail[-1]])
    return trail[trail.index(trail[-1]) :][::-1]


def _in_range(instance: Instance) -> None:
    """Whole numbers are of any size here, but not where the search reckons with them."""

    def most(by: str, *ticks: int) -> None:
        for tick in ticks:
            if abs(tick) > MOST_TICKS:
                raise ValueError(f"{by} has a time of {tick} ticks; {MOST_TICKS} are the most")

    def fits(by: str, number: int) -> None:
        if number > GREATEST:
            raise ValueError(f"{by} is {number}; {GREATEST} is the most")

    most("the horizon", instance.horizon)
    for day in instance.days:
        most("a day", day.start, day.end)
    for person in instance.operators:
        for shift in person.shifts:
            most(f"operator {person.id}", shift.start, shift.overtime_end)
    for circuit in instance.circuits:
        fits(f"the limit of circuit {circuit.id}", circuit.limit_w)
    for each in instance.printed:
        most(f"printed task {each.task}", each.start)
    for part in instance.setup_parts:
        for table in part.tables:
            for row in (table.from_none, table.by_target, *table.ticks):
                most(f"setup part {part.name}", 0, *row)
    for machine in instance.machines:
        most(f"machine {machine.id}", machine.free_from, *(machine.warming or ()))
        fits(f"the draw of machine {machine.id}", machine.watts)
    cooling: dict[str, int] = {}
    for task in instance.tasks:
        most(f"task {task.id}", task.release, task.cooling)
        for mode in task.modes:
            works = (work for _, work in mode.operators)
            most(f"task {task.id}, mode {mode.id}", mode.work, mode.warm_up, mode.mate_warm_up, *works)
        cooling[task.job] = max(task.cooling, cooling.get(task.job, 0))
    late: dict[str, int] = {}
    for job in instance.jobs:
        most(f"job {job.id}", job.packing, job.ready, job.due or 0)
        fits(f"the weight of job {job.id}", job.weight)
        if job.due is not None:
            last = max(job.ready, instance.horizon + cooling.get(job.id, 0)) + job.packing
            late[job.id] = job.weight * max(0, last - job.due)
    if sum(late.values()) > MOST_LATE:
        job_id = max(late, key=lambda name: late[name])
        raise ValueError(
            f"late to the horizon, all jobs count {sum(late.values())}, of which job {job_id} "
            f"{late[job_id]}; {MOST_LATE} are the most: lower its weight"
        )
    pressings = {task.id: task.pressings for task in instance.tasks}
    if sum(pressings.values()) > MOST_PRESSINGS:
        task_id = max(pressings, key=lambda name: pressings[name])
        raise ValueError(
            f"all tasks have {sum(pressings.values())} pressings, of which task {task_id} "
            f"{pressings[task_id]}; {MOST_PRESSINGS} are the most"
        )
