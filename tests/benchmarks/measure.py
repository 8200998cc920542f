"""One row in a process of its own: `python -m tests.benchmarks.measure JOB OUT`, both JSON.

Being alone in its process, a row has processor time and memory of its own, and takes nobody with it
when it falls over.
"""

from __future__ import annotations

import json
import os
import sys
import time
from collections.abc import Mapping
from dataclasses import asdict, dataclass
from pathlib import Path
from typing import Any

from scheduler.domain.instance import Instance
from scheduler.verify import check
from tests.benchmarks import rows
from tests.benchmarks.catalogue import Entry, chosen, entries, value_of
from tests.benchmarks.peers.outcome import Outcome
from tests.benchmarks.rows import ENGINE, Row, ratio


@dataclass(frozen=True, slots=True, kw_only=True)
class Job:
    """What to run.

    Attributes
    ----------
    data
        Folder of the sets; None: the copies kept here.
    solver
        `ENGINE` or the name of a peer.
    effort, seconds
        Budget of the engine: one of the two, or `cpu_s`.
    cpu_s
        Budget of a peer, or of the engine, in processor seconds.
    """

    set_name: str
    instance: str
    data: str | None
    solver: str
    seed: int
    effort: str | None = None
    seconds: float | None = None
    cpu_s: float | None = None

    def entry(self) -> Entry:
        found = entries(self.set_name, None if self.data is None else Path(self.data))
        return chosen(found, [self.instance])[0]


def measure(job: Job, entry: Entry) -> Row:
    """Run a solver on an instance and check what it gives."""
    instance = entry.read()
    wall, cpu = time.perf_counter(), time.process_time()
    outcome = _solved(job, instance)
    cpu_s, wall_s = time.process_time() - cpu, time.perf_counter() - wall
    return _row(job, entry, instance, outcome, cpu_s=cpu_s, wall_s=wall_s)


def _solved(job: Job, instance: Instance) -> Outcome:
    if job.solver == ENGINE:
        from tests.benchmarks.engine import by_effort, by_seconds

        if job.effort is not None:
            return by_effort(instance, job.seed, job.effort)
        if job.seconds is not None:
            return by_seconds(instance, job.seed, job.seconds)
        return by_seconds(instance, job.seed, job.cpu_s or 0.0, of_cpu=True)
    from tests.benchmarks.peers.budget import Budget
    from tests.benchmarks.peers.registry import peer

    return peer(job.solver)(instance, job.seed, Budget(job.cpu_s or 0.0))


def _row(job: Job, entry: Entry, instance: Instance, outcome: Outcome, *, cpu_s: float, wall_s: float) -> Row:
    levels: Mapping[str, int] = {}
    checked: bool | None = None
    note = outcome.note
    if outcome.skipped:
        status, note = rows.SKIPPED, outcome.skipped
    elif outcome.relaxed is not None:
        status, levels = rows.RELAXED, outcome.relaxed
    elif outcome.schedule is None:
        status = rows.NO_PLAN
    else:
        verdict = check(instance, outcome.schedule)
        checked = verdict.passed
        levels = {level: verdict.values[level] for level in instance.levels}
        status = rows.PROVEN_BEST if outcome.proven else rows.FEASIBLE
        if not checked:
            status, note = rows.REFUSED, verdict.breaks[0].message
    value = value_of(job.set_name, levels) if checked or status == rows.RELAXED else None
    if checked and value is None:
        note = f"{levels['left_over']} left over" + (f"; {note}" if note else "")
    return Row(
        set_name=job.set_name,
        instance=job.instance,
        solver=job.solver,
        seed=job.seed,
        effort=job.effort,
        seconds=job.seconds,
        cpu_budget_s=job.cpu_s,
        status=status,
        value=value,
        levels=dict(levels),
        bounds={level: outcome.bounds[level] for level in instance.levels if level in outcome.bounds},
        best=entry.best,
        proof=entry.proof,
        best_levels=entry.best_levels,
        ratio=ratio(value, entry.best) if checked else None,
        first_plan_s=outcome.first_plan_s,
        cpu_s=None if outcome.skipped else cpu_s,
        wall_s=None if outcome.skipped else wall_s,
        moves=outcome.moves,
        moves_s=outcome.moves_s,
        memory_mb=_peak_mb(),
        checked=checked,
        restarts=outcome.restarts,
        reached=outcome.reached,
        relaxes=outcome.relaxes,
        note=note,
    )


def _peak_mb() -> float | None:
    """Peak of resident memory of this process; None where the system doesn't tell."""
    try:
        import resource
    except ImportError:
        return None
    peak = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss
    return peak / 1e6 if sys.platform == "darwin" else peak / 1e3


def main(arguments: list[str]) -> None:
    """Read a job, run it, write its row."""
    order: dict[str, Any] = json.loads(arguments[0])
    job = Job(**order)
    os.environ.setdefault("PRESSDAY_COMPILE", "now")
    row = measure(job, job.entry())
    rows.write(Path(arguments[1]), {"job": asdict(job)}, [row])


if __name__ == "__main__":
    main(sys.argv[1:])
