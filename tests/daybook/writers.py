"""Several processes that write in one day book at once.

python -m tests.daybook.writers --processes 4 --plans 25 --entries 500
"""

from __future__ import annotations

import argparse
import subprocess
import sys
import tempfile
import time
from pathlib import Path

from scheduler.daybook.book import DayBook
from scheduler.daybook.opening import NAME
from tests.daybook.small import DAY

ROOT = Path(__file__).parents[2]

WRITER = """
import sys
from pathlib import Path
from scheduler.daybook.book import DayBook
from scheduler.daybook.opening import NAME
from tests.daybook.kills import entry, put_one

out, name, plans, events = Path(sys.argv[1]), sys.argv[2], int(sys.argv[3]), int(sys.argv[4])
with DayBook(out / NAME) as book:
    for number in range(max(plans, events)):
        if number < plans:
            print(put_one(out, book, f"{name}-{number}"))
        if number < events:
            # one in two is what another process enters, too
            book.record([entry(f"{name}-{number}"), entry(f"shared-{number}")])
"""


def writers(out: Path, processes: int, *, plans: int, events: int) -> list[int]:
    """Run processes at the same time on a book that none of them has made yet; the versions they got."""
    out.mkdir(exist_ok=True)
    call = [sys.executable, "-c", WRITER, str(out)]
    running = [
        subprocess.Popen(
            [*call, f"w{number}", str(plans), str(events)],
            stdout=subprocess.PIPE,
            stderr=subprocess.PIPE,
            text=True,
            cwd=ROOT,
        )
        for number in range(processes)
    ]
    versions: list[int] = []
    for process in running:
        said, errors = process.communicate(timeout=300)
        assert process.returncode == 0, errors
        versions += [int(line) for line in said.split()]
    return versions


def look_after(out: Path, processes: int, versions: list[int], *, plans: int, events: int) -> None:
    """Each version and each entry must be there once, and the newest plan in place."""
    with DayBook(out / NAME) as book:
        assert sorted(versions) == list(range(1, processes * plans + 1))
        assert [one.version for one in book.plans(DAY)] == sorted(versions)
        assert {one.outcome for one in book.plans(DAY)} == {"in place"}
        own = [f"w{process}-{number}" for process in range(processes) for number in range(events)]
        assert sorted(event.id for event in book.events()) == sorted(
            [*own, *(f"shared-{number}" for number in range(events))]
        )
        assert book.check() == []
    final = out / DAY.isoformat()
    assert (final / "plan.json").read_text().startswith(f"version {max(versions)} ")
    older = {f"version-{version}" for version in versions if version != max(versions)}
    assert {path.name for path in final.glob("version-*")} == older


def main() -> None:
    """Run once and print what was found."""
    parser = argparse.ArgumentParser(
        description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter
    )
    parser.add_argument("--processes", type=int, default=4)
    parser.add_argument("--plans", type=int, default=25)
    parser.add_argument("--entries", type=int, default=500)
    given = parser.parse_args()
    with tempfile.TemporaryDirectory() as scratch:
        out = Path(scratch) / "plans"
        begin = time.monotonic()
        versions = writers(out, given.processes, plans=given.plans, events=given.entries)
        took = time.monotonic() - begin
        look_after(out, given.processes, versions, plans=given.plans, events=given.entries)
    print(
        f"{given.processes} processes at once: {len(versions)} plans and "
        f"{(given.processes + 1) * given.entries} entries, each once, in {took:.1f} s"
    )


if __name__ == "__main__":
    main()
