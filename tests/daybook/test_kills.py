"""Killed at any moment, nothing acknowledged is lost: a few rounds of what `tests.daybook.kills` does."""

from __future__ import annotations

from pathlib import Path

from tests.daybook.kills import every_call, random_rounds


def test_kills_after_a_random_time_lose_nothing(tmp_path: Path) -> None:
    told = random_rounds(tmp_path / "plans", 4, seed=7)
    assert told.plans and told.events


def test_kills_before_single_calls_lose_nothing(tmp_path: Path) -> None:
    """Every 19th call from the eighth on: the script does all of them."""
    assert len(list(every_call(tmp_path, first=8, step=19))) >= 5
