"""Planning the rest of a day again: `python -m tests.benchmarks.rush`; a table for `docs/benchmarks.md`.

Of a generated day a few orders are held back, and the others are planned and printed. At nine the held back
ones come in as a rush, due three hours later. The rest is planned again from the printed plan in some
seconds, and once more from scratch in the same time; both by the engine, both checked, both judged by the
levels of the rest: what moves from the printed sheets counts, but the search from scratch doesn't look at it.
"""

from __future__ import annotations

import argparse
import sys
from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import datetime, time, timedelta
from statistics import median

from scheduler.daybook.state import state_at
from scheduler.domain.instance import LEVELS, Level
from scheduler.domain.plan import Plan
from scheduler.domain.schedule import LevelValue, Schedule
from scheduler.engine.baseline import as_they_come
from scheduler.engine.solve import solve
from scheduler.planning import assemble_plan, build_day
from scheduler.planning.rest import Rest, plan_rest
from scheduler.verify import check
from tests.benchmarks.day_shop import DAY
from tests.benchmarks.days import problem_of

RUSHED = 2
"""Orders held back."""

AT = datetime.combine(DAY, time(9))
DUE = AT + timedelta(hours=3)
SHOWN: tuple[Level, ...] = ("left_over", "lateness", "moved", "changeover")

COLUMNS = (
    "day",
    "open runs",
    "how",
    "s",
    "first answer, s",
    "late",
    "changeover",
    "moved points",
    "runs moved",
)


@dataclass(frozen=True, slots=True, kw_only=True)
class Answer:
    """What one search gave for the rest of a day."""

    first_s: float
    values: dict[Level, int]
    moved: int


def printed(name: str, effort: str) -> tuple[Plan, Rest]:
    """The plan of a day without the orders held back, and its rest with them."""
    problem = problem_of(name)
    orders = [order for order in problem.orders if order.id not in _held_back(name)]
    day = build_day(problem.shop, tuple(orders), DAY)
    result = solve(day.instance, effort=effort)
    assert result.schedule is not None
    verdict = check(day.instance, result.schedule)
    come = check(day.instance, as_they_come(day.instance))
    plan = assemble_plan(day, result, verdict, _levels(come.values))
    rushed = [replace(order, cut_off=DUE) for order in problem.orders if order.id in _held_back(name)]
    return plan, plan_rest(plan, tuple(rushed), state_at(plan, (), AT))


def _levels(values: dict[Level, int]) -> tuple[LevelValue, ...]:
    return tuple(LevelValue(name=level, value=value) for level, value in values.items())


def _held_back(name: str) -> set[str]:
    """Orders from the middle of the list, of which the day has enough others."""
    orders = problem_of(name).orders
    middle = len(orders) // 2
    return {order.id for order in orders[middle : middle + RUSHED]}


def from_printed(rest: Rest, seconds: float | None, seed: int, effort: str = "normal") -> Answer:
    """The rest with moves from the printed sheets as a level, beginning with what is printed."""
    result = solve(rest.instance, effort=effort, seconds=seconds, seed=seed, near=rest.kept)
    assert result.schedule is not None
    return _judged(rest, result.schedule, result.first_plan_s)


def from_scratch(rest: Rest, seconds: float | None, seed: int, effort: str = "normal") -> Answer:
    """The rest as if nothing were printed."""
    alone = replace(rest.instance, printed=(), levels=LEVELS)
    result = solve(alone, effort=effort, seconds=seconds, seed=seed)
    assert result.schedule is not None
    return _judged(rest, result.schedule, result.first_plan_s)


def _judged(rest: Rest, schedule: Schedule, first_s: float) -> Answer:
    verdict = check(rest.instance, schedule)
    if not verdict.passed:
        raise AssertionError(verdict.breaks[0].message)
    was = {done.task: (done.mode, done.operator) for done in rest.kept.tasks}
    now = {done.task: (done.mode, done.operator) for done in schedule.tasks}
    moved = sum(1 for task, place in was.items() if now.get(task) != place)
    return Answer(first_s=first_s, values=verdict.values, moved=moved)


def rows(name: str, seconds: Sequence[float], seeds: int, effort: str) -> list[tuple[str, ...]]:
    """A row for each way and time: medians over seeds; late and changeover in weighted minutes."""
    _, rest = printed(name, effort)
    minute = 60 / rest.instance.tick_s
    found = []
    for limit in seconds:
        for how, way in (("from the sheets", from_printed), ("from scratch", from_scratch)):
            answers = [way(rest, limit, seed) for seed in range(1, seeds + 1)]
            late, moved, changeover = (
                median(answer.values[level] for answer in answers) for level in SHOWN[1:]
            )
            found.append(
                (
                    name,
                    str(len(rest.kept.tasks)),
                    how,
                    f"{limit:g}",
                    f"{median(answer.first_s for answer in answers):.2f}",
                    f"{late / minute:.1f}",
                    f"{changeover / minute:.1f}",
                    f"{moved:.0f}",
                    f"{median(answer.moved for answer in answers):.0f}",
                )
            )
            print(*found[-1], sep="  ", file=sys.stderr, flush=True)
    return found


def main(arguments: Sequence[str] | None = None) -> int:
    """Print the table."""
    parser = argparse.ArgumentParser(prog="rush")
    parser.add_argument("--days", default="days-60-085-1,days-120-085-1", metavar="A,B,...")
    parser.add_argument("--seconds", default="2,10", metavar="S,...", help="for each answer")
    parser.add_argument("--seeds", type=int, default=3, metavar="N", help="seeds 1 to N (default 3)")
    parser.add_argument("--effort", default="normal", help="of the printed plan (default normal)")
    given = parser.parse_args(arguments)
    seconds = [float(word) for word in given.seconds.split(",")]
    found = [row for name in given.days.split(",") for row in rows(name, seconds, given.seeds, given.effort)]
    lines = ["| " + " | ".join(COLUMNS) + " |", "|---" * len(COLUMNS) + "|"]
    print("\n".join([*lines, *("| " + " | ".join(row) + " |" for row in found)]))
    return 0


if __name__ == "__main__":
    sys.exit(main())
