"""Peer: the orders as they come, worked through in order of due date without a plan."""

from __future__ import annotations

from scheduler.domain.instance import Instance
from scheduler.engine.baseline import as_they_come
from tests.benchmarks.peers.budget import Budget
from tests.benchmarks.peers.outcome import Outcome


def plan(instance: Instance, seed: int, budget: Budget) -> Outcome:
    """The engine's own comparison; needs next to nothing of the budget and knows no seed."""
    return Outcome(schedule=as_they_come(instance))
