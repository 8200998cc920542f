"""`pressday check`: every fault and doubt in shop and orders, by cell; plans nothing."""

from __future__ import annotations

from datetime import datetime
from typing import Annotated

import typer

from scheduler.cli.ends import faults_json, put_json, say, say_faults, told
from scheduler.cli.options import DAY_FORM, AsJson, OrdersFiles, ShopFile


def check(
    orders: OrdersFiles,
    shop: ShopFile = None,
    day: Annotated[
        datetime | None,
        typer.Option(
            "--day",
            formats=DAY_FORM,
            metavar="YYYY-MM-DD",
            help="Day to be planned. Not given: that of the earliest cut-off from today on.",
            show_default=False,
        ),
    ] = None,
    json: AsJson = False,
) -> None:
    """List every fault and doubt by cell.

    Reads the shop and the orders, plans nothing.
    """
    with told(as_json=json, nothing="Mend these and check again."):
        from scheduler.cli.orders_json import orders_json
        from scheduler.cli.reading import read

        found = read(orders, shop, day.date() if day else None)
        problem = found.problem
        say_faults(found.doubts, "", to_error=json)
        if json:
            put_json(
                {
                    **faults_json(found.doubts),
                    "day": problem.day.isoformat(),
                    "orders": orders_json(problem.orders),
                }
            )
            return
        garments = sum(order.quantity for order in problem.orders)
        say(f"No faults for {problem.day}: {len(problem.orders)} orders, {garments} garments.")
