"""Slack bought with a plan: planned as though all work took longer, told and printed with its true times.

Delays add up with the work that is done, so an order at noon needs less slack than one in the afternoon, and
a shift needs some at its end, too. Longer work gives each of them its part: the engine is given the same day
with longer work, and what it finds is then carried out in that order with the true times. The check and every
figure that is told are those of the true day.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace
from fractions import Fraction
from math import ceil

import numpy as np
from numpy.typing import NDArray

from scheduler.chance.chances import Replays
from scheduler.chance.outcome import Outcome
from scheduler.domain.instance import Instance, Level, Mode
from scheduler.domain.schedule import LevelValue

STAY_MIN = 240.0
"""Minutes that people stay in the replays that say how late orders get, so that no night comes between."""

LEAST, MOST = Fraction(1, 100), Fraction(30, 100)
"""Slack that is looked at when a chance is asked for, as a share of the work (own choice)."""

LADDER = (Fraction(1), Fraction(6, 10), Fraction(14, 10))
"""Parts of the slack that the replays ask for, in the order in which they are tried (own choice)."""


def longer(instance: Instance, share: Fraction) -> Instance:
    """The same day with all pressing longer by a share, rounded up."""

    def more(ticks: int) -> int:
        return ceil(ticks * (1 + share))

    def slower(mode: Mode) -> Mode:
        people = tuple((name, more(ticks)) for name, ticks in mode.operators)
        return replace(mode, work=more(mode.work), operators=people)

    return replace(
        instance,
        tasks=tuple(
            replace(task, modes=tuple(slower(mode) for mode in task.modes)) for task in instance.tasks
        ),
    )


def share_for(replays: Replays, target: float) -> Fraction:
    """The slack that would cover the delays of most orders, as a share of the work before them.

    For each order the delay that it exceeds in no more than 1 - `target` of the replays, if nobody had to go
    home, over the time from opening to when it is planned to be packed; the median of these over the orders
    of the first day, in whole percent.

    Parameters
    ----------
    target
        Chance to be on time that orders shall have, above 0 and below 1.
    """
    if not 0 < target < 1:
        raise ValueError(f"a chance of {target} to be on time: needs more than 0 and less than 1")
    plan = replays.plan
    free = Replays(
        plan,
        replays.spread,
        replays=replays.replays,
        seed=replays.seed,
        as_printed=replays.as_printed,
        stay_min=STAY_MIN,
    ).outcome
    first = plan.instance.working_days[0]
    planned = replays.as_planned.finished[0]
    today = (planned > first.start) & (planned < first.end)
    if not today.any():
        return LEAST
    late = np.quantile(free.finished[:, today], target, axis=0, method="inverted_cdf")
    shares = (late - planned[today]) / (planned[today] - first.start)
    return min(MOST, max(LEAST, Fraction(ceil(100 * float(np.median(shares))), 100)))


def score(outcome: Outcome, target: float) -> float:
    """How much of the chance asked for the orders have, by weight; more than it counts no more."""
    kept = np.minimum(outcome.on_time.mean(axis=0), target)
    return float((kept * outcome.weights).sum())


def sure_enough(outcome: Outcome, target: float) -> NDArray[np.bool_]:
    """Which orders have the chance asked for; shape (orders,)."""
    kept: NDArray[np.bool_] = outcome.on_time.mean(axis=0) >= target
    return kept


def all_sure(outcome: Outcome, target: float) -> bool:
    """Whether every order has the chance asked for."""
    return bool(sure_enough(outcome, target).all())


def honest_levels(
    order: Sequence[Level], values: Mapping[Level, int], known: Sequence[LevelValue]
) -> tuple[LevelValue, ...]:
    """The levels of another plan of the same day, with the bounds that hold for it.

    A bound holds among plans that keep the levels before it. So those of the plan without slack hold here as
    long as this plan is no worse at every level before; after that nothing is known but 0.

    Parameters
    ----------
    values
        Of this plan, by the check of the true day.
    known
        Of the plan without slack.
    """
    bounds = {level.name: level for level in known}
    made, holds = [], True
    for name in order:
        level = bounds.get(name)
        bound = min(level.bound, values[name]) if holds and level is not None else 0
        made.append(LevelValue(name=name, value=values[name], bound=bound, proven=values[name] <= bound))
        holds = holds and level is not None and values[name] <= level.value
    return tuple(made)
