"""Commands that are killed without warning, at any moment, and what is left of their work.

    python -m tests.daybook.kills --rounds 200 --seed 1
    python -m tests.daybook.kills --every-call

A child process plans and enters without a pause and says what it has been told is done. It is killed, either
after a random time or right before its n-th call that changes something on the disk. Then the next command
comes, and everything that was acknowledged must be there, whole, once, under its version.
"""

from __future__ import annotations

import argparse
import random
import signal
import subprocess
import sys
import tempfile
import time
from collections.abc import Iterator
from dataclasses import dataclass, field
from pathlib import Path

from scheduler.daybook.book import DayBook
from scheduler.daybook.opening import NAME
from scheduler.domain.progress import Event, EventKind
from scheduler.plans.folder import draft
from scheduler.plans.kept import kept_bytes, read_kept
from scheduler.plans.places import KEPT
from tests.daybook.small import DAY, at, small_plan

ROOT = Path(__file__).parents[2]
SHEETS = ("run-sheets.pdf", "plan.json")
CHANGING = (
    "rename",
    "replace",
    "mkdir",
    "rmdir",
    "unlink",
    "fsync",
    "write",
    "close",
    "execute",
    "open",
    "flock",
)
"""Calls into the system or SQLite before which the process may be killed."""


def put_one(out: Path, book: DayBook, words: str) -> int:
    """Plan once as the command does, with cheap sheets; the version."""
    with draft(out, DAY, book=book) as one:
        plan = small_plan(version=one.version, note=words)
        one.plan = plan
        for name in SHEETS:
            (one.folder / name).write_text(f"version {plan.version} {words}")
        (one.folder / KEPT).write_bytes(kept_bytes(plan))
    return one.version


def entry(name: str) -> Event:
    return Event(
        id=name,
        day=DAY,
        version=1,
        kind=EventKind.PIECES,
        run="A-front",
        at=at("8:20"),
        pieces=len(name),
        entered=at("8:21"),
    )


def child(out: Path, name: str, until_call: int) -> None:
    """Plan and enter for ever, saying what is done; with `until_call` killed right before that call."""
    if until_call:
        _die_before(until_call)
    out.mkdir(exist_ok=True)
    with DayBook(out / NAME) as book:
        for number in range(1, 1_000):
            if number % 3 == 1:
                words = f"{name}-{number}"
                print("plan", put_one(out, book, words), words, flush=True)
            else:
                book.record([entry(f"{name}-{number}-{part}") for part in range(number % 3 + 1)])
                print("events", number, number % 3 + 1, flush=True)
            if until_call and number == 4:
                return


def _die_before(number: int) -> None:
    """Have this process killed right before its n-th changing call."""
    import os

    left = number

    def look(_: object, event: str, called: object) -> None:
        nonlocal left
        if event == "c_call" and getattr(called, "__name__", "") in CHANGING:
            left -= 1
            if left == 0:
                os.kill(os.getpid(), signal.SIGKILL)

    sys.setprofile(look)


@dataclass(slots=True)
class Told:
    """What was acknowledged so far: words by version, and ids of entries."""

    plans: dict[int, str] = field(default_factory=dict)
    events: set[str] = field(default_factory=set)

    def hear(self, name: str, said: str) -> None:
        """Take in what a child said; a line that was cut off was not said."""
        for line in said.split("\n")[:-1]:
            kind, number, rest = line.split()
            if kind == "plan":
                assert int(number) not in self.plans, f"version {number} was given twice"
                self.plans[int(number)] = rest
            else:
                self.events |= {f"{name}-{number}-{part}" for part in range(int(rest))}


def look_after(out: Path, told: Told) -> None:
    """The next command comes; nothing acknowledged may be missing, doubled or half there."""
    with DayBook(out / NAME) as book:
        with draft_of_nothing(out, book):
            pass
        assert book.check() == []
        assert book.pending() == ()
        booked = book.plans(DAY)
        assert all(one.outcome == "in place" for one in booked), [one.outcome for one in booked]
        versions = [one.version for one in booked]
        assert versions == list(range(1, len(booked) + 1)), versions
        assert set(told.plans) <= set(versions)
        entries = [event.id for event in book.events()]
        assert len(entries) == len(set(entries))
        assert told.events <= set(entries), told.events - set(entries)
        by_transaction: dict[str, set[str]] = {}
        for one in entries:
            by_transaction.setdefault(one.rpartition("-")[0], set()).add(one)
        for key, ids in by_transaction.items():
            assert len(ids) == int(key.rpartition("-")[2]) % 3 + 1, "half of what was entered together"
        final = out / DAY.isoformat()
        for one in booked:
            plan = book.plan(one)
            words = plan.notes[0]
            assert told.plans.get(one.version, words) == words
            folder = final if one.version == versions[-1] else final / f"version-{one.version}"
            assert read_kept(folder)[0] == plan, f"version {one.version} in {folder}"
            for name in SHEETS:
                assert (folder / name).read_text() == f"version {one.version} {words}"
    strange = [path.name for path in out.iterdir() if path.name not in (NAME, DAY.isoformat())]
    assert [name for name in strange if not name.startswith((".day-book-", f"{NAME}-"))] == [], strange


class _Nothing(Exception):  # noqa: N818 - ends a draft, is no error
    pass


class draft_of_nothing:  # noqa: N801 - reads as words in a with statement
    """A command that comes next and gives up: it settles what was left behind and adds nothing."""

    def __init__(self, out: Path, book: DayBook) -> None:
        self._draft = draft(out, DAY, book=book)

    def __enter__(self) -> None:
        self._draft.__enter__()

    def __exit__(self, *_: object) -> bool:
        try:
            self._draft.__exit__(_Nothing, _Nothing(), None)
        except _Nothing:
            return True
        return False


def _start(out: Path, name: str, until_call: int = 0) -> subprocess.Popen[str]:
    words = [sys.executable, "-m", "tests.daybook.kills", "--child", str(out), name, str(until_call)]
    return subprocess.Popen(words, stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True, cwd=ROOT)


def random_rounds(out: Path, rounds: int, seed: int) -> Told:
    """Kill a working process after a random time, again and again in one folder."""
    told, chance = Told(), random.Random(seed)
    for number in range(rounds):
        name = f"r{number}"
        process = _start(out, name)
        assert process.stdout is not None
        first = process.stdout.readline()
        # The work of one plan takes some 20 ms: kills fall everywhere in several of them.
        time.sleep(chance.random() * 0.15)
        process.kill()
        rest, errors = process.communicate()
        assert process.returncode == -signal.SIGKILL, errors
        told.hear(name, first + rest)
        look_after(out, told)
    return told


def every_call(folder: Path, *, first: int = 1, step: int = 1, last: int = 10_000) -> Iterator[int]:
    """Kill a process right before its n-th changing call, for each n up to where it ends by itself."""
    for number in range(first, last, step):
        out, told = folder / f"before call {number}", Told()
        process = _start(out, "c", number)
        said, errors = process.communicate()
        told.hear("c", said)
        if process.returncode == 0:
            return
        assert process.returncode == -signal.SIGKILL, errors
        if out.exists():
            look_after(out, told)
        yield number


def main() -> None:
    """Run rounds and print what was found."""
    parser = argparse.ArgumentParser(
        description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter
    )
    parser.add_argument("--rounds", type=int, default=0)
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--every-call", action="store_true")
    parser.add_argument("--child", nargs=3, help=argparse.SUPPRESS)
    given = parser.parse_args()
    if given.child:
        child(Path(given.child[0]), given.child[1], int(given.child[2]))
        return
    with tempfile.TemporaryDirectory() as scratch:
        if given.rounds:
            told = random_rounds(Path(scratch) / "plans", given.rounds, given.seed)
            print(
                f"{given.rounds} kills after a random time (seed {given.seed}): {len(told.plans)} plans and "
                f"{len(told.events)} entries acknowledged, all there, whole, once"
            )
        if given.every_call:
            kills = len(list(every_call(Path(scratch))))
            print(f"{kills} kills, one before each changing call of two plans and two entries: nothing lost")


if __name__ == "__main__":
    main()
