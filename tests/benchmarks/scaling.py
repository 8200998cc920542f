"""How cost grows with runs, presses, people and days: a table for `docs/scaling.md`.

python -m tests.benchmarks.scaling
"""

from __future__ import annotations

import argparse
import json
import resource
import subprocess
import sys
import time
from collections.abc import Callable, Sequence
from typing import TypeVar

from scheduler.domain.instance import Instance
from tests.benchmarks.day_shop import DAY, SIZES
from tests.benchmarks.days import Name, make_day

T = TypeVar("T")

Case = tuple[str, int, int, int, int]
"""Which cost grows, runs, load in percent, presses, people."""

CASES: tuple[Case, ...] = (
    *(("runs", runs, 85, *SIZES[runs]) for runs in SIZES),
    *(("presses", 120, 85, presses, 7) for presses in (4, 8, 16, 24)),
    *(("people", 120, 85, 8, people) for people in (3, 7, 14, 20)),
    *(("days", 120, load, 8, 7) for load in (60, 150, 300, 600)),
)

COLUMNS = (
    ("grows", "what grows"),
    ("runs", "runs"),
    ("presses", "presses"),
    ("people", "people"),
    ("days", "days"),
    ("options", "ways"),
    ("build_s", "build, s"),
    ("first_s", "first plan, s"),
    ("rules", "rules"),
    ("rules_s", "all of them, s"),
    ("moves_s", "moves a second"),
    ("check_s", "check, s"),
    ("memory_mb", "memory, MB"),
)


def measured(grows: str, runs: int, load: int, presses: int, people: int) -> dict[str, object]:
    """One row, measured in this process: processor seconds, whatever else runs on the machine."""
    from scheduler.engine.backend import compiled
    from scheduler.engine.baseline import as_they_come_line
    from scheduler.engine.dispatching import RULES, first_lines, rules_for
    from scheduler.engine.flat import flatten, to_schedule
    from scheduler.engine.line import line_cost
    from scheduler.engine.local_search import Chain
    from scheduler.engine.solve import LARGE
    from scheduler.planning import build_day
    from scheduler.verify.check import check

    problem = make_day(Name(runs=runs, load=load, seed=1), presses=presses, people=people)
    build_s, again = _timed(lambda: build_day(problem.shop, problem.orders, DAY))
    instance = again.instance
    flat_s, flattened = _timed(lambda: flatten(instance))
    backend = compiled()
    large = len(flattened.columns["option_work"]) > LARGE
    come_s, line = _timed(lambda: as_they_come_line(flattened, backend if large else None))
    rules = rules_for(flattened, len(RULES))
    rules_s, lines = _timed(lambda: first_lines(flattened, backend, limit=rules))
    start = min([*lines, line], key=lambda one: line_cost(flattened, one))
    chain = Chain(flattened, start, seed=1, backend=backend)
    chain.run(200)
    moves = max(2_000, 6_000_000 // runs)
    search_s, _ = _timed(lambda: chain.run(moves))
    schedule = to_schedule(flattened, chain.best.tasks, chain.best.options)
    check_s, verdict = _timed(lambda: check(instance, schedule))
    if not verdict.passed:
        raise AssertionError(verdict.breaks[0].message)
    return {
        "grows": grows,
        "runs": runs,
        "presses": presses,
        "people": people,
        "days": len(instance.heating_days),
        "options": _options(instance),
        "build_s": round(build_s, 2),
        "first_s": round(flat_s + come_s, 2),
        "rules": rules,
        "rules_s": round(rules_s, 2),
        "moves_s": round(moves / search_s),
        "check_s": round(check_s, 2),
        # Kilobytes on Linux.
        "memory_mb": resource.getrusage(resource.RUSAGE_SELF).ru_maxrss // 1024,
    }


def _timed(call: Callable[[], T]) -> tuple[float, T]:
    begin = time.process_time()
    result = call()
    return time.process_time() - begin, result


def _options(instance: Instance) -> int:
    """Pairs of mode and operator over all tasks."""
    return sum(len(mode.operators) for task in instance.tasks for mode in task.modes)


def table(rows: Sequence[dict[str, object]]) -> str:
    """The rows as a Markdown table."""
    lines = ["| " + " | ".join(words for _, words in COLUMNS) + " |", "|---" * len(COLUMNS) + "|"]
    lines += ["| " + " | ".join(str(row[key]) for key, _ in COLUMNS) + " |" for row in rows]
    return "\n".join(lines)


def main(arguments: Sequence[str] | None = None) -> int:
    """Measure each case in a process of its own, so that memory is that of the case."""
    parser = argparse.ArgumentParser(prog="scaling")
    parser.add_argument("--case", type=json.loads, help="one case as a JSON list; its row as JSON")
    parser.add_argument("--only", default="", help="only what grows by this name")
    given = parser.parse_args(arguments)
    if given.case:
        print(json.dumps(measured(*given.case)))
        return 0
    rows = []
    for case in CASES:
        if given.only in ("", case[0]):
            command = [sys.executable, "-m", "tests.benchmarks.scaling", "--case", json.dumps(case)]
            found = subprocess.run(command, capture_output=True, text=True, check=False)
            if found.returncode:
                print(found.stderr, file=sys.stderr)
                return 1
            rows.append(json.loads(found.stdout))
            print(found.stdout.strip(), file=sys.stderr, flush=True)
    print(table(rows))
    return 0


if __name__ == "__main__":
    sys.exit(main())
