"""Causes of late orders: the run that ends them, and the shift end behind it."""

from __future__ import annotations

from collections import Counter
from dataclasses import replace

import numpy as np
import pytest

from scheduler.chance.causes import NOBODY, shift_ends
from scheduler.chance.chances import Replays
from scheduler.chance.network import network_of
from scheduler.chance.replay import Replay, Times, planned_times
from scheduler.chance.spread import NO_SPREAD, Spread
from scheduler.domain.instance import Operator, Precedence, Shift
from scheduler.domain.plan import Plan
from tests.support.eventful import morning
from tests.support.tiny import at, instance, plan, task, way


@pytest.fixture(scope="module")
def printed() -> Plan:
    return morning()


def two_days(name: str, end: int) -> Operator:
    """Somebody who is there from 0 to `end` and, the next day, from 200 to 300."""
    return Operator(
        id=name,
        shifts=(
            Shift(start=0, end=end, overtime_end=end),
            Shift(start=200, end=300, overtime_end=300),
        ),
    )


def held(took: list[tuple[int, int, int]]) -> tuple[list[list[float]], list[list[int]]]:
    """Ends and shift ends waited over of three runs, given the time that each really takes.

    first (Ann, there until 100) before second (Ben, there until 150); third (Ben) waits for Ben alone.
    """
    day = instance(
        task("first", way("A", operators=(("Ann", 80),))),
        task("second", way("B", operators=(("Ben", 20),))),
        task("third", way("B", operators=(("Ben", 20),))),
        operators=(two_days("Ann", 100), two_days("Ben", 150)),
        precedences=(Precedence(before="first", after="second"),),
    )
    schedule = plan(
        at("first", 0, 80, mode="A", by="Ann"),
        at("second", 80, 100, mode="B", by="Ben"),
        at("third", 100, 120, mode="B", by="Ben"),
    )
    network = network_of(day, schedule)
    assert [node.task for node in network.nodes] == ["first", "second", "third"]
    replay = Replay(network)
    times = Times(set_up=planned_times(network, len(took)).set_up, work=np.array(took, dtype=float))
    replayed = replay.run(times)
    return replayed.end.tolist(), shift_ends(replay, replayed, times).tolist()


def test_the_shift_end_that_a_chain_waits_over_is_found() -> None:
    ends, waited = held([(80, 20, 20), (99, 20, 20), (110, 20, 20), (80, 60, 20), (95, 60, 20)])
    assert ends == [
        [80, 100, 120],
        [99, 119, 139],
        [210, 230, 250],
        [80, 140, 210],
        [95, 205, 225],
    ]
    assert waited == [
        3 * [NOBODY],
        3 * [NOBODY],  # late, and still within everybody's shift
        [0, 0, 0],  # Ann goes home before the first is done; Ben has nothing to do before the next day
        [NOBODY, NOBODY, 2],  # ten ticks of the third fall on the next day
        [NOBODY, 1, 1],
    ]


def test_the_most_frequent_cause_is_named_with_its_share(printed: Plan) -> None:
    """Counted again one replay after the other."""
    replays = Replays(printed, Spread(), replays=200, seed=5)
    outcome, nodes = replays.outcome, replays.network.nodes
    cooling = {task.id: task.cooling for task in printed.instance.tasks}
    told = {row.id: row for row in replays.told().orders}
    with_shift = 0
    for number, job in enumerate(outcome.jobs):
        own = [place for place, node in enumerate(nodes) if node.job == job]
        late = [row for row in range(200) if not outcome.on_time[row, number]]
        cause = told[job].cause
        if not late:
            assert cause is None
            continue
        assert cause is not None
        last = Counter(
            max(own, key=lambda place: replays.replayed.end[row, place] + cooling[nodes[place].task])
            for row in late
        )
        place = next(place for place in own if nodes[place].task == cause.run)
        assert 0 < cause.share <= last[place] / len(late)
        if cause.shift_over is None:
            continue
        with_shift += 1
        home = cause.shift_over
        assert home.goes_on is not None and home.goes_on > home.at
        shifts = next(one.shifts for one in printed.instance.operators if one.id == home.operator)
        assert replays._moment(shifts[0].overtime_end) == home.at
        beyond = sum(replays.replayed.end[row, place] > shifts[0].overtime_end for row in late)
        assert beyond / len(late) >= cause.share
    assert with_shift


def test_without_spread_a_late_order_is_late_by_its_last_run(printed: Plan) -> None:
    still = Replays(printed, NO_SPREAD, replays=2)
    for row in still.told().orders:
        if row.on_time.best == 1:
            assert row.cause is None
            continue
        ends = {run.id: run.end for run in printed.runs if run.content.order == row.id}
        assert row.cause is not None and row.cause.share == 1 and row.cause.shift_over is None
        assert ends[row.cause.run] == max(ends.values())


def test_an_order_left_over_has_no_cause_but_that(printed: Plan) -> None:
    gone = printed.runs[0]
    part = printed.schedule
    without = replace(
        printed,
        schedule=replace(
            part,
            tasks=tuple(one for one in part.tasks if one.task != gone.id),
            left_over=(*part.left_over, gone.id),
        ),
    )
    told = Replays(without, NO_SPREAD, replays=2).told()
    order = next(row for row in told.orders if row.id == gone.content.order)
    assert order.on_time.best == 0 and order.cause is None
