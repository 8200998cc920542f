"""`pressday rush`: orders that came in since, put into a day that is under way."""

from __future__ import annotations

from scheduler.cli.ends import told
from scheduler.cli.options import (
    AsJson,
    AtMoment,
    Effort,
    OrdersFiles,
    Paper,
    PaperSize,
    PlannedDay,
    PlansOfShop,
    SearchEffort,
    Seed,
    ShopFile,
    StopAfter,
    plans_folder,
)
from scheduler.cli.replan import one_day, put_replanned


def rush(
    orders: OrdersFiles,
    at: AtMoment = None,
    day: PlannedDay = None,
    shop: ShopFile = None,
    out: PlansOfShop = None,
    effort: SearchEffort = Effort.QUICK,
    seconds: StopAfter = None,
    seed: Seed = 1,
    json: AsJson = False,
    paper: PaperSize = Paper.A4,
) -> None:
    """Put new orders into the rest of a planned day.

    What is pressed or under way stays, and so does what begins within ten minutes. Of the rest only what must
    move moves: less lateness goes before printed runs that stay, those before fewer changeovers. A printed
    run comes earlier only where something gains by it.
    """
    one_day(day, at)
    with told(as_json=json, nothing="The plan is as it was."):
        from scheduler.plans.book import beside
        from scheduler.workflow.replan import Asked

        into = plans_folder(orders[0].parent, shop, out)
        asked = Asked(orders=tuple(orders), plans=beside(into) or into, at=at, day=day)
        put_replanned(asked, effort=effort, seconds=seconds, seed=seed, paper=paper, as_json=json)
