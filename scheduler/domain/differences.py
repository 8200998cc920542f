"""A run that is not where it was, between two plans of a day."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum

from scheduler.domain.plan import PlannedRun

WORTH_PAPER_MIN = 5
"""A start that is off by less is no reason for a new sheet (common practice, no source)."""


class Kind(StrEnum):
    """How a run differs, what counts most first."""

    NEW = "new"
    DROPPED = "dropped"
    OTHER_PIECES = "other pieces"
    OTHER_PLACE = "other press, person or platen"
    OTHER_ORDER = "other run before it"
    LATER = "later"
    EARLIER = "earlier"


@dataclass(frozen=True, slots=True, kw_only=True)
class Difference:
    """One run that is not where it was.

    Attributes
    ----------
    before, after
        Its places; None where a plan hasn't got it.
    minutes
        By how much its pressing starts later; negative: earlier. 0 for new and dropped runs.
    """

    run: str
    kind: Kind
    before: PlannedRun | None
    after: PlannedRun | None
    minutes: float = 0.0

    @property
    def people(self) -> tuple[str, ...]:
        """Whose sheets it is on, before or after."""
        there = (run.operator for run in (self.before, self.after) if run is not None)
        return tuple(dict.fromkeys(there))
