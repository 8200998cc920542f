"""Entries of the day book taken back."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from scheduler.domain.faults import Fault, Source
from scheduler.domain.progress import IN_BETWEEN, Event, EventKind
from scheduler.exceptions import BadInput
from scheduler.now import now

if TYPE_CHECKING:
    from collections.abc import Sequence

    from scheduler.daybook.book import Recorded
    from scheduler.plans.book import OpenDay


@dataclass(frozen=True, slots=True, kw_only=True)
class TakenBack:
    """What taking entries back did.

    Attributes
    ----------
    events
        All entries of the day, those that take others back among them.
    again
        Those that hold again, since what corrected them was taken back.
    in_between
        Something that came in between is among what was taken back: it counts from the next plan on.
    """

    recorded: Recorded
    events: tuple[Event, ...]
    again: tuple[Event, ...]
    in_between: bool


def take_back(day: OpenDay, entries: Sequence[int]) -> TakenBack:
    """Take entries back, all of them or none.

    Parameters
    ----------
    entries
        Their numbers.

    Raises
    ------
    BadInput
        With every one that isn't there, holds no more, or can't be taken back.
    """
    from scheduler.daybook.entries import taken_back
    from scheduler.daybook.facts import standing

    holds = {event.number: event for event in standing(day.events)}
    there = {event.number for event in day.events}
    faults = [
        Fault(
            code="entry-not-standing" if number in there else "no-such-entry",
            source=Source(file=day.book.file.name),
            found=f"entry {number}" + (" was corrected or taken back already" if number in there else ""),
            expected=f"an entry of {day.plan.day} that holds",
            mend="Look it up with pressday progress --history.",
        )
        for number in entries
        if number not in holds
    ]
    faults += [_not_undone(day.book.file.name, number) for number in entries if _kept(holds, number)]
    if faults:
        raise BadInput(faults)
    at = now()
    recorded = day.book.record(taken_back(holds[number], at, day.events) for number in dict.fromkeys(entries))
    events = day.book.events(day.plan.day)
    return TakenBack(
        recorded=recorded,
        events=events,
        again=tuple(event for event in standing(events) if event.number not in holds),
        in_between=any(holds[number].kind in IN_BETWEEN for number in entries),
    )


def _kept(holds: dict[int, Event], number: int) -> bool:
    return number in holds and holds[number].kind in (
        EventKind.ORDER_NEW,
        EventKind.ORDER_CHANGED,
        EventKind.PRESS_AGAIN,
    )


def _not_undone(file: str, number: int) -> Fault:
    return Fault(
        code="entry-not-undone",
        source=Source(file=file),
        found=f"entry {number} is an order in the plan, or pieces to be pressed again",
        expected="what was done, or a press down, a person away, a box late, an order cancelled",
        mend="Change the order or cancel it: pressday replan --changed, --quantity, --cut-off or --cancel.",
    )
