"""What would help late orders: each help searched anew and checked, cheapest first."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass, replace
from fractions import Fraction
from typing import TYPE_CHECKING

from scheduler.domain.clock import moment_words
from scheduler.domain.figures import rounded
from scheduler.workflow.help_words import overtime_words, person_words, whole_minute
from scheduler.workflow.question import Looked, Looking
from scheduler.workflow.search import plan_of

if TYPE_CHECKING:
    from collections.abc import Iterable

    from scheduler.domain.day_problem import DayProblem
    from scheduler.domain.plan import Cure, Plan
    from scheduler.domain.schedule import Result
    from scheduler.planning.helps import TryOut
    from scheduler.workflow.search import Answer

MOST_CURES = 3
"""Cures named for an order."""

WORTH_SAYING = 0.9
"""Help that leaves an order later than this share of its lateness is not named."""

MOST_WORK = 1_200
"""Searches for cures, times the number of possible runs of the day."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Helped:
    """What a search with some help gave.

    Attributes
    ----------
    words
        The help.
    looked
        None: there was no time to search.
    orders
        Those that it may be named for; None: all.
    """

    words: str
    looked: Looked | None
    orders: frozenset[str] | None = None


def cured_plan(problem: DayProblem, answer: Answer, *, seconds: float | None, seed: int) -> Plan:
    """The plan of a whole day in trade words, with what would help its late orders."""
    from scheduler.planning.build import build_day
    from scheduler.planning.helps import TryOut

    result = answer.result
    plan = plan_of(problem, answer, version=1)
    schedule = plan.schedule

    def tried_of(split: frozenset[str]) -> TryOut:
        day = problem
        if split:
            day = build_day(
                problem.shop, problem.orders, problem.day, least_days=len(problem.dates), split=split
            )
        there = {(task.id, mode.id) for task in day.instance.tasks for mode in task.modes}
        kept = replace(
            schedule,
            tasks=tuple(done for done in schedule.tasks if (done.task, done.mode) in there),
            left_over=tuple(task for task in schedule.left_over if task in day.contents),
        )
        return TryOut(problem=day, instance=day.instance, kept=kept)

    return with_cures(plan, tried_of, looking_for(problem, result, seconds=seconds, seed=seed))


def looking_for(problem: DayProblem, result: Result, *, seconds: float | None, seed: int) -> Looking:
    """Searches for cures: few on a large day, none when the plan's own search was ended."""
    left = None if seconds is None else max(0.0, seconds - result.runtime_s)
    if result.stopped_early:
        left = 0.0
    return Looking(seconds=left, seed=seed, most=max(2, MOST_WORK // max(1, len(problem.instance.tasks))))


def with_cures(plan: Plan, tried_of: Callable[[frozenset[str]], TryOut], looking: Looking) -> Plan:
    """The plan with what would help each of its late orders.

    Parameters
    ----------
    tried_of
        The day, or its rest, with the plan to begin with; orders that are named may be pressed in lots.
    """
    left = {one.order for one in plan.left_over}
    left |= {order.id for order in plan.orders if order.finished is None and not order.missing}
    # Where pieces are missing, what helps is to press them again: no search is needed for that.
    late = {
        order.id: None if order.id in left else order.late_minutes
        for order in plan.orders
        if order.late_minutes > 0 or order.id in left
    }
    if not late:
        return plan
    tried = tried_of(frozenset())
    open_orders = frozenset(task.job for task in tried.instance.tasks) & frozenset(late)
    if not open_orders:
        return plan
    found = list(_helps(plan, tried_of, tried, open_orders, looking))
    return replace(
        plan,
        orders=tuple(
            replace(order, cures=_cures(plan, order.id, late[order.id], found, open_orders))
            if order.id in open_orders
            else order
            for order in plan.orders
        ),
    )


def _cures(
    plan: Plan, order: str, late: float | None, found: Iterable[Helped], late_orders: frozenset[str]
) -> tuple[Cure, ...]:
    """The helps that put an order on time; where none does, those that make it clearly less late."""
    from scheduler.domain.plan import Cure

    cures: list[Cure] = []
    for help_ in found:
        if help_.orders is not None and order not in help_.orders:
            continue
        if help_.looked is None:
            if len(cures) < MOST_CURES:
                cures.append(Cure(words=help_.words, late_minutes=None, confirmed=False))
            continue
        others = any(ticks > 0 for name, ticks in help_.looked.late.items() if name not in late_orders)
        ticks = help_.looked.late.get(order)
        if others or ticks is None:
            continue
        minutes = rounded(Fraction(ticks * plan.instance.tick_s, 60))
        if late is None or minutes == 0 or minutes <= WORTH_SAYING * late:
            cures.append(Cure(words=help_.words, late_minutes=minutes, confirmed=True))
    best = [cure for cure in cures if cure.late_minutes == 0]
    return tuple((best or cures)[:MOST_CURES])


def _helps(
    plan: Plan,
    tried_of: Callable[[frozenset[str]], TryOut],
    tried: TryOut,
    late: frozenset[str],
    looking: Looking,
) -> Iterator[Helped]:
    """Every help in order of cost, with what a search says of it."""
    from scheduler.planning.helps import (
        beyond,
        can_stay_longer,
        helper_hours,
        only_platens,
        waits,
        with_boxes_early,
        with_helper,
        with_overtime,
        with_platen,
    )

    tick_s = tried.instance.tick_s

    def ask(helped: TryOut) -> Looked | None:
        from scheduler.engine.effort import BRIEF
        from scheduler.planning.promise import asked_cure

        return None if looking.over else looking.look(helped, asked_cure(helped.instance, late), BRIEF)

    waiting = waits(tried, late)
    if waiting:
        job = {task.id: task.job for task in tried.instance.tasks}
        whose = frozenset(job[task] for task in waiting)
        looked = ask(with_boxes_early(tried, whose))
        for order in sorted(whose):
            yield Helped(
                words=_box_words(plan, tried, order, looked), looked=looked, orders=frozenset({order})
            )
    in_lots = tried_of(late)
    if len(in_lots.instance.tasks) > len(tried.instance.tasks):
        yield Helped(words="smaller lots, over presses or people", looked=ask(in_lots))
    people = can_stay_longer(tried)
    if people:
        looked = ask(with_overtime(tried, people))
        who = beyond(tried, looked.schedule) if looked is not None else people
        if len(who) > 1 and looked is not None:
            for name in who:
                yield Helped(words=overtime_words([name]), looked=ask(with_overtime(tried, [name])))
        if who:
            yield Helped(words=overtime_words(who), looked=looked)
    helped = with_helper(tried)
    if helped is not tried:
        looked = ask(helped)
        hours = helper_hours(looked.schedule, helped.instance) if looked else None
        if looked is None or hours is not None:
            span = None
            if hours is not None:
                span = (
                    whole_minute(plan.day, hours[0], tick_s, up=False),
                    whole_minute(plan.day, hours[1], tick_s),
                )
            yield Helped(words=person_words(span, hours[2] if hours else (), plan.day), looked=looked)
    for kind in only_platens(tried, late):
        yield Helped(words=f"one more {kind} platen", looked=ask(with_platen(tried, kind)))


def _box_words(plan: Plan, tried: TryOut, order: str, looked: Looked | None) -> str:
    from scheduler.planning.helps import waits

    own = waits(tried, {order})
    contents = tried.problem.contents
    what = " and ".join(dict.fromkeys(contents[task].waits_for or "garments or transfers" for task in own))
    if looked is None:
        return f"its {what} in earlier"
    starts = [done.start for done in looked.schedule.tasks if done.task in own]
    begin = whole_minute(plan.day, min(starts), tried.instance.tick_s, up=False) if starts else None
    return f"its {what} in by {moment_words(begin, plan.day)}" if begin else f"its {what} in earlier"
