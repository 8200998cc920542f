"""How many runs differ from the sheets in hand, in which way; and why one of them comes earlier."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Sequence
from datetime import datetime
from enum import StrEnum

from scheduler.domain.differences import WORTH_PAPER_MIN, Difference, Kind
from scheduler.domain.figures import counted
from scheduler.domain.paper import Side
from scheduler.domain.plan import Plan, PlannedRun
from scheduler.domain.stopping import cancelled_rest, stops_now
from scheduler.sheets.packing import TIGHT_MIN, spare_minutes
from scheduler.sheets.paper import in_hand, over_by


class Way(StrEnum):
    """In which way a run differs for whoever has the sheet in hand; each run in one of them."""

    NEW = "new"
    DROPPED = "dropped"
    STOPPED = "stopped"
    PIECES = "pieces"
    PLACE = "place"
    LATER = "later"
    EARLIER = "earlier"
    BEHIND_ANOTHER = "behind another"
    SLIGHT = "slight"


_KINDS = {
    Kind.NEW: Way.NEW,
    Kind.DROPPED: Way.DROPPED,
    Kind.OTHER_PIECES: Way.PIECES,
    Kind.OTHER_PLACE: Way.PLACE,
}

_VERBS = {
    Way.NEW: ("is new", "are new"),
    Way.DROPPED: ("is not pressed any more", "are not pressed any more"),
    Way.STOPPED: ("is stopped for good", "are stopped for good"),
    Way.PIECES: ("has other pieces or transfers", "have other pieces or transfers"),
    Way.PLACE: ("goes to another press, person or platen", "go to another press, person or platen"),
    Way.LATER: ("starts later", "start later"),
    Way.EARLIER: ("starts earlier", "start earlier"),
    Way.BEHIND_ANOTHER: (
        "keeps its time but follows another run at its press",
        "keep their time but follow another run at their press",
    ),
    Way.SLIGHT: (
        f"starts less than {WORTH_PAPER_MIN} minutes off",
        f"start less than {WORTH_PAPER_MIN} minutes off",
    ),
}


def way(one: Difference, on_paper: datetime | None = None) -> Way:
    """In which way a run differs.

    Parameters
    ----------
    on_paper
        Its start on the sheet in hand; None: that of the plan before.
    """
    if one.kind in _KINDS:
        return _KINDS[one.kind]
    assert one.before is not None and one.after is not None
    was, now = on_paper or one.before.pressing_start, one.after.pressing_start
    if abs((now - was).total_seconds()) / 60 >= WORTH_PAPER_MIN or was.date() != now.date():
        return Way.LATER if now > was else Way.EARLIER
    return Way.BEHIND_ANOTHER if one.kind is Kind.OTHER_ORDER else Way.SLIGHT


def to_tell(old: Plan, new: Plan, found: Iterable[Difference]) -> list[Difference]:
    """The differences without those of what has been.

    That is when something was begun that is on the old sheet as well, and all of a run that is over: of one
    that was stopped before, its count too, which the run with its rest tells.
    """
    if new.at is None:
        return list(found)
    over = over_by(old, new, new.at)
    return [one for one in found if one.run not in over and not _has_begun(one, new.at)]


def _has_begun(one: Difference, at: datetime) -> bool:
    return (
        one.kind in (Kind.OTHER_ORDER, Kind.LATER, Kind.EARLIER)
        and one.after is not None
        and one.after.start < at
    )


def counts(old: Plan, new: Plan, found: Sequence[Difference], side: Side = "operator") -> str:
    """How many runs differ from the sheets in hand, in which way, as one sentence without its full stop.

    Examples
    --------
    "5 runs are new, 6 start later and 1 starts earlier"
    """
    paper = {line.what: line.start for sheet in in_hand(old) if sheet.side == side for line in sheet.lines}
    number = Counter(
        Way.STOPPED if one.after is not None and _ends(new, one.after) else way(one, paper.get(one.run))
        for one in to_tell(old, new, found)
    )
    parts = [(number[one], _VERBS[one][number[one] > 1]) for one in Way if number[one]]
    if not parts:
        return "no run moves"
    first, *rest = (f"{count} {verb}" for count, verb in parts)
    count, verb = parts[0]
    first = f"{counted(count, 'run')} {verb}"
    return f"{', '.join([first, *rest[:-1]])} and {rest[-1]}" if rest else first


def _ends(plan: Plan, run: PlannedRun) -> bool:
    """Whether a run stops now, and nothing goes on with it."""
    return stops_now(plan, run) and cancelled_rest(plan, run) is not None


def why_earlier(one: Difference, old: Plan, new: Plan) -> str:
    """What is gained by a run that comes earlier than on the sheets in hand; empty when nothing can be named.

    A run at another press or with another person came there for reasons of its own.
    """
    before, after = one.before, one.after
    assert before is not None and after is not None
    there = before.presses, before.operator
    if after.pressing_start >= before.pressing_start or (after.presses, after.operator) != there:
        return ""
    following = min(
        (run for run in new.runs if run.start >= after.end and _shares(run, after)),
        key=lambda run: (run.start, run.number),
        default=None,
    )
    if following is not None and following.start < before.end:
        return f"to make room for run {following.number}"
    order = next((order for order in old.orders if order.id == before.content.order), None)
    spare = None if order is None else spare_minutes(order)
    if spare is not None and spare < TIGHT_MIN:
        return "its order had little to spare"
    return ""


def _shares(run: PlannedRun, other: PlannedRun) -> bool:
    """Whether two runs have a press or a person in common."""
    return not set(run.presses).isdisjoint(other.presses) or (
        bool(run.operator) and run.operator == other.operator
    )


__all__ = ["Way", "counts", "to_tell", "way", "why_earlier"]
