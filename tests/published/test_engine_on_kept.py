"""The engine on published benchmark instances, stated to it like any day."""

from __future__ import annotations

import pytest

from scheduler.engine.solve import solve
from scheduler.verify.check import check
from tests.benchmarks.read import objective
from tests.published.kept import KEPT

WORST = {"wt": 1.0, "wtsds": 2.0, "fjsp": 1.06, "fjsp_sdst": 1.06}
"""How far quick effort may be above the best known value; `wtsds` is hard for a general search."""


@pytest.mark.parametrize("kept", KEPT, ids=lambda kept: f"{kept.set_name}-{kept.name}")
def test_near_the_best_known_value_and_never_below(kept):
    instance = kept.read()
    result = solve(instance, effort="quick")
    assert result.schedule is not None
    verdict = check(instance, result.schedule)
    assert verdict.breaks == ()
    value = objective(instance, verdict)
    # Below a best value that is proven would be a fault of reader, decoder and check alike.
    assert kept.best <= value <= kept.best * WORST[kept.set_name]
    assert all(level.bound <= level.value for level in result.levels)
    assert result.levels[-1].bound <= kept.best
