"""Pieces of a plan against those of the orders: every print on every piece once, none twice, none lost."""

from __future__ import annotations

from collections import Counter

from scheduler.domain.day_problem import DayProblem
from scheduler.domain.disruptions import PartKind, cancelled_of
from scheduler.domain.kinds import Kind, kinds_of_order, kinds_of_runs, with_rests
from scheduler.domain.orders import Order
from scheduler.domain.schedule import Schedule
from scheduler.exceptions import BrokenPlan

MOST_SAID = 3


def check_pieces(problem: DayProblem, schedule: Schedule) -> None:
    """Hold what a schedule presses and leaves over against what was ordered.

    Pieces of an order that is whole are there as often as they were ordered; those to be pressed again come
    on top. Of an order that has fewer pieces now, what was begun may be more than is wanted; of a
    cancelled one there may be less.

    Raises
    ------
    BrokenPlan
        When a piece would be pressed twice, or is lost.
    """
    there = [problem.contents[done.task] for done in schedule.tasks]
    there += [problem.contents[task] for task in schedule.left_over]
    planned = {
        order.id: kinds_of_runs(content for content in there if content.order == order.id)
        for order in problem.orders
    }
    wrong = []
    for order in problem.orders:
        least, most = _wanted(problem, order)
        for kind in dict.fromkeys((*least, *most, *planned[order.id])):
            found = planned[order.id][kind]
            if not least[kind] <= found <= most[kind]:
                meant = f"{least[kind]}" if least[kind] == most[kind] else f"{least[kind]} to {most[kind]}"
                wrong.append(
                    f"order {order.id}, {', '.join(word for word in kind if word)}: "
                    f"{found} pieces planned, {meant} ordered"
                )
    if wrong:
        more = f"; and {len(wrong) - MOST_SAID} more" if len(wrong) > MOST_SAID else ""
        raise BrokenPlan("; ".join(wrong[:MOST_SAID]) + more)


def check_cancelled(problem: DayProblem, schedule: Schedule, at: int) -> None:
    """Hold a schedule of a day planned again against the orders that are cancelled by then.

    Parameters
    ----------
    at
        The tick of the moment from which the day is planned again.

    Raises
    ------
    BrokenPlan
        When something of a cancelled order is pressed after that moment, or left over for later.
    """
    cancelled = cancelled_of(problem.orders, problem.between)
    orders = {task: content.order for task, content in problem.contents.items()}
    later = [done.task for done in schedule.tasks if done.end > at]
    wrong = [task for task in (*later, *schedule.left_over) if orders[task] in cancelled]
    if wrong:
        raise BrokenPlan(
            "; ".join(
                f"run {task} of order {orders[task]} goes on, which is cancelled"
                for task in wrong[:MOST_SAID]
            )
        )


def _wanted(problem: DayProblem, order: Order) -> tuple[Counter[Kind], Counter[Kind]]:
    """The least and the most pieces of each kind that the plan may have of an order."""
    least = kinds_of_order(order)
    most = Counter(least)
    for change in problem.between.fewer:
        if change.order.id == order.id:
            least = kinds_of_order(change.order)
            begun = with_rests(change.begun, problem.parts)
            kept = kinds_of_runs(one for name, one in problem.contents.items() if name in begun)
            most = Counter({kind: max(least[kind], kept[kind]) for kind in (*least, *kept)})
    again = [problem.contents[part.task] for part in problem.parts if part.name is PartKind.AGAIN]
    on_top = kinds_of_runs(content for content in again if content.order == order.id)
    least.update(on_top)
    most.update(on_top)
    if order.id in cancelled_of(problem.orders, problem.between):
        least.clear()
    return least, most


__all__ = ["check_cancelled", "check_pieces"]
