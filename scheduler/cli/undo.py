"""`pressday undo`: an entry of the day book taken back."""

from __future__ import annotations

from typing import TYPE_CHECKING, Annotated

import typer

from scheduler.cli.ends import say, told
from scheduler.cli.options import PlannedDay, PlansFolder, number_typed
from scheduler.domain.faults import Fault, Source
from scheduler.domain.progress import IN_BETWEEN, Event, EventKind
from scheduler.now import now

if TYPE_CHECKING:
    from scheduler.plans.book import OpenDay


def undo(
    entries: Annotated[
        list[int],
        typer.Argument(
            metavar="ENTRY", parser=number_typed, help="Number of the entry; see pressday progress --history."
        ),
    ],
    day: PlannedDay = None,
    plans: PlansFolder = None,
) -> None:
    """Take entries of the day book back.

    They stay in its history. Taking a correction back brings back what was there before it.
    """
    with told(as_json=False, nothing="Nothing was taken back."):
        from scheduler.daybook.entries import taken_back
        from scheduler.daybook.facts import standing
        from scheduler.exceptions import BadInput
        from scheduler.plans.book import open_day
        from scheduler.workflow.entries import say_recorded

        with open_day(plans, day) as open_:
            holds = {event.number: event for event in standing(open_.events)}
            there = {event.number for event in open_.events}
            faults = [
                Fault(
                    code="entry-not-standing" if number in there else "no-such-entry",
                    source=Source(file=open_.book.file.name),
                    found=f"entry {number}"
                    + (" was corrected or taken back already" if number in there else ""),
                    expected=f"an entry of {open_.plan.day} that holds",
                    mend="Look it up with pressday progress --history.",
                )
                for number in entries
                if number not in holds
            ]
            faults += [
                _not_undone(open_.book.file.name, number) for number in entries if _kept(holds, number)
            ]
            if faults:
                raise BadInput(faults)
            at = now()
            recorded = open_.book.record(taken_back(holds[number], at) for number in dict.fromkeys(entries))
            say_recorded(open_, recorded)
            for line in _holds_again(open_, tuple(holds)):
                say(line)
            if any(holds[number].kind in IN_BETWEEN for number in entries):
                say("It counts from the next plan of the day on: pressday replan.")


def _holds_again(day: OpenDay, before: tuple[int, ...]) -> list[str]:
    """The entries that hold again, since what corrected them was taken back."""
    from scheduler.daybook.facts import standing
    from scheduler.workflow.entries import entry_words

    events = day.book.events(day.plan.day)
    known = {event.id: event for event in events}
    return [
        f"  holds again: entry {event.number}: {entry_words(day.plan, event, known)}"
        for event in standing(events)
        if event.number not in before and event.kind is not EventKind.TAKEN_BACK
    ]


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
