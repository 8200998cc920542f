"""A checked plan as a network: for each run, what must be over before it may be set up and pressed.

The order of the plan is kept: at each press, of each person, of the pressings of the same garments, and of
the platens, each of which goes on from the run that the plan has for it. What can be late is then only time,
so any number of replays run through the same network.
"""

from __future__ import annotations

from bisect import bisect_right
from collections import defaultdict
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise, zip_longest

from scheduler.chance.platens import NEVER, handed_on, mounts
from scheduler.domain.instance import Instance, Machine, Mode, Operator, Task
from scheduler.domain.schedule import Schedule, ScheduledTask, WarmUp


@dataclass(frozen=True, slots=True, kw_only=True)
class Node:
    """One run of the network; times in ticks, other runs by their place in the network.

    Attributes
    ----------
    operator
        Who does it; None: nobody is needed.
    begin, start, end
        As planned: set-up, pressing, end.
    work
        Planned ticks of pressing, breaks left out.
    after
        Its set-up begins when these have ended: the runs before it at its presses, of the person, with the
        platens.
    heat
        (run, ticks): hands-off ticks after the end of the run before it at a press, in which that changes
        its temperature.
    ready
        (run, cooling): pressing waits until the run has ended and cooled.
    set_up_from, press_from
        Nothing of it begins, or is pressed, earlier: shift, release, warm-up, sheets.
    given
        It went as it went before the plan was made again: always at its planned times.
    """

    task: str
    job: str
    machine: str
    operator: str | None
    begin: int
    start: int
    end: int
    work: int
    after: tuple[int, ...] = ()
    heat: tuple[tuple[int, int], ...] = ()
    ready: tuple[tuple[int, int], ...] = ()
    set_up_from: int = NEVER
    press_from: int = NEVER
    given: bool = False

    @property
    def set_up(self) -> int:
        """Planned ticks of setting up by hand."""
        return self.start - self.begin


@dataclass(frozen=True, slots=True, kw_only=True)
class Network:
    """All runs of a plan in an order in which each stands behind everything that it waits for.

    Attributes
    ----------
    people
        By id, everybody's stretches of work, overtime included: disjoint and sorted.
    stay
        Ticks that people stay after a shift, overtime included, when their sheet is not done; in `people`.
    """

    instance: Instance
    nodes: tuple[Node, ...]
    people: dict[str, tuple[tuple[int, int], ...]]
    stay: int = 0


def presence(person: Operator, stay: int = 0) -> tuple[tuple[int, int], ...]:
    """Stretches in which a person works, breaks left out, overtime and a stay after it included."""
    found = []
    nexts = [shift.start for shift in person.shifts[1:]]
    for shift, later in zip_longest(person.shifts, nexts):
        at = shift.start
        gone = shift.overtime_end + stay if later is None else min(shift.overtime_end + stay, later)
        for first, last in (*shift.breaks, (gone, gone)):
            if at < first:
                found.append((at, first))
            at = last
    return tuple(found)


def network_of(
    instance: Instance,
    schedule: Schedule,
    *,
    as_printed: bool = False,
    begun_before: int = 0,
    stay: int = 0,
    on_again: Sequence[WarmUp] = (),
) -> Network:
    """Lay out a checked schedule as a network.

    Parameters
    ----------
    as_printed
        Nobody begins before the printed time. Otherwise people go on with their next run as soon as press,
        person, platen and garments are there, yet on no earlier shift than planned; a run that the plan
        begins later than it could is pressed no earlier than printed, so that a day without any surprise
        goes as planned, to the tick.
    begun_before
        Runs whose set-up began before this tick are facts, and stay where they are.
    stay
        Ticks that people stay after a shift, overtime included, when their sheet is not done. When that is
        not enough, what is left goes on at their next shift.
    on_again
        Warm-ups on the sheets of presses that go off between two runs, which the schedule doesn't have.
    """
    layout = _Layout(instance, schedule, as_printed=as_printed, begun_before=begun_before, stay=stay)
    layout.on_again = tuple(on_again)
    return layout.network()


class _Layout:
    on_again: tuple[WarmUp, ...] = ()

    def __init__(
        self, instance: Instance, schedule: Schedule, *, as_printed: bool, begun_before: int, stay: int
    ) -> None:
        self.instance, self.schedule = instance, schedule
        self.as_printed, self.begun_before, self.stay = as_printed, begun_before, stay
        self.tasks = {task.id: task for task in instance.tasks}
        self.modes = {(task.id, mode.id): mode for task in instance.tasks for mode in task.modes}
        self.machines = {machine.id: machine for machine in instance.machines}
        self.operators = {person.id: person for person in instance.operators}
        self.people = {person.id: presence(person, stay) for person in instance.operators}
        self.runs = sorted(schedule.tasks, key=lambda run: (run.start, run.end, run.setup_start, run.task))
        self.place = {run.task: number for number, run in enumerate(self.runs)}
        self.day_starts = [day.start for day in instance.heating_days]
        self.by_machine: dict[str, list[int]] = defaultdict(list)
        self.before_of_person: dict[int, int] = {}
        last: dict[str, int] = {}
        for number, run in enumerate(self.runs):
            for name, _ in self._mode(run).places:
                self.by_machine[name].append(number)
            if run.operator is not None:
                if run.operator in last:
                    self.before_of_person[number] = last[run.operator]
                last[run.operator] = number
        self.before_at_press = {
            (later, name): earlier
            for name, own in self.by_machine.items()
            for earlier, later in pairwise(own)
        }
        self.first: dict[str, list[str]] = defaultdict(list)
        for pair in instance.precedences:
            self.first[pair.after].append(pair.before)
        self.with_bundle: dict[str, list[int]] = defaultdict(list)
        for number, run in enumerate(self.runs):
            for bundle in self.tasks[run.task].bundles:
                self.with_bundle[bundle].append(number)
        modes = [self._mode(run) for run in self.runs]
        self.givers, self.platen_from = handed_on(instance, self.runs, modes, self.by_machine)

    def network(self) -> Network:
        nodes = [self._node(number) for number in range(len(self.runs))]
        return Network(instance=self.instance, nodes=tuple(nodes), people=self.people, stay=self.stay)

    def _mode(self, run: ScheduledTask) -> Mode:
        return self.modes[run.task, run.mode]

    def _day(self, tick: int) -> int:
        return bisect_right(self.day_starts, tick) - 1

    def _node(self, number: int) -> Node:
        run = self.runs[number]
        mode, task = self._mode(run), self.tasks[run.task]
        others = [self.before_of_person.get(number)]
        heats = []
        press_from = task.release
        set_up_from = max(self._shift_start(run), self.platen_from.get(number, NEVER))
        for name, warm_up in mode.places:
            machine, before = self.machines[name], self.before_at_press.get((number, name))
            cold = self._cold(number, machine)
            heat = self._heat(number, machine, mode, cold)
            others += [before, self.givers.get((number, name))]
            if before is not None:
                heats.append((before, heat))
            elif machine.hot:
                press_from = max(press_from, machine.free_from + heat)
            if cold and warm_up:
                press_from = max(press_from, self._warm(run, machine))
            press_from = max([press_from, *self._again(run, name, before)])
            set_up_from = max(set_up_from, machine.free_from)
        after = tuple(dict.fromkeys(other for other in others if other is not None))
        waits = (*self._ready(number, task), *heats)
        if self.as_printed:
            set_up_from = max(set_up_from, run.setup_start)
        elif run.start > self._earliest(run, set_up_from, press_from, after, waits):
            press_from = max(press_from, run.start)
        return Node(
            task=run.task,
            job=task.job,
            machine=mode.machine,
            operator=run.operator,
            begin=run.setup_start,
            start=run.start,
            end=run.end,
            work=mode.work if run.operator is None else dict(mode.operators)[run.operator],
            after=after,
            heat=tuple(heats),
            ready=self._ready(number, task),
            set_up_from=set_up_from,
            press_from=press_from,
            given=run.setup_start < self.begun_before,
        )

    def _earliest(
        self,
        run: ScheduledTask,
        set_up_from: int,
        press_from: int,
        after: tuple[int, ...],
        waits: tuple[tuple[int, int], ...],
    ) -> int:
        """When the run could be pressed if all others went as planned."""
        begin = max([set_up_from, *(self.runs[other].end for other in after)])
        start = max([press_from, *(self.runs[other].end + ticks for other, ticks in waits)])
        if run.operator is None:
            return max(start, begin + run.start - run.setup_start)
        at = _done(self.people[run.operator], begin, run.start - run.setup_start)
        return _done(self.people[run.operator], max(at, start), 0)

    def _cold(self, number: int, machine: Machine) -> bool:
        day = self._day(self.runs[number].setup_start)
        before = self.before_at_press.get((number, machine.id))
        if before is None:
            return not (machine.hot and day == 0)
        return self._day(self.runs[before].setup_start) < day

    def _heat(self, number: int, machine: Machine, mode: Mode, cold: bool) -> int:
        """Hands-off ticks of the changeover at one of the run's presses."""
        before = self.before_at_press.get((number, machine.id))
        state: tuple[int | None, ...] = (
            machine.initial if before is None else self._mode(self.runs[before]).state
        )
        total = 0
        for part, table, old, new in zip(
            self.instance.setup_parts, machine.tables, state, mode.state, strict=True
        ):
            if part.hands_off and not (cold and part.ends_when_cold):
                known = None if self._mounts(number, machine.id) and part.goes_with_platen else old
                total += part.tables[table].change(known, new)
        return total

    def _warm(self, run: ScheduledTask, machine: Machine) -> int:
        """When the press is hot: warm-ups are switched on as printed and take as long as planned."""
        day = self._day(run.setup_start)
        ends = [
            warm.end
            for warm in self.schedule.warm_ups
            if warm.machine == machine.id and self._day(warm.start) <= day and warm.end <= run.start
        ]
        return max(ends, default=NEVER)

    def _again(self, run: ScheduledTask, press: str, before: int | None) -> list[int]:
        """When the press is hot that went off since the run before, or since it was on for nothing."""
        return [
            warm.end
            for warm in self.on_again
            if warm.machine == press
            and (
                self._day(warm.start) == self._day(run.setup_start) and warm.end <= run.start
                if before is None
                else self.runs[before].end <= warm.start <= run.start
            )
        ]

    def _ready(self, number: int, task: Task) -> tuple[tuple[int, int], ...]:
        """Earlier pressings of the same garments, and what must be pressed first."""
        others = {self.place[name] for name in self.first[task.id] if name in self.place}
        others.update(other for bundle in task.bundles for other in self.with_bundle[bundle])
        return tuple(
            (other, self.tasks[self.runs[other].task].cooling) for other in sorted(others) if other < number
        )

    def _shift_start(self, run: ScheduledTask) -> int:
        starts = [self.day_starts[max(0, self._day(run.setup_start))]]
        if run.operator is not None:
            starts += [
                shift.start for shift in self.operators[run.operator].shifts if shift.start <= run.setup_start
            ]
        return min(run.setup_start, max(starts))

    def _mounts(self, number: int, machine: str) -> bool:
        """Whether a platen is mounted on one of the run's presses for it."""
        return mounts(self.runs[number], self._mode(self.runs[number]), machine)


def _done(stretches: tuple[tuple[int, int], ...], at: int, ticks: int) -> int:
    """When so much work from a tick on is done; the end of the last stretch when it never is."""
    for first, last in stretches:
        if last <= at:
            continue
        at = max(at, first)
        if ticks <= last - at:
            return at + ticks
        ticks -= last - at
        at = last
    return at
