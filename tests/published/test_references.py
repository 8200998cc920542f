"""The engine's answers held against other libraries' own reasoning: graphs, assignment, MIP, simulation."""

from __future__ import annotations

from collections.abc import Iterator

import networkx
import numpy
import pytest
import simpy
from scipy.optimize import Bounds, LinearConstraint, linear_sum_assignment, milp

from scheduler.domain.instance import Instance
from scheduler.engine.solve import solve
from scheduler.verify.check import check
from tests.published.cases import CASES

BY_NAME = {case.name: case for case in CASES}


def critical_path(instance: Instance) -> int:
    """Longest chain of precedences, by networkx."""
    graph = networkx.DiGraph()
    graph.add_nodes_from(("start", "end"))
    work = {task.id: min(mode.work for mode in task.modes) for task in instance.tasks}
    for task in instance.tasks:
        graph.add_edge("start", task.id, weight=task.release)
        graph.add_edge(task.id, "end", weight=work[task.id])
    for pair in instance.precedences:
        graph.add_edge(pair.before, pair.after, weight=work[pair.before])
    assert networkx.is_directed_acyclic_graph(graph)
    return int(networkx.dag_longest_path_length(graph))


@pytest.mark.parametrize("name", [name for name in BY_NAME if BY_NAME[name].instance.precedences])
def test_no_finish_before_the_critical_path(name):
    case = BY_NAME[name]
    if "finish" in case.expected:
        assert critical_path(case.instance) <= case.expected["finish"]


def test_critical_path_of_the_anomaly_is_its_best_finish():
    """Graham 1969: chains 1-9 and 4-5..8 of durations 3+9 and 2+4."""
    assert critical_path(BY_NAME["P10 anomaly, 4 machines"].instance) == 12


@pytest.mark.parametrize(
    ("name", "bound"), [("S12 closed tour of batches", 250), ("S13 closed tour of batches", 130)]
)
def test_assignment_is_a_bound_on_a_tour_of_setups(name, bound):
    """The assignment relaxation of the tours in Winston and Baker, by scipy."""
    case = BY_NAME[name]
    costs = numpy.array(case.instance.setup_parts[0].tables[0].ticks, dtype=float)
    numpy.fill_diagonal(costs, 10_000)
    rows, columns = linear_sum_assignment(costs)
    assert costs[rows, columns].sum() == bound <= case.expected["changeover"]


def least_makespan(work: list[int], machines: int) -> int:
    """Parallel machines by mixed-integer programming (HiGHS through scipy)."""
    jobs = len(work)
    size = jobs * machines + 1
    cost = numpy.zeros(size)
    cost[-1] = 1
    once = numpy.zeros((jobs, size))
    load = numpy.zeros((machines, size))
    for job in range(jobs):
        for machine in range(machines):
            once[job, job * machines + machine] = 1
            load[machine, job * machines + machine] = work[job]
    load[:, -1] = -1
    answer = milp(
        cost,
        constraints=[LinearConstraint(once, 1, 1), LinearConstraint(load, -numpy.inf, 0)],
        integrality=numpy.append(numpy.ones(size - 1), 0),
        bounds=Bounds(0, numpy.append(numpy.ones(size - 1), numpy.inf)),
    )
    assert answer.success
    return round(answer.fun)


@pytest.mark.parametrize("name", [name for name in BY_NAME if name.startswith(("P1 ", "P2 ", "P3 ", "P4 "))])
def test_parallel_machines_agree_with_a_mip(name):
    case = BY_NAME[name]
    work = [task.modes[0].work for task in case.instance.tasks]
    assert least_makespan(work, len(case.instance.machines)) == case.expected["finish"]


@pytest.mark.parametrize(
    "name", ["S11 weighted tardiness with setups", "S14 lateness first", "S15 lateness first"]
)
def test_a_simulation_of_the_plan_ends_when_the_plan_does(name):
    """simpy runs each machine through the plan's order; S11: ends at 10, 20, 34 and 48."""
    instance = BY_NAME[name].instance
    schedule = solve(instance, effort="quick").schedule
    assert schedule is not None and check(instance, schedule).passed
    tasks = {task.id: task for task in instance.tasks}
    world = simpy.Environment()
    ended: dict[str, int] = {}

    def machine(name: str) -> Iterator[simpy.Event]:
        part = instance.setup_parts[0]
        mine = next(m for m in instance.machines if m.id == name)
        table = part.tables[mine.tables[0]]
        state = mine.initial[0]
        cold = True
        for run in sorted((run for run in schedule.tasks if run.task in on[name]), key=lambda run: run.start):
            mode = next(mode for mode in tasks[run.task].modes if mode.id == run.mode)
            changing = table.change(state, mode.state[0])
            yield world.timeout(max(mode.warm_up, changing) if cold else changing)
            yield world.timeout(mode.work)
            ended[run.task] = world.now
            state, cold = mode.state[0], False

    on: dict[str, set[str]] = {m.id: set() for m in instance.machines}
    for run in schedule.tasks:
        mode = next(mode for mode in tasks[run.task].modes if mode.id == run.mode)
        on[mode.machine].add(run.task)
    for name_of in on:
        world.process(machine(name_of))
    world.run()
    assert ended == {run.task: run.end for run in schedule.tasks}
    if name.startswith("S11"):
        assert sorted(ended.values()) == [10, 20, 34, 48]
