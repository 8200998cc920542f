"""Printed starts that hold: runs that came earlier for nothing go back to the time on the sheets in hand.

The search puts every run down as early as the rules allow. When one that stood before it leaves, a run slides
forward, and level `moved` says nothing of it: nothing is late for it. Yet whoever has the sheet in hand reads
a clock time, and a start that is five minutes off makes that sheet void. So a run that gains nothing by being
earlier goes back, as far as the independent check lets it.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace

from scheduler.domain.instance import Instance, Job, Level
from scheduler.domain.schedule import Schedule, ScheduledTask, Verdict
from scheduler.domain.times import ticks_up

Decode = Callable[[Instance, Schedule], Schedule]
Check = Callable[[Instance, Schedule], Verdict]

SPARE_MIN = 15
"""An order with less to spare before its cut-off is tight: being ready earlier is worth something to it."""

WORK = 6_000
"""Runs put down in all tries together; what was not tried by then stays earlier."""


def held(instance: Instance, printed: Schedule, schedule: Schedule, decode: Decode, check: Check) -> Schedule:
    """Put printed runs that came earlier back to their printed starts where nothing is lost by it.

    Every run keeps its press, its person and its place in the order of its press. A run goes back to the tick
    that was printed, or stays where the search put it; what follows is pushed as far as that needs, and
    nothing comes earlier for it. Nothing gets worse at any level, no printed run starts later than it did or
    was printed, and no order is ready later unless it has `SPARE_MIN` minutes to spare then.

    Parameters
    ----------
    instance
        The rest of the day.
    printed
        The schedule on the sheets in hand.
    schedule
        The search's answer, which passes the check.
    decode
        Puts the runs of a schedule down anew, in their order and as early as an instance lets them.
    check
        The independent check.

    Returns
    -------
    Schedule
        One that passes the check.
    """
    was = {done.task: done for done in printed.tasks}
    early = [
        done
        for done in schedule.tasks
        if (there := was.get(done.task)) is not None
        and (done.mode, done.operator) == (there.mode, there.operator)
        and done.start < there.start
    ]
    # What comes last makes room for what stands before it.
    early.sort(key=lambda done: (-was[done.task].start, done.task))
    if not early:
        return schedule
    trial = _Trial(instance, was, schedule, decode, check)
    trial.put_back([done.task for done in early])
    return trial.schedule


@dataclass(frozen=True, slots=True, kw_only=True)
class _Limits:
    """What may not get worse than before the first try: levels, first and last starts, orders ready by."""

    values: dict[Level, int]
    begins: dict[str, int]
    starts: dict[str, int]
    finished: dict[str, int]


class _Trial:
    """The schedule so far, with the runs that wait for their printed starts in it."""

    def __init__(
        self,
        instance: Instance,
        was: dict[str, ScheduledTask],
        schedule: Schedule,
        decode: Decode,
        check: Check,
    ) -> None:
        self.instance, self.was, self.schedule = instance, was, schedule
        self.decode, self.check = decode, check
        self.used = _used(instance, schedule)
        self.back: frozenset[str] = frozenset()
        self.work = 0
        self.limits = self._limits(schedule)

    def put_back(self, early: Sequence[str]) -> None:
        """All of them at once; where that will not do, the later half and then the other."""
        if self.work and self.work + len(self.schedule.tasks) > WORK:
            return
        self.work += len(self.schedule.tasks)
        back = self.back | set(early)
        made = self.decode(self._waiting(back), replace(self.schedule, left_over=()))
        schedule = replace(made, left_over=self.schedule.left_over)
        if self._as_good(schedule):
            self.back, self.schedule = back, schedule
        elif len(early) > 1:
            half = len(early) // 2
            self.put_back(early[:half])
            self.put_back(early[half:])

    def _waiting(self, back: frozenset[str]) -> Instance:
        """The instance in which these runs are not pressed before their printed starts."""
        tasks = (
            replace(task, release=max(task.release, self.was[task.id].start)) if task.id in back else task
            for task in self.used.tasks
        )
        return replace(self.used, tasks=tuple(tasks))

    def _limits(self, schedule: Schedule) -> _Limits:
        verdict = self.check(self.instance, schedule)
        spare = ticks_up(SPARE_MIN * 60, self.instance.tick_s)
        return _Limits(
            values=verdict.values,
            begins={done.task: done.start for done in schedule.tasks},
            starts={
                done.task: max(done.start, self.was[done.task].start)
                for done in schedule.tasks
                if done.task in self.was
            },
            finished={
                job.id: max(verdict.finished[job.id], _at_ease(job, self.instance.horizon, spare))
                for job in self.instance.jobs
                if job.id in verdict.finished
            },
        )

    def _as_good(self, schedule: Schedule) -> bool:
        verdict = self.check(self.instance, schedule)
        limits = self.limits
        return (
            verdict.passed
            and all(value <= limits.values[name] for name, value in verdict.values.items())
            and all(done.start >= limits.begins.get(done.task, 0) for done in schedule.tasks)
            and all(done.start <= limits.starts.get(done.task, done.start) for done in schedule.tasks)
            and all(tick <= limits.finished.get(job, tick) for job, tick in verdict.finished.items())
            and _in_order(self.instance, schedule) == _in_order(self.instance, self.schedule)
        )


def _used(instance: Instance, schedule: Schedule) -> Instance:
    """The instance with nothing but what a schedule carries out, each run in its way and by its person.

    Runs are put down again and again: without the other ways that takes a tenth of the time.
    """
    there = {done.task: done for done in schedule.tasks}
    tasks = tuple(
        replace(
            task,
            modes=tuple(
                replace(mode, operators=tuple(pair for pair in mode.operators if pair[0] == done.operator))
                for mode in task.modes
                if mode.id == done.mode
            ),
        )
        for task in instance.tasks
        if (done := there.get(task.id)) is not None
    )
    return replace(
        instance,
        tasks=tasks,
        choices=(),
        precedences=tuple(
            pair for pair in instance.precedences if pair.before in there and pair.after in there
        ),
        printed=(),
        levels=tuple(name for name in instance.levels if name != "moved"),
    )


def _at_ease(job: Job, horizon: int, spare: int) -> int:
    """The tick until which it makes no difference to an order when it is ready."""
    return horizon if job.due is None else job.due - spare


def _in_order(instance: Instance, schedule: Schedule) -> dict[str, list[tuple[str, str, str | None]]]:
    """By press: its runs in order, each with its way and person."""
    places = {(task.id, mode.id): mode.places for task in instance.tasks for mode in task.modes}
    rows: dict[str, list[tuple[str, str, str | None]]] = defaultdict(list)
    for done in sorted(schedule.tasks, key=lambda done: (done.start, done.end, done.setup_start)):
        for machine, _ in places[done.task, done.mode]:
            rows[machine].append((done.task, done.mode, done.operator))
    return rows


__all__ = ["held"]
