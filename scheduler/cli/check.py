"""`pressday check`: every fault and doubt in shop and orders, by cell; plans nothing."""

from __future__ import annotations

from datetime import date
from typing import Annotated

import typer

from scheduler.cli.ends import counted, faults_json, put_json, say, say_faults, told
from scheduler.cli.options import DAY_FORM, AsJson, OrdersFiles, ShopFile, day_of_option


def check(
    orders: OrdersFiles,
    shop: ShopFile = None,
    day: Annotated[
        date | None,
        typer.Option(
            "--day",
            parser=day_of_option,
            metavar=DAY_FORM,
            help="Day to be planned. Not given: the day of the earliest cut-off date from today on that is "
            "written in the orders; when none is written, the shop's next working day.",
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

        found = read(orders, shop, day)
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
        say(
            f"No faults for {problem.day}: {counted(len(problem.orders), 'order')}, "
            f"{counted(garments, 'garment')}."
        )
        if day is None:
            say(f"{problem.day} was taken from the orders and the shop; check for another day with --day.")
