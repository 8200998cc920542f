"""Random events on the day of the example: planned again, checked, and carried out in a simulation.

python -m tests.replay.events --count 50 --seed 1
"""

from __future__ import annotations

import argparse
import random
from collections import Counter
from dataclasses import dataclass, field
from datetime import datetime, timedelta
from time import perf_counter

from example_orders.shop_data import DAY
from scheduler.domain.idle import NOTICE_MIN
from scheduler.domain.plan import Plan
from scheduler.planning.calendar import tick_at_or_after
from tests.examples.test_examples import read
from tests.replay.executor import carry_out
from tests.support.eventful import Eventful, morning, planned_again, what_comes, written_down

STEPS = 3
"""Times that a day is planned again."""


@dataclass(kw_only=True)
class Found:
    """What became of some days: plans made, runs carried out, and what went wrong, with its seed."""

    plans: int = 0
    runs: int = 0
    planning_s: float = 0.0
    replay_s: float = 0.0
    faults: list[str] = field(default_factory=list)


def sequence(printed: Plan, seed: int, steps: int = STEPS) -> Found:
    """One day with random events; each plan is checked (by `planned_again`) and then carried out."""
    draw = random.Random(f"replay {seed}")
    opens = datetime.combine(DAY, datetime.min.time()) + timedelta(hours=7)
    day = Eventful(plan=printed, at=opens, to_come=list(read("rush.xlsx")))
    found = Found()
    for step in range(steps):
        day.at += timedelta(minutes=draw.randint(5, 120))
        day.events = (*day.events, *written_down(day, draw))
        came = what_comes(day, draw)
        begin = perf_counter()
        try:
            day.plan, day.events = planned_again(day, came)
        except AssertionError as error:
            found.faults.append(f"seed {seed}, step {step}: the check says {str(error)[:200]}")
            return found
        planned = perf_counter()
        plan = day.plan
        now = tick_at_or_after(plan.day, day.at + timedelta(minutes=NOTICE_MIN), plan.instance.tick_s)
        ended = carry_out(plan.instance, plan.schedule, begun_before=now)
        found.planning_s += planned - begin
        found.replay_s += perf_counter() - planned
        found.plans += 1
        found.runs += len(plan.schedule.tasks)
        # A press that is down grows cold, and is switched on again.
        down = {one.press for one in plan.between.down}
        twice = Counter((warm.machine, _day(plan, warm.start)) for warm in plan.schedule.warm_ups)
        found.faults += [
            f"seed {seed}, step {step}: {machine} is switched on {count} times on day {number}"
            for (machine, number), count in twice.items()
            if count > 1 and machine not in down
        ]
        for run in plan.schedule.tasks:
            if ended.get(run.task) != run.end and run.setup_start >= now:
                found.faults.append(
                    f"seed {seed}, step {step}: {run.task} planned to end at {run.end}, "
                    f"ended at {ended.get(run.task, 'never')}"
                )
    return found


def _day(plan: Plan, tick: int) -> int:
    return next(n for n, day in enumerate(plan.instance.heating_days) if tick < day.end)


def main() -> None:
    """Plan and carry out some days, and say what went wrong."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--count", type=int, default=30)
    parser.add_argument("--seed", type=int, default=1)
    chosen = parser.parse_args()
    printed = morning()
    total = Found()
    for seed in range(chosen.seed, chosen.seed + chosen.count):
        found = sequence(printed, seed)
        total.plans += found.plans
        total.runs += found.runs
        total.planning_s += found.planning_s
        total.replay_s += found.replay_s
        total.faults += found.faults
    for fault in total.faults:
        print(fault)
    print(
        f"{chosen.count} days, {total.plans} plans, {total.runs} runs: {len(total.faults)} faults; "
        f"planning {total.planning_s:.1f} s, carrying out {total.replay_s:.1f} s"
    )


if __name__ == "__main__":
    main()
