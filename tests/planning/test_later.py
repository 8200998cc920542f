"""Why an order is later than on the sheets in hand: what took longer is not put on a breakdown."""

from __future__ import annotations

from dataclasses import replace
from datetime import timedelta

from scheduler.domain.disruptions import Disruptions, PressDown
from scheduler.domain.plan import Plan, PlannedRun
from scheduler.planning.again import merged, plan_again
from scheduler.planning.rest import Rest
from scheduler.planning.since import MADE_WAY, SLOWER
from scheduler.sheets.follow import done_at
from scheduler.verify import check
from tests.planning.test_again import AT, again, printed, rest_with, solved, spoiled

__all__ = ["printed"]


def ends_its_order(plan: Plan, run: PlannedRun) -> bool:
    own = [one for one in plan.runs if one.content.order == run.content.order]
    return max(own, key=lambda one: (done_at(one), one.number)) is run


def over(plan: Plan) -> PlannedRun:
    """The run that ends an order, over a while before `AT`."""
    return next(
        run for run in plan.runs if run.end + timedelta(minutes=20) < AT and ends_its_order(plan, run)
    )


def due(plan: Plan, run: PlannedRun, minutes: int) -> Plan:
    """The plan with the cut-off of a run's order some minutes after it is planned to be packed."""
    order = next(one for one in plan.orders if one.id == run.content.order)
    assert order.finished is not None
    cut_off = order.finished + timedelta(minutes=minutes)
    late = max(0.0, -float(minutes))
    orders = tuple(
        replace(one, cut_off=cut_off, late_minutes=late, reason="it is large" if late else "")
        if one is order
        else one
        for one in plan.orders
    )
    given = tuple(replace(one, cut_off=cut_off) if one.id == order.id else one for one in plan.given)
    return replace(plan, orders=orders, given=given)


def down(plan: Plan, run: PlannedRun) -> Disruptions:
    """The press of a run down for the rest of the day."""
    return Disruptions(down=(PressDown(press=run.press),))


def reason_of(plan: Plan, run: PlannedRun) -> str:
    return next(one.reason for one in plan.orders if one.id == run.content.order)


def ended(printed: Plan, run: PlannedRun, minutes: int):
    return replace(spoiled(printed, run), at=run.end + timedelta(minutes=minutes), pieces=None, spoiled=None)


def test_what_was_over_before_a_press_went_down_was_pressed_later_than_planned(printed: Plan) -> None:
    run = over(printed)
    plan, late = due(printed, run, 5), (ended(printed, run, 15),)
    new = again(plan, events=late, between=down(plan, run))
    (order,) = [one for one in new.orders if one.id == run.content.order]
    assert order.late_minutes == 10.0 and not order.made_way and order.because is None
    words = f"was pressed later than planned, until {late[0].at:%H:%M} and not {run.end:%H:%M}"
    assert order.reason == f"{' and '.join(run.content.placements)} {words}"
    # It stays the reason, whatever comes in afterwards.
    later = again(new, at=AT + timedelta(minutes=10), events=late)
    assert reason_of(later, run) == order.reason


def test_an_order_late_already_keeps_its_reason_with_what_came_on_top(printed: Plan) -> None:
    run = over(printed)
    plan, late = due(printed, run, -30), (ended(printed, run, 15),)
    on_time = again(plan, between=down(plan, run))
    assert reason_of(on_time, run) == "it is large"
    reason = reason_of(again(plan, events=late, between=down(plan, run)), run)
    assert "was pressed later than planned, until" in reason and "is down" not in reason
    assert reason.count("; ") >= 1 and not reason.startswith("; ")


def to_come(plan: Plan) -> PlannedRun:
    """A run that ends its order, a while after `AT`."""
    return next(
        one
        for one in plan.runs
        if one.start > AT + timedelta(minutes=30) and ends_its_order(plan, one) and one.content.lots == 1
    )


def planned(rest: Rest) -> Plan:
    result = solved(rest.instance, rest.kept)
    verdict = check(rest.instance, result.schedule)
    whole = check(rest.problem.instance, merged(rest, result.schedule))
    return plan_again(rest, result, verdict, whole, (), version=2)


def test_only_what_would_not_be_as_late_without_a_breakdown_is_put_on_it(printed: Plan) -> None:
    run = to_come(printed)
    order = run.content.order
    rest = rest_with(due(printed, run, 1), between=down(printed, run))
    assert rest.stood[order] == 0
    moved = next(one for one in planned(rest).orders if one.id == order)
    assert moved.late_minutes > 0 and f"{run.press} is down" in moved.reason
    assert "longer than planned" not in moved.reason
    # The same plan, where what was pressed before would have made it as late.
    slow = next(
        one
        for one in planned(replace(rest, stood={**rest.stood, order: moved.late_minutes})).orders
        if one.id == order
    )
    assert slow.late_minutes == moved.late_minutes and slow.reason == f"{MADE_WAY}{SLOWER}"
    rest = replace(rest_with(due(printed, run, -1), between=down(printed, run)), stood={order: 1e6})
    before = next(one for one in planned(rest).orders if one.id == order)
    assert before.reason.endswith(f"; {SLOWER}") and "is down" not in before.reason
