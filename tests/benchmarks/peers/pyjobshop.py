"""Peer: the library PyJobShop, stating the instance in its own terms and solving it with CP-SAT.

The published sets are stated in full: machines, modes, precedences, set-ups by pair of tasks, total
weighted tardiness or makespan; set-ups before a machine's first task by a task of no length at tick 0.
The sequences that come back are decoded, so that nothing starts later than it must.

A shop's day is stated as far as the library goes. Stated are: presses and people, each at one run at a
time; ways to do a run, at the person's pace; shifts and breaks, over which runs pause; runs of the same
garments apart; platens by number; alternatives; releases, precedences with their cooling, and due
times with packing. `RELAXES` says what is not, which makes it another, easier problem: its value is on
the low side and no plan for that day, so it can't be compared with one.
"""

from __future__ import annotations

import importlib.util
import time
from collections.abc import Iterator
from itertools import pairwise, product
from typing import Any

from ortools.sat.python import cp_model

from scheduler.domain.instance import Instance, Machine, Mode, Operator, Task
from scheduler.engine.cpsat.changes import Changes
from scheduler.engine.cpsat.solver import bound_of, watched
from scheduler.engine.flat import flatten, to_schedule
from tests.benchmarks.catalogue import DAY_WEIGHTS
from tests.benchmarks.peers.budget import WORKERS, Budget
from tests.benchmarks.peers.outcome import Outcome

RELAXES = (
    "set-up takes no operator's time; the set-up between two runs is the least over their platens; no set-up "
    "before a press's first run; a platen is held during runs only; no warm-up and no circuits; cooling only "
    "where one placement must follow another; runs may pause overnight; the last day has no end, so nothing "
    "is left over; overtime costs nothing"
)

MOST_PAIRS = 400_000
"""Pairs of runs with a set-up between them; the library states each one."""


def plan(instance: Instance, seed: int, budget: Budget) -> Outcome:
    """What the library's model gives in the budget, the time for building it included."""
    if importlib.util.find_spec("pyjobshop") is None:
        return Outcome(skipped="pyjobshop is not installed; pip install -e '.[bench]'")
    begin = time.perf_counter()
    stated = _Stated(instance)
    if stated.cannot:
        return Outcome(skipped=stated.cannot)
    from pyjobshop.solvers.ortools import CPModel

    model = CPModel(stated.model.data())
    solver = cp_model.CpSolver()
    solver.parameters.num_workers = WORKERS
    solver.parameters.random_seed = seed
    solver.parameters.catch_sigint_signal = False
    solver.parameters.max_time_in_seconds = 60 + 20 * budget.cpu_s
    with watched(solver, budget.over):
        status = solver.solve(model.model)
    if status not in (cp_model.OPTIMAL, cp_model.FEASIBLE):
        return Outcome(note=f"no solution in the budget: {solver.status_name(status).lower()}")
    times = [
        (solver.value(var.start), solver.value(var.end)) if solver.value(var.present) else None
        for var in model.variables.task_vars
    ]
    used = [bool(solver.value(var)) for var in model.variables.mode_vars]
    first_plan_s = time.perf_counter() - begin
    if stated.relaxed:
        return Outcome(
            relaxed=stated.values(times, round(solver.objective_value)),
            relaxes=RELAXES,
            first_plan_s=first_plan_s,
            note=f"score of the relaxation at least {bound_of(solver)}",
        )
    level = instance.levels[-1]
    return Outcome(
        schedule=stated.schedule(times, used),
        bounds={"left_over": 0, str(level): max(0, bound_of(solver))},
        proven=status == cp_model.OPTIMAL,
        first_plan_s=first_plan_s,
    )


Times = list[tuple[int, int] | None]


class _Stated:
    """An instance in the library's terms.

    Attributes
    ----------
    cannot
        Why it isn't stated; empty when it is.
    relaxed
        Whether some of its rules are left out.
    """

    def __init__(self, instance: Instance) -> None:
        from pyjobshop import Model

        self.instance = instance
        self.model: Any = Model()
        self.relaxed = bool(instance.operators or instance.platens or instance.choices or instance.days)
        self.cannot = self._obstacle()
        if self.cannot:
            return
        self._changes = Changes(instance)
        self._chosen = {task for choice in instance.choices for option in choice.options for task in option}
        self._machines = {
            machine.id: self.model.add_machine(name=machine.id) for machine in instance.machines
        }
        self._people = {
            person.id: self.model.add_machine(breaks=_breaks(person), name=person.id)
            for person in instance.operators
        }
        self._platens = {
            platen.id: self.model.add_renewable(capacity=platen.count, name=platen.id)
            for platen in instance.platens
        }
        bundles = dict.fromkeys(bundle for task in instance.tasks for bundle in task.bundles)
        self._bundles = {name: self.model.add_renewable(capacity=1, name=name) for name in bundles}
        filled = {task.job for task in instance.tasks}
        self._jobs = {
            job.id: self.model.add_job(
                weight=job.weight,
                due_date=self._end if job.due is None else job.due - job.packing,
                name=job.id,
            )
            for job in instance.jobs
            if job.id in filled
        }
        self.ways: list[tuple[str, str, str | None]] = []
        self._tasks = {task.id: self._task(task) for task in instance.tasks}
        self._precedences()
        self._alternatives()
        self._setups()
        self._objective()

    @property
    def _end(self) -> int:
        """Latest end that is looked at: safe for the published sets, ample for days."""
        return self.instance.horizon * (4 if self.relaxed else 1)

    def _obstacle(self) -> str:
        on = [machine for task in self.instance.tasks for machine in {mode.machine for mode in task.modes}]
        pairs = sum(on.count(machine.id) ** 2 for machine in self.instance.machines)
        if self.instance.setup_parts and pairs > MOST_PAIRS:
            return (
                f"pyjobshop would have to state {pairs} set-ups between runs; at most {MOST_PAIRS} are tried"
            )
        return ""

    def _task(self, task: Task) -> Any:
        stated = self.model.add_task(
            job=self._jobs[task.job],
            earliest_start=task.release,
            latest_end=self._end,
            allow_breaks=bool(self.instance.operators),
            optional=task.id in self._chosen,
            name=task.id,
        )
        for mode in task.modes:
            people: tuple[tuple[str | None, int], ...] = mode.operators or ((None, mode.work),)
            for person, work in people:
                resources, demands = [self._machines[mode.machine]], [0]
                if person is not None:
                    resources.append(self._people[person])
                    demands.append(0)
                held = [self._bundles[bundle] for bundle in task.bundles]
                held += [self._platens[mode.platen]] if mode.platen is not None else []
                self.model.add_mode(
                    stated, resources + held, duration=work, demands=demands + [1] * len(held)
                )
                self.ways.append((task.id, mode.id, person))
        return stated

    def _precedences(self) -> None:
        cooling = {task.id: task.cooling for task in self.instance.tasks}
        for pair in self.instance.precedences:
            before, after = self._tasks[pair.before], self._tasks[pair.after]
            self.model.add_end_before_start(before, after, delay=cooling[pair.before])

    def _alternatives(self) -> None:
        """A stand-in of no length for each option; exactly one of a choice is there, and decides the rest."""
        if not self.instance.choices:
            return
        nowhere = self.model.add_renewable(capacity=1, name="choices")
        for choice in self.instance.choices:
            members = dict.fromkeys(task for option in choice.options for task in option)
            stand_ins = []
            for option in choice.options:
                stand_in = self.model.add_task(latest_start=0, latest_end=0, optional=True, name=choice.id)
                self.model.add_mode(stand_in, [nowhere], duration=0, demands=[0])
                stand_ins.append(stand_in)
                tasks = [self._tasks[name] for name in option]
                self.model.add_select_all_or_none([stand_in, *tasks], condition_task=stand_in)
                for name in members:
                    if name not in option:
                        both = [stand_in, self._tasks[name]]
                        self.model.add_select_exactly_one(both, condition_task=stand_in)
            self.model.add_select_exactly_one(stand_ins)

    def _setups(self) -> None:
        for machine in self.instance.machines if self.instance.setup_parts else ():
            here = [
                (task, modes)
                for task in self.instance.tasks
                if (modes := [mode for mode in task.modes if mode.machine == machine.id])
            ]
            for (one, before), (other, after) in product(here, repeat=2):
                ticks = min(self._least(machine, first, second) for first, second in product(before, after))
                if one is not other and ticks:
                    self.model.add_setup_time(
                        self._machines[machine.id], self._tasks[one.id], self._tasks[other.id], ticks
                    )
            if not self.relaxed:
                self._first_setups(machine, here)

    def _least(self, machine: Machine, before: Mode, after: Mode) -> int:
        mounts = after.platen is not None and after.platen != before.platen
        cold = (False, True) if self.relaxed else (False,)
        return min(self._changes.between(machine, before, after, mounts, each).cost for each in cold)

    def _first_setups(self, machine: Machine, here: list[tuple[Task, list[Mode]]]) -> None:
        """A task of no length at tick 0, from which the first real one is set up."""
        ticks = {
            task.id: self._changes.between(machine, None, modes[0], False, True).cost for task, modes in here
        }
        if not any(ticks.values()):
            return
        first = self.model.add_task(latest_start=0, latest_end=0, name=f"{machine.id}.first")
        self.model.add_mode(first, [self._machines[machine.id]], duration=0)
        for task, _ in here:
            self.model.add_setup_time(self._machines[machine.id], first, self._tasks[task.id], ticks[task.id])

    def _objective(self) -> None:
        levels = self.instance.levels
        if self.relaxed:
            self.model.set_objective(
                weight_total_tardiness=DAY_WEIGHTS["lateness"],
                weight_total_setup_time=DAY_WEIGHTS["changeover"],
                weight_makespan=DAY_WEIGHTS["finish"],
            )
        elif "lateness" in levels:
            self.model.set_objective(weight_total_tardiness=1)
        else:
            self.model.set_objective(weight_makespan=1)

    def schedule(self, times: Times, used: list[bool]) -> Any:
        """The same sequences, decoded."""
        flattened = flatten(self.instance)
        number = {task: at for at, task in enumerate(flattened.tasks)}
        modes = {
            task: (mode, person) for (task, mode, person), on in zip(self.ways, used, strict=False) if on
        }
        order = sorted(number, key=lambda task: (times[number[task]], number[task]))
        return to_schedule(
            flattened,
            [number[task] for task in order],
            [flattened.options.number(number[task], *modes[task]) for task in order],
        )

    def values(self, times: Times, score: int) -> dict[str, int]:
        """Lateness, changeover and finish of a relaxed solution, in ticks."""
        ended: dict[str, int] = {}
        for task, span in zip(self.instance.tasks, times, strict=False):
            if span is not None:
                ended[task.job] = max(ended.get(task.job, 0), span[1])
        lateness = sum(
            job.weight * max(0, ended[job.id] + job.packing - job.due)
            for job in self.instance.jobs
            if job.due is not None and job.id in ended
        )
        finish = max(ended.values(), default=0)
        rest = score - DAY_WEIGHTS["lateness"] * lateness - DAY_WEIGHTS["finish"] * finish
        return {"lateness": lateness, "changeover": rest // DAY_WEIGHTS["changeover"], "finish": finish}


def _breaks(person: Operator) -> list[tuple[int, int]]:
    """When a person isn't there or rests, up to the end of the last shift; touching stretches in one."""
    return list(_merged(sorted(_away(person))))


def _away(person: Operator) -> Iterator[tuple[int, int]]:
    if person.shifts and person.shifts[0].start > 0:
        yield 0, person.shifts[0].start
    for before, after in pairwise(person.shifts):
        if before.overtime_end < after.start:
            yield before.overtime_end, after.start
    for shift in person.shifts:
        yield from shift.breaks


def _merged(stretches: list[tuple[int, int]]) -> Iterator[tuple[int, int]]:
    joined: list[tuple[int, int]] = []
    for first, last in stretches:
        if joined and first <= joined[-1][1]:
            joined[-1] = joined[-1][0], max(last, joined[-1][1])
        else:
            joined.append((first, last))
    return iter(joined)
