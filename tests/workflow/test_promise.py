"""The questions that a day is asked about new orders."""

from __future__ import annotations

from datetime import datetime, timedelta
from pathlib import Path

import openpyxl

from scheduler.daybook.opening import silent
from scheduler.daybook.state import state_at
from scheduler.domain.orders import Order
from scheduler.domain.plan import Plan
from scheduler.planning.again import plan_rest
from scheduler.planning.calendar import tick_at_or_before
from scheduler.planning.promise import MadeLate, asked_by, asked_earliest, made_late
from scheduler.plans.book import open_day
from scheduler.workflow.promise_questions import Promise, promise_for
from scheduler.workflow.question import Looking
from tests.support.commands import AT


def answered(planned_once: Path, orders: Path, cut_off: datetime) -> tuple[Plan, Order, Promise]:
    """The answer for a sample order that is larger."""
    from scheduler.workflow.new_orders import read_new

    with open_day(planned_once, None, tell=silent) as day:
        plan, events = day.plan, day.events
    (order,), _ = read_new([orders], plan.shop, plan.day)
    at = datetime.fromisoformat(AT)
    state = state_at(plan, events, at)
    answer = promise_for(
        lambda split: plan_rest(plan, (order,), state, split=split),
        plan_rest(plan, (), state),
        {order.id: tick_at_or_before(plan.day, cut_off, plan.instance.tick_s)},
        Looking(seconds=None, seed=1),
        effort="quick",
    )
    return plan, order, answer


def large(orders: Path, factor: int) -> Path:
    workbook = openpyxl.load_workbook(orders)
    sheet = workbook["Orders"]
    head = next(cell for row in sheet.iter_rows() for cell in row if cell.value == "Order")
    for cell in sheet[head.row]:
        if isinstance(sheet.cell(head.row + 1, cell.column).value, int):
            sheet.cell(head.row + 1, cell.column).value *= factor
    workbook.save(orders)
    return orders


def test_what_becomes_late_is_named_when_it_must_be_ready(planned_once: Path, new_orders: Path) -> None:
    soon = datetime.fromisoformat(AT) + timedelta(minutes=40)
    plan, order, pressed = answered(planned_once, large(new_orders, 2), soon)
    assert pressed.earliest[order.id] >= pressed.never_before[order.id]
    if not pressed.fits:
        assert pressed.at_by[order.id] >= pressed.never_before[order.id]
        assert pressed.late or plan.instance.tick_s * pressed.at_by[order.id] > 8 * 3600 + 50 * 60
        assert pressed.helps
    for one in pressed.late:
        assert one.late > one.before >= 0 and one.order != order.id


def test_the_questions_change_cut_offs_and_weights_only(planned_once: Path, new_orders: Path) -> None:
    from scheduler.workflow.new_orders import read_new

    with open_day(planned_once, None, tell=silent) as day:
        plan, events = day.plan, day.events
    (order,), _ = read_new([new_orders], plan.shop, plan.day)
    rest = plan_rest(plan, (order,), state_at(plan, events, datetime.fromisoformat(AT)))
    stands = {job.id: 9_999 for job in rest.instance.jobs}
    for asked in (
        asked_earliest(rest.instance, {order.id: 5}, stands),
        asked_by(rest.instance, {order.id: 5}),
    ):
        assert asked.tasks == rest.instance.tasks and asked.operators == rest.instance.operators
        jobs = {job.id: job for job in asked.jobs}
        assert jobs[order.id].due == 5
        assert {job.id for job in asked.jobs} == set(stands)
    earliest = {job.id: job for job in asked_earliest(rest.instance, {order.id: 5}, stands).jobs}
    assert all(job.due == 9_999 for name, job in earliest.items() if name != order.id)


def test_made_late_is_what_is_later_than_it_was() -> None:
    late, before = {"A": 30, "B": 10, "C": 5, "D": 0}, {"A": 10, "B": 10}
    assert made_late(late, before) == (
        MadeLate(order="A", late=30, before=10),
        MadeLate(order="C", late=5, before=0),
    )
