"""Readable ids of tasks: "1042-left chest", "1042-front+sleeve", "1042-front youth lot 1 of 2"."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence

from scheduler.planning.placements import Run

Name = tuple[str, str]
"""A run's placement, and what tells it from other runs of the order at that placement."""


def run_names(runs: Sequence[Run]) -> tuple[Name, ...]:
    """A name for each run of one order: its placement, and as much more as tells it from others.

    Size group, arrival, artwork, transfer and artwork size are added in turn while names are
    doubled; at last a number.
    """
    names = [(run.placement.name, "") for run in runs]
    additions = (
        [run.size_group or "other sizes" for run in runs],
        ["" if run.garments_in is None else f"box {run.garments_in:%Y-%m-%d %H:%M}" for run in runs],
        [run.artwork for run in runs],
        [run.transfer for run in runs],
        [f"{run.width_mm} x {run.height_mm} mm" for run in runs],
    )
    for addition in additions:
        together: dict[Name, set[str]] = {}
        for name, more in zip(names, addition, strict=True):
            together.setdefault(name, set()).add(more)
        names = [
            (name[0], f"{name[1]} {more}".strip()) if len(together[name]) > 1 else name
            for name, more in zip(names, addition, strict=True)
        ]
    seen: Counter[Name] = Counter()
    numbered = []
    for name in names:
        seen[name] += 1
        numbered.append(name if seen[name] == 1 else (name[0], f"{name[1]} ({seen[name]})".strip()))
    return tuple(numbered)


def task_name(order: str, names: Sequence[Name], lot: int, lots: int) -> str:
    """The id of a task of a run or a pair; `lot` counts from 1."""
    if len({extra for _, extra in names}) == 1:
        name = f"{'+'.join(placement for placement, _ in names)} {names[0][1]}".strip()
    else:
        name = "+".join(f"{placement} {extra}".strip() for placement, extra in names)
    return f"{order}-{name}" if lots == 1 else f"{order}-{name} lot {lot} of {lots}"
