"""The engine that plans days reaches published and enumerated best values, and proves small ones."""

from __future__ import annotations

import pytest

from scheduler.engine.solve import solve
from scheduler.verify.check import check
from tests.published.cases import CASES


@pytest.mark.parametrize("case", CASES, ids=lambda case: case.name)
def test_best_value_is_reached(case):
    result = solve(case.instance, effort="quick")
    assert result.schedule is not None
    verdict = check(case.instance, result.schedule)
    assert verdict.breaks == ()
    assert verdict.values == {**verdict.values, **case.expected}, case.source
    for level in result.levels:
        assert level.bound <= case.expected[level.name] == level.value
