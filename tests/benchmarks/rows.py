"""Rows of results, how they are compared with the best known values, and the file that holds them."""

from __future__ import annotations

import json
import math
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import asdict, dataclass, field
from pathlib import Path
from statistics import fmean, median
from typing import Any

from tests.benchmarks.catalogue import PROVEN

ENGINE = "pressday"

PROVEN_BEST = "proven"
FEASIBLE = "feasible"
RELAXED = "relaxation"
NO_PLAN = "no plan"
REFUSED = "refused by the check"
SKIPPED = "skipped"
FAILED = "failed"

BAD = (REFUSED, FAILED)
"""States that are somebody's mistake."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Row:
    """One run of one solver on one instance with one seed.

    Attributes
    ----------
    effort, seconds, cpu_budget_s
        The budget: one of them for the engine; for peers the processor seconds count.
    value
        The set's own objective, or a day's score; None when there is no such number. Of a relaxation,
        what it comes to: no value of a plan.
    status
        `PROVEN_BEST` (at every level), `FEASIBLE`, `RELAXED` (of a problem with fewer rules: no
        plan), `NO_PLAN`, `REFUSED`, `SKIPPED` or `FAILED`.
    levels, bounds
        Value and bound of each objective level; a bound holds among plans that keep the levels before.
    best, proof, best_levels
        Best known value, whether it is proven, and of a day its levels; see `catalogue.Entry`.
    ratio
        `ratio(value, best)`; None for a relaxation.
    first_plan_s
        Wall seconds to the first plan.
    cpu_s
        Processor seconds of all threads, without starting Python and reading the instance.
    moves, moves_s
        Moves of the local search, and how many a wall second of it.
    memory_mb
        Peak of the process's resident memory.
    checked
        Whether the independent check passed the schedule; None when there is none to check.
    restarts
        Further calls of the engine, with other seeds, to use up the seconds.
    reached
        When the plan got better: (wall seconds, processor seconds, values in the order of `levels`).
    relaxes
        What a relaxation leaves out.
    note
        Why a row is skipped, failed or without a plan.
    """

    set_name: str
    instance: str
    solver: str
    seed: int
    effort: str | None = None
    seconds: float | None = None
    cpu_budget_s: float | None = None
    status: str
    value: int | None = None
    levels: Mapping[str, int] = field(default_factory=dict)
    bounds: Mapping[str, int] = field(default_factory=dict)
    best: int | None = None
    proof: str = ""
    best_levels: Mapping[str, int] = field(default_factory=dict)
    ratio: float | None = None
    first_plan_s: float | None = None
    cpu_s: float | None = None
    wall_s: float | None = None
    moves: int | None = None
    moves_s: float | None = None
    memory_mb: float | None = None
    checked: bool | None = None
    restarts: int = 0
    reached: Sequence[Sequence[Any]] = ()
    relaxes: str = ""
    note: str = ""

    @property
    def against_best(self) -> int | None:
        """-1, 0 or 1: better than, as good as or worse than the best known; None where there is no saying.

        A day is compared level by level, in order, as plans are.
        """
        if not self.checked or self.best is None or self.value is None:
            return None
        if self.best_levels:
            mine = tuple(self.levels[level] for level in self.best_levels)
            best = tuple(self.best_levels.values())
            return (mine > best) - (mine < best)
        return (self.value > self.best) - (self.value < self.best)


def ratio(value: int | None, best: int | None) -> float | None:
    """Value over best known value: 1 is as good, above is worse.

    When the best is zero: 1 for a value of zero, and infinite above it, since no finite factor of zero
    says how much too much something is. None when one of the two isn't known.
    """
    if value is None or best is None:
        return None
    if best == 0:
        return 1.0 if value == 0 else math.inf
    return value / best


@dataclass(frozen=True, slots=True, kw_only=True)
class Summary:
    """One solver on one set.

    Attributes
    ----------
    instances
        How many it was tried on; `planned` of them with a checked plan at every seed.
    by_instance
        Median over seeds of each instance's ratio; infinite without a plan, or above a best of zero.
    mean
        Mean of those that are finite; `infinite` says how many were left out of it.
    worst
        The largest, infinite ones included.
    at_best
        Instances of which more than half of the seeds are at the best known value or better.
    proven
        Instances proven best at every level by every seed.
    cpu_s
        Median over rows.
    """

    solver: str
    instances: int
    planned: int
    by_instance: Mapping[str, float]
    mean: float | None
    infinite: int
    worst: float | None
    at_best: int
    proven: int
    cpu_s: float | None


def summary(rows: Iterable[Row], solver: str) -> Summary:
    """What the rows of one solver say; relaxations and skipped rows count as tried without a plan."""
    mine = [row for row in rows if row.solver == solver]
    groups: dict[str, list[Row]] = {}
    for row in mine:
        groups.setdefault(row.instance, []).append(row)
    ratios = {}
    for name, group in groups.items():
        if group[0].best is not None:
            ratios[name] = median(_or_infinite(row) for row in group)
    finite = [value for value in ratios.values() if math.isfinite(value)]
    cpu = [row.cpu_s for row in mine if row.cpu_s is not None]
    return Summary(
        solver=solver,
        instances=len(groups),
        planned=sum(all(row.checked is True for row in group) for group in groups.values()),
        by_instance=ratios,
        mean=fmean(finite) if finite else None,
        infinite=len(ratios) - len(finite),
        worst=max(ratios.values(), default=None),
        at_best=sum(2 * sum(map(_at_best, group)) > len(group) for group in groups.values()),
        proven=sum(all(row.status == PROVEN_BEST for row in group) for group in groups.values()),
        cpu_s=median(cpu) if cpu else None,
    )


def _at_best(row: Row) -> bool:
    return row.against_best in (-1, 0)


def _or_infinite(row: Row) -> float:
    usable = row.ratio is not None and row.checked is True
    return row.ratio if usable and row.ratio is not None else math.inf


def impossible(rows: Iterable[Row]) -> list[Row]:
    """Rows that are better than a value which was proven best: a fault somewhere, no discovery."""
    return [row for row in rows if row.proof == PROVEN and row.against_best == -1]


def write(path: Path, head: Mapping[str, Any], rows: Sequence[Row]) -> None:
    """Put a whole file in the place of the one before; nobody ever sees half of it."""
    lines = [f" {json.dumps(name)}: {json.dumps(value)}" for name, value in head.items()]
    each = ",\n".join(f"  {json.dumps(_plain(row), allow_nan=False)}" for row in rows)
    lines.append(f' "rows": [\n{each}\n ]')
    text = "{\n" + ",\n".join(lines) + "\n}\n"
    aside = path.with_name(path.name + ".part")
    aside.write_text(text, encoding="utf-8")
    aside.replace(path)


def read(path: Path) -> tuple[dict[str, Any], list[Row]]:
    """The head and the rows of a file of results."""
    head = json.loads(path.read_text(encoding="utf-8"))
    return head, [from_plain(row) for row in head.pop("rows")]


def _plain(row: Row) -> dict[str, Any]:
    """A row as JSON has it: no infinite numbers, times to the millisecond, nothing that says nothing."""
    plain = asdict(row)
    if row.ratio is not None:
        plain["ratio"] = round(row.ratio, 6) if math.isfinite(row.ratio) else "infinite"
    for name in ("first_plan_s", "cpu_budget_s", "cpu_s", "wall_s", "moves_s", "memory_mb"):
        if plain[name] is not None:
            plain[name] = round(plain[name], 3)
    return {name: value for name, value in plain.items() if value not in (None, "", {}, (), [])}


def from_plain(plain: Mapping[str, Any]) -> Row:
    """A row from what JSON has of it."""
    known = dict(plain)
    if known.get("ratio") == "infinite":
        known["ratio"] = math.inf
    return Row(**known)
