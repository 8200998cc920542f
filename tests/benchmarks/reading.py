"""Figures for reading orders: rows a second, peak memory, and how fast hostile files are refused.

    python -m tests.benchmarks.reading --rows 20000
    python -m tests.benchmarks.reading --hostile

Each case is one `pressday check` in a process of its own, the reading of the shop's workbook included. Memory
is the highest that the command's process held, and the highest that one of its reading processes held: their
sum is never less than what was in use at one time. Seconds are by the clock and of processor time, all
processes together. Prints a table in Markdown; for Linux, whose /proc it reads.
"""

from __future__ import annotations

import argparse
import json
import os
import random
import subprocess
import sys
import tempfile
import time
from collections.abc import Iterator
from pathlib import Path
from typing import Any

from scheduler.domain.shop import Shop
from scheduler.intake import default_shop, write_shop
from tests.benchmarks.hostile import hostile_files
from tests.intake.files.made_files import ods_bytes, xls_bytes

_DAY = "2026-03-02"
_RUN = """
import json, re, resource, sys
from pathlib import Path
report = Path(sys.argv.pop(1))
from scheduler.cli.main import app
try:
    app()
finally:
    own, children = (resource.getrusage(kind) for kind in (resource.RUSAGE_SELF, resource.RUSAGE_CHILDREN))
    # ru_maxrss of a process begins with what its parent held when it was started; VmHWM does not
    held = re.search(r"VmHWM:\\s+(\\d+)", Path("/proc/self/status").read_text())
    busy = sum(one.ru_utime + one.ru_stime for one in (own, children))
    report.write_text(json.dumps([int(held[1]) / 1024, children.ru_maxrss / 1024, busy]))
"""
HEADINGS = [
    "Order", "Customer", "Cut-off date", "Priority", "Garment", "Colour", "Fabric", "Placement", "Transfer",
    "Artwork", "Width mm", "Height mm", "S", "M", "L", "XL", "2XL", "Total", "Notes",
]  # fmt: skip

_WRONG: list[tuple[int, Any]] = [(6, "cottn"), (7, "left chst"), (8, "film"), (12, "a few"), (17, 9999)]


def order_rows(count: int, shop: Shop, seed: int, *, faulty: float = 0.0) -> Iterator[list[Any]]:
    """Rows of orders with two placements each; a share of the rows with something wrong."""
    dice = random.Random(seed)
    cotton = [recipe.transfer for recipe in shop.recipes if recipe.fabric == "cotton"]
    for number in range(count):
        order = number // 2
        pieces = random.Random(f"{seed} {order}").choices(range(13), k=5)
        pieces[0] += 1
        place = ("left chest", "full back")[number % 2]
        sizes: list[Any] = [one or None for one in pieces]
        row: list[Any] = [
            10_000 + order, f"Customer {order % 700}", "2026-03-05", "normal", "t-shirt", "navy", "cotton",
            place, cotton[order % len(cotton)], f"design {order % 900}", 80, 70, *sizes, sum(pieces), None,
        ]  # fmt: skip
        if dice.random() < faulty:
            column, wrong = dice.choice(
                [(6, "cottn"), (7, "left chst"), (8, "film"), (12, "a few"), (17, 9999)]
            )
            row[column] = wrong
        yield row


def xlsx_file(path: Path, rows: Iterator[list[Any]]) -> None:
    """A workbook written row by row."""
    from openpyxl import Workbook

    book = Workbook(write_only=True)
    sheet = book.create_sheet("Orders")
    sheet.append(HEADINGS)
    for row in rows:
        sheet.append(row)
    book.save(path)


def csv_file(path: Path, rows: Iterator[list[Any]]) -> None:
    """A text table with semicolons."""
    lines = (";".join("" if value is None else str(value) for value in row) for row in (HEADINGS, *rows))
    path.write_text("\n".join(lines) + "\n", encoding="utf-8")


def measured(orders: Path, shop: Path) -> dict[str, Any]:
    """Check one file; seconds, MB of the command and of its reader, exit code, first code and last words."""
    report = Path(tempfile.gettempdir()) / f"pressday-report-{os.getpid()}.json"
    command = [sys.executable, "-c", _RUN, str(report), "check", str(orders)]
    command += [*(["--shop", str(shop)] if shop.is_file() else []), "--day", _DAY, "--json"]
    start = time.perf_counter()
    done = subprocess.run(command, capture_output=True, text=True, env=os.environ, check=False)
    seconds = time.perf_counter() - start
    own, reader, busy = json.loads(report.read_text())
    report.unlink()
    try:
        answer = json.loads(done.stdout)
    except ValueError:
        answer = {"faults": [], "doubts": []}
    return {
        "s": seconds,
        "busy": busy,
        "own": own,
        "reader": reader,
        "code": done.returncode,
        "first": answer["faults"][0]["code"] if answer["faults"] else "",
        "found": answer["faults"][0]["found"] if answer["faults"] else "",
        "faults": len(answer["faults"]),
        "traceback": "Traceback" in done.stderr,
    }


def scale(folder: Path, count: int) -> None:
    """Print the table of large files."""
    words = default_shop()
    print(
        f"| {count:,} rows | file MB | s | processor s | rows per processor s "
        "| command MB | reader MB | exit | faults |"
    )
    print("| --- | --- | --- | --- | --- | --- | --- | --- | --- |")
    files = ("sound.xlsx", "faulty.xlsx", "all-faulty.xlsx", "sound.csv", "sound.ods", "sound.xls")
    for name, shop in [*((name, False) for name in files), ("sound.xlsx", True), ("faulty.xlsx", True)]:
        path = folder / name
        share = {"faulty.xlsx": 0.05, "all-faulty.xlsx": 1.0}.get(name, 0.0)
        rows = order_rows(count, words, 1, faulty=share)
        if path.suffix == ".xlsx":
            xlsx_file(path, rows)
        elif path.suffix == ".csv":
            csv_file(path, rows)
        else:
            path.write_bytes((ods_bytes if path.suffix == ".ods" else xls_bytes)([HEADINGS, *rows]))
        # without a shop the trade's words serve, and what presses can do is not worked out
        one = measured(path, folder.parent / "shop.xlsx" if shop else folder / "none.xlsx")
        cells = (
            f"{name}, with a shop" if shop else name,
            f"{path.stat().st_size / 2**20:.1f}",
            f"{one['s']:.1f}",
            f"{one['busy']:.1f}",
            f"{count / one['busy']:,.0f}",
            *(f"{one[key]:.0f}" for key in ("own", "reader", "code")),
            f"{one['faults']:,}",
        )
        print(f"| {' | '.join(cells)} |", flush=True)


def hostile(folder: Path, shop: Path) -> None:
    """Print the table of hostile files."""
    print("| file | MB | s | processor s | command MB | reader MB | exit | fault |")
    print("| --- | --- | --- | --- | --- | --- | --- | --- |")
    for name, path in hostile_files(folder):
        one = measured(path, shop)
        said = f"{one['first']}: {one['found'][:60]}" if one["first"] else ""
        cells = (
            name,
            f"{path.stat().st_size / 2**20 if path.is_file() else 0:.1f}",
            f"{one['s']:.1f}",
            f"{one['busy']:.1f}",
            *(f"{one[key]:.0f}" for key in ("own", "reader", "code")),
            "TRACEBACK" if one["traceback"] else said,
        )
        print(f"| {' | '.join(cells)} |", flush=True)


def main() -> None:
    """Run the cases asked for."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--rows", type=int, default=20_000)
    parser.add_argument("--hostile", action="store_true")
    asked = parser.parse_args()
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        write_shop(default_shop(), folder / "shop.xlsx")
        if asked.hostile:
            hostile(folder, folder / "shop.xlsx")
        else:
            (folder / "orders").mkdir()
            scale(folder / "orders", asked.rows)


if __name__ == "__main__":
    main()
