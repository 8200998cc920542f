"""What is left of a day that has begun, as an instance of its own.

What is done or under way is folded into where the rest begins: when presses, people and garments are
free, in which state presses are, and what is ready of each order.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace

from scheduler.domain.instance import (
    LEVELS_AGAIN,
    Choice,
    Day,
    Instance,
    Machine,
    Mode,
    Operator,
    Printed,
    Shift,
    Task,
)
from scheduler.domain.schedule import Schedule, ScheduledTask
from scheduler.planning.platens import handed_over


@dataclass(frozen=True, slots=True, kw_only=True)
class Moment:
    """Where a day stands when the rest of it is planned again. All times in ticks.

    Attributes
    ----------
    now
        Nothing that is not begun starts before it.
    begun
        What is done or under way, with the times that it took or will take: facts, which need not be
        what the calendar or the setup tables say.
    warming
        By machine: the warm-up of this day that has begun, or that what is begun there waits for.
    """

    now: int
    begun: tuple[ScheduledTask, ...] = ()
    warming: tuple[tuple[str, tuple[int, int]], ...] = ()


def with_forerunners(
    instance: Instance, begun: tuple[ScheduledTask, ...], printed: Schedule
) -> tuple[ScheduledTask, ...]:
    """What is begun, and what is printed to be pressed before it on the same garments.

    A press may be set up for a run while its garments are still to be pressed elsewhere: that comes first.
    """
    tasks = {task.id: task for task in instance.tasks}
    found = {done.task: done for done in begun}
    rest = [done for done in printed.tasks if done.task not in found and done.task in tasks]
    waiting = list(begun)
    while waiting:
        later = waiting.pop()
        garments = set(tasks[later.task].bundles)
        for done in [
            one for one in rest if one.end <= later.start and garments & set(tasks[one.task].bundles)
        ]:
            found[done.task] = done
            rest.remove(done)
            waiting.append(done)
    return tuple(found.values())


def remaining(instance: Instance, moment: Moment, printed: Schedule) -> Instance:
    """The rest of a day as an instance, with the sheets in hand to stay close to.

    Parameters
    ----------
    instance
        The whole day; orders that came in since are in it already.
    printed
        The schedule on the sheets; what it names that the instance lacks is passed over.

    Raises
    ------
    ValueError
        When the day is over at that moment, or something begun is not in the instance.
    """
    days = _days(instance, moment.now)
    modes = _modes(instance)
    for done in moment.begun:
        if (done.task, done.mode) not in modes:
            raise ValueError(f"task {done.task} in mode {done.mode} is begun, but not in the instance")
    begun = sorted(moment.begun, key=lambda done: (done.start, done.end, done.setup_start))
    choices, dropped = _choices(instance, {done.task for done in begun})
    gone = dropped | {done.task for done in begun}
    tasks = _tasks(instance, begun, gone)
    open_tasks = {task.id for task in tasks}
    jobs_left = {task.job for task in tasks}
    ready = _ready(instance, begun)
    machines = _machines(instance, moment, begun, printed, modes)
    return Instance(
        name=f"{instance.name} from {moment.now}",
        horizon=instance.horizon,
        tick_s=instance.tick_s,
        days=days,
        setup_parts=instance.setup_parts,
        machines=machines,
        platens=instance.platens,
        circuits=instance.circuits,
        operators=_operators(instance.operators, moment, begun),
        jobs=tuple(
            replace(job, ready=ready.get(job.id, job.ready)) for job in instance.jobs if job.id in jobs_left
        ),
        tasks=tasks,
        choices=choices,
        precedences=tuple(
            pair for pair in instance.precedences if pair.before in open_tasks and pair.after in open_tasks
        ),
        levels=LEVELS_AGAIN,
        printed=_printed(instance, printed, open_tasks, modes),
    )


def _modes(instance: Instance) -> dict[tuple[str, str], Mode]:
    return {(task.id, mode.id): mode for task in instance.tasks for mode in task.modes}


def _days(instance: Instance, now: int) -> tuple[Day, ...]:
    left = [day for day in instance.heating_days if day.end > now]
    if not left:
        raise ValueError(f"nothing can be planned from tick {now} on: the last day is over")
    first = left[0]
    return (replace(first, start=max(first.start, now)), *left[1:])


def _choices(instance: Instance, begun: set[str]) -> tuple[tuple[Choice, ...], set[str]]:
    """Choices that are still open, and the tasks that those decided by what is begun rule out."""
    left = []
    dropped: set[str] = set()
    for choice in instance.choices:
        taken = [option for option in choice.options if begun & set(option)]
        if not taken:
            left.append(choice)
            continue
        dropped |= {task for option in choice.options for task in option} - set(taken[0])
    return tuple(left), dropped


def _ready(instance: Instance, begun: Sequence[ScheduledTask]) -> dict[str, int]:
    tasks = {task.id: task for task in instance.tasks}
    ready: dict[str, int] = {}
    for done in begun:
        task = tasks[done.task]
        ready[task.job] = max(ready.get(task.job, 0), done.end + task.cooling)
    return ready


def _tasks(instance: Instance, begun: Sequence[ScheduledTask], gone: set[str]) -> tuple[Task, ...]:
    """Tasks not begun, released no earlier than what is begun of the same garments lets them be."""
    by_id = {task.id: task for task in instance.tasks}
    after = {done.task: done.end + by_id[done.task].cooling for done in begun}
    garments: dict[str, int] = {}
    for done in begun:
        for bundle in by_id[done.task].bundles:
            garments[bundle] = max(garments.get(bundle, 0), after[done.task])
    before: dict[str, int] = {}
    for pair in instance.precedences:
        if pair.before in after:
            before[pair.after] = max(before.get(pair.after, 0), after[pair.before])
    return tuple(
        replace(
            task,
            release=max(
                task.release,
                before.get(task.id, 0),
                *(garments.get(bundle, 0) for bundle in task.bundles),
                0,
            ),
        )
        for task in instance.tasks
        if task.id not in gone
    )


def _machines(
    instance: Instance,
    moment: Moment,
    begun: Sequence[ScheduledTask],
    printed: Schedule,
    modes: dict[tuple[str, str], Mode],
) -> tuple[Machine, ...]:
    known = {done.task for done in begun}
    day = [*begun, *(done for done in printed.tasks if done.task not in known)]
    mounted = handed_over(instance, modes, begun, day).on
    last = {machine: done for done in begun for machine, _ in modes[done.task, done.mode].places}
    warming = dict(moment.warming)
    today = next(day for day in instance.heating_days if day.end > moment.now)
    machines = []
    for machine in instance.machines:
        done = last.get(machine.id)
        if done is None:
            machines.append(replace(machine, mounted=mounted[machine.id], warming=warming.get(machine.id)))
            continue
        mode = modes[done.task, done.mode]
        machines.append(
            replace(
                machine,
                initial=mode.state,
                mounted=mounted[machine.id],
                free_from=_settled(instance, machine, done, day, moment.now, modes),
                hot=done.setup_start >= today.start,
                warming=warming.get(machine.id),
            )
        )
    return tuple(machines)


def _settled(
    instance: Instance,
    machine: Machine,
    done: ScheduledTask,
    day: Sequence[ScheduledTask],
    now: int,
    modes: dict[tuple[str, str], Mode],
) -> int:
    """From when a machine may heat or cool for the run that comes next: its last run's end, or now.

    When a run ends its machine is set for the one that follows on the sheets in hand. Where that is set like
    it, or there is none, nobody has changed a temperature yet, and from now on somebody can be told to.
    """
    later = [
        one
        for one in day
        if one.start >= done.end
        and (one.task, one.mode) in modes
        and any(place == machine.id for place, _ in modes[one.task, one.mode].places)
    ]
    state = modes[done.task, done.mode].state
    if later:
        follower = min(later, key=lambda one: (one.start, one.end))
        told = modes[follower.task, follower.mode].state
        if any(
            part.hands_off and was != then
            for part, was, then in zip(instance.setup_parts, state, told, strict=True)
        ):
            return done.end
    return max(done.end, now)


def _operators(
    operators: Iterable[Operator], moment: Moment, begun: Sequence[ScheduledTask]
) -> tuple[Operator, ...]:
    busy: dict[str, int] = {}
    for done in begun:
        if done.operator is not None:
            busy[done.operator] = max(busy.get(done.operator, 0), done.end)
    return tuple(
        replace(
            person,
            shifts=tuple(
                cut
                for shift in person.shifts
                if (cut := _from(shift, max(moment.now, busy.get(person.id, 0)))) is not None
            ),
        )
        for person in operators
    )


def _from(shift: Shift, start: int) -> Shift | None:
    """What is left of a shift from a tick on; None when nothing is."""
    if start <= shift.start:
        return shift
    if start >= shift.overtime_end:
        return None
    return Shift(
        start=start,
        end=max(start, shift.end),
        overtime_end=shift.overtime_end,
        breaks=tuple((max(first, start), last) for first, last in shift.breaks if last > start),
    )


def _printed(
    instance: Instance, schedule: Schedule, open_tasks: set[str], modes: dict[tuple[str, str], Mode]
) -> tuple[Printed, ...]:
    """Where the open tasks stand on the sheets; those between that are begun or gone are passed over."""
    last: dict[str, str] = {}
    printed = []
    for done in sorted(schedule.tasks, key=lambda done: (done.start, done.end, done.setup_start)):
        mode = modes.get((done.task, done.mode))
        if mode is None or done.task not in open_tasks:
            continue
        printed.append(
            Printed(
                task=done.task,
                machine=mode.machine,
                operator=done.operator,
                before=last.get(mode.machine),
                start=done.start,
                mate=mode.mate,
                platen=mode.platen or "",
            )
        )
        for machine, _ in mode.places:
            last[machine] = done.task
    return tuple(printed)


__all__ = ["Moment", "remaining", "with_forerunners"]
