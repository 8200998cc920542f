"""A day that is past, or has begun, is planned; the owner is told."""

from __future__ import annotations

from pathlib import Path

import pytest

from tests.support.commands import DAY, Clock, Run


@pytest.mark.parametrize(
    ("now", "told"),
    [
        ("2027-03-08T23:59", ""),
        (f"{DAY}T07:00", ""),
        (
            f"{DAY}T10:30",
            "Tuesday 9 March 2027, which has begun: it is 10:30, and the first shift begins at ",
        ),
        (
            "2027-03-10T00:01",
            "Tuesday 9 March 2027, which is past: today is Wednesday 10 March 2027; ",
        ),
    ],
)
def test_a_day_that_is_past_or_has_begun_is_doubted(
    now: str, told: str, run: Run, shop: Path, tmp_path: Path, clock: Clock
) -> None:
    clock(now)
    words = ["plan", shop / "orders.xlsx", "--day", DAY, "--seconds", "0", "--effort", "quick"]
    result = run(*words, "--accept-partial", "--out", tmp_path / "out")
    assert result.exit_code == 0, result.output
    doubts = [line.strip() for line in result.stderr.splitlines() if line.startswith("  --day: ")]
    assert len(doubts) == bool(told)
    assert all(told in doubt for doubt in doubts)
    assert (tmp_path / "out" / DAY / "run-sheets.pdf").exists()
