"""The tables of docs/benchmarks.md, made of the files of results: `python -m tests.benchmarks.table`.

The files of a release lie in `results/<version>`; nothing in the tables is written by hand, and every
row of every file is in them, the bad ones too.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from itertools import groupby
from pathlib import Path
from statistics import fmean, median
from typing import Any

from tests.benchmarks import rows as results
from tests.benchmarks.catalogue import ALL_SETS, CLAIMED, DAYS, PROVEN, entries, value_of
from tests.benchmarks.days import parse
from tests.benchmarks.report import factor, number, solvers
from tests.benchmarks.rows import ENGINE, Row, ratio, summary

RESULTS = Path(__file__).parent / "results"
PAGE = Path(__file__).parent.parent.parent / "docs" / "benchmarks.md"
BEGIN, END = "<!-- tables: begin -->", "<!-- tables: end -->"

MOMENTS_S = (2, 10, 60)
"""Wall seconds at which a day's plan is looked at, when it was given as many."""

MARKS = {PROVEN: "", CLAIMED: " ?"}
"""Behind a best known value: proven, proven by its source, and else not proven."""

File = tuple[Mapping[str, Any], Sequence[Row]]


def tables(folder: Path = RESULTS) -> str:
    """All releases, the newest first."""
    releases = sorted((path for path in folder.glob("*") if path.is_dir()), key=_version, reverse=True)
    return "\n\n".join(_release(path) for path in releases)


def page_with(text: str, page: str) -> str:
    """The page with the tables in place of those before.

    Raises
    ------
    ValueError
        When the page has no place for them.
    """
    before, begin, rest = page.partition(BEGIN)
    _, end, after = rest.partition(END)
    if not begin or not end:
        raise ValueError(f"the page lacks {BEGIN} and {END}")
    return f"{before}{BEGIN}\n\n{text}\n\n{END}{after}"


def _version(path: Path) -> tuple[int, ...]:
    return tuple(int(part) for part in path.name.split("."))


def _release(folder: Path) -> str:
    files = [_renewed(*results.read(path)) for path in sorted(folder.glob("*.json"))]
    files.sort(
        key=lambda file: (ALL_SETS.index(file[0]["set"]), str(file[0]["effort"]), file[0]["seconds"] or 0)
    )
    parts = [f"### {folder.name}", _overview(files)]
    for head, rows in files:
        parts += [f"#### {head['set']}: {_budget(head)}", _made_with(head), _instances(rows)]
        if head["set"] == DAYS:
            parts += [_sizes(rows), _levels(rows)]
            if head["seconds"] is not None:
                parts.append(_moments(rows, head["seconds"]))
    return "\n\n".join(parts)


def _renewed(head: Mapping[str, Any], rows: Sequence[Row]) -> File:
    """Days against the best plans known by now, which get better; published values stay."""
    if head["set"] != DAYS:
        return head, rows
    known = {entry.name: entry for entry in entries(DAYS)}
    again = []
    for row in rows:
        entry = known[row.instance]
        if row.value is None or not row.levels.keys() >= entry.best_levels.keys():
            again.append(row)
            continue
        value = value_of(DAYS, row.levels)
        again.append(
            replace(
                row,
                value=value,
                best=entry.best,
                proof=entry.proof,
                best_levels=entry.best_levels,
                ratio=ratio(value, entry.best) if row.checked else None,
            )
        )
    return head, again


def _budget(head: Mapping[str, Any]) -> str:
    if head["effort"]:
        budget = f"effort {head['effort']}"
    elif head["seconds"]:
        budget = f"{head['seconds']:g} s"
    else:
        budget = f"{head['cpu_seconds']:g} CPU-s"
    seeds = head["seeds"]
    return f"{budget}, {seeds} seed{'s' * (seeds != 1)}"


def _made_with(head: Mapping[str, Any]) -> str:
    libraries = ", ".join(f"{name} {at}" for name, at in head["libraries"].items() if at)
    load = "" if head["load"] is None else f", load average {head['load']:g} when it began"
    return (
        f"{head['began'][:10]}, {head['system']}, {head['cores']} cores{load}; "
        f"Python {head['python']}, {libraries}." + ("" if head["finished"] else " Stopped before its end.")
    )


def _overview(files: Sequence[File]) -> str:
    lines = [["set", "budget", "solver", "instances", "planned", "mean", "worst", "not finite", "at best"]]
    lines[0] += ["proven", "CPU-s"]
    for head, rows in files:
        for solver in solvers(rows):
            found = summary(rows, solver)
            lines.append(
                [
                    head["set"],
                    _budget(head),
                    solver,
                    str(found.instances),
                    str(found.planned),
                    factor(found.mean),
                    factor(found.worst),
                    str(found.infinite),
                    str(found.at_best),
                    str(found.proven),
                    number(found.cpu_s, 1),
                ]
            )
    return _markdown(lines, left=3)


def _instances(rows: Sequence[Row]) -> str:
    """A line an instance: the engine's value, bound, proof and speed, and every solver's ratio."""
    names = solvers(rows)
    lines = [["instance", "best known", "value", "bound", "proven", "CPU-s", "moves/s", "MB", *names]]
    for instance, group in _by_instance(rows):
        ours = [row for row in group if row.solver == ENGINE]
        best = group[0].best
        known = "-" if best is None else f"{best}{MARKS.get(group[0].proof, ' open')}"
        lines.append(
            [
                instance,
                known,
                _middle([row.value for row in ours]),
                _bound(ours),
                f"{sum(row.status == results.PROVEN_BEST for row in ours)}/{len(ours)}",
                _middle([row.cpu_s for row in ours], 1),
                _middle([row.moves_s for row in ours]),
                _middle([row.memory_mb for row in ours]),
                *(_ratio([row for row in group if row.solver == name]) for name in names),
            ]
        )
    return _markdown(lines, left=1)


def _bound(rows: Sequence[Row]) -> str:
    """The best bound on the published objective; a day has one for each level, in a table of its own."""
    shown = [
        list(row.bounds.values())[-1] for row in rows if row.bounds and row.set_name != DAYS and row.checked
    ]
    return str(max(shown)) if shown else "-"


def _ratio(rows: Sequence[Row]) -> str:
    """Median over seeds, or why there is none."""
    if not rows:
        return "-"
    if all(row.checked is not True for row in rows):
        return rows[0].status
    if rows[0].best is None:
        return f"value {_middle([row.value for row in rows])}"
    known = [row.ratio if row.ratio is not None else math.inf for row in rows]
    middle = median(known)
    if math.isfinite(middle):
        return factor(middle)
    return f"{_middle([row.value for row in rows])} for 0" if rows[0].best == 0 else "left over"


def _sizes(rows: Sequence[Row]) -> str:
    """Of the engine on days, by runs and load: how far from the best plans known, by score and by level."""
    lines = [
        [
            "runs",
            "load, %",
            "days",
            "mean",
            "worst",
            "later",
            "changeover",
            "bound",
            "proven",
            "first plan, s",
        ]
    ]
    ours = [row for row in rows if row.solver == ENGINE and row.checked and row.best_levels]
    by_size: dict[tuple[int, int], list[list[Row]]] = {}
    for instance, group in _by_instance(ours):
        day = parse(instance)
        by_size.setdefault((day.runs, day.load), []).append(group)
    for (runs, load), days in sorted(by_size.items()):
        found = [_of_day(group) for group in days]
        as_late = [each for each in found if not each.later]
        ratios = [each.ratio for each in found]
        lines.append(
            [
                str(runs),
                str(load),
                str(len(days)),
                factor(fmean(ratios)),
                factor(max(ratios)),
                str(len(found) - len(as_late)),
                factor(fmean([each.changeover for each in as_late]) if as_late else None),
                f"{fmean([each.bound for each in found]):.2f}",
                str(sum(row.status == results.PROVEN_BEST for group in days for row in group)),
                f"{max(row.first_plan_s or 0 for group in days for row in group):.2f}",
            ]
        )
    return (
        "By size, against the best plans known; medians over seeds, means over days. `mean`, `worst`: score. "
        "`later`: days that are later or have more left over. `changeover`: minutes on the others. `bound`: "
        "of changeovers, over the best known. `proven`: rows at every level. Slowest first plan.\n\n"
        + _markdown(lines, left=0)
    )


@dataclass(frozen=True, slots=True)
class _Day:
    """The engine on one day beside the best plan known; ratios of medians over seeds."""

    ratio: float
    later: bool
    changeover: float
    bound: float


def _of_day(group: Sequence[Row]) -> _Day:
    best = group[0].best_levels
    middle = {level: median(row.levels[level] for row in group) for level in best}
    bound = max(row.bounds.get("changeover", 0) for row in group)
    known = [row.ratio if row.ratio is not None else math.inf for row in group]
    return _Day(
        ratio=median(known),
        later=(middle["left_over"], middle["lateness"]) > (best["left_over"], best["lateness"]),
        changeover=middle["changeover"] / best["changeover"] if best["changeover"] else 1.0,
        bound=bound / best["changeover"] if best["changeover"] else 1.0,
    )


def _levels(rows: Sequence[Row]) -> str:
    """Of the engine on days: each level's median value, bound and best known."""
    ours = [row for row in rows if row.solver == ENGINE and row.checked]
    levels = list(dict.fromkeys(level for row in ours for level in row.levels))
    lines = [["day", *levels]]
    for instance, group in _by_instance(ours):
        cells = []
        for level in levels:
            value = _middle([row.levels[level] for row in group])
            bound = max(row.bounds.get(level, 0) for row in group)
            best = group[0].best_levels.get(level)
            cells.append(f"{value} / {'-' if best is None else best} / {bound}")
        lines.append([instance, *cells])
    return (
        "Each level in its own unit: value (median) / that of the best plan known / bound.\n\n"
        + _markdown(lines, left=1)
    )


def _moments(rows: Sequence[Row], seconds: float) -> str:
    """Of the engine on days: the score's ratio after some wall seconds."""
    moments = [moment for moment in MOMENTS_S if moment <= seconds]
    lines = [["day", *(f"{moment} s" for moment in moments)]]
    for instance, group in _by_instance([row for row in rows if row.solver == ENGINE and row.checked]):
        cells = []
        for moment in moments:
            found = [ratio(_score_at(row, moment), row.best) for row in group]
            known = [each for each in found if each is not None]
            cells.append(factor(median(known)) if len(known) == len(group) else "-")
        lines.append([instance, *cells])
    return "Ratio of the score after so many seconds by the wall clock.\n\n" + _markdown(lines, left=1)


def _score_at(row: Row, moment: float) -> int | None:
    stages = [stage for stage in row.reached if stage[0] <= moment]
    return value_of(DAYS, dict(zip(row.levels, stages[-1][2], strict=True))) if stages else None


def _by_instance(rows: Sequence[Row]) -> list[tuple[str, list[Row]]]:
    order = {name: at for at, name in enumerate(dict.fromkeys(row.instance for row in rows))}
    ranked = sorted(rows, key=lambda row: order[row.instance])
    return [(name, list(group)) for name, group in groupby(ranked, key=lambda row: row.instance)]


def _middle(values: Sequence[float | None], places: int = 0) -> str:
    known = [value for value in values if value is not None]
    return number(median(known), places) if known else "-"


def _markdown(lines: Sequence[Sequence[str]], left: int) -> str:
    """A table; so many columns to the left, numbers to the right."""
    rule = ["---"] * left + ["---:"] * (len(lines[0]) - left)
    return "\n".join(f"| {' | '.join(cells)} |" for cells in [lines[0], rule, *lines[1:]])


def main() -> None:
    """Write the tables into the page."""
    text = page_with(tables(), PAGE.read_text(encoding="utf-8"))
    PAGE.write_text(text, encoding="utf-8", newline="\n")


if __name__ == "__main__":
    main()
