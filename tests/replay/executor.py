"""A plan carried out as a shop would: a simulation of presses, people, platens and garments.

It knows the domain's records only, and neither the decoder nor the check. People begin setting up when
the sheet says so, or later if something is missing then; nobody looks at the printed ends. A plan that
can be carried out therefore ends run by run when it says; a run that lacks something ends later, or
never.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping

import simpy

from scheduler.domain.instance import Instance, Machine, Mode
from scheduler.domain.schedule import Schedule, ScheduledTask, WarmUp

Steps = Iterator[simpy.Event]


def carry_out(
    instance: Instance,
    schedule: Schedule,
    *,
    begun_before: int = 0,
    early: bool = False,
    takes: Mapping[str, tuple[int, int]] | None = None,
    not_before: Mapping[str, tuple[int, int]] | None = None,
) -> dict[str, int]:
    """Ends of the runs that come to an end, by task.

    Parameters
    ----------
    begun_before
        Runs that begin earlier went as they went: their times are taken as given.
    early
        Begin each run as soon as press and person are free, whatever the sheet says. Only for days on which
        nothing is waited for.
    takes
        By task, ticks of setting up and of pressing that it takes in place of those planned. Then the order
        of the plan holds for garments and platens too (each platen goes on from the run that the plan has
        for it), a day's changeovers are those of the plan, and presses are hot at the printed times.
    not_before
        By task, ticks before which it is neither set up nor pressed, in place of the printed times.
    """
    floor = _Floor(instance, schedule, begun_before, early, takes, not_before)
    floor.world.run()
    return floor.ended


class _Floor:
    def __init__(
        self,
        instance: Instance,
        schedule: Schedule,
        begun_before: int,
        early: bool,
        takes: Mapping[str, tuple[int, int]] | None = None,
        not_before: Mapping[str, tuple[int, int]] | None = None,
    ) -> None:
        self.world = simpy.Environment()
        self.takes, self.not_before, self.schedule = takes, not_before, schedule
        self.instance, self.begun_before, self.early = instance, begun_before, early
        self.ended: dict[str, int] = {}
        self.tasks = {task.id: task for task in instance.tasks}
        self.modes = {(task.id, mode.id): mode for task in instance.tasks for mode in task.modes}
        self.people = {person.id: person for person in instance.operators}
        self.hands = {person.id: simpy.Resource(self.world) for person in instance.operators}
        self.garments = {
            bundle: simpy.Resource(self.world) for task in instance.tasks for bundle in task.bundles
        }
        self.shelf = {kind.id: simpy.Container(self.world, init=kind.count) for kind in instance.platens}
        self.circuits = {
            one.id: simpy.Container(self.world, capacity=one.limit_w, init=one.limit_w)
            for one in instance.circuits
            if one.limit_w > 0
        }
        runs = sorted(schedule.tasks, key=lambda run: (run.start, run.end, run.setup_start, run.task))
        self.done = {run.task: self.world.event() for run in runs}
        self.cooled = {run.task: self.world.event() for run in runs}
        self.runs = runs
        self.after_person: dict[str, str] = {}
        last: dict[str, str] = {}
        for run in runs:
            if run.operator is not None:
                if run.operator in last:
                    self.after_person[run.task] = last[run.operator]
                last[run.operator] = run.task
        self.platen_from = _platens_handed_on(instance, schedule, runs, self._mode) if takes else {}
        # A press that is lent to the one beside it: ticks of setting it up, when it is ready, and its heat.
        self.lent = {run.task: self.world.event() for run in runs}
        self.hot: dict[tuple[str, int], simpy.Event] = {}
        self.heating: dict[str, int] = {}
        for machine in instance.machines:
            mine = [run for run in runs if machine.id in dict(self._mode(run).places)]
            for number in range(len(instance.heating_days)):
                self.hot[machine.id, number] = self.world.event()
            self.world.process(self._press(machine, mine))
            for warm in schedule.warm_ups:
                if warm.machine == machine.id:
                    self.world.process(self._warm_up(machine, mine, warm))

    def _mode(self, run: ScheduledTask) -> Mode:
        return self.modes[run.task, run.mode]

    def _day(self, tick: int) -> int:
        return next(
            (n for n, day in enumerate(self.instance.heating_days) if day.start <= tick < day.end), -1
        )

    def _until(self, tick: int) -> Steps:
        if tick > self.world.now:
            yield self.world.timeout(tick - self.world.now)

    def _warm_up(self, machine: Machine, mine: list[ScheduledTask], warm: WarmUp) -> Steps:
        day = self._day(warm.start)
        before = [run for run in mine if self._day(run.setup_start) < day]
        yield from self._until(warm.start)
        if before:
            yield self.done[before[-1].task]
        first = next(run for run in mine if self._day(run.setup_start) == day)
        # Heat that came before its run was planned again lasts as long as it was given.
        taken = first.setup_start < self.begun_before
        length = warm.end - warm.start if taken else dict(self._mode(first).places)[machine.id]
        circuit = self.circuits.get(machine.circuit or "")
        if circuit is not None and machine.watts:
            yield circuit.get(machine.watts)
        yield self.world.timeout(length)
        if circuit is not None and machine.watts:
            circuit.put(machine.watts)
        if not self.hot[machine.id, day].triggered:
            self.hot[machine.id, day].succeed()

    def _press(self, machine: Machine, mine: list[ScheduledTask]) -> Steps:
        """One press through its sheet, run by run."""
        held = machine.mounted
        if held is not None and (machine.free_from > 0 or (mine and self._keeps(mine[0], held, machine.id))):
            yield self.shelf[held].get(1)
        else:
            held = None
        yield from self._until(machine.free_from)
        values: tuple[int | None, ...] = machine.initial
        last_end, last_day = machine.free_from, 0 if machine.hot else -1
        ran = machine.hot
        for at, run in enumerate(mine):
            mode = self._mode(run)
            second = machine.id != mode.machine
            mounts = run.mate_mounts if second else run.mounts_platen
            if held is not None and at == 0 and not self._keeps(run, held, machine.id):
                self.shelf[held].put(1)
                held = None
            given = run.setup_start < self.begun_before
            if self.not_before is not None and not given:
                yield from self._until(self.not_before[run.task][0])
            elif not self.early:
                yield from self._until(run.setup_start)
            hand = None
            mate_on, mate_ready, mate_hot = 0, 0, None
            if mode.mate is not None and not second and not given:
                mate_on, mate_ready, mate_hot = yield self.lent[run.task]
            if run.operator is not None and not given and not second:
                if run.task in self.after_person:
                    yield self.done[self.after_person[run.task]]
                hand = self.hands[run.operator].request()
                yield hand
            if mode.platen is not None and held is None:
                if not mounts:
                    return  # The sheet says that the platen is there, and it is not.
                if self.takes is not None:
                    if (run.task, machine.id) in self.platen_from:
                        yield self.done[self.platen_from[run.task, machine.id]]
                elif given:
                    self.shelf[mode.platen].get(1)
                else:
                    yield self.shelf[mode.platen].get(1)
                held = mode.platen
            day = self._day(self.world.now if self.takes is None else run.setup_start)
            cold = last_day != day
            on = off = 0
            for n, part in enumerate(self.instance.setup_parts):
                table = part.tables[machine.tables[n]]
                known = None if part.goes_with_platen and mounts else values[n]
                ticks = table.change(known, mode.state[n])
                if not part.hands_off:
                    on += ticks
                elif not (cold and part.ends_when_cold):
                    off += ticks
            warm_up = dict(mode.places)[machine.id]
            hot = self.hot[machine.id, day] if cold and warm_up else None
            if hot is not None and self.takes is not None:
                ends = [one.end for one in self.schedule.warm_ups if one.machine == machine.id]
                hot = self.world.event()
                self.world.process(self._at(max([end for end in ends if end <= run.start], default=0), hot))
            if second:
                if not given:
                    self.lent[run.task].succeed((on, last_end + off if ran else 0, hot))
                yield self.done[run.task]
                last_end, last_day, ran, values = int(self.world.now), day, True, mode.state
                held = self._put_back(held, mine, at, machine.id)
                continue
            requests = (
                [self.garments[bundle].request() for bundle in sorted(self.tasks[run.task].bundles)]
                if given
                else []
            )
            if given:
                yield from self._until(run.end)
            else:
                work = mode.work if run.operator is None else dict(mode.operators)[run.operator]
                if self.takes is not None:
                    on, work = self.takes[run.task]
                    mate_on = 0
                yield from self._work(run.operator, on + mate_on)
                yield from self._until(mate_ready)
                yield from self._until(self.tasks[run.task].release)
                if ran:
                    yield from self._until(last_end + off)
                if self.not_before is not None:
                    yield from self._until(self.not_before[run.task][1])
                for heat in (hot, mate_hot):
                    if heat is not None:
                        yield heat
                for pair in self.instance.precedences:
                    if pair.after == run.task and pair.before in self.cooled:
                        yield self.cooled[pair.before]
                if self.takes is not None:
                    for other in self.runs[: self.runs.index(run)]:
                        if set(self.tasks[run.task].bundles) & set(self.tasks[other.task].bundles):
                            yield self.cooled[other.task]
                for bundle in sorted(self.tasks[run.task].bundles) if self.takes is None else ():
                    requests.append(self.garments[bundle].request())
                    yield requests[-1]
                yield from self._work(run.operator, work)
            last_end, last_day, ran, values = int(self.world.now), day, True, mode.state
            self.ended[run.task] = last_end
            self.done[run.task].succeed()
            if hand is not None:
                self.hands[str(run.operator)].release(hand)
            self.world.process(self._cool(run.task, requests))
            held = self._put_back(held, mine, at, machine.id)
        if held is not None and not mine:
            self.shelf[held].put(1)

    def _keeps(self, run: ScheduledTask, kind: str, machine: str) -> bool:
        return _keeps(run, self._mode(run), kind, machine)

    def _put_back(self, held: str | None, mine: list[ScheduledTask], at: int, machine: str) -> str | None:
        """The platen that stays on a press after one of its runs; any other goes back to the shelf."""
        if held is None or (at + 1 < len(mine) and self._keeps(mine[at + 1], held, machine)):
            return held
        if self.takes is None:
            self.shelf[held].put(1)
        return None

    def _at(self, tick: int, event: simpy.Event) -> Steps:
        yield from self._until(tick)
        event.succeed()

    def _cool(self, task: str, requests: list[simpy.resources.resource.Request]) -> Steps:
        yield self.world.timeout(self.tasks[task].cooling)
        self.cooled[task].succeed()
        for request in requests:
            if request.triggered:
                request.resource.release(request)
            else:
                request.cancel()

    def _work(self, operator: str | None, ticks: int) -> Steps:
        """Some ticks of work: at once without a person, else in the stretches in which they are there."""
        if operator is None:
            yield self.world.timeout(ticks)
            return
        for start, end in self._present(operator):
            if end <= self.world.now:
                continue
            yield from self._until(start)
            able = min(ticks, end - int(self.world.now))
            yield self.world.timeout(able)
            ticks -= able
            if not ticks:
                return
        yield self.world.event()  # Gone home with the run not done.

    def _present(self, operator: str) -> Iterator[tuple[int, int]]:
        for shift in self.people[operator].shifts:
            at = shift.start
            for first, last in shift.breaks:
                yield at, first
                at = last
            yield at, shift.overtime_end


def _platens_handed_on(
    instance: Instance,
    schedule: Schedule,
    runs: list[ScheduledTask],
    mode_of: Callable[[ScheduledTask], Mode],
) -> dict[tuple[str, str], str]:
    """By run and press for which a platen is mounted, the run that had it before; counted plate by plate.

    Every plate has a place on the rack. Of those that hang there when one is wanted, the one goes that came
    back first.
    """
    moments: list[tuple[int, int, int, str, str, str]] = []  # tick, order, number, press, kind, task
    racks: dict[str, list[str]] = {kind.id: [""] * kind.count for kind in instance.platens}
    for machine in instance.machines:
        mine = [run for run in runs if machine.id in dict(mode_of(run).places)]
        for at, run in enumerate(mine):
            kind = mode_of(run).platen
            if kind is None:
                continue
            number = runs.index(run)
            keeps = _keeps(run, mode_of(run), kind, machine.id)
            if keeps and at == 0:
                racks[kind].remove("")
            if not keeps:
                moments.append((run.setup_start, 1, number, machine.id, kind, run.task))
            later = mine[at + 1] if at + 1 < len(mine) else None
            if later is None or not _keeps(later, mode_of(later), kind, machine.id):
                moments.append((run.end, 0, number, machine.id, kind, run.task))
    handed = {}
    for _, taken, _, press, kind, task in sorted(moments):
        if taken:
            had = racks[kind].pop(0)
            if had:
                handed[task, press] = had
        else:
            racks[kind].append(task)
    return handed


def _keeps(run: ScheduledTask, mode: Mode, kind: str, machine: str) -> bool:
    mounts = run.mounts_platen if machine == mode.machine else run.mate_mounts
    return mode.platen == kind and not mounts
