"""`pressday promise`: what new orders would cost, before anybody says yes."""

from __future__ import annotations

from typing import Annotated

from scheduler.cli.ends import told
from scheduler.cli.options import (
    AsJson,
    Effort,
    OrdersFiles,
    PlannedDay,
    PlansOfShop,
    SearchEffort,
    Seed,
    ShopFile,
    StopAsking,
    plans_folder,
    time_option,
)
from scheduler.cli.replan import one_day
from scheduler.cli.terminal import OWNER, put_json, say_lines
from scheduler.workflow.moments import Moment


def promise(
    orders: OrdersFiles,
    at: Annotated[
        Moment | None,
        time_option("--at", "The moment from which the day would be planned again. Not given: now."),
    ] = None,
    day: PlannedDay = None,
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
    one_day(day, at)
    with told(as_json=json, nothing="No answer was worked out; the plan is as it was."):
        from scheduler.answers.promise import promise_json, promise_lines
        from scheduler.workflow.promise import ask

        asked = ask(
            orders,
            plans_folder(orders[0].parent, shop, out),
            at=at,
            day=day,
            by=by,
            effort=effort.value,
            seconds=seconds,
            seed=seed,
            owner=OWNER,
        )
        if json:
            put_json(promise_json(asked))
        say_lines(promise_lines(asked), to_error=json)
