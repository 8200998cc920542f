"""The benchmark: `python -m tests.benchmarks.run --set NAME ...`; see docs/benchmarks.md.

Every row is measured in a process of its own, one after the other. The file of results is written whole
after each row, so that what is done is kept when the run is interrupted.
"""

from __future__ import annotations

import argparse
import json
import math
import os
import platform
import signal
import subprocess
import sys
import tempfile
from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import asdict, replace
from datetime import UTC, datetime
from importlib.metadata import PackageNotFoundError, version
from pathlib import Path
from statistics import median
from types import FrameType
from typing import Any, NoReturn

import scheduler
from tests.benchmarks import rows as results
from tests.benchmarks.catalogue import ALL_SETS, Entry, UnknownError, chosen, entries
from tests.benchmarks.measure import Job
from tests.benchmarks.peers.registry import PEERS, SEEDLESS
from tests.benchmarks.report import heading, line_of, text_of
from tests.benchmarks.rows import ENGINE, Row

ROOT = Path(__file__).parent.parent.parent
EFFORTS = ("quick", "normal", "thorough")

PATIENCE = 20
"""Times its budget that a row may take by the wall clock before it counts as hung, with a margin."""

MARGIN_S = 600.0

Measured = Callable[[Job, float], Row]


class _Parser(argparse.ArgumentParser):
    def error(self, message: str) -> NoReturn:
        print(f"benchmarks: {message}", file=sys.stderr)
        raise SystemExit(2)


def arguments(words: Sequence[str]) -> argparse.Namespace:
    """What is asked for; anything wrong ends the program with one line and exit code 2."""
    parser = _Parser(prog="benchmarks", description="Measure the engine on published instances or on days.")
    parser.add_argument("--set", required=True, dest="set_name", metavar="NAME", help=", ".join(ALL_SETS))
    parser.add_argument(
        "--data", type=Path, metavar="FOLDER", help="a folder for each set, with best_known.csv"
    )
    parser.add_argument("--instances", metavar="A,B,...", help="names of instances; all when left out")
    budget = parser.add_mutually_exclusive_group(required=True)
    budget.add_argument("--effort", choices=EFFORTS, help="budget in moves")
    budget.add_argument("--seconds", type=float, metavar="S", help="budget by the wall clock")
    budget.add_argument("--cpu-seconds", type=float, metavar="S", help="budget in processor seconds")
    parser.add_argument("--seeds", type=int, default=3, metavar="N", help="seeds 1 to N (default 3)")
    parser.add_argument(
        "--peers",
        nargs="?",
        const=",".join(PEERS),
        default="",
        metavar="A,B,...",
        help=f"also run these at the same processor time; all when none is named: {', '.join(PEERS)}",
    )
    parser.add_argument("--json", required=True, type=Path, metavar="OUT", help="file for the results")
    given = parser.parse_args(words)
    given.peers = [name for name in given.peers.split(",") if name]
    unknown = [name for name in given.peers if name not in PEERS]
    if unknown:
        parser.error(f"no peer {', '.join(unknown)}; peers are {', '.join(PEERS)}")
    for option, seconds in (("--seconds", given.seconds), ("--cpu-seconds", given.cpu_seconds)):
        if seconds is not None and not (0 < seconds < math.inf):
            parser.error(f"{option} {seconds:g}: a number above 0 is needed")
    if given.seeds < 1:
        parser.error(f"--seeds {given.seeds}: at least 1 is needed")
    if given.json.is_dir() or not given.json.absolute().parent.is_dir():
        parser.error(f"--json {given.json}: a file in a folder that is there is needed")
    try:
        found = entries(given.set_name, given.data)
        if given.instances is not None:
            found = chosen(found, [name for name in given.instances.split(",") if name])
    except UnknownError as error:
        parser.error(str(error))
    if not found:
        parser.error("--instances names none")
    given.entries = found
    return given


def jobs_for(given: argparse.Namespace, entry: Entry) -> Iterator[Job]:
    """The engine's jobs on an instance, by seed."""
    for seed in range(1, given.seeds + 1):
        yield Job(
            set_name=given.set_name,
            instance=entry.name,
            data=None if given.data is None else str(given.data.absolute()),
            solver=ENGINE,
            seed=seed,
            effort=given.effort,
            seconds=given.seconds,
            cpu_s=given.cpu_seconds,
        )


def peer_jobs(given: argparse.Namespace, entry: Entry, cpu_s: float) -> Iterator[Job]:
    """The peers' jobs on an instance, each with so many processor seconds."""
    for name in given.peers:
        for job in jobs_for(given, entry):
            if job.seed == 1 or name not in SEEDLESS:
                yield replace(job, solver=name, cpu_s=cpu_s)


def run(given: argparse.Namespace, measured: Measured, tell: Callable[[str], None]) -> list[Row]:
    """All rows in turn, the file of results written after each.

    The peers of an instance come after the engine and get the median of its processor seconds there.
    When it is interrupted, the rows so far stay in the file, which says that it isn't finished.
    """
    head = _head(given)
    done: list[Row] = []

    def one(job: Job, patience_s: float) -> Row:
        row = measured(job, patience_s)
        done.append(row)
        results.write(given.json, {**head, "finished": False}, done)
        tell(line_of(row))
        return row

    for entry in given.entries:
        ours = [one(job, _patience(given)) for job in jobs_for(given, entry)]
        used = [row.cpu_s for row in ours if row.cpu_s is not None]
        if not used:
            continue
        cpu_s = median(used)
        for job in peer_jobs(given, entry, cpu_s):
            one(job, PATIENCE * cpu_s + MARGIN_S)
    results.write(given.json, {**head, "finished": True}, done)
    return done


def _patience(given: argparse.Namespace) -> float:
    from scheduler.engine.solve import EFFORTS as AMOUNTS

    seconds = given.seconds or given.cpu_seconds or AMOUNTS[given.effort].seconds
    return float(PATIENCE * seconds + MARGIN_S)


def in_a_process(job: Job, patience_s: float) -> Row:
    """Measure a job in a fresh process; if that falls over, the row says so."""
    entry = job.entry()
    with tempfile.TemporaryDirectory() as folder:
        out = Path(folder) / "row.json"
        command = [sys.executable, "-m", "tests.benchmarks.measure", json.dumps(asdict(job)), str(out)]
        try:
            ended = subprocess.run(
                command,
                cwd=ROOT,
                stdin=subprocess.DEVNULL,
                stdout=subprocess.DEVNULL,
                stderr=subprocess.PIPE,
                timeout=patience_s,
                check=False,
                env={**os.environ, "PRESSDAY_COMPILE": os.environ.get("PRESSDAY_COMPILE", "now")},
            )
        except subprocess.TimeoutExpired:
            return _failed(job, entry, f"not done after {patience_s:.0f} s")
        if ended.returncode == 0 and out.is_file():
            return results.read(out)[1][0]
        said = ended.stderr.decode("utf-8", "replace").strip().splitlines()
        return _failed(job, entry, f"exit code {ended.returncode}: {said[-1] if said else 'no message'}")


def _failed(job: Job, entry: Entry, note: str) -> Row:
    return Row(
        set_name=job.set_name,
        instance=job.instance,
        solver=job.solver,
        seed=job.seed,
        effort=job.effort,
        seconds=job.seconds,
        cpu_budget_s=job.cpu_s,
        status=results.FAILED,
        best=entry.best,
        proof=entry.proof,
        note=note,
    )


def _head(given: argparse.Namespace) -> Mapping[str, Any]:
    """What the rows were made with."""
    return {
        "pressday": scheduler.__version__,
        "set": given.set_name,
        "effort": given.effort,
        "seconds": given.seconds,
        "cpu_seconds": given.cpu_seconds,
        "seeds": given.seeds,
        "peers": given.peers,
        "began": datetime.now(UTC).isoformat(timespec="seconds"),
        "python": platform.python_version(),
        "system": f"{platform.system()} {platform.machine()}",
        "cores": os.cpu_count(),
        "load": round(os.getloadavg()[0], 2) if hasattr(os, "getloadavg") else None,
        "libraries": {name: _version(name) for name in ("ortools", "numba", "numpy", "pyjobshop")},
    }


def _version(name: str) -> str | None:
    try:
        return version(name)
    except PackageNotFoundError:
        return None


def _compile_first() -> None:
    """Machine code on disk before the first row, so that no row pays for compiling."""
    if os.environ.get("PRESSDAY_COMPILE") != "0":
        subprocess.run([sys.executable, "-m", "scheduler.engine.warm"], cwd=ROOT, check=False)


def _stop(signum: int, frame: FrameType | None) -> NoReturn:
    raise KeyboardInterrupt


def main(words: Sequence[str]) -> int:
    """Run, print, and say how it went.

    Returns
    -------
    int
        0; 1 when rows failed or can't be true; 130 when it was stopped.

    Raises
    ------
    SystemExit
        With code 2, when an argument is wrong.
    """
    given = arguments(words)
    before = signal.signal(signal.SIGTERM, _stop)
    stopped = False
    done: list[Row] = []

    def kept(job: Job, patience_s: float) -> Row:
        done.append(in_a_process(job, patience_s))
        return done[-1]

    try:
        _compile_first()
        print(heading(), flush=True)
        run(given, kept, lambda line: print(line, flush=True))
    except KeyboardInterrupt:
        stopped = True
    finally:
        signal.signal(signal.SIGTERM, before)
    if done:
        print(text_of(done))
    if stopped:
        print(f"benchmarks: stopped; {len(done)} rows are in {given.json}", file=sys.stderr)
        return 130
    wrong = [row for row in done if row.status in results.BAD]
    better = results.impossible(done)
    for row in wrong:
        print(
            f"benchmarks: {row.instance}, {row.solver}, seed {row.seed}: {row.status}: {row.note}",
            file=sys.stderr,
        )
    for row in better:
        print(
            f"benchmarks: {row.instance}, {row.solver}: {row.value} is below the proven best {row.best}",
            file=sys.stderr,
        )
    return 1 if wrong or better else 0


if __name__ == "__main__":
    raise SystemExit(main(sys.argv[1:]))
