"""A day planned again: what is begun stays, what is new comes in, and what is printed hardly moves."""

from __future__ import annotations

from dataclasses import replace
from datetime import datetime, timedelta

import pytest

from scheduler.daybook.state import state_at
from scheduler.domain.plan import Plan
from scheduler.domain.schedule import LevelValue
from scheduler.engine.baseline import as_they_come
from scheduler.engine.flat import flatten, to_schedule
from scheduler.engine.insert import inserted
from scheduler.engine.line import line_cost
from scheduler.engine.solve import solve
from scheduler.exceptions import BadInput
from scheduler.planning import assemble_plan
from scheduler.planning.again import NOTICE_MIN, merged, plan_again, plan_rest
from scheduler.planning.build import build_day
from scheduler.planning.differences import Kind, changed_sheets, differences
from scheduler.verify import check
from tests.examples.test_examples import DAY, read, read_shop


def solved(instance, near=None):
    return solve(instance, effort="quick", seconds=0.0, near=near)


@pytest.fixture(scope="module")
def printed() -> Plan:
    problem = build_day(read_shop(), read("orders.xlsx"), DAY)
    result = solved(problem.instance)
    levels = tuple(
        LevelValue(name=name, value=value)
        for name, value in check(problem.instance, as_they_come(problem.instance)).values.items()
    )
    return assemble_plan(problem, result, check(problem.instance, result.schedule), levels)


AT = datetime.combine(DAY, datetime.min.time()) + timedelta(hours=9, minutes=40)


def rest_with(printed: Plan, orders=(), at: datetime = AT):
    return plan_rest(printed, tuple(orders), state_at(printed, (), at))


def again(printed: Plan, orders=(), at: datetime = AT) -> Plan:
    rest = rest_with(printed, orders, at)
    result = solved(rest.instance, rest.kept)
    whole = check(rest.problem.instance, merged(rest, result.schedule))
    return plan_again(
        rest, result, check(rest.instance, result.schedule), whole, printed.as_they_come, version=2
    )


def test_planned_again_without_a_change_nothing_moves(printed: Plan) -> None:
    rest = rest_with(printed)
    flattened = flatten(rest.instance)
    line = inserted(flattened, rest.kept)
    moved = rest.instance.levels.index("moved")
    assert line_cost(flattened, line)[moved] == 0
    later = [one for one in differences(printed, again(printed)) if one.kind is not Kind.EARLIER]
    assert later == []


def test_what_is_begun_or_begins_within_the_notice_is_as_it_was(printed: Plan) -> None:
    new = again(printed, read("rush.xlsx"))
    was = {run.id: run for run in printed.runs}
    for run in new.runs:
        if run.id in was and was[run.id].start < AT + timedelta(minutes=NOTICE_MIN):
            assert (run.start, run.end, run.press, run.operator, run.number) == (
                was[run.id].start,
                was[run.id].end,
                was[run.id].press,
                was[run.id].operator,
                was[run.id].number,
            )
        else:
            assert run.start >= AT + timedelta(minutes=NOTICE_MIN)


def test_the_new_orders_are_in_and_the_whole_day_passes_the_check(printed: Plan) -> None:
    orders = read("rush.xlsx")
    new = again(printed, orders)
    assert check(new.instance, new.schedule).passed
    assert {order.id for order in orders} <= {order.id for order in new.orders}
    found = differences(printed, new)
    assert {new.given[0].id, *(one.id for one in orders)} <= {order.id for order in new.given}
    fresh = [one for one in found if one.kind is Kind.NEW]
    assert fresh and all(one.after is not None and one.after.number > len(printed.runs) for one in fresh)
    assert set(changed_sheets(found)) <= {person.name for person in new.shop.crew}


def test_inserting_costs_no_more_than_putting_the_new_orders_last(printed: Plan) -> None:
    rest = rest_with(printed, read("rush.xlsx"))
    flattened = flatten(rest.instance)
    best = line_cost(flattened, inserted(flattened, rest.kept))
    last = line_cost(flattened, inserted(flattened, rest.kept, over=lambda: True))
    assert best <= last
    schedule = to_schedule(
        flattened, *(getattr(inserted(flattened, rest.kept), name) for name in ("tasks", "options"))
    )
    assert check(rest.instance, schedule).passed


def test_an_order_that_is_planned_already_is_refused(printed: Plan) -> None:
    with pytest.raises(BadInput, match="which the plan has already"):
        rest_with(printed, printed.given[:1])


def test_after_the_last_day_nothing_can_be_planned(printed: Plan) -> None:
    with pytest.raises(BadInput, match="the last planned day is over"):
        rest_with(printed, (), AT + timedelta(days=len(printed.dates) + 4))


def test_differences_name_the_kind_that_counts_most(printed: Plan) -> None:
    first, second = printed.runs[0], printed.runs[1]
    other = next(run.operator for run in printed.runs if run.operator != first.operator)
    changed = replace(
        printed,
        runs=(
            replace(first, operator=other),
            replace(second, pressing_start=second.pressing_start + timedelta(minutes=7)),
            *printed.runs[3:],
        ),
    )
    found = {one.run: one for one in differences(printed, changed)}
    assert found[first.id].kind is Kind.OTHER_PLACE
    assert found[first.id].people == (first.operator, other)
    assert found[second.id].kind is Kind.LATER and found[second.id].minutes == 7
    assert found[printed.runs[2].id].kind is Kind.DROPPED
    assert differences(printed, printed) == ()
