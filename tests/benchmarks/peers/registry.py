"""The peers by name."""

from __future__ import annotations

import importlib
from collections.abc import Callable

from scheduler.domain.instance import Instance
from tests.benchmarks.peers.budget import Budget
from tests.benchmarks.peers.outcome import Outcome

Peer = Callable[[Instance, int, Budget], Outcome]

PEERS = ("as_they_come", "atcs", "cpsat", "pyjobshop")
"""In the order in which they run; each is a module beside this one with a function `plan`."""

SEEDLESS = ("as_they_come", "atcs")
"""Peers that throw no dice: one row whatever the number of seeds."""


def peer(name: str) -> Peer:
    """The function of a peer."""
    found: Peer = importlib.import_module(f"tests.benchmarks.peers.{name}").plan
    return found
