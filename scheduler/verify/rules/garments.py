"""Rule: the same garments are at one press at a time, and cool before their next pressing."""

from __future__ import annotations

from collections import defaultdict

from scheduler.domain.schedule import Break
from scheduler.verify.view import Run, View


def check_garments(view: View) -> list[Break]:
    """Check, for tasks that share a bundle, that the later starts when the earlier is ready.

    Of two tasks the later is the one with the later pressing start; ready is end plus cooling. Of
    two that start at the same tick the one that ends first is the earlier, then the one ready first.
    One break for each later task and the last of those before it; once however many bundles the
    two share.
    """
    sharing: dict[str, list[Run]] = defaultdict(list)
    for run in view.runs:
        for bundle in dict.fromkeys(run.task.bundles):
            sharing[bundle].append(run)
    seen: set[tuple[int, int]] = set()
    breaks = []
    for bundle, runs in sharing.items():
        runs.sort(key=lambda run: (run.start, run.end, run.ready))
        last = runs[0]
        for run in runs[1:]:
            pair = (id(last), id(run))
            if run.start < last.ready and pair not in seen:
                seen.add(pair)
                breaks.append(_break(bundle, last, run))
            if run.ready > last.ready:
                last = run
    return breaks


def _break(bundle: str, earlier: Run, later: Run) -> Break:
    short = earlier.ready - later.start
    return Break(
        rule="garments",
        tasks=(earlier.id, later.id),
        machine=later.machine.id,
        at=later.start,
        amount=short,
        message=f"{later.id} starts on {later.machine.id} at tick {later.start}, {short} ticks before "
        f"garments {bundle} are ready from {earlier.id} on {earlier.machine.id} at {earlier.ready}",
    )
