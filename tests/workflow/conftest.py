"""A shop folder and a way to run commands, for the tests of this folder."""

from __future__ import annotations

from tests.support.commands import (
    a_day_of_its_own,
    clock,
    laid_out,
    new_orders,
    plain_search,
    planned_once,
    plans,
    run,
    shop,
)

__all__ = [
    "a_day_of_its_own",
    "clock",
    "laid_out",
    "new_orders",
    "plain_search",
    "planned_once",
    "plans",
    "run",
    "shop",
]
