"""The benchmark of rush orders: its day, and that an answer from the sheets stays with them."""

from __future__ import annotations

from tests.benchmarks.rush import DUE, RUSHED, from_printed, from_scratch, printed


def test_a_rush_comes_into_a_printed_day() -> None:
    plan, rest = printed("days-30-085-1", "quick")
    assert len(rest.problem.orders) == len(plan.given) + RUSHED
    rushed = {order.id for order in rest.problem.orders} - {order.id for order in plan.given}
    assert {order.cut_off for order in rest.problem.orders if order.id in rushed} == {DUE}
    # By moves: what a second gives hangs on what else the machine does.
    near, anew = from_printed(rest, None, 1, "quick"), from_scratch(rest, None, 1, "quick")
    assert near.values["left_over"] <= anew.values["left_over"]
    assert near.moved < anew.moved
