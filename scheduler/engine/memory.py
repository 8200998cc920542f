"""The search's memory: one vector with all that a chain writes, and the tables that it reads."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise

from scheduler.engine.flat import Flattened, presence
from scheduler.engine.kernel import layout
from scheduler.engine.kernel.layout import SLOTS
from scheduler.engine.kernel.replay import SNAPSHOT_EVERY

RANK_WEIGHTS = (160, 16, 4, 2, 1, 1)
"""Energy of a unit of each level by rank, left-over apart: a late minute weighs ten of changeover."""

LEFT_OVER_WEIGHT = 1_000_000
"""Energy of a pressing left over: as much as 6,250 late ticks, ten hours of a shop day."""

LATE_SHARES = (8, 40)
"""Energy of a late tick at the begin and at the end of a cycle, in sixteenths of a tick of changeover.

Measured on days of 30 to 158 runs at 300,000 moves, medians of three seeds: with ten ticks all the time
5 to 15 % more changeover, and orders that stay late.
"""

COLDEST = 1 / 100
"""Last temperature of a cycle, in shares of the first."""

MIX_WEIGHTS = (
    (layout.JOIN, 5),
    (layout.SHIFT, 4),
    (layout.ALONG, 1),
    (layout.NEAR, 1),
    (layout.OTHER, 2),
    (layout.MOVE_TO, 3),
    (layout.SWAP, 3),
    (layout.BLOCK, 2),
    (layout.PERSON, 2),
    (layout.TOGGLE, 2),
)
"""How often each kind of move is tried."""

JOIN_WEIGHT = 30
"""The same of joining where runs are changed over.

Measured on days of 60 and 120 runs at 70 and 85 %, eight seeds each, at 375,000 and 190,000 moves:
4 and 5 % less changeover than with 5; 10 and 80 are between.
"""

RUNS_A_SHARE, MOST_FAMILY = 30, 8
"""A run is sought in its family in one of `layout.FAMILY_SHARES` joins for so many runs, up to so many.

The more runs there are, the rarer a random handful holds one of the family. Measured by moves: half of the
joins gives 4 % less changeover at 250 runs than none, 8 % at 1,000, nothing up to 120 runs, where each move
takes a tenth longer.
"""


def new_work(
    flattened: Flattened, in_tasks: Sequence[int], in_options: Sequence[int], seed: int
) -> list[int]:
    """The search's memory, set up with a start."""
    size = flattened.flat[layout.TASKS]
    count = len(in_tasks)
    place = [-1] * size
    for position, task in enumerate(in_tasks):
        place[task] = position
    present = presence(flattened, in_tasks)
    ways = _ways(flattened, present)
    path = cooling_path(flattened)
    work = [0] * layout.WORK_HEAD
    work[layout.COUNT] = count
    work[layout.RANDOM] = seed_state(seed)
    work[layout.TOGGLED] = -1
    work[layout.FAMILY_SHARE] = min(MOST_FAMILY, count // RUNS_A_SHARE)
    tasks = list(in_tasks) + [0] * (size - count)
    options = list(in_options) + [0] * (size - count)
    nothing = [0] * size
    for slot, values in (
        (layout.W_TASKS, tasks),
        (layout.W_OPTIONS, options),
        (layout.W_PRESENT, present),
        (layout.W_PLACE, place),
        (layout.W_CHANGES, nothing),
        (layout.W_COST, [0] * SLOTS),
        (layout.W_CANDIDATE_TASKS, tasks),
        (layout.W_CANDIDATE_OPTIONS, options),
        (layout.W_CANDIDATE_PRESENT, present),
        (layout.W_CANDIDATE_PLACE, place),
        (layout.W_BEST_TASKS, tasks),
        (layout.W_BEST_OPTIONS, options),
        (layout.W_BEST_COST, [0] * SLOTS),
        (layout.W_ENERGY, _energy(flattened)),
        (layout.W_COOLING, path.heats),
        (layout.W_LOGARITHM, _logarithms()),
        (layout.W_JOB_LATE, [0] * flattened.flat[layout.JOBS]),
        (layout.W_WAY, ways),
        (layout.W_CANDIDATE_WAY, ways),
        (layout.W_EDIT_TASK, nothing),
        (layout.W_EDIT_OPTION, nothing),
        (layout.W_EDIT_AT, nothing),
        (layout.W_OUT, nothing),
        (layout.W_ROWS, nothing * layout.PLACED),
        (layout.W_TRIAL_ROWS, nothing * layout.PLACED),
        (layout.W_PLACED_ANEW, nothing),
        (layout.W_MOVED, nothing),
        (layout.W_OTHER_TASK, nothing),
        (layout.W_OTHER_MACHINE, [0] * flattened.flat[layout.MACHINES]),
        (layout.W_OTHER_OPERATOR, [0] * (flattened.flat[layout.OPERATORS] + 1)),
        (layout.W_HITS, nothing),
        (layout.W_MIX, _mix(flattened)),
        (layout.W_KEPT_COST, [0] * SLOTS),
        (layout.W_PRESSURE, path.pressures),
        (layout.W_LATE_AFTER, [0] * (size // SNAPSHOT_EVERY + 2)),
        (layout.W_OTHER_BUNDLE, [0] * flattened.flat[layout.BUNDLES]),
        (layout.W_OUTS, nothing),
        (layout.W_EDIT_BEFORE, nothing),
        (layout.W_ON, nothing),
        (layout.W_FORMER, nothing),
        (layout.W_LATER, nothing),
        (layout.W_FIRST_ON, [0] * flattened.flat[layout.MACHINES]),
        (layout.W_LAST_ON, [0] * flattened.flat[layout.MACHINES]),
    ):
        work[slot] = len(work)
        work.extend(values)
    return work


def _energy(flattened: Flattened) -> list[int]:
    """Weight of each slot: each level by its rank, what is left over above all."""
    weights = [0] * SLOTS
    ranks = iter(RANK_WEIGHTS)
    for slot in flattened.columns["order"]:
        weights[slot] = LEFT_OVER_WEIGHT if slot == layout.LEFT_OVER else next(ranks)
    return weights


def full_pressure(flattened: Flattened) -> list[int]:
    """The weight of lateness by its rank all through a cycle, for a search that only goes down."""
    return [_energy(flattened)[layout.LATENESS]] * layout.COOLING_STEPS


def trades_lateness(flattened: Flattened) -> bool:
    """Whether lateness is set against changeovers, which count after it, while a search is warm."""
    weights = _energy(flattened)
    return 0 < weights[layout.CHANGEOVER] < weights[layout.LATENESS]


@dataclass(frozen=True, slots=True)
class CoolingPath:
    """What a cooling goes through, step by step.

    Attributes
    ----------
    heats
        Temperatures in 1/4096 of the first of a whole cooling.
    pressures
        Energy of a late tick.
    """

    heats: list[int]
    pressures: list[int]


def cooling_path(
    flattened: Flattened,
    first: float = 0.0,
    last: float = 1.0,
    late_shares: tuple[int, int] = LATE_SHARES,
) -> CoolingPath:
    """A part of the way of a cooling, 0 being its begin and 1 its end; evenly in the logarithm.

    While it is hot a late order costs little, so that the search goes through plans that are late
    instead of round them.
    """
    steps = layout.COOLING_STEPS - 1
    places = [first + (last - first) * step / steps for step in range(steps + 1)]
    heats = [max(1, round(4096 * COLDEST**place)) for place in places]
    if not trades_lateness(flattened):
        return CoolingPath(heats, full_pressure(flattened))
    changeover = _energy(flattened)[layout.CHANGEOVER]
    begin, end = (max(1, changeover * share // 16) for share in late_shares)
    return CoolingPath(heats, [round(begin * (end / begin) ** place) for place in places])


def _mix(flattened: Flattened) -> list[int]:
    """Kinds of moves, each as often as it is to be tried, without those that can change nothing here."""
    weights = dict(MIX_WEIGHTS)
    if flattened.flat[layout.PARTS]:
        weights[layout.JOIN] = JOIN_WEIGHT
    if all(last - first < 2 for first, last in pairwise(flattened.columns["option_from"])):
        for kind in (layout.OTHER, layout.MOVE_TO, layout.BLOCK, layout.PERSON):
            weights[kind] = 0
    if not flattened.flat[layout.OPERATORS]:
        weights[layout.ALONG] = weights[layout.PERSON] = 0
    if not flattened.flat[layout.CHOICES]:
        weights[layout.TOGGLE] = 0
    total = sum(weights.values())
    mix = [kind for kind, weight in weights.items() for _ in range(round(layout.MIX * weight / total))]
    return (mix + [layout.SHIFT] * layout.MIX)[: layout.MIX]


def _logarithms() -> list[int]:
    """-ln(u) in 1/1024 for evenly spread u: so many temperatures a rise may be worth."""
    return [round(-1024 * math.log((k + 0.5) / layout.CHANCES)) for k in range(layout.CHANCES)]


def seed_state(seed: int) -> int:
    """A 32-bit state, never 0, that differs well between neighbouring seeds."""
    return ((seed * 2654435761 + 0x9E3779B9) & 0xFFFFFFFF) or 1


def _ways(flattened: Flattened, present: Sequence[int]) -> list[int]:
    """The way in use of every choice."""
    return [
        next(number for number, tasks in enumerate(ways) if all(present[task] for task in tasks))
        for ways in all_ways(flattened)
    ]


def all_ways(flattened: Flattened) -> list[list[list[int]]]:
    """By choice and way: the tasks."""
    columns = flattened.columns
    begin, tasks = columns["way_task_from"], columns["way_task"]
    return [
        [tasks[begin[way] : begin[way + 1]] for way in range(first, last)]
        for first, last in pairwise(columns["way_from"])
    ]
