"""Results as text for the terminal: a line for each row as it is done, a summary for each solver."""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence

from tests.benchmarks.rows import Row, Summary, summary

COLUMNS = (16, 12, 4, 20, 10, 10, 8, 8, 8, 9, 7)
HEADINGS = [
    "instance",
    "solver",
    "seed",
    "status",
    "value",
    "best",
    "ratio",
    "CPU-s",
    "wall-s",
    "moves/s",
    "MB",
]


def heading() -> str:
    """What stands over the lines."""
    return _columns(HEADINGS)


def line_of(row: Row) -> str:
    """A row in one line; its note behind it."""
    cells = [
        row.instance,
        row.solver,
        str(row.seed),
        row.status,
        number(row.value),
        number(row.best),
        factor(row.ratio),
        number(row.cpu_s, 1),
        number(row.wall_s, 1),
        number(row.moves_s, 0),
        number(row.memory_mb, 0),
    ]
    line = _columns(cells)
    return f"{line}  {row.note}" if row.note else line


def text_of(rows: Sequence[Row]) -> str:
    """The summary of every solver, the engine first."""
    lines = [
        "",
        "Ratio to the best known value: medians over seeds, then over instances",
        f"{'solver':<14}{'instances':>10}{'planned':>9}{'mean':>9}{'worst':>9}{'not finite':>12}"
        f"{'at best':>9}{'proven':>8}{'CPU-s':>9}",
    ]
    lines += [_summed(summary(rows, solver)) for solver in solvers(rows)]
    return "\n".join(lines)


def solvers(rows: Iterable[Row]) -> list[str]:
    """Solvers in the order in which they came."""
    return list(dict.fromkeys(row.solver for row in rows))


def _summed(summed: Summary) -> str:
    return (
        f"{summed.solver:<14}{summed.instances:>10}{summed.planned:>9}{factor(summed.mean):>9}"
        f"{factor(summed.worst):>9}{summed.infinite:>12}{summed.at_best:>9}{summed.proven:>8}"
        f"{number(summed.cpu_s, 1):>9}"
    )


def factor(value: float | None) -> str:
    """A ratio to four places; "above 0" where the best is zero, a dash where there is none."""
    if value is None:
        return "-"
    return f"{value:.4f}" if math.isfinite(value) else "inf"


def number(value: float | None, places: int = 0) -> str:
    """A number, or a dash."""
    return "-" if value is None else f"{value:.{places}f}"


def _columns(cells: Sequence[str]) -> str:
    parts = []
    for at, (cell, width) in enumerate(zip(cells, COLUMNS, strict=True)):
        parts.append(f"{cell:<{width}}" if at in (0, 1, 3) else f"{cell:>{width}}")
    return " ".join(parts).rstrip()
