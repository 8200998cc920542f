"""Best schedules of tiny instances by going through all sequences: slow, short, and nothing clever.

For instances of single or parallel machines with setups, releases, precedences, cooling, packing,
shifts and breaks, and a warm-up before a machine's first run. No platens, choices, bundles,
circuits, and one day only.
"""

from __future__ import annotations

from collections import defaultdict
from dataclasses import dataclass

from scheduler.domain.instance import Instance, Level, Machine, Mode, Operator, Task
from scheduler.domain.schedule import Schedule, ScheduledTask, WarmUp
from scheduler.verify import check

Cost = tuple[int, ...]


@dataclass(frozen=True)
class Placed:
    task: Task
    mode: Mode
    operator: str | None
    setup_start: int
    start: int
    end: int
    changeover: int


def best_schedule(instance: Instance, ceiling: Cost | None = None) -> tuple[Cost, Schedule] | None:
    """Cost by the instance's levels and schedule of a best plan, found by enumeration.

    Every plan in which no task can start earlier by itself is a sequence of its tasks by start;
    appending the tasks of a sequence, each as early as it can, gives that plan back. A beginning
    is dropped when it already costs more than the best plan, or as much.

    Parameters
    ----------
    ceiling
        Only plans that cost at most this are looked for, which is much faster: it still shows
        whether there is any such plan and that none is better. None: no limit.

    Returns
    -------
    tuple or None
        None when there is no plan within the ceiling.
    """
    if instance.platens or instance.choices or instance.circuits or len(instance.days) > 1:
        raise ValueError(f"{instance.name} has rules that the enumerator doesn't know")
    search = _Search(instance, ceiling)
    search.extend()
    if search.best is None:
        return None
    cost, placed = search.best
    return cost, schedule_of(instance, placed)


def schedule_of(instance: Instance, placed: tuple[Placed, ...]) -> Schedule:
    done = {each.task.id for each in placed}
    first: dict[str, Placed] = {}
    for each in placed:
        first.setdefault(each.mode.machine, each)
    return Schedule(
        tasks=tuple(
            ScheduledTask(
                task=each.task.id,
                mode=each.mode.id,
                operator=each.operator,
                setup_start=each.setup_start,
                start=each.start,
                end=each.end,
            )
            for each in placed
        ),
        warm_ups=tuple(
            WarmUp(machine=name, start=each.start - each.mode.warm_up, end=each.start)
            for name, each in first.items()
            if each.mode.warm_up
        ),
        left_over=tuple(task.id for task in instance.tasks if task.id not in done),
    )


def in_sequence(instance: Instance, sequence: list[tuple[str, str]]) -> Schedule:
    """Append (task, mode) pairs in the given order, each as early as it can be started."""
    search = _Search(instance, None)
    tasks = {task.id: task for task in instance.tasks}
    for task_id, mode_id in sequence:
        mode = next(mode for mode in tasks[task_id].modes if mode.id == mode_id)
        placed = [p for p in search.ways(tasks[task_id], mode) if p is not None]
        if not placed:
            raise ValueError(f"{task_id} can't be appended in mode {mode_id}")
        search.placed.append(placed[0])
    return schedule_of(instance, tuple(search.placed))


def values(instance: Instance, schedule: Schedule) -> Cost:
    """The costs by the instance's levels, from the independent check, which must pass."""
    verdict = check(instance, schedule)
    assert verdict.passed, [each.message for each in verdict.breaks]
    return tuple(verdict.values[level] for level in instance.levels)


class _Search:
    def __init__(self, instance: Instance, ceiling: Cost | None) -> None:
        self.instance = instance
        self.machines = {machine.id: machine for machine in instance.machines}
        self.people = {person.id: person for person in instance.operators}
        self.before: dict[str, list[str]] = defaultdict(list)
        after: dict[str, list[str]] = defaultdict(list)
        for pair in instance.precedences:
            self.before[pair.after].append(pair.before)
            after[pair.before].append(pair.after)
        self.least = {task.id: min(map(_least_work, task.modes)) for task in instance.tasks}
        self.chain = {task.id: _chain(task.id, self.least, after) for task in instance.tasks}
        self.alike = _alike(instance)
        self.day = instance.heating_days[0]
        self.last_end = min(self.day.end, instance.horizon)
        self.placed: list[Placed] = []
        self.best: tuple[Cost, tuple[Placed, ...]] | None = None
        self.limit = None if ceiling is None else (*ceiling[:-1], ceiling[-1] + 1)

    def extend(self) -> None:
        remaining = self._remaining()
        cost = self._cost(sum(task.pressings for task in remaining))
        if self.limit is None or cost < self.limit:
            self.best = cost, tuple(self.placed)
            self.limit = cost
        done = {each.task.id for each in self.placed}
        since = self.placed[-1].start if self.placed else 0
        for task in remaining:
            if any(name not in done for name in self.before[task.id]):
                continue
            tried = set()
            for mode in task.modes:
                last = self._last(mode.machine)
                # Two machines that are alike in all and free at the same time: one is enough.
                key = (
                    self.alike[mode.machine],
                    last and (last.end, last.mode.state),
                    mode.id if last else "",
                )
                if last is None and key in tried:
                    continue
                tried.add(key)
                for placed in self.ways(task, mode):
                    if placed is None or placed.start < since:
                        continue
                    self.placed.append(placed)
                    if self.limit is None or self._cost(0) < self.limit:
                        self.extend()
                    self.placed.pop()

    def ways(self, task: Task, mode: Mode) -> list[Placed | None]:
        """The earliest way to append a task with each of its operators; None where there is none."""
        machine = self.machines[mode.machine]
        last = self._last(machine.id)
        on, off = self._setup(machine, mode, last)
        free = last.end if last else self.day.start
        earliest = max(task.release, free + on, free + off if last else 0)
        if last is None:
            earliest = max(earliest, self.day.start + mode.warm_up)
        for each in self.placed:
            if each.task.id in self.before[task.id]:
                earliest = max(earliest, each.end + each.task.cooling)
        if not mode.operators:
            end = earliest + mode.work
            if end > self.last_end:
                return [None]
            return [Placed(task, mode, None, earliest - on, earliest, end, max(on, off))]
        found: list[Placed | None] = []
        for name, work in mode.operators:
            busy = max((each.end for each in self.placed if each.operator == name), default=0)
            span = _in_shift(self.people[name], max(earliest, busy + on), on, work, self.last_end)
            found.append(
                None if span is None else Placed(task, mode, name, span[0] - on, *span, max(on, off))
            )
        return found

    def _last(self, machine: str) -> Placed | None:
        return next((each for each in reversed(self.placed) if each.mode.machine == machine), None)

    def _setup(self, machine: Machine, mode: Mode, last: Placed | None) -> tuple[int, int]:
        on = off = 0
        state: tuple[int | None, ...] = last.mode.state if last else machine.initial
        parts = zip(self.instance.setup_parts, machine.tables, state, mode.state, strict=True)
        for part, table, old, new in parts:
            ticks = part.tables[table].change(old, new)
            if not part.hands_off:
                on += ticks
            elif last or not part.ends_when_cold:
                off += ticks
        return on, off

    def _remaining(self) -> list[Task]:
        done = {each.task.id for each in self.placed}
        return [task for task in self.instance.tasks if task.id not in done]

    def _cost(self, left_over: int) -> Cost:
        """Cost so far, and with `left_over` pressings not done; never falls as tasks are added."""
        ready: dict[str, int] = {}
        for each in self.placed:
            ready[each.task.job] = max(ready.get(each.task.job, 0), each.end + each.task.cooling)
        lateness = finish = 0
        for job in self.instance.jobs:
            if job.id in ready:
                finish = max(finish, ready[job.id] + job.packing)
                if job.due is not None:
                    lateness += job.weight * max(0, ready[job.id] + job.packing - job.due)
        if not left_over and len(self.placed) < len(self.instance.tasks):
            finish = max(finish, self._still_to_come())
        levels: dict[Level, int] = {
            "left_over": left_over,
            "lateness": lateness,
            "changeover": sum(each.changeover for each in self.placed),
            "changeovers": sum(1 for each in self.placed if each.changeover),
            "finish": finish,
        }
        return tuple(levels[level] for level in self.instance.levels)

    def _still_to_come(self) -> int:
        """A finish that all of the tasks not yet placed can't beat.

        They start no earlier than the last one placed, each with the longest chain behind it; and
        their work can at best be spread evenly over the machines.
        """
        remaining = self._remaining()
        since = self.placed[-1].start if self.placed else 0
        ends = [max(since, last.end if (last := self._last(name)) else 0) for name in self.machines]
        spread = -(-(sum(ends) + sum(self.least[task.id] for task in remaining)) // len(ends))
        ended = {each.task.id: each.end for each in self.placed}
        chains = (
            max([since, *(ended.get(name, 0) for name in self.before[task.id])]) + self.chain[task.id]
            for task in remaining
        )
        return max(spread, *chains)


def _chain(name: str, least: dict[str, int], after: dict[str, list[str]]) -> int:
    """Least work of a task and of the longest chain of tasks that must follow it."""
    return least[name] + max((_chain(later, least, after) for later in after[name]), default=0)


def _least_work(mode: Mode) -> int:
    return min((work for _, work in mode.operators), default=mode.work)


def _alike(instance: Instance) -> dict[str, int]:
    """Number of the class of each machine: alike in tables, initial state and what all tasks take there."""
    classes: dict[object, int] = {}
    found = {}
    for machine in instance.machines:
        takes = tuple(
            tuple(
                (mode.state, mode.work, mode.operators, mode.warm_up)
                for mode in task.modes
                if mode.machine == machine.id
            )
            for task in instance.tasks
        )
        found[machine.id] = classes.setdefault((machine.tables, machine.initial, takes), len(classes))
    return found


def _in_shift(person: Operator, earliest: int, on: int, work: int, last_end: int) -> tuple[int, int] | None:
    """Earliest start and end of pressing from `earliest`, tick by tick, or None."""
    for shift in person.shifts:
        resting = {tick for first, last in shift.breaks for tick in range(first, last)}
        for start in range(max(earliest, shift.start + on), shift.overtime_end):
            if start in resting or any(tick in resting for tick in range(start - on, start)):
                continue
            end = start
            left = work
            while left:
                left -= end not in resting
                end += 1
            if end <= min(shift.overtime_end, last_end):
                return start, end
            break
    return None
