"""Chances of a day: intervals, times drawn, what is told of a plan, and minutes won."""

from __future__ import annotations

import random
from dataclasses import replace
from datetime import datetime, time, timedelta
from math import exp, sqrt

import numpy as np
import pytest
from scipy.stats import binomtest

from scheduler.answers.sure import sure_lines
from scheduler.chance.chances import Replays
from scheduler.chance.network import network_of
from scheduler.chance.outcome import Outcome, wilson
from scheduler.chance.spread import NO_SPREAD, OfRecordedRuns, Spread, draw, hand_share, piece_cv, scaled
from scheduler.domain.chances import DayChance
from scheduler.domain.plan import Plan
from scheduler.domain.shop import Element
from scheduler.sheets.sure import percent, sure_lead, untold_words
from scheduler.verify import check
from tests.examples.test_examples import read
from tests.support.eventful import Eventful, morning, planned_again, what_comes, written_down

NAMES = {"replays": 400, "seed": 5}


@pytest.fixture(scope="module")
def printed() -> Plan:
    return morning()


@pytest.fixture(scope="module")
def usual(printed: Plan) -> Replays:
    return Replays(printed, Spread(), replays=400, seed=5)


@pytest.mark.parametrize(("hits", "of"), [(0, 20), (1, 20), (15, 50), (1999, 2000), (2000, 2000)])
@pytest.mark.parametrize("confidence", [0.9, 0.95])
def test_the_interval_is_that_of_wilson(hits: int, of: int, confidence: float) -> None:
    """Against scipy's own."""
    wanted = binomtest(hits, of).proportion_ci(confidence, method="wilson")
    found = wilson(hits, of, confidence)
    assert (found.best, found.low, found.high) == pytest.approx((hits / of, wanted.low, wanted.high))


def test_without_spread_the_day_goes_as_planned(printed: Plan) -> None:
    still = Replays(printed, NO_SPREAD, replays=3)
    verdict = check(printed.instance, printed.schedule)
    assert [row.tolist() for row in still.outcome.finished] == 3 * [
        [verdict.finished[job.id] for job in printed.instance.jobs]
    ]
    assert still.outcome.weighted_late == verdict.values["lateness"]
    told = still.told()
    planned = {order.id: order for order in printed.orders}
    for row in told.orders:
        assert row.on_time.best == (planned[row.id].late_minutes == 0)
        assert row.late_minutes == pytest.approx(planned[row.id].late_minutes, abs=0.051)
        assert row.usual == row.careful == row.planned == planned[row.id].finished
        assert row.beyond == (row.usual is None)
    late = {one.id for one in planned.values() if one.late_minutes > 0}
    assert late and set(told.never_on_time) == late
    assert (told.on_time.best, told.others_on_time) == (0, wilson(3, 3))
    assert told.work_more == 0 and told.finish_usual == told.finish_planned
    assert told.overtime_minutes == told.overtime_planned_minutes
    assert told.overtime_minutes * 10 == pytest.approx(verdict.values["overtime"])
    assert told.unfinished.best == 0


def test_an_order_that_is_always_late_does_not_hide_how_sure_the_others_are() -> None:
    """Four replays of three orders, worked out by hand: the second is late in all, the others in one each."""
    late, kept = 11.0, 10.0
    finished = np.array([[kept, late, kept], [late, late, kept], [kept, late, late], [kept, late, kept]])
    of_day = Outcome(
        jobs=("a", "b", "c"), finished=finished, due=np.full(3, 10.0), weights=np.ones(3), horizon=20.0
    )
    assert of_day.ever_on_time.tolist() == [True, False, True]
    assert (of_day.day_on_time, of_day.others_on_time) == (0, 2)


def test_an_order_due_after_the_planned_days_is_not_late_at_their_end(printed: Plan) -> None:
    """By how much it would be late, or not, nobody has planned; it is said apart, and not called at risk."""
    last = max(printed.schedule.tasks, key=lambda done: done.end)
    job = next(task.job for task in printed.instance.tasks if task.id == last.task)

    def told(due: int) -> DayChance:
        jobs = tuple(replace(one, due=due) if one.id == job else one for one in printed.instance.jobs)
        plan = replace(printed, instance=replace(printed.instance, jobs=jobs))
        return Replays(plan, Spread(stop_every_min=30, stop_min=30), replays=400, seed=5).told()

    horizon = printed.instance.horizon
    within, after = (next(o for o in told(due).orders if o.id == job) for due in (horizon, horizon + 1000))
    assert 0.1 < within.beyond < 1 and within.on_time.best == pytest.approx(1 - within.beyond, abs=0.01)
    assert (after.beyond, after.on_time.best, after.late_minutes) == (within.beyond, 1, 0)
    assert after.cause is None and within.cause is not None
    lead = sure_lead(told(horizon + 1000))
    assert lead.startswith("All orders on time, as far as the days are planned: on ")
    assert f"need not be late: {job} (on {percent(after.beyond)} %)" in lead
    lines = sure_lines(printed, told(horizon + 1000))
    assert not any(line.startswith(f"  {job} ") for line in lines)
    assert any("need not be late" in line for line in lines)
    usual = told(horizon)
    assert "as far as" not in sure_lead(usual) and untold_words(usual) == ""


def replanned(printed: Plan, seed: int) -> Plan:
    """The day of the example after two moments at which much came in between."""
    draw = random.Random(f"sure {seed}")
    opens = datetime.combine(printed.day, time(7))
    day = Eventful(plan=printed, at=opens, to_come=list(read("rush.xlsx")))
    for _ in range(2):
        day.at += timedelta(minutes=draw.randint(5, 120))
        day.events = (*day.events, *written_down(day, draw))
        day.plan, day.events = planned_again(day, what_comes(day, draw))
    return day.plan


@pytest.mark.parametrize("seed", [1, 2])
def test_a_day_planned_again_is_replayed_from_then_on(printed: Plan, seed: int) -> None:
    plan = replanned(printed, seed)
    still = Replays(plan, NO_SPREAD, replays=1)
    assert still.replayed.end[0].tolist() == [node.end for node in still.network.nodes]
    begun = [number for number, node in enumerate(still.network.nodes) if node.given]
    assert begun
    moved = Replays(plan, Spread(), **NAMES).replayed
    assert (moved.end[:, begun] == still.replayed.end[0, begun]).all()
    assert moved.end.std(axis=0).max() > 0


def test_the_same_seed_gives_the_same_chances_and_another_one_others(printed: Plan, usual: Replays) -> None:
    assert Replays(printed, Spread(), replays=400, seed=5).told() == usual.told()
    assert Replays(printed, Spread(), replays=400, seed=6).told() != usual.told()


def test_times_have_the_means_and_spreads_that_were_asked_for(printed: Plan) -> None:
    network = network_of(printed.instance, printed.schedule)
    asked = replace(NO_SPREAD, set_up=0.3, hand=0.25, run=0.14)
    times = draw(printed, network, asked, replays=20_000, seed=1)
    runs = {run.id: run for run in printed.runs}
    for number, node in enumerate(network.nodes[:12]):
        run = runs[node.task]
        if node.set_up:
            share = times.set_up[:, number] / node.set_up
            assert (share.mean(), share.std()) == pytest.approx((1, 0.3), abs=0.015)
        # Variances of independent factors: those of the work by hand of the run and of its pieces, and of
        # the fixed part of two minutes (20 ticks).
        hand = hand_share(printed, run) * (node.work - 20)
        piece = piece_cv(printed, run, asked) ** 2 / run.content.quantity
        wanted = sqrt(hand**2 * ((1 + 0.14**2) * (1 + piece) - 1) + (0.3 * 20) ** 2)
        assert times.work[:, number].mean() == pytest.approx(node.work, rel=0.01)
        assert times.work[:, number].std() == pytest.approx(wanted, rel=0.04)


def test_elements_that_were_timed_go_before_the_usual_spread(printed: Plan) -> None:
    run = printed.runs[0]
    press = next(one for one in printed.shop.presses if one.name == run.press)
    load = (Element.LOAD.value, press.setup.value)
    steady = piece_cv(printed, run, Spread(elements={load: 0.0}))
    assert steady < piece_cv(printed, run, Spread()) < piece_cv(printed, run, Spread(elements={load: 0.9}))
    assert piece_cv(printed, run, Spread(elements={("load", "all"): 0.0})) == steady
    whole = piece_cv(printed, run, Spread(cycle=0.1))
    assert whole * hand_share(printed, run) == pytest.approx(0.1)


def test_stops_and_spoiled_pieces_add_what_they_are_to_add(printed: Plan) -> None:
    network = network_of(printed.instance, printed.schedule)
    work = sum(node.work for node in network.nodes)
    stops = draw(printed, network, replace(NO_SPREAD, stop_min=5.0), replays=4_000, seed=1)
    assert stops.work.sum(axis=1).mean() / work == pytest.approx(1 + 5 / 240, abs=0.001)
    spoiled = draw(printed, network, replace(NO_SPREAD, spoilage=0.10), replays=2_000, seed=1)
    one = next(n for n, node in enumerate(network.nodes) if len(_run(printed, node.task).content.laid) == 1)
    two = next(
        (n for n, node in enumerate(network.nodes) if len(_run(printed, node.task).content.laid) == 2), None
    )
    for number, share in ((one, 0.10), (two, 1 - 0.9**2)):
        if number is not None:
            node = network.nodes[number]
            assert spoiled.work[:, number].mean() == pytest.approx(
                node.work + share * (node.work - 20), rel=0.01
            )


def _run(plan: Plan, name: str):  # type: ignore[no-untyped-def]
    return next(run for run in plan.runs if run.id == name)


def test_recorded_days_take_the_place_of_the_usual_figures(printed: Plan) -> None:
    network = network_of(printed.instance, printed.schedule)
    run = _run(printed, network.nodes[0].task)
    of_days = OfRecordedRuns(
        noise=0.2, usual_s=600.0, day=0.0, all_work=1.1, beside={("press", run.press): 1.05}
    )
    asked = Spread(recorded=of_days, spoilage=0.0, set_up=0.0)
    work = draw(printed, network, asked, replays=20_000, seed=1).work[:, 0]
    pressing = network.nodes[0].work - 20
    noise = 0.2 * sqrt((1 + 600 / (pressing * 6)) / 2)
    ratio = np.log((work - 20) / pressing)
    assert exp(ratio.mean()) == pytest.approx(1.1 * 1.05, rel=0.01)
    assert ratio.std() == pytest.approx(noise, rel=0.03)


def test_spreads_are_scaled_and_nothing_else(printed: Plan) -> None:
    of_days = OfRecordedRuns(noise=0.2, usual_s=600.0, day=0.02, all_work=1.1, beside={})
    asked = Spread(elements={("load", "all"): 0.2}, cycle=0.1, recorded=of_days)
    assert scaled(asked, 1) == asked
    twice = scaled(asked, 2)
    assert (twice.hand, twice.run, twice.day, twice.set_up) == pytest.approx((0.5, 0.28, 0.08, 0.6))
    assert (twice.elements, twice.cycle) == ({("load", "all"): 0.4}, 0.2)
    assert twice.recorded == replace(of_days, noise=0.4, day=0.04)
    assert (twice.stop_min, twice.spoilage) == (asked.stop_min, asked.spoilage)


def test_people_who_may_begin_early_or_stay_are_never_worse_off(printed: Plan, usual: Replays) -> None:
    printed_times = Replays(printed, Spread(), as_printed=True, **NAMES)
    staying = Replays(printed, Spread(), stay_min=30, **NAMES)
    assert (usual.replayed.end <= printed_times.replayed.end + 1e-6).all()
    assert (staying.replayed.end <= usual.replayed.end + 1e-6).all()
    assert staying.told().unfinished.best < usual.told().unfinished.best


def test_orders_are_told_from_the_least_sure_on(usual: Replays) -> None:
    told = usual.told(minutes=5)
    shares = [order.on_time.best for order in told.orders]
    assert shares == sorted(shares) and shares[0] < shares[-1] == 1
    assert told.on_time.best <= shares[0]
    for order in told.orders:
        assert order.on_time.low <= order.on_time.best <= order.on_time.high
        if order.careful is not None and order.on_time.best >= 0.9:
            assert order.careful <= order.cut_off
    gains = [one.weight_gained for one in told.won]
    assert gains == sorted(gains, reverse=True) and gains[0] > 0


def test_minutes_won_are_those_of_a_day_with_shorter_work(printed: Plan) -> None:
    """Without spread it is plain: the day replayed with the run five minutes shorter."""
    still = Replays(printed, NO_SPREAD, replays=2)
    late = {order.id: order for order in printed.orders if order.late_minutes > 0}
    assert late  # the first plan of the example has late orders
    for one in still.won(60):
        assert one.orders_gained > 0
        assert one.late_minutes_saved > 0


def test_the_runs_named_are_the_best_of_all(usual: Replays) -> None:
    every = usual._gains([n for n, node in enumerate(usual.network.nodes) if not node.given], 5)
    best = sorted((weight for weight, _, _, _ in every.values()), reverse=True)
    told = [one.weight_gained for one in usual.won(5)]
    assert told == pytest.approx(best[: len(told)])


def test_what_is_weighted_is_not_called_orders(printed: Plan, usual: Replays) -> None:
    """Every order ten times as heavy: ten times the weight is gained, and as many orders."""
    heavy = tuple(replace(job, weight=10 * job.weight) for job in printed.instance.jobs)
    plan = replace(printed, instance=replace(printed.instance, jobs=heavy))
    by_run = {one.run: one for one in Replays(plan, Spread(), replays=400, seed=5).won(5)}
    told = [one for one in usual.won(5) if one.run in by_run]
    assert told
    for one in told:
        assert by_run[one.run].weight_gained == pytest.approx(10 * one.weight_gained)
        assert by_run[one.run].orders_gained == pytest.approx(one.orders_gained)


def test_orders_and_their_weight_are_said_apart(usual: Replays) -> None:
    chances = usual.told(minutes=5)
    one = replace(chances.won[0], orders_gained=0.46, weight_gained=4.61, day_gain=0.0)
    assert sure_lines(usual.plan, replace(chances, won=(one,)))[-2].endswith(": 0.46 orders (weight 4.61)")
    same = replace(one, weight_gained=0.46)
    assert sure_lines(usual.plan, replace(chances, won=(same,)))[-2].endswith(": 0.46 orders")
