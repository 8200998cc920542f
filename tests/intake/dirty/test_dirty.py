"""Dirtied and damaged files: the truth comes back or is questioned at its cell, and nothing falls over."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import pytest

from tests.intake.dirty import judge
from tests.intake.dirty.broken import judged_bytes
from tests.intake.dirty.judge import dirtied, judged
from tests.intake.dirty.shapes import SHAPES
from tests.intake.dirty.ways import ALWAYS_LAST, WAYS


@pytest.mark.parametrize("start", range(0, 200, 25))
def test_dirtied_sheets_are_the_truth_or_are_questioned(start: int) -> None:
    assert [line for seed in range(start, start + 25) for line in judged(seed)] == []


@pytest.mark.parametrize("start", range(0, 100, 25))
def test_damaged_files_end_in_orders_or_in_faults(start: int) -> None:
    assert [line for seed in range(start, start + 25) for line in judged_bytes(seed)] == []


def test_every_way_is_used() -> None:
    used = {mark.way for seed in range(600) for mark in dirtied(seed)[0].marks}
    # a list of names is either sound or has something wrong; letters of old encodings come with the file
    assert len(used) == len(WAYS) + len(ALWAYS_LAST) + len(SHAPES) + 2


def test_the_same_seed_makes_the_same_sheet() -> None:
    one, other = dirtied(5)[0], dirtied(5)[0]
    assert one.truth == other.truth
    assert [cell.value for line in one.all_lines() for cell in line.cells] == [
        cell.value for line in other.all_lines() for cell in line.cells
    ]


@pytest.mark.parametrize("harm", ["loses", "changes", "adds", "unsaid", "elsewhere", "falls over"])
def test_the_judge_sees_what_is_wrong(monkeypatch: pytest.MonkeyPatch, harm: str) -> None:
    """Readers that lose, change or make up orders, or don't say why, are found out."""
    true = judge.scan_orders

    def scan(*given: Any) -> Any:
        orders, found = true(*given)
        if harm == "loses":
            return orders[1:], ()
        if harm == "changes":
            return tuple(replace(one, lines=one.lines[:1], customer="Z") for one in orders), ()
        if harm == "adds":
            return (*orders, *(replace(one, id="more") for one in orders)), found
        if harm == "unsaid":
            return orders, ()
        if harm == "elsewhere":
            return orders, tuple(replace(one, source=replace(one.source, cell="ZZ99")) for one in found)
        raise ZeroDivisionError

    monkeypatch.setattr(judge, "scan_orders", scan)
    assert [line for seed in range(8) for line in judged(seed)]
