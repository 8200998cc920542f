"""What every solver hands back, the engine and its peers alike."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from typing import Any

from scheduler.domain.schedule import Schedule


@dataclass(frozen=True, slots=True, kw_only=True)
class Outcome:
    """A schedule and what was shown of it; the check and the values are the caller's.

    Attributes
    ----------
    schedule
        None when there is no plan, and for a relaxation.
    bounds
        By level; each holds among plans that keep the levels before.
    proven
        Whether the schedule was shown to be best at every level.
    relaxed
        Values of a relaxation, by level; what it leaves out stands in `relaxes`.
    skipped
        Why the solver wasn't tried at all.
    """

    schedule: Schedule | None = None
    bounds: Mapping[str, int] = field(default_factory=dict)
    proven: bool = False
    first_plan_s: float | None = None
    moves: int | None = None
    moves_s: float | None = None
    restarts: int = 0
    reached: Sequence[Sequence[Any]] = ()
    relaxed: Mapping[str, int] | None = None
    relaxes: str = ""
    skipped: str = ""
    note: str = ""
