"""The tables of the page on benchmarks."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest

from tests.benchmarks import rows
from tests.benchmarks.catalogue import chosen, entries
from tests.benchmarks.rows import ENGINE, FEASIBLE, NO_PLAN, PROVEN_BEST, RELAXED, SKIPPED, Row, ratio
from tests.benchmarks.table import BEGIN, END, PAGE, page_with, tables

HEAD: dict[str, Any] = {
    "set": "wt",
    "effort": "quick",
    "seconds": None,
    "cpu_seconds": None,
    "seeds": 3,
    "finished": True,
    "began": "2026-01-02T03:04:05+00:00",
    "python": "3.11.7",
    "system": "Linux x86_64",
    "cores": 2,
    "load": 1.5,
    "libraries": {"ortools": "9.15", "pyjobshop": None},
}


def row(instance: str, seed: int, value: int | None, best: int, **more: Any) -> Row:
    fields: dict[str, Any] = {
        "solver": ENGINE,
        "status": FEASIBLE,
        "checked": value is not None,
        "proof": "yes",
    }
    return Row(
        set_name="wt",
        instance=instance,
        seed=seed,
        value=value,
        best=best,
        **{**fields, "checked": value is not None, "ratio": ratio(value, best), **more},
    )


def lines_of(text: str, first_cell: str) -> list[list[str]]:
    lines = [[cell.strip() for cell in line.strip("|").split("|")] for line in text.splitlines()]
    return [cells for cells in lines if cells[0] == first_cell]


def test_every_row_is_in_the_tables(tmp_path: Path) -> None:
    bounds = {"left_over": 0, "lateness": 7}
    found = [
        row("good", 1, 10, 10, status=PROVEN_BEST, bounds={"left_over": 0, "lateness": 10}, cpu_s=1.0),
        row("good", 2, 12, 10, bounds=bounds, cpu_s=3.0),
        row("good", 3, 11, 10, bounds=bounds, cpu_s=2.0),
        row("good", 1, None, 10, solver="cpsat", status=NO_PLAN),
        row("good", 1, 7, 10, solver="pyjobshop", status=RELAXED, checked=None, ratio=None),
        row("bad", 1, 4, 0, proof="per source"),
        row("bad", 1, None, 0, solver="pyjobshop", status=SKIPPED, checked=None),
    ]
    (tmp_path / "0.2.0").mkdir()
    rows.write(tmp_path / "0.2.0" / "wt.json", HEAD, found)
    text = tables(tmp_path)
    assert "#### wt: effort quick, 3 seeds" in text
    assert (
        "2026-01-02, Linux x86_64, 2 cores, load average 1.5 when it began; Python 3.11.7, ortools 9.15."
        in text
    )
    (good,) = lines_of(text, "good")
    assert good == ["good", "10", "11", "10", "1/3", "2.0", "-", "-", "1.1000", "no plan", "relaxation"]
    (bad,) = lines_of(text, "bad")
    assert bad == ["bad", "0 ?", "4", "-", "0/1", "-", "-", "-", "4 for 0", "-", "skipped"]
    ours, model, library = lines_of(text, "wt")
    assert ours[2:] == [ENGINE, "2", "2", "1.1000", "inf", "1", "0", "0", "2.0"]
    assert model[2:] == ["cpsat", "1", "0", "-", "inf", "1", "0", "0", "-"]
    assert library[2:5] == ["pyjobshop", "2", "0"]


def test_releases_stand_by_number_and_stopped_runs_say_so(tmp_path: Path) -> None:
    for version in ("0.9.0", "0.10.0"):
        (tmp_path / version).mkdir()
        rows.write(tmp_path / version / "wt.json", {**HEAD, "finished": False}, [row("a", 1, 1, 1)])
    text = tables(tmp_path)
    assert text.index("### 0.10.0") < text.index("### 0.9.0")
    assert text.count("Stopped before its end.") == 2


def test_days_by_level_and_by_the_clock(tmp_path: Path) -> None:
    levels = {"left_over": 0, "lateness": 0, "changeover": 60, "finish": 4300}
    best = {"left_over": 0, "lateness": 0, "changeover": 50, "finish": 4400}
    day = row(
        "days-8-085-1",
        1,
        1000,
        1000,
        levels=levels,
        best_levels=best,
        bounds={**levels, "changeover": 45, "finish": 4200},
        reached=[[1.5, 1.0, [0, 5, 100, 4400]], [9.0, 8.0, [0, 0, 60, 4300]]],
    )
    (tmp_path / "0.2.0").mkdir()
    rows.write(
        tmp_path / "0.2.0" / "days.json", {**HEAD, "set": "days", "effort": None, "seconds": 10}, [day]
    )
    _, by_level, by_clock = lines_of(tables(tmp_path), "days-8-085-1")
    assert by_level == ["days-8-085-1", "0 / 0 / 0", "0 / 0 / 0", "60 / 50 / 45", "4300 / 4400 / 4200"]
    # After 2 s the first plan: 5 x 100 + 100 x 10 + 500 ticks since 06:30 = 2000; 60 s were not given.
    assert by_clock == ["days-8-085-1", "2.0000", "1.0000"]


def test_days_are_set_against_the_best_plan_known_by_now(tmp_path: Path) -> None:
    best = chosen(entries("days"), ["days-60-085-1"])[0]
    assert best.best is not None
    worse = {**best.best_levels, "changeover": best.best_levels["changeover"] + 100}
    day = row(best.name, 1, 7, 7, levels=worse, best_levels=worse, bounds={})
    (tmp_path / "0.2.0").mkdir()
    rows.write(tmp_path / "0.2.0" / "days.json", {**HEAD, "set": "days"}, [day])
    by_value, by_level, *_ = lines_of(tables(tmp_path), best.name)
    assert by_value[1:3] == [f"{best.best} open", str(best.best + 1000)]
    assert by_value[-1] == f"{(best.best + 1000) / best.best:.4f}"
    assert by_level[3] == f"{worse['changeover']} / {best.best_levels['changeover']} / 0"


def test_days_are_summed_up_by_size(tmp_path: Path) -> None:
    known = {entry.name: entry for entry in entries("days")}
    found = []
    for name, more, late in (("days-30-070-1", 0, 0), ("days-30-070-2", 0.1, 0), ("days-30-070-3", 9, 1)):
        best = known[name].best_levels
        levels = {
            **best,
            "lateness": best["lateness"] + late,
            "changeover": round(best["changeover"] * (1 + more)),
        }
        bounds = {**levels, "changeover": best["changeover"] // 2}
        found.append(row(name, 1, 1, 1, levels=levels, best_levels=best, bounds=bounds))
    (tmp_path / "0.2.0").mkdir()
    rows.write(tmp_path / "0.2.0" / "days.json", {**HEAD, "set": "days"}, found)
    (line,) = [cells for cells in lines_of(tables(tmp_path), "30") if cells[:3] == ["30", "70", "3"]]
    assert line[5:9] == ["1", "1.0502", "0.50", "0"]


def test_the_tables_have_a_place_on_the_page() -> None:
    page = f"before\n{BEGIN}\nold\n{END}\nafter\n"
    assert page_with("new", page) == f"before\n{BEGIN}\n\nnew\n\n{END}\nafter\n"
    assert page_with("new", page_with("new", page)) == page_with("new", page)
    with pytest.raises(ValueError, match="the page lacks"):
        page_with("new", "before\n")


def test_the_page_holds_what_the_results_say() -> None:
    page = PAGE.read_text(encoding="utf-8")
    assert page_with(tables(), page) == page, "python -m tests.benchmarks.table writes the tables anew"
