"""The engine's last step: what it hands out has passed the independent check."""

from __future__ import annotations

import logging
from typing import TYPE_CHECKING

from scheduler.domain.schedule import LevelValue
from scheduler.verify.check import check

if TYPE_CHECKING:
    from scheduler.domain.instance import Instance
    from scheduler.domain.schedule import Schedule

log = logging.getLogger(__name__)


def judged(
    instance: Instance, searched: Schedule, proved: Schedule, levels: tuple[LevelValue, ...]
) -> tuple[Schedule, tuple[LevelValue, ...]]:
    """What was proved, when the check passes it at the cost stated; else what was searched, nothing shown.

    The latter is a defect of the engine and reported as an error. The check is asked as a judge
    only: nothing of it is used to make a plan.

    Parameters
    ----------
    searched
        The plan of the local search.
    proved, levels
        What became of it, and what was shown.
    """
    verdict = check(instance, proved)
    wrong = [f"{found.rule}: {found.message}" for found in verdict.breaks]
    wrong += [
        f"{level.name} is {verdict.values[level.name]} and not {level.value}"
        for level in levels
        if verdict.values[level.name] != level.value
    ]
    if not wrong:
        return proved, levels
    log.error("the check refuses the plan, and that of the search is kept: %s", "; ".join(wrong))
    values = check(instance, searched).values
    return searched, tuple(LevelValue(name=level, value=values[level]) for level in instance.levels)
