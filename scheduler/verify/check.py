"""The independent check of a schedule: every rule of `docs/model.md`, and the cost recomputed."""

from __future__ import annotations

import importlib
import pkgutil
from collections.abc import Callable
from functools import cache
from typing import cast

from scheduler.domain.instance import Instance
from scheduler.domain.schedule import Break, Schedule, Verdict
from scheduler.verify import rules
from scheduler.verify.cost import cost_of
from scheduler.verify.view import View, view_of

Rule = Callable[[View], list[Break]]


@cache
def all_rules() -> dict[str, Rule]:
    """Every rule's check by the rule's name: one for each module in `scheduler/verify/rules`.

    The list is read from the folder, so that a new module can't be forgotten.
    """
    found = {}
    for module in sorted(pkgutil.iter_modules(rules.__path__), key=lambda module: module.name):
        loaded = importlib.import_module(f"{rules.__name__}.{module.name}")
        found[module.name] = cast(Rule, getattr(loaded, f"check_{module.name}"))
    return found


def check(instance: Instance, schedule: Schedule) -> Verdict:
    """Check a schedule against every rule and recompute its cost at every level.

    Nothing in the schedule is believed: unknown names, doubled tasks, impossible times give
    breaks, never an exception. With breaks, the values cover what could be read.

    Returns
    -------
    Verdict
        All breaks, in order of rule names; `values` for all levels, whichever of them the instance
        asks for; `finished` and `late_ticks` by job of which something is scheduled or was ready before.
    """
    view = view_of(instance, schedule)
    breaks = [found for rule in all_rules().values() for found in rule(view)]
    cost = cost_of(view)
    return Verdict(
        breaks=tuple(breaks), values=cost.values, late_ticks=cost.late_ticks, finished=cost.finished
    )
