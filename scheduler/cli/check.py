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
            help="Day to be planned. Not given: the day of the earliest cut-off.",
            show_default=False,
        ),
    ] = None,
    json: AsJson = False,
) -> None:
    """List every fault and doubt in shop and orders by cell; plan nothing."""
    with told(as_json=json, nothing="Mend these and check again."):
        from scheduler.cli.orders_json import orders_json
        from scheduler.cli.steps import read

        found = read(orders, shop, day.date() if day else None)
        say_faults(found.doubts, "", to_error=json)
        if json:
            put_json({**faults_json(found.doubts), "orders": orders_json(found.problem.orders)})
            return
        garments = sum(order.quantity for order in found.problem.orders)
        say(f"No faults. {len(found.problem.orders)} orders, {garments} garments.")
