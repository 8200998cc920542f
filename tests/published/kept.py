"""The published benchmark instances kept in `data`, with their best known values."""

from __future__ import annotations

import csv
from dataclasses import dataclass
from pathlib import Path

from scheduler.domain.instance import Instance
from tests.benchmarks.read import read

DATA = Path(__file__).parent / "data"


@dataclass(frozen=True, slots=True, kw_only=True)
class Kept:
    """One instance: its set, its file in `data`, its position in the file (set `wt`), its best value."""

    set_name: str
    file: str
    position: int | None
    best: int

    @property
    def name(self) -> str:
        return self.file if self.position is None else f"{self.file}:{self.position}"

    def read(self) -> Instance:
        return read(self.set_name, DATA / self.set_name / self.file, self.position)


def _load() -> tuple[Kept, ...]:
    with (DATA / "best_known.csv").open(encoding="utf-8", newline="") as stream:
        return tuple(
            Kept(
                set_name=row["set"],
                file=row["file"],
                position=int(row["position"]) if row["position"] else None,
                best=int(row["best"]),
            )
            for row in csv.DictReader(stream)
        )


KEPT = _load()
