"""That a search was stopped early, and why: the same words after every command that searches."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from scheduler.domain.schedule import Result

TOLD_TO = "told to stop (Ctrl-C)"


@dataclass(frozen=True, slots=True, kw_only=True)
class Stopped:
    """Why a search ended before its effort was spent.

    Attributes
    ----------
    limit_s
        The seconds that ended it; None: it was told to stop.
    effort
        Name of the effort; empty when it has none.
    """

    limit_s: float | None
    effort: str = ""

    @property
    def why(self) -> str:
        """In words, to go on with behind a colon."""
        if self.limit_s is None:
            return f"it was {TOLD_TO}"
        of = f" of effort {self.effort}" if self._usual else ""
        return f"the time limit of {self.limit_s:g} s{of} was reached (--seconds sets another)"

    @property
    def _usual(self) -> bool:
        """Whether it was the effort's own seconds, and not those that the user gave."""
        from scheduler.engine.effort import EFFORTS

        effort = EFFORTS.get(self.effort)
        return effort is not None and effort.seconds == self.limit_s


def why_stopped(result: Result) -> Stopped | None:
    """Why a search was stopped early; None when it was not."""
    return Stopped(limit_s=result.time_limit_s, effort=result.effort) if result.stopped_early else None


def by_time(effort: str, seconds: float | None) -> Stopped:
    """That the seconds given ended a search, or those of its effort."""
    from scheduler.engine.effort import EFFORTS

    return Stopped(limit_s=EFFORTS[effort].seconds if seconds is None else seconds, effort=effort)
