"""What new orders would cost: the day opened, asked, and the answer with its plan."""

from __future__ import annotations

from dataclasses import dataclass, replace
from fractions import Fraction
from typing import TYPE_CHECKING

from scheduler.domain.clock import moment_words
from scheduler.domain.faults import Fault, Source
from scheduler.domain.figures import rounded
from scheduler.exceptions import BadInput
from scheduler.workflow.help_words import whole_minute

if TYPE_CHECKING:
    from collections.abc import Sequence
    from datetime import date, datetime
    from pathlib import Path

    from scheduler.domain.orders import Order
    from scheduler.domain.plan import Plan
    from scheduler.workflow.moments import Moment
    from scheduler.workflow.owner import Owner
    from scheduler.workflow.promise_questions import Promise


@dataclass(frozen=True, slots=True, kw_only=True)
class Asked:
    """A question about new orders, and its answer.

    Attributes
    ----------
    plan
        The plan that they would be put into.
    wanted
        By new order: when it must be ready.
    """

    plan: Plan
    new: tuple[Order, ...]
    at: datetime
    wanted: dict[str, datetime]
    answer: Promise

    def moment(self, tick: int, *, up: bool = True) -> datetime:
        """A tick as a moment, to the full minute: up for "ready", so that nothing is promised too early."""
        return whole_minute(self.plan.day, tick, self.plan.instance.tick_s, up=up)

    def minutes(self, ticks: int) -> float:
        """Ticks in minutes."""
        return rounded(Fraction(ticks * self.plan.instance.tick_s, 60))

    def said(self, when: datetime) -> str:
        """A moment for people: the date only when it is another day."""
        return moment_words(when, self.plan.day)


def ask(
    orders: Sequence[Path],
    plans: Path,
    *,
    at: Moment | None,
    by: Moment | None,
    day: date | None = None,
    effort: str,
    seconds: float | None,
    seed: int,
    owner: Owner,
) -> Asked:
    """Ask a planned day what new orders would cost.

    Parameters
    ----------
    plans
        The folder of plans.
    at
        The moment from which the day would be planned again; None: now.
    by
        When the new orders must be ready; None: by their cut-offs.
    day
        Which planned day; None: that of `at`, else today if it is planned, otherwise the newest that is.

    Raises
    ------
    BadInput
        When the day isn't planned, the orders can't be read or have a fault, or it is over by then.
    """
    from scheduler.daybook.between import between_of
    from scheduler.daybook.state import state_at
    from scheduler.planning.calendar import tick_at_or_before
    from scheduler.planning.rest import plan_rest
    from scheduler.plans.book import open_day
    from scheduler.workflow.moments import moment_for
    from scheduler.workflow.new_orders import read_new
    from scheduler.workflow.promise_questions import promise_for
    from scheduler.workflow.question import Looking

    with open_day(plans, day or (at.day if at else None), tell=owner.tell) as open_:
        plan, events = open_.plan, open_.events
    plan = replace(plan, between=between_of(plan, events))
    moment = moment_for(at, plan, events)
    new, doubts = read_new(orders, plan.shop, plan.day)
    owner.tell_faults(doubts)
    owner.tell("Asking the day a few questions; nothing is changed.")
    state = state_at(plan, events, moment)
    if by is not None and by.on(plan.day) <= moment:
        raise BadInput([_over(by.on(plan.day), moment)])
    wanted = {order.id: order.cut_off if by is None else by.on(plan.day) for order in new}
    tick_s = plan.instance.tick_s
    answer = promise_for(
        lambda split: plan_rest(plan, new, state, split=split),
        plan_rest(plan, (), state),
        {order: tick_at_or_before(plan.day, when, tick_s) for order, when in wanted.items()},
        Looking(seconds=seconds, seed=seed),
        effort=effort,
    )
    return Asked(plan=plan, new=new, at=moment, wanted=wanted, answer=answer)


def _over(by: datetime, moment: datetime) -> Fault:
    return Fault(
        code="over-by-then",
        source=Source(file="--by"),
        found=f"{by:%Y-%m-%d %H:%M}, which is not after the moment asked from, {moment:%H:%M}",
        expected=f"a time after {moment:%H:%M}",
        mend="Correct the time.",
    )
