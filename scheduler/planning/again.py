"""A day planned again at a moment: new orders put into what is printed, what is begun left as it is."""

from __future__ import annotations

from dataclasses import dataclass, replace
from datetime import datetime, timedelta

from scheduler.domain.day_state import DayState, RunState, RunStatus
from scheduler.domain.faults import Fault, Source
from scheduler.domain.instance import Instance
from scheduler.domain.orders import Order
from scheduler.domain.plan import DayProblem, Plan
from scheduler.domain.schedule import LevelValue, Result, Schedule, ScheduledTask, Verdict, WarmUp
from scheduler.exceptions import BadInput
from scheduler.planning.assemble import assemble_plan
from scheduler.planning.build import build_day
from scheduler.planning.calendar import tick_at_or_after
from scheduler.planning.remaining import Moment, remaining

NOTICE_MIN = 10
"""Minutes before which nothing that is not printed begins, so that the new sheets can be handed out."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Rest:
    """The rest of a day, to be planned again.

    Attributes
    ----------
    problem
        The whole day with all orders, old and new.
    moment
        What is begun, folded into `instance`.
    warm_ups
        The warm-ups of what is begun.
    instance
        What is left, for the engine.
    kept
        The printed places of the runs that are left; where something is late they may not be possible.
    printed
        The plan on the sheets in hand.
    """

    problem: DayProblem
    moment: Moment
    warm_ups: tuple[WarmUp, ...]
    instance: Instance
    kept: Schedule
    printed: Plan


def plan_rest(plan: Plan, new: tuple[Order, ...], state: DayState, *, notice_min: int = NOTICE_MIN) -> Rest:
    """State the rest of a planned day with orders that came in since.

    Parameters
    ----------
    plan
        The plan on the sheets in hand.
    new
        Orders that it does not have.
    state
        How the day stands; runs that are to begin within the notice stay as they are printed too.

    Raises
    ------
    BadInput
        When an order is in the plan already, when the new ones don't fit the shop, or when the last of
        the planned days is over.
    """
    known = {order.id for order in plan.given}
    doubled = [order for order in new if order.id in known]
    if doubled:
        raise BadInput([_already_planned(order) for order in doubled])
    problem = build_day(plan.shop, (*plan.given, *new), plan.day, least_days=len(plan.dates))
    now = tick_at_or_after(plan.day, state.at + timedelta(minutes=notice_min), problem.instance.tick_s)
    begun = tuple(
        place
        for run in state.runs
        if (place := _begun(plan, run, state.at + timedelta(minutes=notice_min))) is not None
    )
    moment = Moment(now=now, begun=begun, warming=_warming(problem.instance, plan.schedule, begun, now))
    try:
        instance = remaining(problem.instance, moment, plan.schedule)
    except ValueError as error:
        found = f"{state.at:%Y-%m-%d %H:%M}, when the last planned day is over"
        mend = "Name a moment within the plan, or plan the next day."
        raise BadInput(
            [
                Fault(
                    code="day-over",
                    source=Source(file="--at"),
                    found=found,
                    expected="a moment within the plan",
                    mend=mend,
                )
            ]
        ) from error
    left = {task.id for task in instance.tasks}
    facts = dict(moment.warming)
    return Rest(
        problem=problem,
        moment=moment,
        warm_ups=tuple(
            warm for warm in plan.schedule.warm_ups if _is_fact(warm, problem.instance, begun, facts, now)
        ),
        instance=instance,
        kept=Schedule(tasks=tuple(done for done in plan.schedule.tasks if done.task in left)),
        printed=plan,
    )


def merged(rest: Rest, schedule: Schedule) -> Schedule:
    """The whole day: what is begun, and a schedule of the rest."""
    return Schedule(
        tasks=(*rest.moment.begun, *schedule.tasks),
        warm_ups=(*rest.warm_ups, *schedule.warm_ups),
        left_over=schedule.left_over,
    )


def plan_again(
    rest: Rest,
    result: Result,
    verdict: Verdict,
    whole: Verdict,
    baseline_levels: tuple[LevelValue, ...],
    *,
    version: int,
) -> Plan:
    """The day planned again, in trade words.

    Parameters
    ----------
    result
        The engine's answer for the rest.
    verdict
        The independent check of that answer.
    whole
        The check's reading of the whole day: its costs count, its breaks don't, since what is begun went
        as it went.

    Raises
    ------
    scheduler.exceptions.BrokenPlan
        When the check refused the rest.
    """
    schedule = result.schedule
    levels = tuple(
        LevelValue(name=name, value=whole.values[name], proven=whole.values[name] == 0)
        for name in rest.problem.instance.levels
    )
    told = replace(result, schedule=None if schedule is None else merged(rest, schedule), levels=levels)
    checked = replace(whole, breaks=verdict.breaks)
    return assemble_plan(
        rest.problem,
        told,
        checked,
        baseline_levels,
        version=version,
        numbers={run.id: run.number for run in rest.printed.runs},
    )


def _begun(plan: Plan, run: RunState, until: datetime) -> ScheduledTask | None:
    """The place of a run that is begun, or will be within the notice; None for one that is open."""
    if run.status is RunStatus.NOT_STARTED and run.start >= until:
        return None
    printed = next(done for done in plan.schedule.tasks if done.task == run.run)
    if (run.start, run.end) == (run.planned_start, run.planned_end) and not run.mode:
        return printed
    tick_s = plan.instance.tick_s
    first = tick_at_or_after(plan.day, run.start, tick_s)
    last = max(first, tick_at_or_after(plan.day, run.end, tick_s))
    return replace(
        printed,
        mode=run.mode or printed.mode,
        operator=run.operator or printed.operator,
        setup_start=first,
        start=min(last, first + printed.start - printed.setup_start),
        end=last,
    )


def _warming(
    instance: Instance, printed: Schedule, begun: tuple[ScheduledTask, ...], now: int
) -> tuple[tuple[str, tuple[int, int]], ...]:
    """Warm-ups of the day at that moment that have begun, or belong to what is begun."""
    machine_of = {(task.id, mode.id): mode.machine for task in instance.tasks for mode in task.modes}
    today = max(
        (day for day in instance.heating_days if day.start <= now), key=lambda day: day.start, default=None
    )
    if today is None:
        return ()
    ran = {machine_of[done.task, done.mode] for done in begun if done.setup_start >= today.start}
    return tuple(
        (warm.machine, (warm.start, warm.end))
        for warm in printed.warm_ups
        if today.start <= warm.start < today.end and (warm.machine in ran or warm.start < now)
    )


def _is_fact(
    warm: WarmUp,
    instance: Instance,
    begun: tuple[ScheduledTask, ...],
    facts: dict[str, tuple[int, int]],
    now: int,
) -> bool:
    """Whether a printed warm-up belongs to what is begun; one whose machine ran nothing yet is the rest's."""
    machine_of = {(task.id, mode.id): mode.machine for task in instance.tasks for mode in task.modes}
    day = next((day for day in instance.heating_days if day.start <= warm.start < day.end), None)
    if day is None:
        return False
    ran = any(
        machine_of[done.task, done.mode] == warm.machine and day.start <= done.setup_start < day.end
        for done in begun
    )
    return ran and (warm.start < now or facts.get(warm.machine) == (warm.start, warm.end))


def _already_planned(order: Order) -> Fault:
    return Fault(
        code="order-planned",
        source=order.source,
        found=f"order {order.id}, which the plan has already",
        expected="orders that came in since",
        mend="Take it out, or give it another number if it is another order.",
    )


__all__ = ["NOTICE_MIN", "Rest", "merged", "plan_again", "plan_rest"]
