"""What can be run: the instances of each set, their best known values, and what counts as their value."""

from __future__ import annotations

import csv
import json
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from pathlib import Path

from scheduler.domain.instance import Instance, Level
from tests.benchmarks.read import SETS, read

KEPT = Path(__file__).parent.parent / "published" / "data"
"""The published instances that lie in this repository."""

DAYS = "days"
ALL_SETS = (*SETS, DAYS)

DAY_WEIGHTS: dict[Level, int] = {"left_over": 100_000, "lateness": 100, "changeover": 10, "finish": 1}
"""Weights of a day's score, in a hundredth of a minute for each tick of 6 s (a pressing for left over)."""

PROVEN, CLAIMED, OPEN = "yes", "per source", "no"


class UnknownError(ValueError):
    """Raised when a set, a folder or an instance isn't there."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Entry:
    """One instance of a set.

    Attributes
    ----------
    file, position
        Where it lies, as `read` wants it; both None for a day, which is made from its name.
    best
        Best known value, or None.
    proof
        `PROVEN`; `CLAIMED` when only the source says so; else `OPEN`.
    best_levels
        For a day: what the best plan known costs at each level. It is the best level by level, so a plan
        may well have a lower score.
    """

    set_name: str
    name: str
    file: Path | None = None
    position: int | None = None
    best: int | None = None
    proof: str = OPEN
    best_levels: Mapping[str, int] = field(default_factory=dict)

    def read(self) -> Instance:
        if self.file is not None:
            return read(self.set_name, self.file, self.position)
        from tests.benchmarks.days import read_day

        return read_day(self.name)


def entries(set_name: str, data: Path | None = None) -> tuple[Entry, ...]:
    """All instances of a set.

    Parameters
    ----------
    data
        Folder with a folder for each set, and in each a `best_known.csv`; None: the copies kept here.

    Raises
    ------
    UnknownError
        When there is no such set or no list of its instances.
    """
    if set_name not in ALL_SETS:
        raise UnknownError(f"{set_name!r} is no set; sets are {', '.join(ALL_SETS)}")
    if set_name == DAYS:
        return _days()
    table = KEPT / "best_known.csv" if data is None else data / set_name / "best_known.csv"
    if not table.is_file():
        raise UnknownError(f"{table} is not there; it lists the instances of the set {set_name}")
    with table.open(encoding="utf-8", newline="") as stream:
        rows = [row for row in csv.DictReader(stream) if row.get("set", set_name) == set_name]
    folder = table.parent if data is not None else table.parent / set_name
    found = tuple(_entry(set_name, folder, row) for row in rows)
    if not found:
        raise UnknownError(f"no instance of the set {set_name} is kept here; name a folder with --data")
    return found


def chosen(found: Sequence[Entry], names: Sequence[str]) -> tuple[Entry, ...]:
    """The entries of these names, in this order.

    Raises
    ------
    UnknownError
        When one isn't there.
    """
    by_name = {entry.name: entry for entry in found}
    missing = [name for name in names if name not in by_name]
    if missing:
        known = ", ".join(list(by_name)[:4])
        raise UnknownError(f"no instance {', '.join(missing)} in the set; its names are like {known}")
    return tuple(by_name[name] for name in dict.fromkeys(names))


def value_of(set_name: str, levels: Mapping[str, int]) -> int | None:
    """The one number of a schedule that is compared: what the set publishes, or a day's score.

    A published set has no such number when something is left over. A day's finish counts in hours that the
    shop is open: one night would otherwise outweigh a hundred minutes of changeovers, which come before it.
    """
    if set_name == DAYS:
        from tests.benchmarks.day_shop import open_ticks

        counted = {**levels, "finish": open_ticks(levels.get("finish", 0))}
        return sum(weight * counted.get(level, 0) for level, weight in DAY_WEIGHTS.items())
    if levels["left_over"]:
        return None
    return levels[next(level for level in levels if level != "left_over")]


def _entry(set_name: str, folder: Path, row: Mapping[str, str]) -> Entry:
    position = int(row["position"]) if row["position"] else None
    name = Path(row["file"]).stem if position is None else f"{Path(row['file']).stem}-{position:03d}"
    best = row.get("best_known") or row.get("best") or ""
    return Entry(
        set_name=set_name,
        name=name,
        file=folder / row["file"],
        position=position,
        best=int(best) if best else None,
        proof=_proof(row.get("proven_optimal") or row.get("proven") or ""),
    )


def _proof(words: str) -> str:
    if words.startswith("yes per source"):
        return CLAIMED
    return PROVEN if words.startswith("yes") else OPEN


def _days() -> tuple[Entry, ...]:
    from tests.benchmarks.days import names

    return tuple(_day(name) for name in names())


def _day(name: str) -> Entry:
    """A day with the best plan known of it, of which only the cost is read here."""
    from tests.benchmarks.best_known import FOLDER

    file = FOLDER / f"{name}.json"
    if not file.is_file():
        return Entry(set_name=DAYS, name=name)
    known = json.loads(file.read_text(encoding="utf-8"))
    levels: dict[str, int] = known["levels"]
    return Entry(
        set_name=DAYS,
        name=name,
        best=value_of(DAYS, levels),
        proof=PROVEN if len(known["proven"]) == len(levels) else OPEN,
        best_levels=levels,
    )
