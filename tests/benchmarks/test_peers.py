"""Peers: a rule worked by hand, and nothing that breaks a rule of the model."""

from __future__ import annotations

import importlib.util
import math

import pytest

from scheduler.domain.instance import Instance
from scheduler.engine.baseline import as_they_come
from scheduler.engine.flat import flatten, to_schedule
from scheduler.verify import check
from tests.benchmarks.catalogue import DAY_WEIGHTS, chosen, entries
from tests.benchmarks.peers import pyjobshop
from tests.benchmarks.peers.atcs import K1, K2, line_by
from tests.benchmarks.peers.atcs_data import Data, log_index
from tests.benchmarks.peers.budget import Budget
from tests.benchmarks.peers.registry import PEERS, peer
from tests.published.changeovers import CHANGEOVERS
from tests.support.random_days import random_day

ENOUGH = 20.0
FOUR_JOBS = CHANGEOVERS[0]
"""Durations 13 9 13 10, due 12 37 21 22, weights 2 4 2 5; see there for the setups."""

INSTALLED = importlib.util.find_spec("pyjobshop") is not None


def kept(set_name: str, name: str) -> Instance:
    return chosen(entries(set_name), [name])[0].read()


@pytest.mark.parametrize(
    ("now", "weight", "work", "due", "setup", "expected"),
    [
        # Mean work 45 / 4 = 11.25, mean setup 32 / 16 = 2; with k1 = 5 and k2 = 0.7 the divisors are
        # 56.25 and 1.4. At 0, each from the machine's first setup:
        (0, 2, 13, 12, 1, 2 / 13 * math.exp(-1 / 1.4)),
        (0, 4, 9, 37, 1, 4 / 9 * math.exp(-28 / 56.25 - 1 / 1.4)),
        (0, 2, 13, 21, 3, 2 / 13 * math.exp(-8 / 56.25 - 3 / 1.4)),
        (0, 5, 10, 22, 4, 5 / 10 * math.exp(-12 / 56.25 - 4 / 1.4)),
    ],
)
def test_index_of_the_four_jobs(
    now: int, weight: int, work: int, due: int, setup: int, expected: float
) -> None:
    found = log_index(
        weight=weight, work=work, slack=due - work - now, setup=setup, k1_work=56.25, k2_setup=1.4
    )
    assert math.exp(found) == pytest.approx(expected)


def test_sequence_of_the_four_jobs() -> None:
    """The indices are 0.075 0.132 0.016 0.023 at 0, so job 2; 0.154 0.075 0.483 at 10, so job 4;
    0.009 0.075 at 20, so job 3, then job 1: ends 10 20 34 48, lateness 2 x 13 + 2 x 36 = 98.

    The worked example of the rule in M. Pinedo, Scheduling (data from memory) has k1 = 5, k2 = 0.7 too.
    """
    data = Data(flatten(FOUR_JOBS.instance))
    assert (data.mean_work, data.mean_setup) == (11.25, 2.0)
    line = line_by(data, 5, 0.7)
    assert line.tasks == (1, 3, 2, 0)
    schedule = to_schedule(data.flattened, line.tasks, line.options)
    assert sorted(run.end for run in schedule.tasks) == [10, 20, 34, 48]
    assert check(FOUR_JOBS.instance, schedule).values["lateness"] == 98


def test_an_index_too_small_for_a_float_still_ranks() -> None:
    def of(due: int) -> float:
        return log_index(weight=1, work=5, slack=due, setup=0, k1_work=0.5, k2_setup=0)

    assert math.exp(of(10_000)) == math.exp(of(20_000)) == 0
    assert of(10_000) > of(20_000)


@pytest.mark.parametrize("seed", range(12))
@pytest.mark.parametrize("name", ["as_they_come", "atcs"])
def test_rules_obey_the_model(name: str, seed: int) -> None:
    day = random_day(seed, tasks=9, machines=3)
    outcome = peer(name)(day, 1, Budget(ENOUGH))
    assert outcome.schedule is not None
    assert check(day, outcome.schedule).breaks == ()


def test_the_grid_ends_with_the_budget() -> None:
    outcome = peer("atcs")(FOUR_JOBS.instance, 1, Budget(0.0))
    assert outcome.schedule is not None
    assert outcome.note == f"k1 = {K1[0]}, k2 = {K2[0]}; best of 1 of {len(K1) * len(K2)}"


def test_best_of_the_grid() -> None:
    outcome = peer("atcs")(FOUR_JOBS.instance, 1, Budget(ENOUGH))
    assert outcome.schedule is not None
    # The best there is; see the case.
    assert check(FOUR_JOBS.instance, outcome.schedule).values["lateness"] == FOUR_JOBS.expected["lateness"]


@pytest.mark.parametrize(
    ("set_name", "name", "best"), [("fjsp", "fattahi_sfjs02", 107), ("fjsp_sdst", "Fattahi_setup_02", 112)]
)
@pytest.mark.parametrize("solver", ["cpsat", "pyjobshop"])
def test_solvers_prove_the_best_known_value(solver: str, set_name: str, name: str, best: int) -> None:
    if solver == "pyjobshop" and not INSTALLED:
        pytest.skip("pyjobshop is not installed")
    instance = kept(set_name, name)
    outcome = peer(solver)(instance, 1, Budget(ENOUGH))
    assert outcome.schedule is not None
    verdict = check(instance, outcome.schedule)
    assert verdict.breaks == ()
    assert verdict.values["finish"] == outcome.bounds["finish"] == best
    assert outcome.proven


def test_the_model_alone_on_a_day_with_every_rule() -> None:
    day = random_day(3, tasks=4)
    outcome = peer("cpsat")(day, 1, Budget(ENOUGH))
    assert outcome.schedule is not None
    verdict = check(day, outcome.schedule)
    assert verdict.breaks == ()
    for level in day.levels:
        assert outcome.bounds[level] <= verdict.values[level]
    assert outcome.first_plan_s is not None


def test_solvers_without_time_have_no_plan() -> None:
    assert peer("cpsat")(kept("wtsds", "wt_sds_1"), 1, Budget(0.0)).schedule is None


@pytest.mark.skipif(not INSTALLED, reason="pyjobshop is not installed")
def test_first_setups_are_stated_to_the_library() -> None:
    outcome = peer("pyjobshop")(FOUR_JOBS.instance, 1, Budget(ENOUGH))
    assert outcome.schedule is not None
    assert outcome.proven
    assert outcome.bounds["lateness"] == FOUR_JOBS.expected["lateness"]
    assert check(FOUR_JOBS.instance, outcome.schedule).values["lateness"] == FOUR_JOBS.expected["lateness"]


@pytest.mark.skipif(not INSTALLED, reason="pyjobshop is not installed")
@pytest.mark.parametrize("seed", [2, 5, 9, 11])
def test_a_day_is_only_stated_in_part_and_costs_no_more_than_a_plan(seed: int) -> None:
    day = random_day(seed, tasks=5)
    outcome = peer("pyjobshop")(day, 1, Budget(ENOUGH))
    assert outcome.schedule is None
    assert outcome.relaxed is not None
    assert outcome.relaxes == pyjobshop.RELAXES
    plan = check(day, as_they_come(day)).values
    assert plan["left_over"] == 0
    of_plan, of_relaxation = (
        sum(weight * levels.get(level, 0) for level, weight in DAY_WEIGHTS.items())
        for levels in (plan, outcome.relaxed)
    )
    assert of_relaxation <= of_plan


def test_a_library_that_is_not_installed_is_said(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(importlib.util, "find_spec", lambda name: None)
    outcome = peer("pyjobshop")(FOUR_JOBS.instance, 1, Budget(ENOUGH))
    assert outcome.skipped == "pyjobshop is not installed; pip install -e '.[bench]'"
    assert outcome.schedule is None


def test_every_peer_has_a_module() -> None:
    assert all(callable(peer(name)) for name in PEERS)
