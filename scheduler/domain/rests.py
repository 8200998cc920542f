"""What a run that was stopped didn't press and its rest does: not missing; and the other way round."""

from __future__ import annotations

from collections.abc import Collection, Iterable
from dataclasses import replace

from scheduler.domain.day_state import RunState, RunStatus
from scheduler.domain.disruptions import PartKind, RunPart


def with_rests(
    runs: Iterable[RunState], parts: Iterable[RunPart], begun: Collection[str]
) -> tuple[RunState, ...]:
    """The runs, each with the pieces that a run it shares them with presses or has pressed.

    While a rest is not begun, the next plan gives it whatever its run turns out not to have done. Once it is,
    it has the pieces that it was given: what its run did besides is not missing there, and what its run did
    not do is missing.

    Parameters
    ----------
    parts
        Of the plan that the runs are of.
    begun
        Ids of the runs that are begun, or that the next plan leaves as they are.
    """
    found = list(runs)
    by_id = {run.run: run for run in found}
    over: dict[str, int] = {}
    for part in parts:
        run = by_id.get(part.run)
        if part.name is not PartKind.REST or run is None or run.status is not RunStatus.FINISHED:
            continue
        if part.task in begun:
            over[part.task] = max(0, run.good - run.quantity)
        elif not run.assumed and part.task in by_id:
            over[part.run] = max(0, run.quantity - run.good - run.spoiled)
    return tuple(replace(run, taken_over=over.get(run.run, 0)) for run in found)


__all__ = ["with_rests"]
