"""The questions that a day is asked about new orders."""

from __future__ import annotations

from dataclasses import replace
from datetime import datetime, timedelta
from pathlib import Path

from scheduler.daybook.opening import silent
from scheduler.daybook.state import state_at
from scheduler.domain.instance import Instance
from scheduler.domain.orders import Order
from scheduler.domain.plan import Plan
from scheduler.domain.schedule import Result, Schedule, Status
from scheduler.planning.calendar import tick_at_or_before
from scheduler.planning.helps import TryOut
from scheduler.planning.promise import MadeLate, asked_by, asked_earliest, made_late
from scheduler.planning.rest import plan_rest
from scheduler.plans.book import open_day
from scheduler.workflow.promise_questions import REFINEMENTS, Promise, promise_for
from scheduler.workflow.question import Looked, Looking
from tests.support.commands import AT, large


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


class Searches:
    """Searches that give what a test says, in turn, and note what each was begun with."""

    def __init__(self, ready: list[dict[str, int]], late: list[dict[str, int]] | None = None) -> None:
        self.ready, self.late = ready, late or []
        self.begun: list[object] = []
        self.seconds, self.over = None, False

    def as_it_stands(self, tried: TryOut) -> Looked:
        return self._looked(tried, {}, {})

    def look(self, tried: TryOut, asked: Instance, effort: object, near: Schedule | None = None) -> Looked:
        at = len(self.begun)
        self.begun.append(near)
        ready = self.ready[min(at, len(self.ready) - 1)]
        return self._looked(tried, ready, self.late[at] if at < len(self.late) else {})

    @staticmethod
    def _looked(tried: TryOut, ready: dict[str, int], late: dict[str, int]) -> Looked:
        result = Result(status=Status.FEASIBLE, schedule=tried.kept)
        schedule = replace(tried.kept, warm_ups=())
        return Looked(schedule=schedule, result=result, finished=ready, late=late)


def with_searches(planned_once: Path, orders: Path, searches: Searches, by: int) -> Promise:
    from scheduler.workflow.new_orders import read_new

    with open_day(planned_once, None, tell=silent) as day:
        plan, events = day.plan, day.events
    new, _ = read_new([orders], plan.shop, plan.day)
    state = state_at(plan, events, datetime.fromisoformat(AT))
    return promise_for(
        lambda split: plan_rest(plan, new, state, split=split),
        plan_rest(plan, (), state),
        {order.id: by for order in new},
        searches,  # type: ignore[arg-type]
        effort="quick",
    )


def test_the_earliest_is_looked_for_from_what_rush_gives(planned_once: Path, new_orders: Path) -> None:
    """The first search is that of rush; the others begin with the best that there is."""
    searches = Searches([{"N1": 9_000}, {"N1": 9_500}])
    found = with_searches(planned_once, new_orders, searches, by=9_100)
    assert found.earliest == {"N1": 9_000} and found.fits and found.at_by == {}
    assert searches.begun[0] is None
    assert all(isinstance(near, Schedule) for near in searches.begun[1:])


def test_a_way_that_is_found_for_the_hour_asked_for_is_not_denied(
    planned_once: Path, new_orders: Path
) -> None:
    """An hour that is held with nothing else made late fits, even where each can't be at its earliest."""
    rounds = 2 + REFINEMENTS
    searches = Searches([{"N1": 9_000}] * rounds + [{"N1": 8_000}])
    found = with_searches(planned_once, new_orders, searches, by=8_500)
    assert (found.earliest, found.fits, found.helps) == ({"N1": 8_000}, True, ())
    searches = Searches([{"N1": 9_000}] * rounds + [{"N1": 8_000}], [{}] * rounds + [{"1001": 50}])
    found = with_searches(planned_once, new_orders, searches, by=8_500)
    assert (found.earliest, found.fits, found.at_by) == ({"N1": 9_000}, False, {"N1": 8_000})
