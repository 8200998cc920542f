"""`pressday promise`: what new orders would cost, before anybody says yes."""

from __future__ import annotations

from dataclasses import replace
from datetime import datetime
from typing import Annotated

from scheduler.cli.ends import told
from scheduler.cli.options import (
    AsJson,
    Effort,
    Moment,
    OrdersFiles,
    PlansOfShop,
    SearchEffort,
    Seed,
    ShopFile,
    StopAsking,
    plans_folder,
    time_option,
)
from scheduler.domain.faults import Fault, Source
from scheduler.exceptions import BadInput


def promise(
    orders: OrdersFiles,
    at: Annotated[
        Moment | None,
        time_option("--at", "The moment from which the day would be planned again. Not given: now."),
    ] = None,
    by: Annotated[
        Moment | None,
        time_option("--by", "When the new orders must be ready. Not given: by their cut-offs."),
    ] = None,
    shop: ShopFile = None,
    out: PlansOfShop = None,
    effort: SearchEffort = Effort.QUICK,
    seconds: StopAsking = None,
    seed: Seed = 1,
    json: AsJson = False,
) -> None:
    """Say what new orders would cost, without changing anything.

    When they can be ready if nothing else is made late; what becomes late if they must be ready by a given
    time; and which help would make them fit: smaller lots, overtime, one more person.
    """
    with told(as_json=json, nothing="Nothing was asked."):
        from scheduler.answers.promise import Asked, promise_json, promise_lines
        from scheduler.cli.ends import put_json, say, say_faults
        from scheduler.daybook.between import between_of
        from scheduler.daybook.state import state_at
        from scheduler.planning.again import plan_rest
        from scheduler.planning.calendar import tick_at_or_before
        from scheduler.plans.book import open_day
        from scheduler.workflow.moments import moment_for
        from scheduler.workflow.promise_questions import promise_for
        from scheduler.workflow.question import Looking
        from scheduler.workflow.replan import read_new

        with open_day(plans_folder(orders[0].parent, shop, out), at.day if at else None) as day:
            plan, events = day.plan, day.events
        plan = replace(plan, between=between_of(plan, events))
        moment = moment_for(at, plan, events)
        new, doubts = read_new(orders, plan.shop, plan.day)
        say_faults(doubts, "", to_error=True)
        say("Asking the day a few questions; nothing is changed.", to_error=True)
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
            effort=effort.value,
        )
        asked = Asked(plan=plan, new=new, at=moment, wanted=wanted, answer=answer)
        if json:
            put_json(promise_json(asked))
        for line in promise_lines(asked):
            say(line, to_error=json)


def _over(by: datetime, moment: datetime) -> Fault:
    return Fault(
        code="over-by-then",
        source=Source(file="--by"),
        found=f"{by:%Y-%m-%d %H:%M}, which is not after the moment asked from, {moment:%H:%M}",
        expected=f"a time after {moment:%H:%M}",
        mend="Correct the time.",
    )
