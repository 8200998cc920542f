"""Replays of plans: the mean case, agreement with a simulation of another kind, and theory."""

from __future__ import annotations

import random
from dataclasses import replace
from math import pi, sqrt
from statistics import NormalDist

import numpy as np
import pytest

from scheduler.chance.network import Network, network_of
from scheduler.chance.replay import Replay, Times, planned_times
from scheduler.domain.instance import Instance, Machine, Operator, Precedence, Shift
from scheduler.domain.plan import Plan
from scheduler.domain.schedule import Schedule
from scheduler.engine.solve import solve
from scheduler.verify import check
from tests.replay.executor import carry_out
from tests.support.eventful import morning
from tests.support.random_days import random_day, side_by_side
from tests.support.tiny import at, instance, plan, task, way


@pytest.fixture(scope="module")
def printed() -> Plan:
    return morning()


def planned(seed: int) -> tuple[Instance, Schedule]:
    """A small day, every third of them with as many runs at two presses side by side as there can be."""
    day = random_day(seed, tasks=6 + seed % 12, machines=2 + seed % 2)
    if seed % 3 == 0:
        day = side_by_side(day)
    schedule = solve(day, effort="quick", stop=lambda: True).schedule
    assert schedule is not None and check(day, schedule).passed
    return day, schedule


def ends_of(network: Network, times: Times) -> np.ndarray:
    return Replay(network).run(times).end


@pytest.mark.parametrize("as_printed", [False, True])
@pytest.mark.parametrize("seed", range(60))
def test_a_day_without_surprise_goes_as_planned(seed: int, as_printed: bool) -> None:
    network = network_of(*planned(seed), as_printed=as_printed)
    done = Replay(network).run(planned_times(network))
    assert done.start[0].tolist() == [node.start for node in network.nodes]
    assert done.end[0].tolist() == [node.end for node in network.nodes]


@pytest.mark.parametrize("as_printed", [False, True])
def test_the_example_without_surprise_goes_as_planned(printed: Plan, as_printed: bool) -> None:
    network = network_of(printed.instance, printed.schedule, as_printed=as_printed)
    done = Replay(network).run(planned_times(network, 3))
    assert done.end.tolist() == [[node.end for node in network.nodes]] * 3


@pytest.mark.parametrize("as_printed", [False, True])
@pytest.mark.parametrize("seed", range(60))
def test_replays_agree_with_a_simulation(seed: int, as_printed: bool) -> None:
    """The simulation knows neither networks nor arrays; both get the same random times, here whole ticks."""
    day, schedule = planned(seed)
    network = network_of(day, schedule, as_printed=as_printed)
    draw = random.Random(f"times {seed}")
    takes = [
        {
            node.task: (draw.randint(0, 2 * node.set_up + 1), draw.randint(0, 2 * node.work + 2))
            for node in network.nodes
        }
        for _ in range(4)
    ]
    times = Times(
        set_up=np.array([[one[node.task][0] for node in network.nodes] for one in takes], dtype=float),
        work=np.array([[one[node.task][1] for node in network.nodes] for one in takes], dtype=float),
    )
    ended = ends_of(network, times)
    floors = {node.task: (node.set_up_from, node.press_from) for node in network.nodes}
    for row, own in zip(ended, takes, strict=True):
        simulated = carry_out(day, schedule, takes=own, not_before=None if as_printed else floors)
        assert {
            node.task: end for node, end in zip(network.nodes, row, strict=True) if np.isfinite(end)
        } == simulated


@pytest.mark.parametrize("seed", range(30))
def test_replayed_days_obey_the_rules(seed: int) -> None:
    """The independent check of the day with the drawn times; only shifts and breaks may be overrun."""
    day, schedule = planned(seed)
    network = network_of(day, schedule)
    draw = random.Random(f"rules {seed}")
    work = {node.task: draw.randint(0, 2 * node.work + 2) for node in network.nodes}
    times = Times(
        set_up=planned_times(network).set_up,
        work=np.array([[work[node.task] for node in network.nodes]], dtype=float),
    )
    done = Replay(network).run(times)
    if not np.isfinite(done.end).all():
        return  # somebody has gone home for good: the check knows no runs that never end
    chosen = {run.task: run.mode for run in schedule.tasks}
    tasks = []
    for one in day.tasks:
        ticks = work.get(one.id, 0)
        modes = tuple(
            replace(mode, work=ticks, operators=tuple((name, ticks) for name, _ in mode.operators))
            if chosen.get(one.id) == mode.id
            else mode
            for mode in one.modes
        )
        tasks.append(replace(one, modes=modes))
    place = {node.task: number for number, node in enumerate(network.nodes)}
    runs = tuple(
        replace(
            run,
            setup_start=round(done.start[0, place[run.task]]) - network.nodes[place[run.task]].set_up,
            start=round(done.start[0, place[run.task]]),
            end=round(done.end[0, place[run.task]]),
        )
        for run in schedule.tasks
    )
    found = check(replace(day, tasks=tuple(tasks)), replace(schedule, tasks=runs)).breaks
    broken = {one.rule for one in found}
    assert broken <= {"calendar", "warm_up"}, [one.message for one in found]


# F. S. Hillier and G. J. Lieberman, Introduction to Operations Research, Reliable Construction Co.:
# optimistic, most likely and pessimistic weeks, and what comes before (from memory). The book's figures,
# recomputed below: critical path A B C E F J L N of 44 weeks with variance 9; within 47 weeks with a chance
# of 0.84 by PERT.
WEEKS: dict[str, tuple[float, float, float, str]] = {
    "A": (1, 2, 3, ""),
    "B": (2, 3.5, 8, "A"),
    "C": (6, 9, 18, "B"),
    "D": (4, 5.5, 10, "C"),
    "E": (1, 4.5, 5, "C"),
    "F": (4, 4, 10, "E"),
    "G": (5, 6.5, 11, "D"),
    "H": (5, 8, 17, "EG"),
    "I": (3, 7.5, 9, "C"),
    "J": (3, 9, 9, "FI"),
    "K": (4, 4, 4, "J"),
    "L": (1, 5.5, 7, "J"),
    "M": (1, 2, 3, "H"),
    "N": (5, 5.5, 9, "KL"),
}
MEANS = {name: (low + 4 * likely + high) / 6 for name, (low, likely, high, _) in WEEKS.items()}
SPREADS = {name: (high - low) / 6 for name, (low, _, high, _) in WEEKS.items()}


def project(names: str) -> Network:
    """Activities as runs that need nobody, each at a press of its own; a tick is a week."""
    start: dict[str, int] = {}
    for name in sorted(names, key="ABCDEGFIHJKLMN".index):
        start[name] = max(
            (start[one] + round(MEANS[one]) for one in WEEKS[name][3] if one in names), default=0
        )
    day = instance(
        *(task(name, way(name, work=round(MEANS[name]))) for name in names),
        machines=tuple(Machine(id=name) for name in names),
        precedences=tuple(
            Precedence(before=one, after=name) for name in names for one in WEEKS[name][3] if one in names
        ),
        operators=(),
    )
    done = plan(*(at(name, start[name], start[name] + round(MEANS[name]), mode=name) for name in names))
    assert check(day, done).passed
    return network_of(day, done)


def normal_times(network: Network, replays: int) -> Times:
    draw = np.random.default_rng(7)
    means = np.array([MEANS[node.task] for node in network.nodes])
    spreads = np.array([SPREADS[node.task] for node in network.nodes])
    work = draw.normal(means, spreads, size=(replays, len(means)))
    return Times(set_up=np.zeros_like(work), work=np.maximum(work, 0.0))


def test_a_path_of_the_published_project_has_the_sum_of_means_and_variances() -> None:
    network = project("ABCEFJLN")
    assert max(node.end for node in network.nodes) == 44
    ended = ends_of(network, normal_times(network, 40_000)).max(axis=1)
    assert sum(SPREADS[name] ** 2 for name in "ABCEFJLN") == pytest.approx(9)
    assert ended.mean() == pytest.approx(44, abs=4 * 3 / sqrt(40_000))
    assert ended.std() == pytest.approx(3, rel=0.02)
    assert (ended <= 47).mean() == pytest.approx(NormalDist().cdf(1), abs=0.01)  # 0.8413


def test_where_paths_meet_the_whole_project_is_later_than_its_critical_path() -> None:
    network = project("".join(WEEKS))
    assert max(node.end for node in network.nodes) == 44
    ended = ends_of(network, normal_times(network, 40_000)).max(axis=1)
    assert ended.mean() > 44.1  # the path alone: 44.00 with an error of 0.015
    assert (ended <= 47).mean() < 0.83


def test_two_runs_side_by_side_end_as_late_as_theory_says() -> None:
    """The greater of two: C. E. Clark, Operations Research 9 (1961), eq. 2: here mean + sigma / sqrt(pi)."""
    day = instance(task("a", way("A", work=100)), task("b", way("B", work=100)), operators=())
    network = network_of(day, plan(at("a", 0, 100), at("b", 0, 100, mode="B")))
    work = np.random.default_rng(3).normal(100.0, 10.0, size=(100_000, 2))
    later = ends_of(network, Times(set_up=np.zeros_like(work), work=work)).max(axis=1)
    assert later.mean() == pytest.approx(100 + 10 / sqrt(pi), abs=0.1)


def by_hand(*, as_printed: bool) -> Network:
    """Ann, there over [0, 60) and [70, 100), presses a, then b (set up in 5), then c at another press."""
    ann = Operator(id="Ann", shifts=(Shift(start=0, end=100, overtime_end=100, breaks=((60, 70),)),))
    day = instance(
        task("a", way("A", operators=(("Ann", 20),)), cooling=6, bundles=("box",)),
        task("b", way("A", operators=(("Ann", 10),)), release=30),
        task("c", way("B", operators=(("Ann", 15),)), bundles=("box",)),
        operators=(ann,),
    )
    done = plan(at("a", 0, 20, by="Ann"), at("b", 30, 40, by="Ann"), at("c", 40, 55, mode="B", by="Ann"))
    assert check(day, done).passed
    return network_of(day, done, as_printed=as_printed)


@pytest.mark.parametrize(
    ("work", "ends", "printed_ends"),
    [
        ((20, 10, 15), (20, 40, 55), (20, 40, 55)),
        (
            (12, 8, 15),
            (12, 38, 53),
            (12, 38, 55),
        ),  # b waits for its box; c then follows at once, or as printed
        ((45, 10, 15), (45, 55, 80), (45, 55, 80)),  # 5 of c before the break, 10 after it
        ((45, 15, 15), (45, 60, 85), (45, 60, 85)),  # b ends as the break begins
        ((20, 35, 45), (20, 75, None), (20, 75, None)),  # 25 of c are left when she goes home
    ],
)
def test_a_case_by_hand(
    work: tuple[int, ...], ends: tuple[int | None, ...], printed_ends: tuple[int | None, ...]
) -> None:
    for as_printed, wanted in ((False, ends), (True, printed_ends)):
        times = Times(set_up=np.zeros((1, 3)), work=np.array([work], dtype=float))
        found = ends_of(by_hand(as_printed=as_printed), times)[0]
        assert [None if np.isinf(end) else end for end in found] == list(wanted)


def test_what_was_begun_before_stays_where_it_is(printed: Plan) -> None:
    noon = 12 * 600
    network = network_of(printed.instance, printed.schedule, begun_before=noon)
    usual = planned_times(network)
    done = Replay(network).run(Times(set_up=usual.set_up, work=1.3 * usual.work))
    begun = [number for number, node in enumerate(network.nodes) if node.begin < noon]
    assert begun and [done.end[0, number] for number in begun] == [network.nodes[n].end for n in begun]
    assert (done.end[0] >= [node.end for node in network.nodes]).all()
    assert (done.end[0] > [node.end for node in network.nodes]).any()


def test_changing_one_run_is_the_same_as_replaying_it_all(printed: Plan) -> None:
    replay = Replay(network_of(printed.instance, printed.schedule))
    usual = planned_times(replay.network, 2)
    base = replay.run(usual)
    for number in range(0, len(replay.network.nodes), 9):
        work = np.array(usual.work)
        work[:, number] += 100
        changed = Times(set_up=usual.set_up, work=work)
        assert (replay.changed(base, changed, number).end == replay.run(changed).end).all()


def test_criticality_of_the_published_project() -> None:
    """Every path goes through A, B and C, then D, E or I, and ends in M or N."""
    network = project("".join(WEEKS))
    times = normal_times(network, 5_000)
    replay = Replay(network)
    done = replay.run(times)
    last = (done.end >= done.end.max(axis=1, keepdims=True)).astype(float)
    index = dict(zip((node.task for node in network.nodes), replay.critical(done, times, last), strict=True))
    assert index["A"] == index["B"] == index["C"] == 1
    assert index["M"] + index["N"] == pytest.approx(1)
    assert index["G"] <= index["D"] and index["H"] == index["M"]
    assert index["D"] + index["E"] + index["I"] == pytest.approx(1)
    assert index["J"] == index["N"] > 0.5
