"""Several processes write at once: each entry and each version once, in one book."""

from __future__ import annotations

import subprocess
import sys
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


def test_four_processes_at_once(tmp_path: Path) -> None:
    versions = writers(tmp_path, 4, plans=3, events=20)
    assert sorted(versions) == list(range(1, 13))
    with DayBook(tmp_path / NAME) as book:
        assert [one.version for one in book.plans(DAY)] == list(range(1, 13))
        assert {one.outcome for one in book.plans(DAY)} == {"in place"}
        ids = [event.id for event in book.events()]
        assert sorted(ids) == sorted(
            [f"w{process}-{number}" for process in range(4) for number in range(20)]
            + [f"shared-{number}" for number in range(20)]
        )
        assert book.check() == []
    final = tmp_path / DAY.isoformat()
    assert (final / "plan.json").read_text().startswith("version 12 ")
    assert sorted(path.name for path in final.glob("version-*")) == sorted(
        f"version-{n}" for n in range(1, 12)
    )
