"""The table of how cost grows: a row for each case, measured and checked."""

from __future__ import annotations

import json

import pytest

from tests.benchmarks.days import read_day
from tests.benchmarks.scaling import CASES, COLUMNS, main, table


def test_row_of_a_small_case(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["--case", json.dumps(["runs", 8, 85, 3, 2])]) == 0
    row = json.loads(capsys.readouterr().out)
    assert set(row) == {key for key, _ in COLUMNS}
    assert (row["runs"], row["days"]) == (8, 3)
    modes = (mode for task in read_day("days-8-085-1").tasks for mode in task.modes)
    assert row["options"] == sum(len(mode.operators) for mode in modes)
    assert row["moves_s"] > 0
    lines = table([row]).splitlines()
    assert len(lines) == 3
    assert {line.count("|") for line in lines} == {len(COLUMNS) + 1}


def test_each_cost_is_measured_alone() -> None:
    for grows, place in (("presses", 3), ("people", 4)):
        rows = [case for case in CASES if case[0] == grows]
        assert len({row[place] for row in rows}) == len(rows) == 4
        assert len({row[1:place] + row[place + 1 :] for row in rows}) == 1
