"""The small day that the other tests stand on is a day that the independent check lets pass."""

from __future__ import annotations

from scheduler.verify import check
from tests.daybook.small import instance, schedule


def test_the_small_day_passes_the_check() -> None:
    verdict = check(instance(), schedule())
    assert verdict.breaks == ()
    assert (verdict.values["left_over"], verdict.values["lateness"]) == (0, 0)
