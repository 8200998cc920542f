"""Every plan kept as the best known of a day: passed by the check, its cost right, no bound above it."""

from __future__ import annotations

import os
from dataclasses import replace
from pathlib import Path

import pytest

from scheduler.domain.schedule import LevelValue
from scheduler.engine.bounds import known_bounds
from scheduler.engine.cpsat.raised_bounds import raised_bounds
from scheduler.verify.check import check
from tests.benchmarks.best_known import FOLDER, Known, kept_days, levels_of, read_known, write_known
from tests.benchmarks.days import parse, read_day
from tests.benchmarks.keep import ContradictionError, consider, main, wanted_days

EVERY = os.environ.get("PRESSDAY_BEST_KNOWN") == "all"
"""Environment: "all" checks the days of every size and their dear bounds; minutes in place of seconds."""

CHEAP = 30
"""Runs up to which all days are checked in the usual suite; of twice as many those with seed 1."""

DEAR = 2.0 if EVERY else 0.2
"""Deterministic units for the bounds by CP-SAT."""

DAYS = kept_days()
CHECKED = tuple(
    day
    for day in DAYS
    if EVERY or parse(day).runs <= CHEAP or (parse(day).runs <= 2 * CHEAP and parse(day).seed == 1)
)
SMALL = tuple(day for day in DAYS if parse(day).runs <= (60 if EVERY else 8))


def known_of(day: str, folder: Path = FOLDER) -> Known:
    known = read_known(day, read_day(day), folder)
    assert known is not None
    return known


@pytest.mark.parametrize("day", CHECKED)
def test_kept_plan_is_checked_and_no_bound_is_above_it(day: str) -> None:
    instance, known = read_day(day), known_of(day)
    verdict = check(instance, known.schedule)
    assert verdict.breaks == ()
    assert {level: verdict.values[level] for level in instance.levels} == known.levels
    assert tuple(known.levels) == instance.levels
    # Every bound speaks of plans that keep the levels before, and the plan is one of those.
    for level, bound in known_bounds(instance, known.levels).items():
        assert bound <= known.levels[level], level
    assert instance.levels[: len(known.proven)] == known.proven


@pytest.mark.parametrize("day", SMALL)
def test_no_bound_by_cp_sat_is_above_it(day: str) -> None:
    instance, known = read_day(day), known_of(day)
    found = raised_bounds(instance, known.schedule, known.levels, deterministic_limit=DEAR)
    for level, bound in found.items():
        assert bound <= known.levels[level], level


def test_every_size_up_to_120_is_kept() -> None:
    assert {parse(day).runs for day in DAYS} >= {8, 30, 60, 120}
    for day in DAYS:
        levels = levels_of(day)
        assert levels is not None
        assert len(levels) == 6
    assert levels_of("days-8-070-9") is None


def test_what_is_written_is_read_again(tmp_path: Path) -> None:
    day = "days-8-085-1"
    instance, known = read_day(day), known_of(day)
    write_known(known, instance, tmp_path)
    again = known_of(day, tmp_path)
    assert (again.levels, again.proven, again.seed) == (known.levels, known.proven, known.seed)
    assert sorted(again.schedule.tasks, key=lambda done: done.task) == sorted(
        known.schedule.tasks, key=lambda done: done.task
    )
    assert [path.name for path in tmp_path.iterdir()] == [f"{day}.json"]


def found_again(known: Known, **values: int) -> tuple[object, ...]:
    levels = tuple(
        LevelValue(name=level, value=values.get(level, value)) for level, value in known.levels.items()
    )
    return known.schedule, levels, "search"


def test_only_a_checked_and_better_plan_is_kept(tmp_path: Path) -> None:
    day = "days-8-085-1"
    instance, known = read_day(day), known_of(day)
    found = found_again(known)
    assert consider(day, instance, found, "any", 1, tmp_path) == f"{day}: {known.cost}, the first"
    assert "does not beat" in consider(day, instance, found, "any", 1, tmp_path)
    with pytest.raises(ContradictionError, match=f"{day}: the engine says"):
        consider(day, instance, found_again(known, changeover=0), "any", 1, tmp_path)
    late = replace(known.schedule.tasks[0], end=known.schedule.tasks[0].end + 1)
    broken = replace(known.schedule, tasks=(late, *known.schedule.tasks[1:]))
    with pytest.raises(ContradictionError, match=f"{day}: calendar: "):
        consider(day, instance, (broken, *found[1:]), "any", 1, tmp_path)
    # A plan that was kept before this one, worse in the last level; then one that can't be.
    worse = replace(known, levels={**known.levels, "finish": known.levels["finish"] + 1}, proven=())
    write_known(worse, instance, tmp_path)
    assert consider(day, instance, found, "any", 1, tmp_path).startswith(f"{day}: {known.cost} in place of")
    assert known_of(day, tmp_path).levels == known.levels
    write_known(replace(worse, proven=instance.levels), instance, tmp_path)
    with pytest.raises(ContradictionError, match="beats"):
        consider(day, instance, found, "any", 1, tmp_path)


def test_days_by_name_and_by_pattern() -> None:
    assert wanted_days(["days-8-085-1", "days-8-085-*"]) == tuple(f"days-8-085-{seed}" for seed in (1, 2, 3))
    with pytest.raises(ValueError, match="'weeks-\\*' stands for no day"):
        wanted_days(["weeks-*"])


def test_command_keeps_a_first_plan_and_then_only_better_ones(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    few = ["--moves", "2000", "--chains", "1", "--deterministic", "0.02"]
    arguments = ["--days", "days-8-070-2", *few]
    assert main(arguments, tmp_path) == 0
    assert capsys.readouterr().out.endswith(", the first\n")
    kept = known_of("days-8-070-2", tmp_path)
    assert main(arguments, tmp_path) == 0
    said, again = capsys.readouterr().out, known_of("days-8-070-2", tmp_path)
    # It goes on from the kept plan, so that it may beat it and is never worse.
    assert (again.cost < kept.cost) == (" in place of " in said)
    assert again.cost <= kept.cost
