"""How the engine is called for a row."""

from __future__ import annotations

import time
from collections.abc import Callable
from typing import Any

import pytest

from scheduler.domain.schedule import LevelValue, Result, Schedule, Status
from scheduler.engine.solve import Progress
from tests.benchmarks import engine
from tests.published.changeovers import CHANGEOVERS

INSTANCE = CHANGEOVERS[0].instance


def result(lateness: int, bound: int, left_over: int = 0, status: Status = Status.FEASIBLE) -> Result:
    levels = (
        LevelValue(name="left_over", value=left_over),
        LevelValue(name="lateness", value=lateness, bound=bound, proven=bound == lateness),
    )
    return Result(status=status, schedule=Schedule(tasks=()), levels=levels, moves=10, first_plan_s=0.25)


def in_turn(*results: Result, takes_s: float = 0.0) -> tuple[Callable[..., Result], list[dict[str, Any]]]:
    """A stand-in for the engine that hands out results, and what it was called with."""
    calls: list[dict[str, Any]] = []

    def solve(instance: object, *, progress: Callable[[Progress], None], **more: Any) -> Result:
        calls.append(more)
        time.sleep(takes_s)
        found = results[min(len(calls), len(results)) - 1]
        values = {level.name: level.value for level in found.levels}
        progress(Progress(elapsed_s=0.1, values=values, bounds={}, moves=0, note="dispatched"))
        progress(Progress(elapsed_s=0.6, values=values, bounds={}, moves=10, note="searching"))
        progress(Progress(elapsed_s=0.7, values=values, bounds={}, moves=10, note="proving"))
        return found

    return solve, calls


def test_seconds_are_used_by_further_calls_with_other_seeds(monkeypatch: pytest.MonkeyPatch) -> None:
    best = result(90, 90, status=Status.PROVEN)
    solve, calls = in_turn(result(120, 80), result(100, 85), best)
    monkeypatch.setattr(engine, "solve", solve)
    outcome = engine.by_seconds(INSTANCE, 2, 3600)
    assert [call["seed"] for call in calls] == [2, 1002, 2002]
    assert [call["effort"] for call in calls] == ["thorough"] * 3
    assert calls[0]["seconds"] == 3600 >= calls[1]["seconds"] >= calls[2]["seconds"] > 3500
    assert outcome.restarts == 2
    assert outcome.moves == 30
    assert outcome.moves_s == pytest.approx(30 / 1.5)
    assert outcome.schedule is best.schedule
    assert outcome.bounds == {"left_over": 0, "lateness": 90}
    assert outcome.first_plan_s == 0.25
    assert [stage[2] for stage in outcome.reached][-1] == [0, 90]


def test_bounds_of_one_call_prove_the_plan_of_another(monkeypatch: pytest.MonkeyPatch) -> None:
    solve, calls = in_turn(result(90, 70), result(100, 90), takes_s=0.05)
    monkeypatch.setattr(engine, "solve", solve)
    outcome = engine.by_seconds(INSTANCE, 1, 0.2)
    assert len(calls) > 1
    assert outcome.bounds["lateness"] == 90
    assert outcome.proven


def test_processor_seconds_do_not_pass_while_it_sleeps(monkeypatch: pytest.MonkeyPatch) -> None:
    solve, calls = in_turn(result(90, 70), result(80, 80, status=Status.PROVEN), takes_s=0.2)
    monkeypatch.setattr(engine, "solve", solve)
    outcome = engine.by_seconds(INSTANCE, 1, 0.15, of_cpu=True)
    assert (len(calls), outcome.proven) == (2, True)
    assert not calls[0]["stop"]()
    assert calls[0]["seconds"] == 0.15 * engine.PATIENCE


def test_a_call_that_takes_the_seconds_is_the_only_one(monkeypatch: pytest.MonkeyPatch) -> None:
    solve, calls = in_turn(result(90, 70), takes_s=0.05)
    monkeypatch.setattr(engine, "solve", solve)
    outcome = engine.by_seconds(INSTANCE, 1, 0.05)
    assert (len(calls), outcome.restarts, outcome.proven) == (1, 0, False)


def test_bounds_below_a_level_in_which_two_plans_differ_stay_with_their_own() -> None:
    better, worse = result(50, 20), result(10, 9, left_over=3)
    bounds = {"left_over": 0, "lateness": 20}
    # 9 holds among plans that leave 3 over, and so for the better one too; but 20 doesn't for the worse.
    assert engine._joined(better, bounds, worse) == {"left_over": 0, "lateness": 20}
    assert engine._joined(worse, {"left_over": 0, "lateness": 9}, better) == {"left_over": 0, "lateness": 20}


def test_stages_in_quick_succession_are_one() -> None:
    watch = engine._Watch(("lateness",))
    for value in (50, 40, 30, 20):
        watch.note((value,))
    watch.note((25,))
    # The first, the last, and at most one more: the calls are nearly at the same time.
    stages = [stage[2][0] for stage in watch.reached]
    assert stages[0] == 50
    assert stages[-1] == 20


def test_an_effort_is_one_call(monkeypatch: pytest.MonkeyPatch) -> None:
    solve, calls = in_turn(result(90, 70))
    monkeypatch.setattr(engine, "solve", solve)
    outcome = engine.by_effort(INSTANCE, 3, "quick")
    assert [(call["effort"], call["seed"]) for call in calls] == [("quick", 3)]
    assert "seconds" not in calls[0]
    assert (outcome.moves, outcome.restarts) == (10, 0)
