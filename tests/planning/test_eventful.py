"""A few random days on which much comes in between; `eventful.py` runs as many as one likes."""

from __future__ import annotations

import pytest

from scheduler.domain.plan import Plan
from tests.support.eventful import eventful_day, morning


@pytest.fixture(scope="module")
def printed() -> Plan:
    return morning(named=True)


@pytest.mark.parametrize("seed", [1, 2, 3])
def test_a_day_planned_again_and_again_loses_nothing_and_breaks_no_rule(printed: Plan, seed: int) -> None:
    counted = eventful_day(printed, seed, steps=3)
    assert counted["replans"] == 3
    assert eventful_day(printed, seed, steps=1) == eventful_day(printed, seed, steps=1)
