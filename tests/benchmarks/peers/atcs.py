"""Peer: the best of a grid of dispatching by apparent tardiness cost with setups (ATCS).

Source: Y. H. Lee, K. Bhaskaran, M. Pinedo, "A heuristic to minimize the total weighted tardiness with
sequence-dependent setups", IIE Transactions 29, 1997, 45-52 (pages from memory; the index as later
publications give it): whenever a machine is free, the job with the greatest

    I(j) = w / p * exp(-max(d - p - t, 0) / (k1 * mean p)) * exp(-s / (k2 * mean s))

goes next, t being now and s the setup from the machine's last job. The paper computes k1 and k2 from
the instance; here a grid of both is tried and the best schedule counts, which can only be better.

What the paper doesn't have is done like this. The moment is the earliest at which an operator and a
machine that he may run are both free and something is ready for them; every task and way to do it that
can begin then is compared, at that operator's pace. From the due date the least work that must follow
in the job, its cooling and its packing are taken off. A set-up has the length of its changeover. Without
due dates, where the schedule is only to end early, all jobs are due at the least possible end (the
longest job, or the mean load of a machine), so that jobs with much work left go first. A task that
doesn't fit before its operator goes home waits for another, if one fits. Of alternatives those with the
fewest tasks are taken.
"""

from __future__ import annotations

import math
import time
from dataclasses import dataclass
from itertools import product

from scheduler.domain.instance import Instance, Machine, Mode, Operator
from scheduler.engine.cpsat.changes import Changes
from scheduler.engine.flat import Flattened, flatten, to_schedule
from scheduler.engine.kernel import layout
from scheduler.engine.kernel.steps import place, put_down
from scheduler.engine.line import line_cost
from scheduler.engine.local_search import Line, first_way
from tests.benchmarks.peers.budget import Budget
from tests.benchmarks.peers.outcome import Outcome

K1 = (2.0, 1.0, 4.0, 0.5, 6.0, 0.25, 10.0)
K2 = (0.4, 0.2, 0.8, 0.1, 1.5, 0.05, 4.0)
"""Around the values that the paper's formulas give; the likely ones first, should time run out."""

NEVER = 1 << 60
MODES_SEEN = 60
"""Modes of a machine between which the mean setup is taken, evenly spread over all."""


def plan(instance: Instance, seed: int, budget: Budget) -> Outcome:
    """The best schedule of the grid, or of as much of it as the budget allows; there is no seed."""
    begin = time.perf_counter()
    rule = Rule(flatten(instance))
    grid = list(product(K1, K2 if rule.mean_setup else K2[:1]))
    lines = []
    first_plan_s = 0.0
    for k1, k2 in grid:
        line = rule.line(k1, k2)
        lines.append((line_cost(rule.flattened, line), len(lines), line))
        if len(lines) == 1:
            first_plan_s = time.perf_counter() - begin
        if budget.over():
            break
    _, at, line = min(lines, key=lambda entry: entry[:2])
    return Outcome(
        schedule=to_schedule(rule.flattened, line.tasks, line.options),
        first_plan_s=first_plan_s,
        note=f"k1 = {grid[at][0]}, k2 = {grid[at][1]}, best of {len(lines)} of {len(grid)}",
    )


def log_index(
    *, weight: float, work: float, slack: float, setup: float, k1_work: float, k2_setup: float
) -> float:
    """Logarithm of the index, which itself would be rounded to nothing for jobs that are due late.

    Parameters
    ----------
    slack
        `d - p - t`.
    k1_work, k2_setup
        `k1 * mean p`, `k2 * mean s`; a mean setup of 0 leaves the setups out.
    """
    if weight <= 0:
        return -math.inf
    index = math.log(weight / max(work, 1)) - max(slack, 0) / k1_work
    return index - setup / k2_setup if k2_setup else index


@dataclass(slots=True)
class _Option:
    """A way to do a task, with where it stands in the flat data."""

    task: int
    number: int
    machine: int
    operator: int
    work: int
    mode: Mode
    not_before: int = 0


class Rule:
    """The rule on one instance; `line` applies it with one pair of parameters.

    Attributes
    ----------
    tasks, carried
        Tasks that are carried out; and 1 for each of them, by task.
    mean_work, mean_setup
        Over all tasks, and over pairs of tasks that may follow each other on a machine, the setup of a
        machine's first task included.
    """

    def __init__(self, flattened: Flattened) -> None:
        self.flattened = flattened
        instance = self._instance = flattened.instance
        self._changes = Changes(instance)
        present = first_way(flattened)
        self.tasks = [task for task in range(len(instance.tasks)) if present[task]]
        self.carried = present
        self._options = self._all_options()
        self._least = {task: min(option.work for option in self._options[task]) for task in self.tasks}
        self._tail: dict[int, int] = {}
        self.mean_work = sum(self._least.values()) / max(1, len(self.tasks)) or 1.0
        self.mean_setup = self._mean_setup()
        self._due = self._dues()

    def line(self, k1: float, k2: float) -> Line:
        """The sequence that the rule builds; tasks that fit nowhere are left over in it."""
        return _Building(self, k1, k2).run()

    def _all_options(self) -> dict[int, list[_Option]]:
        flattened, columns = self.flattened, self.flattened.columns
        modes = {(task.id, mode.id): mode for task in self._instance.tasks for mode in task.modes}
        found: dict[int, list[_Option]] = {}
        for task in self.tasks:
            numbers = range(columns["option_from"][task], columns["option_from"][task + 1])
            found[task] = [
                _Option(
                    task=task,
                    number=number,
                    machine=columns["option_machine"][number],
                    operator=columns["option_operator"][number],
                    work=columns["option_work"][number],
                    mode=modes[flattened.options[number].task, flattened.options[number].mode],
                )
                for number in numbers
            ]
        return found

    def options(self, task: int) -> list[_Option]:
        return self._options[task]

    def setup(self, machine: Machine, before: Mode | None, after: Mode) -> int:
        """Length of the changeover; a platen is mounted unless the last task left it there."""
        there = machine.mounted if before is None else before.platen
        mounts = after.platen is not None and there != after.platen
        return self._changes.between(machine, before, after, mounts, before is None).cost

    def tail(self, task: int) -> int:
        """Least ticks from the task's end to when its job is complete."""
        if task not in self._tail:
            columns = self.flattened.columns
            after = columns["after"][columns["after_from"][task] : columns["after_from"][task + 1]]
            later = [self._least[other] + self.tail(other) for other in after if other in self._least]
            packing = self._instance.jobs[columns["job"][task]].packing
            self._tail[task] = self._instance.tasks[task].cooling + max(later, default=packing)
        return self._tail[task]

    def due(self, task: int) -> int:
        """Tick by which the task must end for its job to be in time."""
        return self._due[self.flattened.columns["job"][task]] - self.tail(task)

    def weight(self, task: int) -> int:
        return self._instance.jobs[self.flattened.columns["job"][task]].weight

    def _dues(self) -> list[int]:
        jobs = self._instance.jobs
        if "lateness" in self._instance.levels and any(job.due is not None for job in jobs):
            return [self._instance.horizon if job.due is None else job.due for job in jobs]
        longest = max((self._least[task] + self.tail(task) for task in self.tasks), default=0)
        load = sum(self._least.values()) // max(1, len(self._instance.machines))
        return [max(longest, load)] * len(jobs)

    def _mean_setup(self) -> float:
        setups: list[int] = []
        for number, machine in enumerate(self._instance.machines):
            modes = [
                (task, option.mode)
                for task in self.tasks
                for option in {o.mode.id: o for o in self._options[task] if o.machine == number}.values()
            ]
            seen = modes[:: len(modes) // MODES_SEEN + 1]
            setups += [self.setup(machine, None, mode) for _, mode in seen]
            setups += [
                self.setup(machine, before, after)
                for (one, before), (other, after) in product(seen, repeat=2)
                if one != other
            ]
        return sum(setups) / len(setups) if setups else 0.0


class _Building:
    """A sequence under construction."""

    def __init__(self, rule: Rule, k1: float, k2: float) -> None:
        self._rule = rule
        self._k1_work = k1 * rule.mean_work
        self._k2_setup = k2 * rule.mean_setup
        self._flat = rule.flattened.flat
        self._state = list(rule.flattened.start)
        self._row = [0] * layout.PLACED
        self._instance = rule.flattened.instance
        self._waiting = {task: list(rule.options(task)) for task in rule.tasks}
        self._not_before: dict[int, int] = {}
        self._machine_free = [machine.free_from for machine in self._instance.machines]
        self._operator_free = [0] * len(self._instance.operators)
        self._bundle_free: dict[str, int] = {}
        self._cooled: dict[int, int] = {}
        self._last: list[Mode | None] = [None] * len(self._instance.machines)
        self._line: list[tuple[int, int]] = []

    def run(self) -> Line:
        while self._waiting:
            moment, found = self._candidates()
            if moment == NEVER:
                self._leave_over(self._ready_tasks()[0])
                continue
            found.sort(key=lambda each: (-each[0], each[1].task, each[1].number))
            for _, option in found:
                if self._put(option, moment):
                    break
        return Line(tuple(task for task, _ in self._line), tuple(option for _, option in self._line))

    def _ready_tasks(self) -> list[int]:
        columns = self._rule.flattened.columns
        begin, before = columns["before_from"], columns["before"]
        return [
            task
            for task in self._waiting
            if not any(other in self._waiting for other in before[begin[task] : begin[task + 1]])
        ]

    def _candidates(self) -> tuple[int, list[tuple[float, _Option]]]:
        """The next moment at which something can begin, and all that can begin then, with its index."""
        there = [self._present_from(person, number) for number, person in enumerate(self._instance.operators)]
        moment, found = NEVER, []
        for task in self._ready_tasks():
            ready = self._ready_at(task)
            for option in self._waiting[task]:
                at = max(ready, self._machine_free[option.machine], self._not_before.get(option.number, 0))
                if option.operator >= 0:
                    at = max(at, there[option.operator])
                if at < moment:
                    moment, found = at, []
                if at == moment and at < NEVER:
                    found.append(option)
        return moment, [(self._index(option, moment), option) for option in found]

    def _ready_at(self, task: int) -> int:
        """When its garments are there; never once a task before it is left over."""
        columns = self._rule.flattened.columns
        stated = self._instance.tasks[task]
        at = max([stated.release, *(self._bundle_free.get(bundle, 0) for bundle in stated.bundles)])
        for other in columns["before"][columns["before_from"][task] : columns["before_from"][task + 1]]:
            if self._rule.carried[other]:
                at = max(at, self._cooled.get(other, NEVER))
        return at

    def _present_from(self, person: Operator, number: int) -> int:
        """The first tick, from when the person is free, of a shift and in no break."""
        at = self._operator_free[number]
        for shift in person.shifts:
            if at < shift.overtime_end:
                at = max(at, shift.start)
                for first, last in shift.breaks:
                    if first <= at < last:
                        at = last
                if at < shift.overtime_end:
                    return at
        return NEVER

    def _index(self, option: _Option, moment: int) -> float:
        machine = self._instance.machines[option.machine]
        return log_index(
            weight=self._rule.weight(option.task),
            work=option.work,
            slack=self._rule.due(option.task) - option.work - moment,
            setup=self._rule.setup(machine, self._last[option.machine], option.mode),
            k1_work=self._k1_work,
            k2_setup=self._k2_setup,
        )

    def _put(self, option: _Option, moment: int) -> bool:
        """Put a task down if it ends in the stretch of presence that holds the moment."""
        row = self._row
        done = place(self._flat, self._state, self._rule.carried, 0, option.task, option.number, row, 0)
        shift = None
        if option.operator >= 0:
            shifts = self._instance.operators[option.operator].shifts
            shift = next(shift for shift in shifts if moment < shift.overtime_end)
        if not done or (shift is not None and row[layout.END] > shift.overtime_end):
            self._not_before[option.number] = NEVER if shift is None or not done else shift.overtime_end
            return False
        put_down(self._flat, self._state, option.task, option.number, row, 0)
        self._note(option, row[layout.END])
        self._taken(option.task, option.number)
        return True

    def _note(self, option: _Option, end: int) -> None:
        """Keep what the index and the next moment are read from."""
        task = self._instance.tasks[option.task]
        self._last[option.machine] = option.mode
        self._machine_free[option.machine] = end
        if option.operator >= 0:
            self._operator_free[option.operator] = end
        self._cooled[option.task] = end + task.cooling
        for bundle in task.bundles:
            self._bundle_free[bundle] = end + task.cooling

    def _leave_over(self, task: int) -> None:
        option = self._waiting[task][0].number
        self._row[layout.DONE] = 0
        put_down(self._flat, self._state, task, option, self._row, 0)
        self._taken(task, option)

    def _taken(self, task: int, option: int) -> None:
        del self._waiting[task]
        self._line.append((task, option))
