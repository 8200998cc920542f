"""The rest of a day that is planned again at a moment: what is begun stays, what came in between is in it."""

from __future__ import annotations

from collections.abc import Collection, Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import datetime, timedelta

from scheduler.domain.day_problem import DayProblem
from scheduler.domain.day_state import DayState, RunState, RunStatus
from scheduler.domain.disruptions import NOTHING, Disruptions, OrderCame, PartKind, RunPart, cancelled_of
from scheduler.domain.faults import Fault, Source
from scheduler.domain.idle import NOTICE_MIN
from scheduler.domain.instance import Instance
from scheduler.domain.missing import missing_garments
from scheduler.domain.orders import Order
from scheduler.domain.plan import Plan
from scheduler.domain.rests import with_rests
from scheduler.domain.schedule import Schedule, ScheduledTask, WarmUp
from scheduler.exceptions import BadInput
from scheduler.planning.again_more import asked_from, with_more_again
from scheduler.planning.asked import faults_of_asked
from scheduler.planning.begun import recounted, warm_ups_of, warming, what_is_begun
from scheduler.planning.build import build_day
from scheduler.planning.calendar import tick_at_or_after
from scheduler.planning.changed import Changed, changed_orders
from scheduler.planning.disruptions import (
    with_late_boxes,
    with_parts,
    with_presses_down,
    without_away,
    without_jobs,
)
from scheduler.planning.fewer import with_fewer, with_unwanted
from scheduler.planning.heating import heating_days
from scheduler.planning.idle import machines_off, off_by_sheets
from scheduler.planning.remaining import Moment, remaining, with_forerunners


@dataclass(frozen=True, slots=True, kw_only=True)
class Rest:
    """The rest of a day, to be planned again.

    Attributes
    ----------
    problem
        The whole day with all orders, old and new.
    at
        The tick of the moment itself: what is under way of a cancelled order ends there.
    moment
        What is begun, folded into `instance`; of a tick by which the new sheets are handed out.
    warm_ups
        The warm-ups of what is begun.
    instance
        What is left, for the engine.
    kept
        The printed places of the runs that are left; where something is late they may not be possible.
    printed
        The plan on the sheets in hand.
    missing
        By order: its garments that lack something, spoiled or not done, which no run presses.
    stood
        By order: minutes late as things stood, had nothing come in between.
    cooled
        Presses that pressed today and are off at the moment, by these sheets.
    gone
        Of all presses those that are off at the moment by what these sheets say of their last run.
    """

    problem: DayProblem
    at: int
    moment: Moment
    warm_ups: tuple[WarmUp, ...]
    instance: Instance
    kept: Schedule
    printed: Plan
    missing: Mapping[str, int]
    stood: Mapping[str, float]
    cooled: tuple[str, ...] = ()
    gone: tuple[str, ...] = ()


def plan_rest(
    plan: Plan,
    new: tuple[Order, ...],
    state: DayState,
    *,
    between: Disruptions = NOTHING,
    notice_min: int = NOTICE_MIN,
    changed: tuple[Order, ...] = (),
    split: frozenset[str] = frozenset(),
) -> Rest:
    """State the rest of a planned day with orders that came in since, and with what came in between.

    Parameters
    ----------
    plan
        The plan on the sheets in hand.
    new
        Orders that it does not have.
    state
        How the day stands; runs that are to begin within the notice stay as they are printed too, unless
        their press is down, their person away, or their order cancelled.
    changed
        Orders of the plan as they are now.
    split
        New orders whose runs may be pressed in lots however short they are.

    Raises
    ------
    BadInput
        When an order is in the plan already, when the new ones don't fit the shop, when something that came
        in between names what is not there or is over by then, when the plan begins later than the moment, or
        when the last of the planned days is over.
    """
    known = {order.id for order in plan.given}
    faults = [_already_planned(order) for order in new if order.id in known]
    faults += faults_of_asked(plan, state.at, between, changed)
    if faults:
        raise BadInput(faults)
    between = plan.between.and_then(between)
    until = state.at + timedelta(minutes=notice_min)
    now = tick_at_or_after(plan.day, until, plan.instance.tick_s)
    begun, _ = what_is_begun(plan, state, between, until)
    before = _still_to_come(plan, state, between)
    stays = {done.task for done in with_forerunners(plan.instance, begun, before)}
    late = {one.order for one in between.late_boxes}
    as_now = changed_orders(plan, changed, stays, {order.id for order in new}, at=state.at, late_boxes=late)
    between = _on_record(plan, between, as_now, new, state.at)
    # What nobody wants any more isn't owed, and isn't pressed again; nor is what a rest gets now.
    state = with_unwanted(plan, state, between.fewer)
    state = replace(state, runs=with_rests(state.runs, plan.parts, stays))
    _, parts = what_is_begun(plan, state, between, until)
    problem = with_fewer(
        build_day(
            plan.shop,
            (*with_late_boxes(as_now.given, {one.order: one.at for one in between.late_boxes}), *new),
            plan.day,
            least_days=len(plan.dates),
            split=split,
        ),
        between.fewer,
    )
    cancelled = cancelled_of(problem.orders, between)
    wanted = replace(state, runs=tuple(run for run in state.runs if run.order not in cancelled))
    known_parts = with_more_again(
        recounted(plan, state, begun), wanted, stays, now, asked=between.press_again
    )
    problem = _whole(plan, problem, between, (*known_parts, *parts), new, state.at)
    begun = with_forerunners(problem.instance, begun, before)
    moment = Moment(now=now, begun=begun, warming=warming(problem.instance, plan.schedule, begun, now))
    cut = {part.run for part in parts if part.name is PartKind.REST}
    instance, cooled = _instance(plan, problem, moment, state.at, cut)
    ways = {(task.id, mode.id) for task in instance.tasks for mode in task.modes}
    return Rest(
        problem=problem,
        at=tick_at_or_after(plan.day, state.at, plan.instance.tick_s),
        moment=moment,
        warm_ups=warm_ups_of(plan.schedule, problem.instance, moment),
        instance=instance,
        kept=Schedule(tasks=tuple(done for done in plan.schedule.tasks if (done.task, done.mode) in ways)),
        printed=plan,
        missing=_missing(problem, wanted.runs),
        stood={one.order: one.late_minutes for one in state.orders},
        cooled=cooled,
        gone=tuple(sorted(off_by_sheets(problem.instance, plan, begun, state.at, cut))),
    )


def _on_record(
    plan: Plan, between: Disruptions, as_now: Changed, new: Iterable[Order], at: datetime
) -> Disruptions:
    """What came in between, with the orders that came, have fewer pieces, or are not as in the morning."""
    known = {order.id for order in plan.given}
    came = [order.id for order in as_now.given if order.id not in known] + [order.id for order in new]
    return replace(
        between,
        fewer=(*between.fewer, *as_now.fewer),
        came=(*between.came, *(OrderCame(order=name, at=at) for name in came)),
        morning=(*between.morning, *_changed_since(plan, as_now.given)),
    )


def _whole(
    plan: Plan,
    problem: DayProblem,
    between: Disruptions,
    parts: Iterable[RunPart],
    new: Iterable[Order],
    at: datetime,
) -> DayProblem:
    """The whole day, old and new, with what is cut off or pressed again, and what came in between."""
    came = {order.id for order in new}
    problem = _not_due(with_parts(problem, asked_from(parts, at)), cancelled_of(problem.orders, between))
    problem = replace(
        problem,
        between=between,
        not_planned=tuple(one for one in plan.not_planned if one.order not in came),
    )
    return _by_presence(problem, between)


def _instance(
    plan: Plan, problem: DayProblem, moment: Moment, at: datetime, cut: Collection[str]
) -> tuple[Instance, tuple[str, ...]]:
    """What is left for the engine, and the presses that pressed before and are off by the sheets in hand."""
    try:
        instance = remaining(problem.instance, moment, plan.schedule)
    except ValueError as error:
        raise BadInput([_day_over(at)]) from error
    was_hot = {machine.id for machine in instance.machines if machine.hot}
    instance = machines_off(instance, problem.instance, plan, moment.begun, at, moment.now, cut)
    cooled = tuple(one.id for one in instance.machines if one.id in was_hot and not one.hot)
    return _between(instance, problem, problem.between, moment.begun), cooled


def _missing(problem: DayProblem, runs: Iterable[RunState]) -> dict[str, int]:
    own: dict[str, list[RunState]] = {}
    for run in runs:
        own.setdefault(run.order, []).append(run)
    places = {task: content.placements for task, content in problem.contents.items()}
    bundles = {task.id: task.bundles for task in problem.instance.tasks}
    return {
        order: count
        for order, states in own.items()
        if (count := missing_garments(states, problem.parts, places, bundles))
    }


def _changed_since(plan: Plan, given: Iterable[Order]) -> tuple[Order, ...]:
    """Orders of the morning that are changed now for the first time, as they are in the plan."""
    now = {order.id: order for order in given}
    known = {one.id for one in plan.between.morning} | {one.order for one in plan.between.came}
    return tuple(order for order in plan.given if order.id not in known and now.get(order.id, order) != order)


def _still_to_come(plan: Plan, state: DayState, between: Disruptions) -> Schedule:
    """The printed schedule without cancelled orders, and without runs that wait for a late box."""
    cancelled = cancelled_of(plan.given, between)
    boxes = {box.order for box in between.late_boxes}
    gone = {task.id for task in plan.instance.tasks if task.job in cancelled}
    gone |= {run.run for run in state.runs if run.order in boxes and run.status is RunStatus.NOT_STARTED}
    return replace(plan.schedule, tasks=tuple(done for done in plan.schedule.tasks if done.task not in gone))


def _not_due(problem: DayProblem, cancelled: Collection[str]) -> DayProblem:
    """The problem in which cancelled orders have no cut-off and no packing: nothing of them is late."""
    jobs = tuple(
        replace(job, due=None, packing=0) if job.id in cancelled else job for job in problem.instance.jobs
    )
    return replace(problem, instance=replace(problem.instance, jobs=jobs))


def _by_presence(problem: DayProblem, between: Disruptions) -> DayProblem:
    """The problem whose presses are cold after everybody is out, absences told since counted in."""
    whole = problem.instance
    days = whole.working_days
    there = without_away(whole, between, problem.day, days[0].end)
    cut = heating_days(days, there.operators, whole.tick_s, usual=whole.operators)
    return replace(problem, instance=replace(whole, days=cut))


def _between(
    instance: Instance, problem: DayProblem, between: Disruptions, begun: Sequence[ScheduledTask]
) -> Instance:
    """The rest with what came in between."""
    tick_s, day = instance.tick_s, problem.day
    today = instance.working_days[0].end
    instance = without_jobs(instance, cancelled_of(problem.orders, between))
    until = {
        one.press: today if one.until is None else tick_at_or_after(day, one.until, tick_s)
        for one in between.down
    }
    places = {(task.id, mode.id): mode.places for task in problem.instance.tasks for mode in task.modes}
    since = {
        press
        for done in begun
        for press, _ in places[done.task, done.mode]
        if press in until and done.setup_start >= until[press]
    }
    instance = with_presses_down(instance, until, pressed=since)
    return without_away(instance, between, day, today)


def _day_over(at: datetime) -> Fault:
    return Fault(
        code="day-over",
        source=Source(file="--at"),
        found=f"{at:%Y-%m-%d %H:%M}, when the last planned day is over",
        expected="a moment within the plan",
        mend="Name a moment within the plan, or plan the next day.",
    )


def _already_planned(order: Order) -> Fault:
    return Fault(
        code="order-planned",
        source=order.source,
        found=f"order {order.id}, which the plan has already",
        expected="orders that came in since",
        mend="Take it out, or give it another number if it is another order.",
    )


__all__ = ["Rest", "plan_rest"]
