"""Ratios, summaries and the file of results."""

from __future__ import annotations

import json
import math
from pathlib import Path
from typing import Any

import pytest

from tests.benchmarks.rows import (
    ENGINE,
    FEASIBLE,
    NO_PLAN,
    PROVEN_BEST,
    RELAXED,
    Row,
    impossible,
    ratio,
    read,
    summary,
    write,
)


def row(
    instance: str = "a", seed: int = 1, value: int | None = 10, best: int | None = 10, **more: Any
) -> Row:
    fields: dict[str, Any] = {
        "set_name": "wt",
        "solver": ENGINE,
        "status": FEASIBLE,
        "ratio": ratio(value, best),
        "checked": value is not None,
    }
    return Row(instance=instance, seed=seed, value=value, best=best, **{**fields, **more})


@pytest.mark.parametrize(
    ("value", "best", "expected"),
    [
        (10, 10, 1.0),
        (11, 10, 1.1),
        (9, 10, 0.9),
        (0, 10, 0.0),
        (0, 0, 1.0),
        (1, 0, math.inf),
        (None, 10, None),
        (10, None, None),
        (None, 0, None),
    ],
)
def test_ratio(value: int | None, best: int | None, expected: float | None) -> None:
    assert ratio(value, best) == expected


def test_a_summary_takes_medians_over_seeds_before_it_takes_a_mean() -> None:
    rows = [
        row("a", 1, 12),
        row("a", 2, 10),
        row("a", 3, 11),
        row("b", 1, 10, status=PROVEN_BEST),
        row("b", 2, 10, status=PROVEN_BEST),
        row("b", 3, 20),
    ]
    found = summary(rows, ENGINE)
    assert found.by_instance == {"a": 1.1, "b": 1.0}
    assert found.mean == pytest.approx(1.05)
    assert (found.worst, found.at_best, found.infinite) == (1.1, 1, 0)
    assert (found.instances, found.planned) == (2, 2)
    # One seed did not prove it.
    assert found.proven == 0
    rows[-1] = row("b", 3, 10, status=PROVEN_BEST)
    assert summary(rows, ENGINE).proven == 1


def test_what_has_no_plan_is_not_left_out_of_a_summary() -> None:
    rows = [
        row("a", 1, 10),
        row("b", 1, None, status=NO_PLAN),
        row("c", 1, 5, 0),
        row("d", 1, 7, checked=None, status=RELAXED, ratio=None),
    ]
    found = summary(rows, ENGINE)
    assert found.by_instance == {"a": 1.0, "b": math.inf, "c": math.inf, "d": math.inf}
    assert (found.mean, found.worst, found.infinite) == (1.0, math.inf, 3)
    assert (found.instances, found.planned, found.at_best) == (4, 2, 1)


def test_a_summary_is_of_one_solver_and_of_instances_with_a_best_value() -> None:
    rows = [row("a"), row("b", best=None), row("a", value=30, solver="atcs")]
    assert summary(rows, ENGINE).by_instance == {"a": 1.0}
    assert summary(rows, ENGINE).instances == 2
    assert summary(rows, "atcs").by_instance == {"a": 3.0}


def test_better_than_proven_best_is_impossible() -> None:
    rows = [row(value=9, proof="yes"), row(value=10, proof="yes"), row(value=9, proof="per source")]
    assert impossible(rows) == rows[:1]


def test_a_day_is_compared_level_by_level() -> None:
    best = {"left_over": 0, "lateness": 5, "changeover": 100}
    for levels, score, expected in (
        ({"left_over": 0, "lateness": 5, "changeover": 100}, 10, 0),
        # A lower score, but later: worse.
        ({"left_over": 0, "lateness": 6, "changeover": 10}, 7, 1),
        ({"left_over": 0, "lateness": 4, "changeover": 900}, 13, -1),
    ):
        found = row(value=score, best=10, proof="yes", levels=levels, best_levels=best)
        assert found.against_best == expected
        assert bool(impossible([found])) == (expected == -1)
        assert summary([found], ENGINE).at_best == (expected <= 0)
    assert row(value=None).against_best is None
    assert row(best=None).against_best is None
    assert row(checked=None).against_best is None


def test_rows_come_back_from_their_file(tmp_path: Path) -> None:
    rows = [
        row(
            value=5, best=0, levels={"left_over": 0, "lateness": 5}, cpu_s=1.25, reached=[[0.1, 0.1, [0, 5]]]
        ),
        row("b", 2, None, None, status=NO_PLAN, checked=None, note="nothing found"),
    ]
    path = tmp_path / "out.json"
    write(path, {"set": "wt", "finished": True}, rows)
    head, again = read(path)
    assert head == {"set": "wt", "finished": True}
    assert again == rows
    # Strict JSON: an infinite ratio is a word.
    plain = json.loads(path.read_text(encoding="utf-8"), parse_constant=pytest.fail)
    assert plain["rows"][0]["ratio"] == "infinite"
    assert [each.name for each in tmp_path.iterdir()] == ["out.json"]


def test_a_file_that_can_not_be_written_leaves_the_old_one(tmp_path: Path) -> None:
    path = tmp_path / "out.json"
    write(path, {}, [row()])
    before = path.read_text(encoding="utf-8")
    with pytest.raises(ValueError, match="not JSON compliant"):
        write(path, {}, [row(cpu_s=math.nan)])
    assert path.read_text(encoding="utf-8") == before
