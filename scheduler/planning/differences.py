"""What differs between two plans of a day, as the people at the presses meet it."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from enum import StrEnum

from scheduler.domain.plan import Plan, PlannedRun

WORTH_PAPER_MIN = 5
"""A start that is off by less is no reason for a new sheet (common practice, no source)."""


class Kind(StrEnum):
    """How a run differs, what counts most first."""

    NEW = "new"
    DROPPED = "dropped"
    OTHER_PLACE = "other press or person"
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


def differences(old: Plan, new: Plan) -> tuple[Difference, ...]:
    """Every run that differs, in order of the new plan's times; dropped ones last."""
    was = {run.id: run for run in old.runs}
    is_now = {run.id: run for run in new.runs}
    before_old, before_new = _forerunners(old.runs, is_now), _forerunners(new.runs, was)
    found: list[Difference] = []
    for run in sorted(new.runs, key=lambda run: (run.start, run.number)):
        there = was.get(run.id)
        if there is None:
            found.append(Difference(run=run.id, kind=Kind.NEW, before=None, after=run))
            continue
        minutes = (run.pressing_start - there.pressing_start).total_seconds() / 60
        kind = None
        if (run.press, run.operator, run.platen) != (there.press, there.operator, there.platen):
            kind = Kind.OTHER_PLACE
        elif before_old.get(run.id) != before_new.get(run.id):
            kind = Kind.OTHER_ORDER
        elif minutes:
            kind = Kind.LATER if minutes > 0 else Kind.EARLIER
        if kind is not None:
            found.append(Difference(run=run.id, kind=kind, before=there, after=run, minutes=minutes))
    found.extend(
        Difference(run=run.id, kind=Kind.DROPPED, before=run, after=None)
        for run in old.runs
        if run.id not in is_now
    )
    return tuple(found)


def changed_sheets(found: Iterable[Difference]) -> tuple[str, ...]:
    """Everybody who needs a new sheet, in order of name.

    A run that only starts a few minutes earlier or later is done in its turn by the sheet in hand.
    """
    slight = (Kind.LATER, Kind.EARLIER)
    worth = (one for one in found if one.kind not in slight or abs(one.minutes) >= WORTH_PAPER_MIN)
    return tuple(sorted({person for one in worth for person in one.people}))


def _forerunners(runs: Iterable[PlannedRun], known: dict[str, PlannedRun]) -> dict[str, str]:
    """By run, the one before it on its press that both plans have."""
    last: dict[str, str] = {}
    found: dict[str, str] = {}
    for run in sorted(runs, key=lambda run: (run.pressing_start, run.end)):
        if run.press in last:
            found[run.id] = last[run.press]
        if run.id in known:
            last[run.press] = run.id
    return found
