"""Peer: the best of a grid of dispatching by apparent tardiness cost with setups (ATCS).

Source: Y. H. Lee, K. Bhaskaran, M. Pinedo, "A heuristic to minimize the total weighted tardiness with
sequence-dependent setups", IIE Transactions 29, 1997, 45-52 (pages from memory; the index as later
publications give it): whenever a machine is free, the job with the greatest

    I(j) = w / p * exp(-max(d - p - t, 0) / (k1 * mean p)) * exp(-s / (k2 * mean s))

goes next, t being now and s the setup from the machine's last job. The paper computes k1 and k2 from
the instance; here a grid of both is tried and the best schedule counts, which can only be better.

What the paper doesn't have is done like this. The moment is the earliest at which an operator and a
machine that he may run are both free and something is ready for them; every task and way to do it that
can begin then is compared, at that operator's pace. As s counts the changeover or, when longer, the time
until pressing begins, with warm-up and waiting for a platen. Every pair of parameters is also tried with
the task put where it ends first, wherever that is. From the due date the least work that
must follow in the job or on its garments, its cooling and its packing are taken off. Without due dates,
where the schedule is only to end early, all jobs are due at the least possible end (the longest job, or
the mean load of a machine), so that jobs with much work left go first. A task that doesn't fit before
its operator goes home waits for another, if one fits. Of alternatives those with the fewest tasks are taken.
"""

from __future__ import annotations

import math
import time
from itertools import product

from scheduler.domain.instance import Instance, Operator, Shift
from scheduler.engine.flat import flatten, to_schedule
from scheduler.engine.kernel import layout
from scheduler.engine.kernel.place import place, put_down
from scheduler.engine.line import line_cost
from scheduler.engine.local_search import Line
from tests.benchmarks.peers.atcs_data import Data, Option, log_index
from tests.benchmarks.peers.budget import Budget
from tests.benchmarks.peers.outcome import Outcome

K1 = (2.0, 1.0, 4.0, 0.5, 6.0, 0.25, 10.0)
K2 = (0.4, 0.2, 0.8, 0.1, 1.5, 0.05, 4.0)
"""Around the values that the paper's formulas give; the likely ones first, should time run out."""

NEVER = 1 << 60


def plan(instance: Instance, seed: int, budget: Budget) -> Outcome:
    """The best schedule of the grid, or of as much of it as the budget allows; there is no seed."""
    begin = time.perf_counter()
    data = Data(flatten(instance))
    choose = any(len(data.options(task)) > 1 for task in data.tasks)
    grid = list(product(K1, K2 if data.mean_setup else K2[:1], (False, True) if choose else (False,)))
    lines: list[tuple[tuple[int, ...], int, Line]] = []
    first_plan_s = 0.0
    for k1, k2, soonest in grid:
        line = line_by(data, k1, k2, soonest=soonest)
        lines.append((line_cost(data.flattened, line), len(lines), line))
        if len(lines) == 1:
            first_plan_s = time.perf_counter() - begin
        if budget.over():
            break
    _, at, line = min(lines, key=lambda entry: entry[:2])
    k1, k2, soonest = grid[at]
    where = ", where it ends first" if soonest else ""
    return Outcome(
        schedule=to_schedule(data.flattened, line.tasks, line.options),
        first_plan_s=first_plan_s,
        note=f"k1 = {k1}, k2 = {k2}{where}; best of {len(lines)} of {len(grid)}",
    )


def line_by(data: Data, k1: float, k2: float, *, soonest: bool = False) -> Line:
    """The sequence that the rule builds; tasks that fit nowhere are left over in it.

    Parameters
    ----------
    soonest
        The rule says which task is next, but not where: that is where the task ends first.
    """
    return _Building(data, k1, k2, soonest).run()


class _Building:
    """A sequence under construction."""

    def __init__(self, data: Data, k1: float, k2: float, soonest: bool) -> None:
        self._data = data
        self._soonest = soonest
        self._k1_work = k1 * data.mean_work
        self._k2_setup = k2 * data.mean_setup
        self._flat = data.flattened.flat
        self._state = list(data.flattened.start)
        self._row = [0] * layout.PLACED
        self._instance = data.flattened.instance
        self._waiting = {task: list(data.options(task)) for task in data.tasks}
        self._not_before: dict[int, int] = {}
        self._machine_free = [machine.free_from for machine in self._instance.machines]
        self._operator_free = [0] * len(self._instance.operators)
        self._bundle_free: dict[str, int] = {}
        self._cooled: dict[int, int] = {}
        self._line: list[tuple[int, int]] = []

    def run(self) -> Line:
        while self._waiting:
            moment, found = self._candidates()
            if moment == NEVER:
                self._leave_over(self._ready_tasks()[0])
                continue
            found.sort(key=lambda each: (-each[0], each[1].task, each[1].number))
            for _, option in found:
                if self._put(self._best_place(option), moment):
                    break
                self._not_before[option.number] = self._after_stretch(option, moment)
        return Line(tuple(task for task, _ in self._line), tuple(option for _, option in self._line))

    def _ready_tasks(self) -> list[int]:
        columns = self._data.flattened.columns
        begin, before = columns["before_from"], columns["before"]
        return [
            task
            for task in self._waiting
            if not any(other in self._waiting for other in before[begin[task] : begin[task + 1]])
        ]

    def _candidates(self) -> tuple[int, list[tuple[float, Option]]]:
        """The next moment at which something can begin, and all that can begin then, with its index."""
        there = [self._present_from(person, number) for number, person in enumerate(self._instance.operators)]
        moment = NEVER
        found: list[Option] = []
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
        columns = self._data.flattened.columns
        stated = self._instance.tasks[task]
        at = max([stated.release, *(self._bundle_free.get(bundle, 0) for bundle in stated.bundles)])
        for other in columns["before"][columns["before_from"][task] : columns["before_from"][task + 1]]:
            if self._data.carried[other]:
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

    def _index(self, option: Option, moment: int) -> float:
        row = self._row
        if not self._placed(option):
            return -math.inf
        return log_index(
            weight=self._data.weight(option.task),
            work=option.work,
            slack=self._data.due(option.task, self._waiting) - option.work - moment,
            setup=max(row[layout.CHANGE], row[layout.START] - moment),
            k1_work=self._k1_work,
            k2_setup=self._k2_setup,
        )

    def _placed(self, option: Option) -> bool:
        """Find its place behind what is put down; the row says where."""
        present = self._data.carried
        return place(self._flat, self._state, present, 0, option.task, option.number, self._row, 0)

    def _best_place(self, option: Option) -> Option:
        """The task's option that ends first, where that is wanted; on a tie with the smaller changeover."""
        if not self._soonest:
            return option
        found = []
        for at, other in enumerate(self._waiting[option.task]):
            if self._placed(other):
                found.append((self._row[layout.END], self._row[layout.CHANGE], at, other))
        return min(found, key=lambda each: each[:3])[3] if found else option

    def _put(self, option: Option, moment: int) -> bool:
        """Put a task down if it ends in the stretch of presence that holds the moment."""
        row = self._row
        if not self._placed(option):
            return False
        shift = self._stretch(option, moment)
        if shift is not None and row[layout.END] > shift.overtime_end:
            return False
        put_down(self._flat, self._state, option.task, option.number, row, 0)
        self._note(option, row[layout.END])
        self._taken(option.task, option.number)
        return True

    def _stretch(self, option: Option, moment: int) -> Shift | None:
        """The operator's shift that holds the moment, or the next; None when nobody is needed."""
        if option.operator < 0:
            return None
        shifts = self._instance.operators[option.operator].shifts
        return next(shift for shift in shifts if moment < shift.overtime_end)

    def _after_stretch(self, option: Option, moment: int) -> int:
        """When a task that didn't fit may be tried again; never where it fits nowhere at all."""
        shift = self._stretch(option, moment)
        return shift.overtime_end if shift is not None and self._placed(option) else NEVER

    def _note(self, option: Option, end: int) -> None:
        """Keep what the index and the next moment are read from."""
        task = self._instance.tasks[option.task]
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
