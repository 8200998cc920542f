"""What is pressed on a later day than the planned one, and why: for the terminal, the page and the paper."""

from __future__ import annotations

from typing import TYPE_CHECKING

from scheduler.domain.clock import clock, short_date
from scheduler.domain.figures import counted

if TYPE_CHECKING:
    from datetime import date

    from scheduler.domain.plan import Plan, PlannedRun

MOST_LATER = 12
"""So many orders are named for each reason."""


def later_title(plan: Plan) -> str:
    """How many runs are pressed on a later day; empty when none is.

    Examples
    --------
    "3 runs are pressed on a later day"
    """
    count = sum(run.start.date() != plan.day for run in plan.runs)
    if not count:
        return ""
    return f"{counted(count, 'run')} {'is' if count == 1 else 'are'} pressed on a later day"


def later_lines(plan: Plan) -> list[str]:
    """The orders with a run on a later day, one line for each reason why it is not the planned one."""
    by_order: dict[str, list[PlannedRun]] = {}
    for run in plan.runs:
        if run.start.date() != plan.day:
            by_order.setdefault(run.content.order, []).append(run)
    late, waiting = [], []
    due: dict[date, list[str]] = {}
    for order in plan.orders:
        runs = by_order.get(order.id, [])
        if not runs:
            continue
        name = f"{order.id} {order.customer}"
        comes = max((run.content.ready for run in runs if run.content.ready), default=None)
        if order.late_minutes > 0 or order.finished is None:
            late.append(name)
        elif comes is not None and comes.date() > plan.day:
            what = " and ".join(dict.fromkeys(run.content.waits_for or "garments" for run in runs))
            waiting.append(f"{name} ({what} in {short_date(comes.date())} {clock(comes)})")
        else:
            due.setdefault(order.cut_off.date(), []).append(order.id)
    groups = [
        ("late or not done whole, for the reasons given with them", late),
        ("waiting for what comes in later", waiting),
        *((f"due on {short_date(on)}, so there is time", orders) for on, orders in sorted(due.items())),
    ]
    return [f"{why}: {_first_of(orders)}" for why, orders in groups if orders]


def _first_of(orders: list[str]) -> str:
    more = len(orders) - MOST_LATER
    return ", ".join(orders[:MOST_LATER]) + (f" and {more} more" if more > 0 else "")
