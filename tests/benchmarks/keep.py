"""Search for better plans of the benchmark days, and keep each that is checked and beats the one kept.

python -m tests.benchmarks.keep --days days-60-085-1,days-120-* --moves 6000000
python -m tests.benchmarks.keep --days days-30-* --effort thorough --seed 5
"""

from __future__ import annotations

import argparse
import sys
from collections.abc import Iterable, Sequence
from dataclasses import replace
from fnmatch import fnmatchcase
from pathlib import Path

from scheduler.domain.instance import Instance
from scheduler.domain.schedule import LevelValue, Schedule
from scheduler.engine.backend import compiled
from scheduler.engine.baseline import as_they_come_line
from scheduler.engine.dispatching import first_lines
from scheduler.engine.flat import flatten, to_schedule
from scheduler.engine.line import line_cost, line_of
from scheduler.engine.local_search import Chain
from scheduler.engine.prove import WHOLE, prove
from scheduler.engine.solve import EFFORTS, solve
from scheduler.engine.tidy import tidy
from scheduler.verify.check import check
from tests.benchmarks.best_known import FOLDER, Known, read_known, write_known
from tests.benchmarks.days import names, parse, read_day

Found = tuple[Schedule, tuple[LevelValue, ...], str]
"""A schedule, what was shown of its levels, and what made the last step to it."""


class ContradictionError(Exception):
    """Two things that can't both be true: a defect of a bound, a decoder or the check."""


def wanted_days(patterns: Iterable[str]) -> tuple[str, ...]:
    """Days by name, or those of the named ones that a pattern like days-60-* stands for.

    Raises
    ------
    ValueError
        When a name is no day or a pattern stands for none.
    """
    found: dict[str, None] = {}
    for pattern in patterns:
        if "*" in pattern:
            some = [name for name in names() if fnmatchcase(name, pattern)]
            if not some:
                raise ValueError(f"{pattern!r} stands for no day")
        else:
            some = [str(parse(pattern))]
        found.update(dict.fromkeys(some))
    return tuple(found)


def by_effort(instance: Instance, effort: str, seed: int) -> Found:
    """The engine as users call it."""
    result = solve(instance, effort=effort, seed=seed)
    if result.schedule is None:
        raise ContradictionError(f"{instance.name}: no plan at all")
    return result.schedule, result.levels, "search"


def by_moves(
    instance: Instance, moves: int, chains: int, seed: int, deterministic: float, before: Schedule | None
) -> Found:
    """So many moves of each chain; one more chain goes on from the plan that is kept."""
    flattened = flatten(instance)
    backend = compiled()
    starts = [*first_lines(flattened, backend), as_they_come_line(flattened)]
    starts.sort(key=lambda line: line_cost(flattened, line))
    starts = [starts[number % len(starts)] for number in range(chains)]
    if before is not None:
        starts.append(line_of(flattened, before))
    best = min(starts, key=lambda line: line_cost(flattened, line))
    cost = line_cost(flattened, best)
    for number, start in enumerate(starts):
        chain = Chain(flattened, start, seed=seed + number, backend=backend, budget=moves)
        chain.run(moves)
        if chain.cost < cost:
            best, cost = chain.best, chain.cost
    best, cost = tidy(flattened, best, cost, lambda: False)
    schedule = to_schedule(flattened, best.tasks, best.options)
    proved, levels = prove(
        instance,
        schedule,
        deterministic,
        seed,
        lambda: False,
        states=EFFORTS["thorough"].states,
        ready=lambda: backend,
    )
    return proved, levels, "search" if tuple(level.value for level in levels) == cost else "proof"


def by_windows(instance: Instance, start: Schedule, deterministic: float, seed: int, size: int) -> Schedule:
    """Windows of so many neighbouring runs, one after the other over the whole day, by CP-SAT."""
    from scheduler.engine.cpsat.solve import window

    schedule = start
    count = len(start.tasks)
    for begin in range(0, max(1, count - size // 2), size // 2):
        in_order = sorted(schedule.tasks, key=lambda done: (done.setup_start, done.task))
        free = [done.task for done in in_order[begin : begin + size]]
        schedule = window(instance, schedule, free, deterministic_limit=deterministic, seed=seed)
    return schedule


def consider(day: str, instance: Instance, found: Found, effort: str, seed: int, folder: Path) -> str:
    """Keep a plan when it beats the one kept; says what was done, in words.

    Raises
    ------
    ContradictionError
        When the check refuses the plan or finds another cost than the engine, or when the plan beats
        a level that was shown to be best possible.
    """
    schedule, levels, found_by = found
    verdict = check(instance, schedule)
    if not verdict.passed:
        raise ContradictionError(f"{day}: {verdict.breaks[0].rule}: {verdict.breaks[0].message}")
    cost = tuple(verdict.values[level] for level in instance.levels)
    if cost != tuple(level.value for level in levels):
        raise ContradictionError(f"{day}: the engine says {levels}, the check {cost}")
    known = Known(
        day=day,
        levels={level: verdict.values[level] for level in instance.levels},
        proven=tuple(level.name for level in levels if level.proven),
        found_by=found_by,
        effort=effort,
        seed=seed,
        schedule=schedule,
    )
    before = read_known(day, instance, folder)
    if before is None:
        write_known(known, instance, folder)
        return f"{day}: {cost}, the first"
    shared = len(before.proven)
    if cost[:shared] < before.cost[:shared]:
        raise ContradictionError(f"{day}: {cost} beats {before.cost}, proven in {before.proven}")
    if cost < before.cost:
        write_known(known, instance, folder)
        return f"{day}: {cost} in place of {before.cost}"
    if cost == before.cost and len(known.proven) > shared:
        write_known(replace(before, proven=known.proven), instance, folder)
        return f"{day}: {cost} again, {len(known.proven)} levels proven"
    return f"{day}: {cost} does not beat {before.cost}"


def main(arguments: Sequence[str] | None = None, folder: Path = FOLDER) -> int:
    """Search and keep; one line a day."""
    parser = argparse.ArgumentParser(prog="keep", description=__doc__.partition("\n")[0] if __doc__ else "")
    parser.add_argument("--days", required=True, help="names or patterns, with commas between")
    parser.add_argument("--seed", type=int, default=1)
    how = parser.add_mutually_exclusive_group(required=True)
    how.add_argument("--effort", choices=tuple(EFFORTS), help="the engine as users call it")
    how.add_argument("--moves", type=int, help="moves of each chain of local search")
    parser.add_argument("--chains", type=int, default=2, help="chains from first plans (with --moves)")
    parser.add_argument(
        "--deterministic", type=float, default=3.0, help="CP-SAT's units for bounds and small days"
    )
    parser.add_argument("--windows", type=int, default=0, help="then CP-SAT windows of so many runs")
    given = parser.parse_args(arguments)
    try:
        days = wanted_days(given.days.split(","))
    except ValueError as why:
        parser.error(str(why))
    for day in days:
        instance = read_day(day)
        before = read_known(day, instance, folder)
        kept = None if before is None else before.schedule
        if given.effort:
            found, effort = by_effort(instance, given.effort, given.seed), given.effort
        else:
            found = by_moves(instance, given.moves, given.chains, given.seed, given.deterministic, kept)
            effort = f"{given.chains} x {given.moves} moves"
        print(consider(day, instance, found, effort, given.seed, folder), flush=True)
        if given.windows:
            _polish(day, instance, given.windows, given.deterministic, given.seed, folder)
    return 0


def _polish(day: str, instance: Instance, size: int, deterministic: float, seed: int, folder: Path) -> None:
    known = read_known(day, instance, folder)
    if known is None:
        raise ContradictionError(f"{day}: nothing to polish")
    better = by_windows(instance, known.schedule, deterministic, seed, size)
    again, levels = prove(instance, better, deterministic, seed, lambda: False)
    found_by = "CP-SAT" if len(again.tasks) <= WHOLE and again != better else "window"
    effort = f"windows of {size} runs, {deterministic:g} units each"
    print(consider(day, instance, (again, levels, found_by), effort, seed, folder), flush=True)


if __name__ == "__main__":
    sys.exit(main())
